"""Where vessels breathe."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.review.context import Context
from generator.review.finding import Finding

#: 12 ft above the ground (29 CFR 1910.106).
VENT_HEIGHT_M: Final = 3.6576


def vented_outdoors(ctx: Context) -> Iterator[Finding]:
    """S06: methanol vapour goes outdoors or to a condenser, never into the room, never nowhere."""
    for tank in ctx.holding(ctx.methanol_roles):
        if tank.vessel.vent.to in ("room", "none"):
            rule = "S06" if tank.vessel.vent.to == "room" else "S06-none"
            at = ("vessels", tank.id, "vent", "to")
            yield ctx.finding(rule, "stop", at, [tank.id], vessel=ctx.name(tank.id))


def vent_unvalved(ctx: Context) -> Iterator[Finding]:
    """S07: nothing can shut a vent."""
    for tank in ctx.plant.tanks.values():
        if tank.vessel.vent.valved:
            at = ("vessels", tank.id, "vent", "valved")
            yield ctx.finding("S07", "stop", at, [tank.id], vessel=ctx.name(tank.id))


def vent_height(ctx: Context) -> Iterator[Finding]:
    """S06: a vent's end is high enough, and the profile says how high."""
    for tank in ctx.holding(ctx.methanol_roles):
        vent = tank.vessel.vent
        if vent.to != "outdoors":
            continue
        facts = {"vessel": ctx.name(tank.id), "least": ctx.least(VENT_HEIGHT_M, "length")}
        at = ("vessels", tank.id, "vent", "height_above_ground")
        if vent.height_above_ground_m is None:
            yield ctx.finding("S06-height-unknown", "warn", at, [tank.id], **facts)
        elif vent.height_above_ground_m < VENT_HEIGHT_M:
            shown = ctx.stated(vent.height_above_ground_m, "length")
            yield ctx.finding("S06-height", "warn", at, [tank.id], height=shown, **facts)


def flame_arrester(ctx: Context) -> Iterator[Finding]:
    """S06: a flame arrester where methanol vapour leaves."""
    for tank in ctx.holding(ctx.methanol_roles):
        if tank.vessel.vent.to == "outdoors" and not tank.vessel.vent.flame_arrester:
            at = ("vessels", tank.id, "vent")
            yield ctx.finding("S06-arrester", "note", at, [tank.id], vessel=ctx.name(tank.id))


def closed_vessels(ctx: Context) -> Iterator[Finding]:
    """S38: no open top over liquid that gives off methanol."""
    for tank in ctx.holding(ctx.methanol_roles):
        if not tank.vessel.closed:
            at = ("vessels", tank.id, "closed")
            yield ctx.finding("S38", "stop", at, [tank.id], vessel=ctx.name(tank.id))


def heated_vessels_breathe(ctx: Context) -> Iterator[Finding]:
    """S41: a heated vessel without methanol needs a way out for steam all the same."""
    for tank in ctx.plant.tanks.values():
        shut = tank.vessel.vent.to == "none"
        if tank.vessel.heaters and shut and not ctx.methanol_roles & set(tank.vessel.roles):
            at = ("vessels", tank.id, "vent", "to")
            yield ctx.finding("S41", "stop", at, [tank.id], vessel=ctx.name(tank.id))
