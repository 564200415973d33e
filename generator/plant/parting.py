"""What parts one piece of equipment from all others, so that it can be opened for work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from generator.plant.network import Network, Passage, Step
from generator.plant.plant import Plant

#: Valves that shut off for work. Check valves leak, throttles are no stop, springs and coils move unasked.
SHUTS = ("ball", "gate")


@dataclass(frozen=True)
class Parted:
    """How a part is cut off. ``valves`` are closed and locked; ``hoses`` are taken off; what no valve parts
    from it is opened with it: ``vessels``, ``pumps``, ``inline``; ``supplies`` are shut at their source. Out
    of the drums of ``lifted`` a dip pipe is drawn, and from above the liquid of ``vapour`` only vapour comes.
    All are ids, the part itself among them, in the order in which they are met.
    """

    valves: tuple[str, ...]
    hoses: tuple[str, ...]
    vessels: tuple[str, ...]
    pumps: tuple[str, ...]
    inline: tuple[str, ...]
    supplies: tuple[str, ...]
    lifted: tuple[str, ...]
    vapour: tuple[str, ...]


def parted(plant: Plant, part: str) -> Parted:
    """What to close and take off around a vessel, a pump or something in line.

    The walk goes through everything that is no valve for shutting off, a stopped pump and three-way valves in
    every position among them, and on from every vessel that it reaches by a port.
    """
    walk = _Walk(Network.of(plant.profile))
    walk.run(part)
    met = walk.met
    profile = plant.profile
    return Parted(
        tuple(walk.shut),
        tuple(walk.off),
        tuple(id_ for id_ in met if id_ in profile.vessels),
        tuple(id_ for id_ in met if id_ in profile.pumps),
        tuple(id_ for id_ in met if id_ in profile.inline),
        tuple(id_ for id_ in met if id_ in profile.supplies),
        tuple(walk.lifted),
        tuple(id_ for id_ in walk.vapour if id_ not in met),
    )


@dataclass
class _Walk:
    network: Network
    shut: dict[str, None] = field(default_factory=dict)
    off: dict[str, None] = field(default_factory=dict)
    met: dict[str, None] = field(default_factory=dict)
    lifted: dict[str, None] = field(default_factory=dict)
    vapour: dict[str, None] = field(default_factory=dict)

    def run(self, part: str) -> None:
        seen: set[str] = set()
        waiting = list(self._nodes_of(part))
        while waiting:
            node = waiting.pop(0)
            if node in seen:
                continue
            seen.add(node)
            for step in self.network.steps_from(node):
                if self._goes_on(step):
                    waiting += self._nodes_at(step.far)

    def _nodes_of(self, part: str) -> Iterable[str]:
        self.met[part] = None
        if part in self.network.profile.vessels:
            return self.network.ports_of(part)
        return (f"{part}.in", f"{part}.out")

    def _nodes_at(self, node: str) -> Iterable[str]:
        owner, _, port = node.partition(".")
        profile = self.network.profile
        if owner in profile.vessels and owner not in self.met:
            vessel = profile.vessels[owner]
            if vessel.movable and vessel.ports[port].dip_end_m is not None:
                self.lifted[owner] = None
                return ()
            if not self.network.draws(node):
                self.vapour[owner] = None
                return ()
        if owner in profile.vessels or owner in profile.pumps or owner in profile.inline:
            return self._nodes_of(owner)
        if self.network.is_supply(node):
            self.met[node] = None
        return (node,)

    def _goes_on(self, step: Step) -> bool:
        valve = next((valve for valve in step.valves if self._shuts(valve)), None)
        if valve is not None:
            self.shut[valve] = None
            return False
        if step.passage.kind == "hose":
            self._take_off(step.passage)
            return False
        return True

    def _shuts(self, valve: str) -> bool:
        return self.network.profile.valves[valve].kind in SHUTS

    def _take_off(self, passage: Passage) -> None:
        # A hose that hangs free at rest joins nothing; one that is on somewhere is taken off.
        if self.network.profile.hoses[passage.id].normal is not None:
            self.off[passage.id] = None
