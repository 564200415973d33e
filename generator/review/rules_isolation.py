"""Whether a vessel can be shut off from the pipes below its liquid."""

from __future__ import annotations

from collections.abc import Iterator

from generator.review.context import Context
from generator.review.finding import Finding


def shut_off_below_liquid(ctx: Context) -> Iterator[Finding]:
    """Each pipe that liquid can leave a fixed vessel by has a valve of its own. (Open ends are S29's.)"""
    valves = ctx.profile.valves
    for port, section, id_, fitted in _pipes(ctx):
        vessel, _, key = port.partition(".")
        tank = ctx.plant.tanks.get(vessel)
        if tank is None or tank.vessel.movable:
            continue
        described = tank.vessel.ports[key]
        over_the_top = described.space == "gas" or described.dip_end_m is not None
        if not over_the_top and all(valves[valve].kind == "check" for valve in fitted):
            facts = {"vessel": ctx.name(vessel), "port": key, "line": id_}
            yield ctx.finding("no-shut-off", "warn", (section, id_), [id_, vessel], **facts)


def _pipes(ctx: Context) -> Iterator[tuple[str, str, str, list[str]]]:
    """Fixed ends of all lines and hoses: end, section, id, valves."""
    for id_, line in ctx.profile.lines.items():
        if "open" not in (line.from_, line.to):
            yield from ((end, "lines", id_, line.valves) for end in (line.from_, line.to))
    for id_, hose in ctx.profile.hoses.items():
        yield hose.fixed, "hoses", id_, hose.valves
