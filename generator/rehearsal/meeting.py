"""What must not meet: water and methoxide, acid and lye or glycerin, wet oil and heat, methanol and heat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.state import Contents
from generator.rehearsal.violation import Fault

#: Wet oil goes into nothing warmer, °C (common practice, no source).
WET_OIL_MOST_C: Final = 50.0
#: Methanol in an ester that makes it burn like methanol, kg/kg: more than 0.2 % (EN 14214's limit).
METHANOL_COUNTS: Final = 0.002
#: A share by mass that makes a liquid what it is named for, kg/kg (derived; solutions of lye hold more).
MUCH: Final = 0.05
#: Most water in dry oil where no figure says so, kg/kg (common practice, no source).
DRY_WATER: Final = 0.001
#: How far a temperature may pass its limit before it counts: the model's own rounding, K.
ROUNDING_K: Final = 0.1


def holds_methanol(mix: Mix) -> bool:
    """Whether a liquid gives off vapour as methanol does."""
    return mix.part("methanol") > METHANOL_COUNTS


def is_methoxide(mix: Mix) -> bool:
    """Lye in methanol, without the oil that it is meant for."""
    return mix.has("lye") and mix.part("methanol") > 0.5


def faults(model: Model, vessel: str, there: Contents, comes: Mix, comes_c: float) -> Iterator[Fault]:
    """What is wrong with letting ``comes`` into a vessel that holds ``there``."""
    holds = there.mix
    for one, other in ((holds, comes), (comes, holds)):
        if is_methoxide(one) and other.part("water") > MUCH:
            yield Fault("water-in-methoxide", (vessel,))
        if is_methoxide(one) and _wet_oil(model, other):
            limit = model.value("water_dry", DRY_WATER)
            yield Fault("wet-charge", (vessel,), other.part("water"), limit, "mass_fraction")
        if one.has("acid") and (other.has("lye") or other.has("glycerol")):
            yield Fault("acid-meets-lye", (vessel,))
    limit_c = model.value("preheat_limit", model.ceiling_c) if is_methoxide(comes) else model.ceiling_c
    warmest_c = there.temperature_c if holds_methanol(comes) else None
    if holds_methanol(holds):
        warmest_c = max(comes_c, warmest_c or comes_c)
    if warmest_c is not None and warmest_c > limit_c + ROUNDING_K:
        yield Fault("hot-receiver", (vessel,), warmest_c, limit_c, "temperature")
    if _wet_oil(model, comes) and there.temperature_c > WET_OIL_MOST_C + ROUNDING_K:
        yield Fault("wet-oil", (vessel,), there.temperature_c, WET_OIL_MOST_C, "temperature")


def _wet_oil(model: Model, mix: Mix) -> bool:
    """Oil with more water than dry oil holds."""
    return mix.part("oil") > 0.5 and mix.part("water") > model.value("water_dry", DRY_WATER)
