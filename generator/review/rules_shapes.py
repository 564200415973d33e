"""Does the description of the vessels hold together, and can hands tell the parts apart?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.plant.levels import LEVEL_SLACK_M
from generator.plant.plant import Tank
from generator.review.context import Context, Trail
from generator.review.finding import Finding

CAPACITY_TOLERANCE: Final = 0.05
#: Heel worth a word, share of the vessel; share of the glycerin that may stay behind (both common practice).
LARGE_HEEL: Final = 0.05
GLYCERIN_LEFT: Final = 0.10
Shared = tuple[str, object] | None


def capacity_stated(ctx: Context) -> Iterator[Finding]:
    """A capacity that the sizes do not give: one of the two was misread."""
    for tank in ctx.plant.tanks.values():
        stated_m3, computed_m3 = tank.vessel.capacity_m3, tank.shape.capacity_m3()
        if stated_m3 is not None and abs(stated_m3 - computed_m3) > CAPACITY_TOLERANCE * computed_m3:
            facts = {"stated": ctx.stated(stated_m3, "volume"), "computed": ctx.show(computed_m3, "volume")}
            at = ("vessels", tank.id, "capacity")
            yield ctx.finding("capacity", "warn", at, [tank.id], vessel=ctx.name(tank.id), **facts)


def ports_inside(ctx: Context) -> Iterator[Finding]:
    """Ports are on the vessel, and a dip pipe hangs down from its port."""
    for tank in ctx.plant.tanks.values():
        top_m = tank.shape.inside_height_m + LEVEL_SLACK_M
        for key, port in tank.vessel.ports.items():
            at, facts = ("vessels", tank.id, "ports", key), {"vessel": ctx.name(tank.id), "port": key}
            if port.height_m > top_m:
                shown = {"height": ctx.stated(port.height_m, "length"), "top": ctx.most(top_m, "length")}
                yield ctx.finding("port-above-top", "stop", (*at, "height"), [tank.id], **facts, **shown)
            elif port.dip_end_m is not None and port.dip_end_m > port.height_m:
                yield ctx.finding("dip-pipe-up", "stop", (*at, "dip_end"), [tank.id], **facts)


def _drawn(ctx: Context) -> dict[tuple[str, str], list[str]]:
    """Vessel and outlet of every stream that leaves a vessel for another, with where it goes."""
    found: dict[tuple[str, str], list[str]] = {}
    for stream in (stream for line_up in ctx.line_ups for stream in line_up.streams):
        if stream.source in ctx.plant.tanks and stream.source != stream.destination:
            found.setdefault((stream.source, stream.outlet), []).append(stream.destination)
    return found


def _heel_m3(tank: Tank, outlet: str) -> float:
    """What stays below an outlet; a port above the top is another rule's matter."""
    return tank.shape.volume_at(min(tank.vessel.ports[outlet].mouth_m, tank.shape.inside_height_m))


def settler_drain(ctx: Context) -> Iterator[Finding]:
    """Glycerin that stays below the outlet it is drained by goes on with the ester."""
    tank, can = ctx.plant.with_role("settle"), ctx.plant.with_role("glycerin")
    glycerin_m3 = ctx.value("glycerin_usual")
    if tank is None or can is None or glycerin_m3 is None:
        return
    for (source, outlet), destinations in _drawn(ctx).items():
        if source != tank.id or can.id not in destinations:
            continue
        heel_m3 = _heel_m3(tank, outlet)
        if heel_m3 > GLYCERIN_LEFT * glycerin_m3:
            yield ctx.finding(
                "heel-glycerin",
                "stop" if heel_m3 >= glycerin_m3 else "warn",
                ("vessels", tank.id, "ports", outlet),
                [tank.id],
                vessel=ctx.name(tank.id),
                port=outlet,
                heel=ctx.least(heel_m3, "volume"),
                glycerin=ctx.show(glycerin_m3, "volume"),
            )


def large_heel(ctx: Context) -> Iterator[Finding]:
    """A vessel that keeps much of its contents below the lowest outlet in use."""
    lowest: dict[str, tuple[float, str]] = {}
    for source, outlet in _drawn(ctx):
        heel = _heel_m3(ctx.plant.tanks[source], outlet), outlet
        lowest[source] = min(lowest.get(source, heel), heel)
    for id_, (heel_m3, outlet) in lowest.items():
        tank = ctx.plant.tanks[id_]
        if heel_m3 > LARGE_HEEL * tank.capacity_m3 and "settle" not in tank.vessel.roles:
            facts = {"vessel": ctx.name(id_), "port": outlet, "heel": ctx.least(heel_m3, "volume")}
            yield ctx.finding("heel-large", "note", ("vessels", id_, "ports", outlet), [id_], **facts)


def no_drain(ctx: Context) -> Iterator[Finding]:
    """A fixed vessel without a port near its lowest point cannot be emptied, cleaned or gas-tested.

    (A settler's heel is another rule's matter.)
    """
    for tank in (tank for tank in ctx.plant.tanks.values() if "settle" not in tank.vessel.roles):
        low = [port for port, part in tank.vessel.ports.items() if part.space == "liquid" or part.dip_end_m]
        heel_m3 = min((_heel_m3(tank, port) for port in low), default=tank.capacity_m3)
        if not tank.vessel.movable and heel_m3 > LARGE_HEEL * tank.capacity_m3:
            at = ("vessels", tank.id, "ports")
            yield ctx.finding("no-drain", "warn", at, [tank.id], vessel=ctx.name(tank.id))


def side_outlet(ctx: Context) -> Iterator[Finding]:
    """An outlet that stands in the glycerin layer draws glycerin until that is drained."""
    tank, glycerin_m3 = ctx.plant.with_role("settle"), ctx.value("glycerin_highest")
    if tank is None or glycerin_m3 is None:
        return
    line_m = tank.shape.level_at(min(glycerin_m3, tank.capacity_m3))
    outlets = {stream.outlet for up in ctx.line_ups for stream in up.streams if stream.source == tank.id}
    lowest_m = min((port.mouth_m for port in tank.vessel.ports.values()), default=0.0)
    for key in sorted(outlets & set(tank.vessel.ports)):
        mouth_m = tank.vessel.ports[key].mouth_m
        if lowest_m < mouth_m < line_m:
            facts = {"vessel": ctx.name(tank.id), "port": key, "height": ctx.stated(mouth_m, "length")}
            facts["line"] = ctx.least(line_m, "length")
            yield ctx.finding("side-outlet", "note", ("vessels", tank.id, "ports", key), [tank.id], **facts)


def _painted(ctx: Context) -> Iterator[tuple[str, str, Trail, Shared]]:
    """Every label that hands look for: text, id, place; of a heater's devices also vessel and description."""
    profile = ctx.profile
    for section in ("vessels", "pumps", "valves", "hoses", "inline", "condensers", "supplies"):
        for id_, part in getattr(profile, section).items():
            yield part.label, id_, (section, id_, "label"), None
    for id_, condenser in profile.condensers.items():
        yield condenser.water_valve, id_, ("condensers", id_, "water_valve"), None
    yield from _painted_on_heaters(ctx)
    for id_, vessel in profile.vessels.items():
        for instrument in ("thermometer", "agitator"):
            if (part := getattr(vessel, instrument)) is not None:
                yield part.label, id_, ("vessels", id_, instrument, "label"), None
    if profile.safety.fan:
        yield profile.safety.fan.label, "fan", ("safety", "fan", "label"), None


def _painted_on_heaters(ctx: Context) -> Iterator[tuple[str, str, Trail, Shared]]:
    for tank, key, heater in ctx.heaters():
        who, at = f"{tank.id}.{key}", ("vessels", tank.id, "heaters", key)
        yield heater.label, who, (*at, "label"), None
        for device in ("thermostat", "high_limit"):
            if (found := getattr(heater, device)) is not None:
                yield found.label, who, (*at, device, "label"), (tank.id, found)


def labels_differ(ctx: Context) -> Iterator[Finding]:
    """One painted label, one thing. (Two of a kind with one label are refused when the profile is read.)

    Heaters of one vessel may share a thermostat or a high limit: then it is described alike for each.
    """
    seen: dict[str, tuple[str, Trail, Shared]] = {}
    for label, id_, at, shared in _painted(ctx):
        other, place, others = seen.setdefault(label.casefold(), (id_, at, shared))
        if place != at and (shared is None or shared != others):
            there = ctx.loaded.place(*place)
            yield ctx.finding("label-twice", "stop", at, [other, id_], label=label, line=there.line)
