"""Which way liquid can go at a moment, and how high it must climb: the network walked anew."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from generator.plant.network import Network, Passage, Step
from generator.plant.plant import Plant


@dataclass(eq=False)
class Setting:
    """Positions of valves and hoses, and the pumps that run; what decides which ways are open.

    ``found`` remembers the ways walked so far, by where they start and whether they were walked backwards.
    """

    positions: Mapping[str, str]
    hoses: Mapping[str, str | None]
    running: frozenset[str]
    found: dict[tuple[str, bool], tuple[Way, ...]] = field(default_factory=dict)

    def is_of(
        self, positions: Mapping[str, str], hoses: Mapping[str, str | None], running: frozenset[str]
    ) -> bool:
        """Whether it was made of these very mappings."""
        return positions is self.positions and hoses is self.hoses and running == self.running


@dataclass(frozen=True)
class Way:
    """A way found: the node it ends at, its highest point above the floor (m), and the passages on it."""

    end: str
    peak_m: float
    passages: tuple[Passage, ...]

    @property
    def lines(self) -> frozenset[str]:
        return frozenset(p.id for p in self.passages if p.kind in ("line", "hose"))

    @property
    def inline(self) -> frozenset[str]:
        return frozenset(p.id for p in self.passages if p.kind == "inline")


class Piping:
    """The piping of one plant. Settings remember their ways, since most steps leave the valves alone."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.network = Network.of(plant.profile)
        self._settings: dict[tuple[object, ...], Setting] = {}
        self._last: Setting | None = None

    def setting(
        self, positions: Mapping[str, str], hoses: Mapping[str, str | None], running: frozenset[str]
    ) -> Setting:
        """The one setting of these positions."""
        if self._last is None or not self._last.is_of(positions, hoses, running):
            key = (*positions.items(), *hoses.items(), running)
            if key not in self._settings:
                self._settings[key] = Setting(positions, hoses, running)
            self._last = self._settings[key]
        return self._last

    @cached_property
    def ports(self) -> Mapping[str, tuple[str, ...]]:
        """Port nodes of each vessel."""
        return {vessel: self.network.ports_of(vessel) for vessel in self.plant.profile.vessels}

    @cached_property
    def drawing(self) -> Mapping[str, tuple[tuple[str, float], ...]]:
        """Ports of each vessel by which liquid can leave, with their mouths' heights above the floor, m."""
        return {
            vessel: tuple((node, self.mouth_m(node)) for node in nodes if self.network.draws(node))
            for vessel, nodes in self.ports.items()
        }

    def valves_of(self, line: str) -> tuple[str, ...]:
        """Valves in a line or hose, in its own order."""
        profile = self.plant.profile
        found = profile.lines[line].valves if line in profile.lines else profile.hoses[line].valves
        return tuple(found)

    def is_end(self, node: str) -> bool:
        """Whether liquid goes no further here by pipe: a vessel, a spout, a supply."""
        network = self.network
        return network.vessel_of(node) is not None or network.is_spout(node) or network.is_supply(node)

    def ways(self, setting: Setting, start: str, backwards: bool = False) -> tuple[Way, ...]:
        """The lowest way from a node to every end that is open to it; ``backwards``: from every end to it.

        Running pumps are walls: what they move is asked from their own inlet and outlet.
        """
        key = (start, backwards)
        if key not in setting.found:
            setting.found[key] = tuple(self._walk(setting, start, backwards))
        return setting.found[key]

    def _walk(self, setting: Setting, start: str, backwards: bool) -> Iterator[Way]:
        positions, hoses = setting.positions, setting.hoses
        best = {start: -math.inf}
        waiting: list[tuple[float, int, str, tuple[Passage, ...]]] = [(-math.inf, 0, start, ())]
        count = 0
        while waiting:
            peak, _, node, passed = heapq.heappop(waiting)
            if peak > best[node]:
                continue
            if passed and self.is_end(node):
                yield Way(node, peak, passed)
                continue
            for step in self.network.steps_from(node):
                if not self._open(step, positions, hoses, setting.running, backwards):
                    continue
                higher = max(peak, self._height_m(step))
                if higher < best.get(step.far, math.inf):
                    count += 1
                    best[step.far] = higher
                    heapq.heappush(waiting, (higher, count, step.far, (*passed, step.passage)))

    def _open(
        self,
        step: Step,
        positions: Mapping[str, str],
        hoses: Mapping[str, str | None],
        running: frozenset[str],
        backwards: bool,
    ) -> bool:
        passage, network = step.passage, self.network
        if passage.kind == "pump":
            return passage.id not in running and network.passes_when_stopped(passage.id)
        if passage.kind == "three_way":
            return network.joins(passage.id, positions[passage.id], passage)
        if passage.kind == "hose" and hoses[passage.id] != passage.hose_port:
            return False
        goes = step.forward is not backwards
        return all(goes if network.is_check(v) else positions[v] == "open" for v in passage.valves)

    def _height_m(self, step: Step) -> float:
        """Highest known point of a step behind its start, m; minus infinity where none is known."""
        profile = self.plant.profile
        passage = step.passage
        known: list[float | None] = []
        if passage.kind == "line":
            known.append(profile.lines[passage.id].highest_m)
        elif passage.kind == "three_way":
            known.append(profile.valves[passage.id].elevation_m)
        elif passage.kind == "inline":
            known.append(profile.inline[passage.id].elevation_m)
        elif passage.kind == "pump":
            known.append(profile.pumps[passage.id].elevation_m)
        if step.far in profile.tees:
            known.append(profile.tees[step.far].elevation_m)
        return max((height for height in known if height is not None), default=-math.inf)

    def shell_m(self, node: str) -> float:
        """Height above the floor at which a port's pipe goes through the shell, m."""
        vessel, _, port = node.partition(".")
        described = self.plant.profile.vessels[vessel]
        return described.elevation_m + described.ports[port].height_m

    def mouth_m(self, node: str) -> float:
        """Height above the floor of a port's open end inside, m."""
        vessel, _, port = node.partition(".")
        return self.plant.tanks[vessel].port_elevation_m(port)
