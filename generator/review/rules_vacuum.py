"""Methanol driven off under vacuum: what may be drawn empty, how deep, and what must stand open otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.profile.piping import VacuumPump
from generator.review.context import Context
from generator.review.finding import Finding
from generator.review.rules_condenser import TAP_WATER_C

#: Vapour is held back by water this much colder than its dew point, K (common practice, no source).
CONDENSING_APPROACH_K: Final = 10.0


def _pumps(ctx: Context) -> Iterator[tuple[str, VacuumPump]]:
    for id_, condenser in ctx.profile.condensers.items():
        if condenser.vacuum is not None:
            yield id_, condenser.vacuum


def rated_vessels(ctx: Context) -> Iterator[Finding]:
    """A tank that is not built for vacuum folds up with everything in it."""
    for id_, pump in _pumps(ctx):
        collects = ctx.profile.condensers[id_].drains_to
        for tank in ctx.plant.tanks.values():
            drawn = tank.vessel.vent.condenser == id_ or tank.id == collects
            if drawn and not tank.vessel.rated_for_vacuum:
                at = ("vessels", tank.id, "rated_for_vacuum")
                facts = {"vessel": ctx.name(tank.id), "pump": pump.label}
                yield ctx.finding("vacuum-rating", "stop", at, [tank.id, id_], **facts)


def collector_closed(ctx: Context) -> Iterator[Finding]:
    """A collecting can that breathes elsewhere lets air in among the vapour."""
    for id_, pump in _pumps(ctx):
        can = ctx.plant.tanks.get(ctx.profile.condensers[id_].drains_to)
        if can is not None and can.vessel.vent.condenser != id_:
            at = ("vessels", can.id, "vent", "to")
            facts = {"vessel": ctx.name(can.id), "pump": pump.label}
            yield ctx.finding("vacuum-collector", "stop", at, [can.id, id_], **facts)


def pump_rated(ctx: Context) -> Iterator[Finding]:
    """What the condenser lets through goes through the vacuum pump."""
    for id_, pump in _pumps(ctx):
        if not pump.rated_for_vapour:
            at = ("condensers", id_, "vacuum", "rated_for_vapour")
            yield ctx.finding("vacuum-unrated", "stop", at, [id_], pump=pump.label)


def pressure_reached(ctx: Context) -> Iterator[Finding]:
    """No vacuum deeper than the pump makes, nor one at which no tap water condenses the vapour."""
    stripping = ctx.profile.recipe.stripping
    strip = ctx.plant.with_role("strip")
    if stripping is None or stripping.vacuum is None or strip is None:
        return
    at = ("recipe", "stripping", "vacuum", "pressure")
    asked = ctx.stated(stripping.vacuum.pressure_pa, "pressure")
    pump = ctx.profile.condensers[strip.vessel.vent.condenser or ""].vacuum
    if pump is not None and stripping.vacuum.pressure_pa < pump.lowest_pressure_pa:
        facts = {"asked": asked, "lowest": ctx.stated(pump.lowest_pressure_pa, "pressure")}
        yield ctx.finding("vacuum-depth", "stop", at, pump=pump.label, **facts)
    dew_c = ctx.value("condensing_below")
    if dew_c is not None and dew_c - CONDENSING_APPROACH_K < TAP_WATER_C:
        facts = {"asked": asked, "water": ctx.most(dew_c - CONDENSING_APPROACH_K, "temperature")}
        yield ctx.finding("vacuum-water", "warn", at, **facts)
