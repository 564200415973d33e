"""Static and sparks near methanol vapour."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from generator.review.context import Context, is_electric
from generator.review.finding import Finding
from generator.review.reach import sources

#: A fill pipe ends at most 6 in above the bottom (29 CFR 1910.106).
FILL_PIPE_M: Final = 0.1524
#: Fastest that methanol may come in before its inlet is covered (from memory: insurers' data sheets).
FILL_M_S: Final = 1.0
NEAT_ROLES: Final = frozenset({"methanol", "methoxide", "recovered_methanol"})


def fill_pipe(ctx: Context) -> Iterator[Finding]:
    """S09: methanol is let in near the bottom, so that it does not splash and charge itself."""
    filled = {line.to for line in ctx.profile.lines.values()}
    filled |= {end for hose in ctx.profile.hoses.values() for end in hose.ends}
    for tank in ctx.holding(NEAT_ROLES):
        for key, port in tank.vessel.ports.items():
            if f"{tank.id}.{key}" in filled and port.mouth_m > FILL_PIPE_M:
                yield ctx.finding(
                    "S09",
                    "stop",
                    ("vessels", tank.id, "ports", key),
                    [tank.id],
                    vessel=ctx.name(tank.id),
                    port=key,
                    height=ctx.stated(port.mouth_m, "length"),
                    most=ctx.most(FILL_PIPE_M, "length"),
                )


def fill_speed(ctx: Context) -> Iterator[Finding]:
    """S13: methanol comes in slowly until the inlet is covered; told where pump and bore are known."""
    neat = {tank.id for tank in ctx.holding(NEAT_ROLES)}
    for stream in (stream for line_up in ctx.line_ups for stream in line_up.streams[:1]):
        pump = ctx.profile.pumps.get(stream.driver)
        pipes = [ctx.profile.lines.get(id_) or ctx.profile.hoses.get(id_) for id_ in stream.path]
        bores_m = [pipe.bore_m for pipe in pipes if pipe is not None and pipe.bore_m is not None]
        if pump is None or not bores_m or stream.source not in neat:
            continue
        speed_m_s = pump.flow_m3s / (math.pi * min(bores_m) ** 2 / 4.0)
        if speed_m_s > FILL_M_S:
            facts = {"pump": ctx.name(stream.driver), "vessel": ctx.name(stream.destination)}
            facts |= {"speed": ctx.least(speed_m_s, "velocity"), "most": ctx.most(FILL_M_S, "velocity")}
            who = [stream.driver, stream.destination]
            yield ctx.finding("S13", "warn", ("pumps", stream.driver, "flow"), who, **facts)


def bonded(ctx: Context) -> Iterator[Finding]:
    """S10: vessels that hold methanol are earthed (those with heaters are S53's)."""
    for tank in ctx.holding(ctx.methanol_roles):
        vessel = tank.vessel
        if not vessel.earthed and not vessel.heaters and vessel.material != "plastic":
            flammable = bool(ctx.flammable_roles & set(vessel.roles))
            at = ("vessels", tank.id, "earthed")
            yield ctx.finding("S10", "stop" if flammable else "warn", at, [tank.id], vessel=ctx.name(tank.id))


def methanol_pumps(ctx: Context) -> set[str]:
    """Pumps that can draw from the methanol store."""
    neat = {tank.id for tank in ctx.holding({"methanol", "recovered_methanol"})}
    return {
        pump
        for pump in ctx.profile.pumps
        if any(port.partition(".")[0] in neat for port in sources(ctx.network, pump))
    }


def methanol_pump(ctx: Context) -> Iterator[Finding]:
    """S12: methanol is moved by hand pump or by a pump rated for its vapour."""
    for id_ in sorted(methanol_pumps(ctx)):
        pump = ctx.profile.pumps[id_]
        if pump.kind != "hand" and not pump.rated_for_vapour:
            at = ("pumps", id_, "rated_for_vapour")
            yield ctx.finding("S12", "stop", at, [id_], pump=ctx.name(id_))


def rated_pumps(ctx: Context) -> Iterator[Finding]:
    """S22: a motor near methanol vapour is rated for it. (Those on neat methanol are S12's.)"""
    neat = methanol_pumps(ctx)
    for id_, pump in ctx.profile.pumps.items():
        if is_electric(pump.kind, pump.power_w) and not pump.rated_for_vapour and id_ not in neat:
            at = ("pumps", id_, "rated_for_vapour")
            yield ctx.finding("S22", "stop", at, [id_], part=ctx.name(id_))


def rated_heaters(ctx: Context) -> Iterator[Finding]:
    """S22: an element's terminals and switches are rated for the vapour round them."""
    for tank, key, heater in ctx.heaters():
        if not heater.terminals_rated_for_vapour:
            at = ("vessels", tank.id, "heaters", key, "terminals_rated_for_vapour")
            part = f"{heater.label}, {ctx.name(tank.id)}"
            yield ctx.finding("S22", "stop", at, [f"{tank.id}.{key}"], part=part)


def rated_agitators(ctx: Context) -> Iterator[Finding]:
    """S22: an electric stirrer over methanol is rated for its vapour."""
    for tank in ctx.plant.tanks.values():
        agitator = tank.vessel.agitator
        if agitator and agitator.kind == "electric" and not agitator.rated_for_vapour:
            at = ("vessels", tank.id, "agitator", "rated_for_vapour")
            yield ctx.finding("S22", "stop", at, [tank.id], part=f"{agitator.label}, {ctx.name(tank.id)}")


def methoxide_stirred(ctx: Context) -> Iterator[Finding]:
    """S14: methoxide is stirred while the solid goes in, or it boils where the solid lies."""
    turned = {s.source for line_up in ctx.line_ups for s in line_up.streams if s.source == s.destination}
    for tank in ctx.holding({"methoxide"}):
        if tank.vessel.agitator is None and tank.id not in turned:
            at = ("vessels", tank.id)
            yield ctx.finding("S14", "warn", at, [tank.id], vessel=ctx.name(tank.id))


def open_ends(ctx: Context) -> Iterator[Finding]:
    """S29: what drains into the open shuts by itself when the hand lets go."""
    for id_, line in ctx.profile.lines.items():
        if "open" not in (line.to, line.from_):
            continue
        at, vessel = ("lines", id_), next(end for end in (line.from_, line.to) if end != "open")
        kinds = {ctx.profile.valves[valve].kind for valve in line.valves}
        if not kinds - {"check"}:
            yield ctx.finding("S29-no-valve", "stop", at, [id_], line=id_, end=vessel)
        elif "spring_return" not in kinds:
            labels = ", ".join(ctx.plant.label(valve) for valve in line.valves)
            yield ctx.finding("S29", "warn", at, [id_], line=id_, valves=labels)
