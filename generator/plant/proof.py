"""Proof of a line-up: flood it, and see that it wets what it should and nothing else.

It looks at positions only and not at how they were found, so that a wrong search cannot excuse itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from generator.plant.elevations import can_run_into
from generator.plant.flood import Flooded, flood
from generator.plant.lineup import LineUp
from generator.plant.network import Network
from generator.plant.plant import Plant
from generator.plant.transfers import Way


def faults(plant: Plant, network: Network, line_up: LineUp, way: Way) -> list[str]:
    """Ids of vessels, spouts and supplies that a line-up joins though it should not, or fails to join.

    Held with the pump running and with it stopped, since a stopped centrifugal pump is an open pipe.
    """
    found: dict[str, None] = {}
    for running in dict.fromkeys((line_up.pump, None)):
        trial = _Trial(plant, network, line_up, way, running)
        found |= dict.fromkeys([*trial.gone_astray(), *trial.come_in()])
    driven = _Trial(plant, network, line_up, way, line_up.pump)
    for route in way.routes:
        if way.main.end not in driven.flood([route.start]).nodes:
            found[line_up.streams[0].destination] = None
    return list(found)


@dataclass(frozen=True)
class _Trial:
    """A line-up as set, with its pump ``running`` or not."""

    plant: Plant
    network: Network
    line_up: LineUp
    way: Way
    running: str | None

    def flood(self, start: Iterable[str]) -> Flooded:
        """Where liquid gets from ``start``."""
        lined = self.line_up
        positions = {
            **dict.fromkeys(lined.open, "open"),
            **dict.fromkeys((*lined.touching, *lined.guard), "closed"),
            **lined.positions,
        }
        hoses: dict[str, str | None] = {end.hose: end.port for end in lined.hoses}
        return flood(self.network, positions, hoses, start, self.running)

    def gone_astray(self) -> list[str]:
        """Vessels and spouts that the route and its vessels run into."""
        ports = [port for vessel in sorted(self.line_up.wetted) for port in self.network.ports_of(vessel)]
        wet = self.flood([*ports, *self.way.together.nodes])
        return [*sorted(wet.vessels - self.line_up.wetted), *sorted(wet.spouts)]

    def come_in(self) -> Iterator[str]:
        """Other vessels and supplies whose contents could run into the route or its vessels."""
        for supply in self.network.profile.supplies:
            if supply != self.way.main.start and self._joins(self.flood([supply])):
                yield supply
        for vessel in self.network.profile.vessels:
            if vessel not in self.line_up.wetted:
                yield from (vessel for port in self.network.ports_of(vessel) if self._runs_in(port))

    def _runs_in(self, port: str) -> bool:
        if not self.network.draws(port):
            return False
        wet = self.flood([port])
        # Only a running pump draws from what stands lower.
        drawn = self.running is not None and bool(wet.nodes & set(self.way.main.suction))
        return self._joins(wet) and (drawn or can_run_into(self.plant, port, self.way.main))

    def _joins(self, wet: Flooded) -> bool:
        return bool(wet.vessels & self.line_up.wetted or wet.nodes & set(self.way.together.nodes))
