"""What bounds a route: walk away from it, and from its vessels' other ports, to the first valve that shuts.

Two questions go along the walk, because check valves answer them differently: can liquid leave the route
this way, and can liquid come into it? The walk ends where both are no, at a valve that can be shut, or at
something that must not be joined to the route: that is a leak.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import count

from generator.plant.network import Network, Passage, Step
from generator.plant.routes import TooTangled

MOST_TRIES = 2_000


@dataclass(frozen=True)
class Surroundings:
    """A route (its ``passages`` and ``nodes``) and what is known of what lies around it.

    ``may_meet`` are vessels that an open branch may reach; ``flows_in`` tells of a port node whether liquid
    could come from it into the route (second argument: into the pump's suction).
    """

    network: Network
    hoses: Mapping[str, str | None]
    passages: frozenset[Passage]
    nodes: tuple[str, ...]
    suction: frozenset[str]
    may_meet: frozenset[str]
    other_ports: tuple[str, ...]
    flows_in: Callable[[str, bool], bool]
    tries: Iterator[int] = field(default_factory=count)


@dataclass(frozen=True)
class Bounds:
    """Valves to shut on branches and elsewhere, three-way positions, and nodes that nothing shuts off."""

    touching: tuple[str, ...] = ()
    guard: tuple[str, ...] = ()
    positions: Mapping[str, str] = field(default_factory=dict)
    leaks: tuple[str, ...] = ()


@dataclass
class _Walk:
    """Valves met first and nodes leaked to, in order; ``undecided`` is a three-way valve not yet turned."""

    around: Surroundings
    positions: Mapping[str, str]
    shut: dict[str, None] = field(default_factory=dict)
    leaks: dict[str, None] = field(default_factory=dict)
    undecided: str | None = None

    def run(self, starts: Iterable[str], stop_at: Collection[str] = ()) -> None:
        for start in starts:
            suction = start in self.around.suction
            waiting = [(start, True, True)]
            seen = set(waiting)
            for node, out, into in waiting:
                for step in self.around.network.steps_from(node):
                    if step.passage in self.around.passages:
                        continue
                    after = self._after(step, out, into)
                    if self.undecided:
                        return
                    if after is None or (step.far, *after) in seen or step.far in stop_at:
                        continue
                    seen.add((step.far, *after))
                    if self._arrives(step.far, *after, suction):
                        waiting.append((step.far, *after))

    def _after(self, step: Step, out: bool, into: bool) -> tuple[bool, bool] | None:
        """The two answers behind a step, None where neither is left."""
        passage, network = step.passage, self.around.network
        if passage.kind == "pump":
            return (out, into) if network.passes_when_stopped(passage.id) else None
        if passage.kind == "three_way":
            return (out, into) if self._turned(passage) else None
        if passage.kind == "hose" and self.around.hoses[passage.id] != passage.hose_port:
            return None
        shuts = self._shutting(step.valves)
        for valve in step.valves:
            if valve == shuts:
                self.shut[valve] = None
                return None
            if not network.is_check(valve):
                continue
            out, into = out and step.forward, into and not step.forward
            if not out and not into:
                return None
        return out, into

    def _shutting(self, valves: tuple[str, ...]) -> str | None:
        """The valve that shuts a line: the first that normally stands closed, else the first able to.

        So a throttle left at its setting is not touched, and nothing is trapped behind it.
        """
        able = [valve for valve in valves if not self.around.network.is_check(valve)]
        described = self.around.network.profile.valves
        return next(
            (valve for valve in able if described[valve].normal == "closed"), able[0] if able else None
        )

    def _turned(self, passage: Passage) -> bool:
        position = self.positions.get(passage.id)
        if position is None:
            self.undecided = passage.id
            return False
        return self.around.network.joins(passage.id, position, passage)

    def _arrives(self, node: str, out: bool, into: bool, suction: bool) -> bool:
        """Note a leak; tell whether to walk on from here."""
        network = self.around.network
        vessel = network.vessel_of(node)
        if vessel is not None:
            comes_in = into and network.draws(node) and self.around.flows_in(node, suction)
            if vessel not in self.around.may_meet and (out or comes_in):
                self.leaks[node] = None
            return False
        if network.is_spout(node):
            if out:
                self.leaks[node] = None
            return False
        if network.is_supply(node):
            if into:
                self.leaks[node] = None
            return False
        return True


def bound(around: Surroundings, positions: Mapping[str, str]) -> Bounds:
    """The valves that bound a route whose three-way valves stand in ``positions``.

    Three-way valves met on the way are tried in their normal position first, then in the others; the first
    choice that leaves no leak is taken, else the normal positions, leaks and all. Raises TooTangled where the
    choices are too many to try.
    """
    if next(around.tries) > MOST_TRIES:
        raise TooTangled
    walk = _Walk(around, positions)
    walk.run(around.nodes)
    touching = tuple(walk.shut)
    if not walk.undecided:
        # A branch that comes back to the route is bounded from there.
        walk.run(around.other_ports, stop_at=set(around.nodes))
    if walk.undecided:
        return _turned_each_way(around, positions, walk.undecided)
    guard = tuple(valve for valve in walk.shut if valve not in touching)
    return Bounds(touching, guard, dict(positions), tuple(walk.leaks))


def _turned_each_way(around: Surroundings, positions: Mapping[str, str], valve: str) -> Bounds:
    described = around.network.profile.valves[valve]
    names = sorted(described.positions or {}, key=lambda name: name != described.normal)
    tried = []
    for name in names:
        bounds = bound(around, {**positions, valve: name})
        if not bounds.leaks:
            return bounds
        tried.append(bounds)
    return tried[0]
