"""What heights decide: whether gravity moves liquid along a route, and whether a vessel can run into it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.plant.plant import Plant
from generator.plant.routes import Route


@dataclass(frozen=True)
class Obstacle:
    """The first ``part`` (id, or ``vessel.port``) not below a route's outlet; heights above the floor."""

    part: str
    height_m: float
    outlet_m: float


def gravity_obstacle(plant: Plant, route: Route) -> Obstacle | None:
    """What keeps liquid from running along a route by itself; None where gravity works.

    A pipe that climbs above the outlet would need a siphon, which nobody starts and which is not counted on.
    """
    outlet_m = _mouth_m(plant, route.start)
    heights = [(route.start, _pipe_end_m(plant, route.start)), *_heights_m(plant, route)]
    for part, height_m in heights:
        if height_m > outlet_m:
            return Obstacle(part, height_m, outlet_m)
    end_m = _back_head_m(plant, route.end)
    return Obstacle(route.end, end_m, outlet_m) if end_m >= outlet_m else None


def can_run_into(plant: Plant, port: str, route: Route) -> bool:
    """Whether the vessel behind ``port``, filled, stands higher than the lower end of the route."""
    vessel = port.partition(".")[0]
    tank = plant.tanks[vessel]
    top_m = tank.vessel.elevation_m + tank.shape.inside_height_m
    ends = [node for node in (route.start, route.end) if node.partition(".")[0] in plant.tanks]
    return not ends or top_m > min(_mouth_m(plant, node) for node in ends)


def _mouth_m(plant: Plant, node: str) -> float:
    vessel, _, port = node.partition(".")
    return plant.tanks[vessel].port_elevation_m(port)


def _pipe_end_m(plant: Plant, node: str) -> float:
    """Height above the floor at which the pipe goes through the shell, m; a dip pipe's mouth may be lower."""
    vessel, _, port = node.partition(".")
    tank = plant.tanks[vessel]
    return tank.vessel.elevation_m + tank.vessel.ports[port].height_m


def _back_head_m(plant: Plant, node: str) -> float:
    """Height above the floor that liquid must come from to get in by this port, m.

    A port in the liquid space without a dip pipe is under whatever the vessel holds, up to its limit: levels
    would settle at one height and the transfer stop half done.
    """
    vessel, _, port = node.partition(".")
    tank = plant.tanks[vessel]
    described = tank.vessel.ports[port]
    highest_m = max(_mouth_m(plant, node), _pipe_end_m(plant, node))
    if described.space == "liquid" and described.dip_end_m is None:
        highest_m = max(highest_m, tank.vessel.elevation_m + tank.shape.level_at(tank.limit_m3))
    return highest_m


def _heights_m(plant: Plant, route: Route) -> Iterator[tuple[str, float]]:
    """Every part on the way whose height above the floor is known."""
    profile = plant.profile
    for step in route.steps:
        passage = step.passage
        if passage.kind == "line" and (highest_m := profile.lines[passage.id].highest_m) is not None:
            yield passage.id, highest_m
        elif passage.kind == "three_way" and (valve_m := profile.valves[passage.id].elevation_m) is not None:
            yield passage.id, valve_m
        elif passage.kind == "inline" and (inline_m := profile.inline[passage.id].elevation_m) is not None:
            yield passage.id, inline_m
        if step.far in profile.tees and (tee_m := profile.tees[step.far].elevation_m) is not None:
            yield step.far, tee_m
