"""Where vessels breathe."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from generator.review.context import Context
from generator.review.finding import Finding

#: Fastest that vapour may leave by a vent: some hundred pascals back (common practice, no source).
VAPOUR_M_S: Final = 10.0
#: Methanol vapour at its boiling point and sea level, kg/m3 (derived: 32.04 g/mol, ideal gas at 65 °C).
VAPOUR_KG_M3: Final = 1.15
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


def passes_boil_off(ctx: Context) -> Iterator[Finding]:
    """S08: when a thermostat sticks, the vent lets out what the heater boils off."""
    for tank in ctx.plant.tanks.values():
        flow_kg_s, vent = ctx.value(f"{tank.id}.boil_off"), tank.vessel.vent
        if flow_kg_s is None or vent.to == "none":
            continue
        facts, at = {"vessel": ctx.name(tank.id)}, ("vessels", tank.id, "vent")
        if vent.bore_m is None:
            yield ctx.finding("S08-unknown", "warn", at, [tank.id], **facts)
            continue
        needed_m = math.sqrt(4.0 * flow_kg_s / (VAPOUR_KG_M3 * VAPOUR_M_S * math.pi))
        if vent.bore_m < needed_m:
            facts |= {"bore": ctx.stated(vent.bore_m, "length"), "needed": ctx.least(needed_m, "length")}
            yield ctx.finding("S08", "stop", (*at, "bore"), [tank.id], **facts)


def vent_as_wide_as_fill(ctx: Context) -> Iterator[Finding]:
    """S07: a vent narrower than the pipe that fills its vessel holds the pressure of the pump."""
    for tank in ctx.plant.tanks.values():
        vent_m = tank.vessel.vent.bore_m
        for id_, bore_m in _fill_bores_m(ctx, tank.id) if vent_m is not None else ():
            if vent_m is not None and bore_m > vent_m:
                facts = {"vessel": ctx.name(tank.id), "line": id_, "bore": ctx.stated(bore_m, "length")}
                facts["vent"] = ctx.stated(vent_m, "length")
                at = ("vessels", tank.id, "vent", "bore")
                yield ctx.finding("S07-bore", "stop", at, [tank.id, id_], **facts)


def _fill_bores_m(ctx: Context, vessel: str) -> Iterator[tuple[str, float]]:
    """Lines and hoses that end at a vessel, with their bores where they are stated."""
    ends = [(id_, [line.to], line.bore_m) for id_, line in ctx.profile.lines.items()]
    ends += [(id_, hose.ends, hose.bore_m) for id_, hose in ctx.profile.hoses.items()]
    for id_, there, bore_m in ends:
        if bore_m is not None and any(end.partition(".")[0] == vessel for end in there):
            yield id_, bore_m
