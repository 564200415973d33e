"""Line-ups computed: the route, what to open in which order, what to shut, and the proof that it holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Literal

from generator.plant import lineup_faults, proof
from generator.plant.elevations import can_run_into
from generator.plant.isolation import Bounds, Surroundings, bound
from generator.plant.lineup import HoseEnd, LineUp, Stream, Want
from generator.plant.network import Network, normal_state
from generator.plant.plant import Plant
from generator.plant.routes import Route, TooTangled
from generator.plant.transfers import Way, driven, driver_of, main_routes, pinned, side_routes
from generator.problems import FillmarkError, Problem

THROTTLES = ("needle", "globe")


class NoLineUp(FillmarkError):
    """No line-up serves a transfer, or several do. ``problem`` says why; it carries no place."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__([problem])


@dataclass(frozen=True)
class Candidate:
    """A way that could serve, with its line-up where it holds, else the problem that rules it out."""

    way: Way
    line_up: LineUp | None = None
    problem: Problem | None = None


def line_up(plant: Plant, want: Want) -> LineUp:
    """The one line-up that serves a transfer or circulation, proven by flooding it.

    Raises NoLineUp if there is none, or several and the profile's ``routes`` do not settle which.
    """
    found = candidates(plant, want)
    good = [candidate for candidate in found if candidate.line_up]
    if len(good) > 1:
        shown = [candidate.way for candidate in good]
        raise NoLineUp(lineup_faults.several(plant, want, shown))
    if good and good[0].line_up:
        return good[0].line_up
    problems = [candidate.problem for candidate in found if candidate.problem]
    if problems:
        raise NoLineUp(problems[0])
    raise NoLineUp(lineup_faults.why_none(plant, Network.of(plant.profile), want))


def candidates(plant: Plant, want: Want) -> list[Candidate]:
    """Every way that the wanted driver can drive and the profile's pins leave, each judged."""
    network = Network.of(plant.profile)
    try:
        return [_judged(plant, network, want, way) for way in _ways(plant, network, want)]
    except TooTangled:
        raise NoLineUp(lineup_faults.too_tangled(plant, want)) from None


def _ways(plant: Plant, network: Network, want: Want) -> Iterator[Way]:
    mains = driven(plant, network, want, main_routes(network, want))
    for main in pinned(network, want.source, want.destination, mains):
        if want.beside is None:
            yield Way(main)
            continue
        sides = side_routes(network, want.beside, main)
        for side in pinned(network, want.beside, want.destination, sides):
            # A hose has one far end: it cannot serve both streams.
            if not main.hoses.keys() & side.hoses.keys():
                yield Way(main, side)


def _judged(plant: Plant, network: Network, want: Want, way: Way) -> Candidate:
    bounds = _bounds(plant, network, want, way)
    if bounds is None:
        return Candidate(way, problem=lineup_faults.turned_both_ways(plant, want, way))
    if bounds.leaks:
        return Candidate(way, problem=lineup_faults.not_isolated(plant, want, way, bounds.leaks))
    made = _made(network, want, way, bounds)
    wrong = proof.faults(plant, network, made, way)
    if wrong:
        return Candidate(way, problem=lineup_faults.leaks(plant, want, way, wrong))
    return Candidate(way, made)


def _bounds(plant: Plant, network: Network, want: Want, way: Way) -> Bounds | None:
    """Bounds for the route's own three-way valves so turned that nothing leaks, else as first tried."""
    around = _surroundings(plant, network, want, way)
    valves = list(dict.fromkeys(way.together.of_kind("three_way")))
    first: Bounds | None = None
    for choice in product(*(way.together.positions(network, valve) for valve in valves)):
        bounds = bound(around, dict(zip(valves, choice, strict=True)))
        if not bounds.leaks:
            return bounds
        first = first or bounds
    return first


def _surroundings(plant: Plant, network: Network, want: Want, way: Way) -> Surroundings:
    nodes = tuple(dict.fromkeys(node for route in way.routes for node in route.nodes))
    _, hoses = normal_state(network.profile)
    side_nodes = way.side.nodes if way.side else ()
    return Surroundings(
        network=network,
        hoses={**hoses, **way.together.hoses},
        passages=way.together.passages,
        nodes=nodes,
        suction=frozenset((*way.main.suction, *side_nodes)),
        may_meet=frozenset((want.source, want.destination)),
        other_ports=tuple(
            port
            for vessel in _vessels(network, want)
            for port in network.ports_of(vessel)
            if port not in nodes
        ),
        flows_in=lambda port, suction: suction or can_run_into(plant, port, way.main),
    )


def _vessels(network: Network, want: Want) -> tuple[str, ...]:
    named = dict.fromkeys((want.source, want.destination, *((want.beside,) if want.beside else ())))
    return tuple(part for part in named if part in network.profile.vessels)


def _made(network: Network, want: Want, way: Way, bounds: Bounds) -> LineUp:
    backwards = [valve for route in way.routes for valve in route.valves[::-1] if not network.is_check(valve)]
    throttle = _throttle(network, way.side or way.main)
    if throttle:
        backwards.remove(throttle)
        backwards.append(throttle)
    return LineUp(
        id=want.id,
        streams=tuple(_stream(network, want, way, route) for route in way.routes),
        open=tuple(backwards),
        touching=bounds.touching,
        guard=bounds.guard,
        positions=bounds.positions,
        hoses=tuple(HoseEnd(hose, port) for hose, port in way.together.hoses.items()),
        wetted=frozenset(_vessels(network, want)),
        throttle=throttle,
    )


def _throttle(network: Network, route: Route) -> str | None:
    """The valve that sets the flow: the last needle or globe valve on the way."""
    kinds = network.profile.valves
    return next((valve for valve in route.valves[::-1] if kinds[valve].kind in THROTTLES), None)


def _stream(network: Network, want: Want, way: Way, route: Route) -> Stream:
    source, _, outlet = route.start.partition(".")
    lines = network.profile.lines
    opening: Literal["full", "throttled", "restrictor"] = "full"
    if _throttle(network, route):
        opening = "throttled"
    elif any(line in lines and lines[line].restrictor for line in route.lines):
        opening = "restrictor"
    return Stream(
        source=source,
        destination=want.destination,
        driver=driver_of(network, way.main),
        opening=opening,
        outlet=outlet or source,
        inlet=way.main.end.partition(".")[2],
        path=route.lines,
    )
