"""Pumps: relief, suction, and what they push against."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.chemistry.boiling import methanol_vapour_pressure_pa
from generator.chemistry.density import ESTER_DENSITY_15_KG_M3, ester_density_kg_m3
from generator.chemistry.mixing import suction_head_available_m
from generator.chemistry.washing import bed_flow_m3s
from generator.figures.pumps import LEAST_TURNOVERS
from generator.figures.values import value
from generator.plant.routes import TOWERS
from generator.review.context import Context, Trail, clamped
from generator.review.finding import Finding
from generator.review.reach import sources, upstream

#: Suction head that small pumps need, and the loss of a short suction line, m (common practice, no source).
HEAD_NEEDED_M: Final = 1.0
SUCTION_LOSS_M: Final = 0.3
#: Below this share of its flow a pump runs all but shut off (common practice, no source).
THROTTLED_SHARE: Final = 0.10
POSITIVE: Final = ("gear", "diaphragm")


def relief(ctx: Context) -> Iterator[Finding]:
    """S39: a positive-displacement pump against a closed valve bursts something; a relief opens first."""
    for id_, pump in ctx.profile.pumps.items():
        if pump.kind in POSITIVE and not pump.has_relief:
            yield ctx.finding("S39", "stop", ("pumps", id_), [id_], pump=ctx.name(id_))


def suction_head(ctx: Context) -> Iterator[Finding]:
    """Hot liquid with methanol in it boils in the suction of a pump that stands too high above its source."""
    pressure_pa, hot_c = ctx.value("site_pressure"), ctx.value("ceiling")
    reactor = ctx.plant.with_role("react")
    if pressure_pa is None or hot_c is None or reactor is None:
        return
    for id_, pump in ctx.profile.pumps.items():
        ports = [port for port in sources(ctx.network, id_) if port.partition(".")[0] == reactor.id]
        if not ports:
            continue
        mouth_m = min(reactor.port_elevation_m(port.partition(".")[2]) for port in ports)
        head_m = suction_head_available_m(
            pressure_pa,
            methanol_vapour_pressure_pa(clamped(hot_c, 0.0, 83.0)),
            ester_density_kg_m3(clamped(hot_c, 15.0, 70.0), ESTER_DENSITY_15_KG_M3),
            clamped(mouth_m - pump.elevation_m, -10.0, 20.0),
            SUCTION_LOSS_M,
        )
        if head_m < HEAD_NEEDED_M:
            facts = {"pump": ctx.name(id_), "head": ctx.most(max(head_m, 0.0), "length")}
            facts["needed"] = ctx.stated(HEAD_NEEDED_M, "length")
            facts["temperature"] = ctx.stated(hot_c, "temperature")
            yield ctx.finding("suction-head", "warn", ("pumps", id_, "elevation"), [id_], **facts)


def turned_over(ctx: Context) -> Iterator[Finding]:
    """A batch that hardly passes the pump while it reacts is not mixed by it."""
    turned, react = ctx.value("turnovers_reaction"), ctx.plant.with_role("react")
    if turned is None or react is None or turned >= LEAST_TURNOVERS:
        return
    around = (s for up in ctx.line_ups for s in up.streams if s.source == s.destination == react.id)
    pump_id = next((stream.driver for stream in around), None)
    if pump_id is None:
        return
    facts = {"pump": ctx.name(pump_id), "vessel": ctx.name(react.id)}
    facts |= {"turned": ctx.most(turned, "turnovers"), "least": ctx.stated(LEAST_TURNOVERS, "turnovers")}
    yield ctx.finding("turnovers-few", "warn", ("pumps", pump_id, "flow"), [pump_id], **facts)


def priming(ctx: Context) -> Iterator[Finding]:
    """A pump that does not prime itself stands below what it draws from."""
    for id_, pump in ctx.profile.pumps.items():
        if pump.self_priming or pump.kind in POSITIVE:
            continue
        for node in sources(ctx.network, id_):
            vessel, _, port = node.partition(".")
            tank = ctx.plant.tanks[vessel]
            over_the_rim = tank.vessel.ports[port].dip_end_m is not None
            if over_the_rim or tank.port_elevation_m(port) < pump.elevation_m:
                facts = {"pump": ctx.name(id_), "vessel": ctx.name(vessel), "port": port}
                yield ctx.finding("priming", "warn", ("pumps", id_), [id_, vessel], **facts)
                break


def _towers(ctx: Context) -> list[str]:
    return [id_ for id_, part in ctx.profile.inline.items() if part.kind in TOWERS]


def tower_rating(ctx: Context) -> Iterator[Finding]:
    """S50: a tower shut at its outlet sees the pump's whole shut-off pressure."""
    for id_ in _towers(ctx):
        rated_pa = ctx.profile.inline[id_].rated_pressure_pa
        for pump_id in _pumps_to(ctx, f"{id_}.in"):
            pump = ctx.profile.pumps[pump_id]
            facts = {"tower": ctx.name(id_), "pump": ctx.name(pump_id)}
            if rated_pa is None or pump.shut_off_pressure_pa is None:
                at: Trail = ("inline", id_) if rated_pa is None else ("pumps", pump_id)
                yield ctx.finding("S50-unknown", "warn", at, [id_, pump_id], **facts)
            elif pump.shut_off_pressure_pa > rated_pa:
                facts["rated"] = ctx.stated(rated_pa, "pressure")
                facts["shut_off"] = ctx.stated(pump.shut_off_pressure_pa, "pressure")
                at = ("inline", id_, "rated_pressure")
                yield ctx.finding("S50", "stop", at, [id_, pump_id], **facts)


def _pumps_to(ctx: Context, node: str) -> list[str]:
    reached = upstream(ctx.network, node)
    return [id_ for id_ in ctx.profile.pumps if f"{id_}.out" in reached]


def tower_flow(ctx: Context) -> Iterator[Finding]:
    """What holds the flow through a resin tower back lets no more through than its bed can clean."""
    profile = ctx.profile
    for id_, part in profile.inline.items():
        if part.kind != "resin_tower" or part.bed_volume_m3 is None:
            continue
        most_m3s = bed_flow_m3s(part.bed_volume_m3, value(profile, "bed_volumes"))
        ends = {f"{id_}.in", f"{id_}.out"}
        beside = {key: line for key, line in profile.lines.items() if ends & {line.from_, line.to}}
        flows = {key: line.restrictor.flow_m3s for key, line in beside.items() if line.restrictor}
        kinds = {profile.valves[valve].kind for line in beside.values() for valve in line.valves}
        facts = {"tower": ctx.name(id_), "most": ctx.most(most_m3s, "flow")}
        if not flows:
            if not kinds & {"needle", "globe"}:
                yield ctx.finding("tower-unrestricted", "stop", ("inline", id_), [id_], **facts)
            continue
        line_id = min(flows, key=lambda key: flows[key])
        # A restrictor is bought for the bed's own flow; the same number in another unit is not above it.
        if flows[line_id] > most_m3s * (1.0 + 1e-6):
            at, shown = ("lines", line_id, "restrictor", "flow"), ctx.stated(flows[line_id], "flow")
            yield ctx.finding("tower-flow", "stop", at, [id_], flow=shown, line=line_id, **facts)


def restrictor_against_pump(ctx: Context) -> Iterator[Finding]:
    """S39: a pump that pushes against a small restrictor runs all but shut off, and warms what is in it."""
    for line_up in ctx.line_ups:
        pump = ctx.profile.pumps.get(line_up.pump or "")
        lines = [ctx.profile.lines.get(line) for line in line_up.streams[0].path]
        flows = [line.restrictor.flow_m3s for line in lines if line is not None and line.restrictor]
        if pump is None or not flows or min(flows) >= THROTTLED_SHARE * pump.flow_m3s:
            continue
        facts = {"pump": ctx.name(line_up.pump or ""), "flow": ctx.most(min(flows), "flow")}
        facts["rated"] = ctx.stated(pump.flow_m3s, "flow")
        at = ("pumps", line_up.pump or "", "flow")
        yield ctx.finding("S39-throttled", "note", at, [line_up.pump or ""], **facts)
