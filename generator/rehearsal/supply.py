"""What comes and goes between batches: full drums of oil and methanol, empty receivers, fuel drawn off."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.state import Contents, State

#: Vessels that are full, and that are empty, when a batch begins (each procedure's "before you start").
FULL: Final = ("oil_supply", "methanol")
EMPTY: Final = ("glycerin", "waste_water", "recovered_methanol", "acid_waste", "fuel")


def can_be_emptied(model: Model, vessel: str) -> bool:
    """Whether what a vessel holds goes away from the plant, and nothing is made in it."""
    return set(model.tank(vessel).vessel.roles) <= set(EMPTY)


def stocked(model: Model, state: State, only: str | None = None) -> State:
    """The plant with full supplies and empty receivers, all that comes and goes put to account.

    ``only`` names one vessel; the others stay as they are.
    """
    contents, away, brought = dict(state.contents), state.away, state.brought
    for vessel, tank in model.plant.tanks.items():
        roles = set(tank.vessel.roles)
        if only not in (None, vessel):
            continue
        if not roles & {*FULL, *EMPTY} or roles - {*FULL, *EMPTY}:
            continue
        away += contents[vessel].mix
        full = Mix()
        if roles & set(FULL):
            make = model.oil if "oil_supply" in roles else model.methanol
            full = make(tank.limit_m3 * (1.0 - 1e-6))
            brought += full
        contents[vessel] = Contents((full,), model.ambient_c)
    return replace(state, contents=contents, away=away, brought=brought)
