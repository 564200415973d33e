"""Line-ups: every transfer of a batch has one, nothing flows at rest, no valve is forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from generator.plant.flood import resting_problems
from generator.plant.lineup import Want
from generator.plant.plant import Plant
from generator.plant.routes import TOWERS
from generator.review.context import Context, Trail
from generator.review.finding import Finding

FIGURE: Final = "figure-missing"
#: No way for the liquid: what hangs on the pump that would move it cannot be computed either.
NO_WAY: Final = ("line-up-refused", "line-up-missing")


def transfers_needed(plant: Plant) -> tuple[Want, ...]:
    """The transfers that every batch of this plant makes, by the roles of its vessels."""
    profile = plant.profile
    role = {name: tank.id for tank in plant.tanks.values() for name in tank.vessel.roles}
    finishing = ["strip"] if profile.recipe.stripping else []
    finishing += ["wash"] if profile.recipe.washing.method == "water" else []
    chain = [role[name] for name in ("oil_supply", "dry", "react", "settle", *finishing) if name in role]
    wants = [Want(a, b) for a, b in pairwise(chain) if a != b]
    tower = next((id_ for id_, part in profile.inline.items() if part.kind in TOWERS), None)
    via = tower if profile.recipe.washing.method == "tower" else None
    wants.append(Want(chain[-1], role["fuel"], via=via))
    wants.append(Want(role["settle"], role["glycerin"]))
    wants.append(Want(role["methanol"], role["methoxide"]))
    wants.append(Want(role["react"], role["react"], beside=role["methoxide"]))
    if profile.recipe.washing.method == "water":
        supply = next(id_ for id_, part in profile.supplies.items() if part.carries == "water")
        wants += [Want(supply, role["wash"]), Want(role["wash"], role["waste_water"])]
    if profile.recipe.acid_step and "acid_waste" in role:
        wants += [Want(role["react"], role["dry"]), Want(role["react"], role["acid_waste"])]
    return tuple(wants)


def transfers_possible(ctx: Context) -> Iterator[Finding]:
    """A transfer without a line-up cannot be printed, and so cannot be made."""
    told, why = set(), set()
    for want, problem in ctx.refused:
        section = "vessels" if want.source in ctx.profile.vessels else "supplies"
        told |= {(source, want.destination) for source in (want.source, want.beside)}
        if (problem.what, want.source) in why:
            continue  # the same pipes are missing with and without what is let in beside
        why.add((problem.what, want.source))
        facts = {"why": problem.what, "how": problem.mend}
        at = _pin(ctx, want) if problem.code == "pin_fits_nothing" else None
        if problem.code == "no_line_up_position":
            at = ("valves", str(problem.facts["id"]), "positions")
        who = [want.source, want.destination]
        yield ctx.finding("line-up-refused", "stop", at or (section, want.source), who, **facts)
    moved = {(stream.source, stream.destination) for line_up in ctx.line_ups for stream in line_up.streams}
    for want in transfers_needed(ctx.plant):
        for source in filter(None, (want.source, want.beside)):
            if (source, want.destination) not in moved | told:
                facts = {"source": ctx.name(source), "destination": ctx.name(want.destination)}
                section = "vessels" if source in ctx.profile.vessels else "supplies"
                who = [source, want.destination]
                yield ctx.finding("line-up-missing", "stop", (section, source), who, **facts)


def _pin(ctx: Context, want: Want) -> Trail | None:
    """The place of the pinned route that settles a transfer."""
    ends = {(source, want.destination) for source in (want.source, want.beside)}
    found = (n for n, route in enumerate(ctx.profile.routes) if (route.from_, route.to) in ends)
    return next((("routes", n, "via") for n in found), None)


def routes_used(ctx: Context) -> Iterator[Finding]:
    """A pinned route that settles nothing: the transfer it names is never made."""
    made = {(stream.source, stream.destination) for line_up in ctx.line_ups for stream in line_up.streams}
    for want, _ in ctx.refused:
        made |= {(source or "", want.destination) for source in (want.source, want.beside)}
    for index, route in enumerate(ctx.profile.routes):
        if ctx.line_ups and (route.from_, route.to) not in made:
            facts = {"source": ctx.name(route.from_), "destination": ctx.name(route.to)}
            yield ctx.finding("route-unused", "note", ("routes", index), [route.from_, route.to], **facts)


def methoxide_runs_in(ctx: Context) -> Iterator[Finding]:
    """What is let in comes from above: else the warm charge runs back into the methoxide, out of its vent.

    A check valve in the line lets a vessel stand lower, for then the pump may draw from it.
    """
    for line_up in ctx.line_ups:
        main = line_up.streams[0]
        level = ctx.figures.get(f"{main.destination}.charge_mark_level")
        for stream in line_up.streams[1:]:
            can, receiver = ctx.plant.tanks[stream.source], ctx.plant.tanks[main.destination]
            lines = (ctx.profile.lines.get(line) for line in stream.path)
            checked = any(ctx.network.is_check(v) for part in lines if part for v in part.valves)
            stands_m = level.value if level else receiver.shape.inside_height_m
            surface_m = receiver.vessel.elevation_m + stands_m
            outlet_m = can.port_elevation_m(stream.outlet)
            if not checked and outlet_m <= surface_m:
                facts = {
                    "can": ctx.name(can.id),
                    "receiver": ctx.name(receiver.id),
                    "outlet": ctx.stated(outlet_m, "length"),
                    "surface": ctx.least(surface_m, "level"),
                }
                at = ("vessels", can.id, "elevation")
                yield ctx.finding("methoxide-backflow", "stop", at, [can.id, receiver.id], **facts)


def valves_used(ctx: Context) -> Iterator[Finding]:
    """A valve that no line-up names is never checked by anybody."""
    if not ctx.line_ups:
        return
    named: set[str] = set()
    for line_up in ctx.line_ups:
        named |= {*line_up.open, *line_up.touching, *line_up.guard, *line_up.positions}
    for id_, valve in ctx.profile.valves.items():
        if id_ not in named and valve.kind != "check":
            yield ctx.finding("valve-unused", "note", ("valves", id_), [id_], label=valve.label)


def at_rest(ctx: Context) -> Iterator[Finding]:
    """With every valve in its normal position and all pumps stopped, nothing flows."""
    for problem in resting_problems(ctx.plant):
        lines = [line for line in str(problem.facts["lines"]).split(", ") if line]
        section = "lines" if lines and lines[0] in ctx.profile.lines else "hoses"
        at = (section, lines[0]) if lines else ("valves",)
        facts = {"vessels": problem.facts["vessels"], "lines": ", ".join(lines)}
        yield ctx.finding("normal-positions", "stop", at, lines, **facts)


def figures_there(ctx: Context) -> Iterator[Finding]:
    """A figure that a rule needs and nobody could compute stops the handbook: the rule was not asked."""
    needed = {"site_pressure", "ceiling", "preheat", "charge_volume", "methoxide_volume", "oil_volume"}
    needed |= {"glycerin_usual", "glycerin_highest", "ester_volume", "fuel_volume"}
    needed |= {f"{tank.id}.cover_level" for tank in ctx.plant.tanks.values() if tank.vessel.heaters}
    if ctx.profile.site.placement == "indoors":
        needed.add("ventilation_needed")
    if ctx.profile.safety.containment:
        needed |= {"containment_needed", "containment_there"}
    if ctx.profile.recipe.washing.method == "tower":
        needed.add("tower_flow")
    else:
        needed.add("wash_water")
    if ctx.profile.recipe.stripping and ctx.plant.with_role("recovered_methanol"):
        needed.add("recovered_methanol")
    for figure in sorted(needed | set(ctx.lacking)):
        if figure not in ctx.figures:
            yield ctx.finding(FIGURE, "stop", ("recipe",), figure=figure, of_steps=figure not in needed)
