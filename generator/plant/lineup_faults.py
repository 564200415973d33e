"""Why there is no line-up, as problems without a place: names and labels to fill the wording with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

from generator.plant.elevations import Obstacle, gravity_obstacle
from generator.plant.flood import spout_id
from generator.plant.lineup import Want
from generator.plant.network import Network
from generator.plant.plant import Plant
from generator.plant.routes import Route, TooTangled, simple_routes
from generator.plant.transfers import Way, all_towers, driven, main_routes, outlets, pinned, side_routes
from generator.problems import Problem
from generator.quantities import show

MOST_SHOWN = 6


def several(plant: Plant, want: Want, ways: Sequence[Way]) -> Problem:
    """More than one line-up would do; each is shown by its lines and the labels of its valves."""
    listed = [f"{number}) {_shown(plant, way)}" for number, way in enumerate(ways[:MOST_SHOWN], 1)]
    shown = "; ".join([*listed, *(["…"] if len(ways) > MOST_SHOWN else [])])
    return _problem(plant, want, "several_line_ups", candidates=shown, count=len(ways))


def not_isolated(plant: Plant, want: Want, way: Way, nodes: Iterable[str]) -> Problem:
    """Nothing on the way to these nodes can be shut."""
    parts = [_part_of(node) for node in nodes]
    return _problem(plant, want, "no_line_up_isolation", way=_shown(plant, way), parts=_named(plant, parts))


def leaks(plant: Plant, want: Want, way: Way, parts: Iterable[str]) -> Problem:
    """The line-up was made, and its proof found these wet."""
    return _problem(plant, want, "line_up_leaks", way=_shown(plant, way), parts=_named(plant, parts))


def turned_both_ways(plant: Plant, want: Want, way: Way) -> Problem:
    """A three-way valve would have to stand in two positions at once."""
    return _problem(plant, want, "no_line_up_three_way", way=_shown(plant, way))


def too_tangled(plant: Plant, want: Want) -> Problem:
    """The search gave up rather than leave ways out."""
    return _problem(plant, want, "piping_too_tangled")


def why_none(plant: Plant, network: Network, want: Want) -> Problem:
    """The nearest reason why no way serves: what stands between, or what the wanted driver cannot do."""
    try:
        return _why_none(plant, network, want)
    except TooTangled:
        return too_tangled(plant, want)


def _why_none(plant: Plant, network: Network, want: Want) -> Problem:
    routes = main_routes(network, want)
    able = driven(plant, network, want, routes)
    kept = pinned(network, want.source, want.destination, able)
    if able and kept and want.beside:
        has_side = any(side_routes(network, want.beside, main) for main in kept)
        code = "pin_fits_nothing" if has_side else "no_line_up_beside"
        return _problem(plant, want, code, beside=_named(plant, [want.beside]))
    if able:
        return _problem(plant, want, "pin_fits_nothing")
    if want.source != want.destination and want.driver in ("any", "gravity"):
        for route in (route for route in routes if route.pump is None and not network.is_supply(route.start)):
            obstacle = gravity_obstacle(plant, route)
            if obstacle:
                return _problem(plant, want, "no_line_up_uphill", **_climb(plant, route, obstacle))
    return _position(plant, want) or _nothing_leads(plant, network, want, routes)


def _nothing_leads(plant: Plant, network: Network, want: Want, routes: Sequence[Route]) -> Problem:
    """A tower or a vessel stands in the only way, nothing drives it, or there is none."""
    past = next(iter(main_routes(network, want, all_towers(network))), None)
    if past is not None and not routes:
        towers = [part for part in past.of_kind("inline") if part in all_towers(network) and part != want.via]
        if towers:
            return _problem(plant, want, "no_line_up_tower", parts=_named(plant, towers))
    between = _between(network, want)
    if routes or _is_joined(network, want):
        return _problem(plant, want, "no_line_up_driver")
    if between:
        return _problem(plant, want, "no_line_up_through_vessel", parts=_named(plant, between))
    return _problem(plant, want, "no_line_up")


def _position(plant: Plant, want: Want) -> Problem | None:
    """The three-way valve, and two of its ports, that one position more would make a way of."""
    valves = plant.profile.valves
    for id_, valve in valves.items():
        positions = valve.positions or {}
        ports = sorted({port for joined in positions.values() for port in joined})
        for one, other in combinations(ports, 2):
            if any({one, other} <= set(joined) for joined in positions.values()):
                continue
            turned = valve.model_copy(update={"positions": {**positions, "": [one, other]}})
            profile = plant.profile.model_copy(update={"valves": {**valves, id_: turned}})
            more, network = Plant(profile), Network.of(profile)
            if driven(more, network, want, main_routes(network, want)):
                facts = {"id": id_, "valve": valve.label, "one": one, "other": other}
                return _problem(plant, want, "no_line_up_position", **facts)
    return None


def _climb(plant: Plant, route: Route, obstacle: Obstacle) -> dict[str, str]:
    """What stands too high for gravity, how high it is and how high the outlet, in the plant's units."""
    heights = {"height": (obstacle.height_m, "minimum"), "outlet": (obstacle.outlet_m, "maximum")}
    shown = {
        name: show(height_m, "length", units=plant.profile.units, rounding=rounding).text
        for name, (height_m, rounding) in heights.items()
    }
    part = _named(plant, [obstacle.part.partition(".")[0]])
    return {"part": part, "way": _shown(plant, Way(route)), **shown}


def _is_joined(network: Network, want: Want) -> bool:
    """Whether pipes lead there at all, check valves and the direction of pumps left aside."""
    starts, goals = outlets(network, want.source, want.outlet), network.ports_of(want.destination)
    ways = simple_routes(network, starts, goals, lambda _, step: not step.passage.loose)
    return any(True for _ in ways)


def _between(network: Network, want: Want) -> list[str]:
    """Vessels on the shortest way from source to destination if liquid went through vessels too."""
    came_from: dict[str, str | None] = {want.source: None}
    waiting = [want.source]
    for here in waiting:
        is_vessel = here in network.profile.vessels
        nodes = tuple(filter(network.draws, network.ports_of(here))) if is_vessel else (here,)
        for step in (step for node in nodes for step in network.steps_from(node)):
            if step.passage.kind == "pump" and not step.forward:
                continue
            there = network.vessel_of(step.far) or step.far
            if there not in came_from and not step.passage.loose:
                came_from[there] = here
                waiting.append(there)
    passed: list[str] = []
    here_or_none = came_from.get(want.destination)
    while here_or_none is not None:
        if here_or_none in network.profile.vessels and here_or_none != want.source:
            passed.append(here_or_none)
        here_or_none = came_from[here_or_none]
    return passed[::-1]


def _problem(plant: Plant, want: Want, code: str, **facts: object) -> Problem:
    ends = {"from": _named(plant, [want.source]), "to": _named(plant, [want.destination])}
    return Problem(code, facts={"want": want.id, **ends, **facts})


def _shown(plant: Plant, way: Way) -> str:
    routes = []
    for route in way.routes:
        labels = " ".join(plant.label(valve) for valve in route.valves)
        routes.append(f"{' → '.join(route.lines)} [{labels}]")
    return " + ".join(routes)


def _part_of(node: str) -> str:
    return spout_id(node) if ":" in node else node.partition(".")[0]


def _named(plant: Plant, parts: Iterable[str]) -> str:
    return ", ".join(plant.called(part) for part in dict.fromkeys(parts))
