"""Proof of a line-up: flood it, and see that it wets what it should and nothing else.

It looks at positions only and not at how they were found, so that a wrong search cannot excuse itself.
"""

from __future__ import annotations

from collections.abc import Mapping

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
    positions = {
        **dict.fromkeys(line_up.open, "open"),
        **dict.fromkeys((*line_up.touching, *line_up.guard), "closed"),
        **line_up.positions,
    }
    hoses: dict[str, str | None] = {end.hose: end.port for end in line_up.hoses}
    found: dict[str, None] = {}
    for running in dict.fromkeys((line_up.pump, None)):
        found |= dict.fromkeys(_gone_astray(network, line_up, way, positions, hoses, running))
        found |= dict.fromkeys(_come_in(plant, network, line_up, way, positions, hoses, running))
    for route in way.routes:
        reached = flood(network, positions, hoses, [route.start], line_up.pump)
        if way.main.end not in reached.nodes:
            found[line_up.streams[0].destination] = None
    return list(found)


def _gone_astray(
    network: Network,
    line_up: LineUp,
    way: Way,
    positions: Mapping[str, str],
    hoses: Mapping[str, str | None],
    running: str | None,
) -> list[str]:
    ports = [port for vessel in sorted(line_up.wetted) for port in network.ports_of(vessel)]
    wet = flood(network, positions, hoses, [*ports, *way.together.nodes], running)
    return [*sorted(wet.vessels - line_up.wetted), *sorted(wet.spouts)]


def _come_in(
    plant: Plant,
    network: Network,
    line_up: LineUp,
    way: Way,
    positions: Mapping[str, str],
    hoses: Mapping[str, str | None],
    running: str | None,
) -> list[str]:
    """Other vessels and supplies whose contents could run into the route or its vessels."""
    found = [
        supply
        for supply in network.profile.supplies
        if supply != way.main.start
        and _joins(line_up, way, flood(network, positions, hoses, [supply], running))
    ]
    for vessel in network.profile.vessels:
        if vessel in line_up.wetted:
            continue
        for port in filter(network.draws, network.ports_of(vessel)):
            wet = flood(network, positions, hoses, [port], running)
            if not _joins(line_up, way, wet):
                continue
            # Only a running pump draws from what stands lower.
            drawn = running is not None and wet.nodes & set(way.main.suction)
            if drawn or can_run_into(plant, port, way.main):
                found.append(vessel)
    return found


def _joins(line_up: LineUp, way: Way, wet: Flooded) -> bool:
    return bool(wet.vessels & line_up.wetted or wet.nodes & set(way.together.nodes))
