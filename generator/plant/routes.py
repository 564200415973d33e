"""Simple routes through the network, by a depth-first search of our own, and what a route is made of.

A route is one way for liquid to go, said in steps. Whether it can be lined up is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass

from generator.plant.network import Network, Passage, Step

MOST_STEPS = 50_000
MOST_ROUTES = 500
TOWERS = ("resin_tower", "adsorbent_tower")
Allows = Callable[["Route", Step], bool]


class TooTangled(Exception):
    """The piping offers more ways than the search is willing to walk."""


@dataclass(frozen=True)
class Route:
    """Steps in order of flow; each begins where the one before it ended."""

    steps: tuple[Step, ...] = ()

    def of_kind(self, *kinds: str) -> tuple[str, ...]:
        """Ids of the passages of these kinds, in order of flow."""
        return tuple(step.passage.id for step in self.steps if step.passage.kind in kinds)

    @property
    def start(self) -> str:
        return self.steps[0].near

    @property
    def end(self) -> str:
        return self.steps[-1].far

    @property
    def nodes(self) -> tuple[str, ...]:
        return (self.start, *(step.far for step in self.steps))

    @property
    def passages(self) -> frozenset[Passage]:
        return frozenset(step.passage for step in self.steps)

    @property
    def lines(self) -> tuple[str, ...]:
        """Ids of lines and hoses in order of flow."""
        return self.of_kind("line", "hose")

    @property
    def pump(self) -> str | None:
        return next(iter(self.of_kind("pump")), None)

    @property
    def valves(self) -> tuple[str, ...]:
        """Two-way and check valves in order of flow."""
        return tuple(valve for step in self.steps for valve in step.valves)

    @property
    def hoses(self) -> dict[str, str]:
        """Each hose on the route and the port its far end goes to."""
        return {step.passage.id: step.passage.end for step in self.steps if step.passage.kind == "hose"}

    @property
    def suction(self) -> tuple[str, ...]:
        """The nodes up to and with the pump's inlet; empty without a pump."""
        for index, step in enumerate(self.steps):
            if step.passage.kind == "pump":
                return self.nodes[: index + 1]
        return ()

    def positions(self, network: Network, valve: str) -> list[str]:
        """A three-way valve's positions that let this route through: fewest ports joined, then normal."""
        described = network.profile.valves[valve]
        mine = [p for p in self.passages if p.kind == "three_way" and p.id == valve]
        fits = [
            name for name in described.positions or {} if all(network.joins(valve, name, p) for p in mine)
        ]
        return sorted(
            fits, key=lambda name: (len((described.positions or {})[name]), name != described.normal)
        )


def simple_routes(
    network: Network, starts: Iterable[str], goals: Collection[str], allows: Allows
) -> Iterator[Route]:
    """Every route from a start to a goal that visits no node twice and no vessel on its way.

    ``allows`` is asked before each step. Raises TooTangled rather than walk for ever or leave routes out.
    """
    walked = found = 0
    for start in dict.fromkeys(starts):
        stack: list[tuple[Route, Iterator[Step]]] = [(Route(), iter(network.steps_from(start)))]
        visited = [start]
        while stack:
            route, remaining = stack[-1]
            step = next(remaining, None)
            if step is None:
                stack.pop()
                visited.pop()
                continue
            walked += 1
            if walked > MOST_STEPS:
                raise TooTangled
            if step.far in visited or not allows(route, step):
                continue
            further = Route((*route.steps, step))
            if step.far in goals:
                found += 1
                if found > MOST_ROUTES:
                    raise TooTangled
                yield further
            elif not _is_end(network, step.far) and _leads_on(network, step.far, goals, visited):
                stack.append((further, iter(network.steps_from(step.far))))
                visited.append(step.far)


def _is_end(network: Network, node: str) -> bool:
    return network.vessel_of(node) is not None or network.is_spout(node) or network.is_supply(node)


def _leads_on(network: Network, start: str, goals: Collection[str], visited: Collection[str]) -> bool:
    """Whether a goal is still within reach; without this a dead end is walked over and over."""
    seen = {start, *visited}
    waiting = [start]
    while waiting:
        for step in network.steps_from(waiting.pop()):
            if step.far in goals and step.far not in visited:
                return True
            if step.far not in seen and not _is_end(network, step.far):
                seen.add(step.far)
                waiting.append(step.far)
    return False


def liquid_may_go(network: Network, towers: Collection[str]) -> Allows:
    """Rule for a driven flow: at most one pump and that forwards, check valves obeyed, only towers named."""

    def allows(route: Route, step: Step) -> bool:
        passage = step.passage
        if passage.kind == "pump":
            return step.forward and route.pump is None
        if passage.kind == "inline" and network.profile.inline[passage.id].kind in TOWERS:
            return passage.id in towers
        if passage.kind == "hose" and (passage.loose or passage.id in route.of_kind("hose")):
            return False
        if passage.kind == "three_way":
            return bool(Route((*route.steps, step)).positions(network, passage.id))
        return step.forward or not any(network.is_check(valve) for valve in passage.valves)

    return allows
