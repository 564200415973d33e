"""What carries the heat of a condenser away, and what happens when it does not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.chemistry.density import water_density_kg_m3
from generator.chemistry.stripping import condenser_water_kg
from generator.figures.tanks import heater_power_w
from generator.plant.plant import Tank
from generator.review.context import Context
from generator.review.finding import Finding

#: Tap water is seldom colder than this all year, °C (common practice, no source).
TAP_WATER_C: Final = 12.0
#: Most that cooling water may warm, K: warmer, it scales the condenser up (common practice, no source).
MOST_RISE_K: Final = 40.0


def _below(ctx: Context, condenser: str) -> list[Tank]:
    """Heated vessels that a condenser stands over."""
    tanks = ctx.plant.tanks.values()
    return [tank for tank in tanks if tank.vessel.vent.condenser == condenser and tank.vessel.heaters]


def water_trips_heat(ctx: Context) -> Iterator[Finding]:
    """S53: when the cooling water of a condenser fails, the heater below it is cut."""
    for id_, condenser in ctx.profile.condensers.items():
        if not condenser.water_trip and _below(ctx, id_):
            yield ctx.finding("S53-water", "warn", ("condensers", id_), [id_], condenser=condenser.label)


def water_carries_heat(ctx: Context) -> Iterator[Finding]:
    """While methanol boils the water takes the heater's whole power, and leaves colder than the vapour."""
    vapour_c = ctx.value("condensing_below") or ctx.value("methanol_boiling_point")
    for id_, condenser in ctx.profile.condensers.items():
        powers = [sum(map(heater_power_w, tank.vessel.heaters.values())) for tank in _below(ctx, id_)]
        if not powers or vapour_c is None or vapour_c <= TAP_WATER_C + 1.0:
            continue  # water that condenses nothing at this pressure is another rule's matter
        rise_k = min(vapour_c - TAP_WATER_C, MOST_RISE_K)
        needed_m3s = condenser_water_kg(max(powers), rise_k) / water_density_kg_m3(TAP_WATER_C)
        if condenser.water_flow_m3s < needed_m3s:
            facts = {"condenser": condenser.label, "power": ctx.show(max(powers), "power")}
            facts |= {"flow": ctx.stated(condenser.water_flow_m3s, "flow")}
            facts |= {"needed": ctx.least(needed_m3s, "flow")}
            at = ("condensers", id_, "water_flow")
            yield ctx.finding("condenser-water", "warn", at, [id_], **facts)
