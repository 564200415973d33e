"""What valves, pumps and hoses on the way are made of, where the profile says so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from generator.plant.lineup import LineUp
from generator.review.context import Context, Trail
from generator.review.finding import Finding
from generator.review.rules_materials import ATTACKED_BY_LYE, ESTER_ROLES, LYE_ROLES, SPOILS_FUEL


def metals_of_fittings(ctx: Context) -> Iterator[Finding]:
    """S19, S20: no aluminium or zinc where lye runs, no copper metals where ester does."""
    in_lye, in_ester = _passed(ctx, LYE_ROLES), _passed(ctx, ESTER_ROLES)
    parts = [("pumps", id_, pump.material) for id_, pump in ctx.profile.pumps.items()]
    parts += [("valves", id_, valve.material) for id_, valve in ctx.profile.valves.items()]
    for section, id_, material in parts:
        at: Trail = (section, id_, "material")
        facts = {"part": ctx.name(id_), "material": material or ""}
        if material in ATTACKED_BY_LYE and id_ in in_lye:
            yield ctx.finding("S19-part", "stop", at, [id_], **facts)
        elif material in SPOILS_FUEL and id_ in in_ester | in_lye:
            yield ctx.finding("S20-part", "warn", at, [id_], **facts)


def hoses_stand_methanol(ctx: Context) -> Iterator[Finding]:
    """S21: rubber swells in methanol and ester and lets go."""
    wet = _passed(ctx, ctx.methanol_roles)
    for id_, hose in ctx.profile.hoses.items():
        if hose.material in ("natural_rubber", "nitrile") and id_ in wet:
            severe = hose.material == "natural_rubber"
            facts = {"hose": ctx.name(id_), "material": hose.material.replace("_", " ")}
            at = ("hoses", id_, "material")
            yield ctx.finding("S21", "warn" if severe else "note", at, [id_], **facts)


def hose_leaves_a_shut_port(ctx: Context) -> Iterator[Finding]:
    """A hose that comes off an opening below the liquid empties the vessel: no valve stands on that opening.

    A hose with its place at rest there stays on; a dip pipe from above runs nothing out.
    """
    for id_, hose in ctx.profile.hoses.items():
        for index, end in enumerate(hose.ends):
            vessel, _, key = end.partition(".")
            tank = ctx.plant.tanks.get(vessel)
            if tank is None or end == hose.normal:
                continue
            port, full_m = tank.vessel.ports[key], ctx.value(f"fill_limit_level.{vessel}")
            below = port.height_m < (tank.shape.inside_height_m if full_m is None else full_m)
            if port.space == "liquid" and port.dip_end_m is None and below:
                facts = {"hose": ctx.name(id_), "vessel": ctx.name(vessel), "port": end}
                facts["height"] = ctx.show(port.height_m, "level")
                at = ("hoses", id_, "ends", index)
                yield ctx.finding("hose-off-runs", "stop", at, [id_, vessel], **facts)


def _passed(ctx: Context, roles: Iterable[str]) -> set[str]:
    """Ids of everything on the way of a line-up that draws from a vessel with any of these roles."""
    from_there = {tank.id for tank in ctx.holding(roles)}
    lined = [up for up in ctx.line_ups if any(stream.source in from_there for stream in up.streams)]
    return {id_ for line_up in lined for id_ in _on_the_way(line_up)}


def _on_the_way(line_up: LineUp) -> Iterator[str]:
    yield from (*line_up.open, *line_up.positions)
    yield from (part for stream in line_up.streams for part in (*stream.path, stream.driver))
