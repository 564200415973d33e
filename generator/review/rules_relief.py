"""Liquid that closed valves shut in, and what lets it out when it warms."""

from __future__ import annotations

from collections.abc import Iterator

from generator.plant.trapped import pieces
from generator.review.context import Context
from generator.review.finding import Finding


def trapped_liquid(ctx: Context) -> Iterator[Finding]:
    """S51: pipe that holds methanol, or what comes hot, has a way out at rest or a relief of its own."""
    carries = _carries(ctx)
    for piece in pieces(ctx.profile):
        from_there = {source for line in piece.lines for source in carries.get(line, ())}
        if piece.relieved or not from_there:
            continue
        first = next(line for line in piece.lines if line in carries)
        section = "lines" if first in ctx.profile.lines else "hoses"
        facts = {
            "line": first,
            "valves": ", ".join(ctx.plant.label(valve) for valve in piece.valves),
            "vessels": ", ".join(ctx.name(id_) for id_ in ctx.profile.vessels if id_ in from_there),
        }
        yield ctx.finding("S51", "warn", (section, first), piece.lines, **facts)


def _carries(ctx: Context) -> dict[str, set[str]]:
    """Lines and hoses that methanol or heated liquid runs through, and the vessels it is from."""
    risky = {tank.id for tank in ctx.holding(ctx.methanol_roles)}
    risky |= {tank.id for tank, _, _ in ctx.heaters()}
    found: dict[str, set[str]] = {}
    for stream in (stream for line_up in ctx.line_ups for stream in line_up.streams):
        for line in stream.path if stream.source in risky else ():
            found.setdefault(line, set()).add(stream.source)
    return found
