"""Which routes could serve a transfer: the search set to its source, destination, driver and pinned lines."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from generator.plant.elevations import gravity_obstacle
from generator.plant.lineup import Want
from generator.plant.network import Network, Step
from generator.plant.plant import Plant
from generator.plant.routes import TOWERS, Route, liquid_may_go, simple_routes


@dataclass(frozen=True)
class Way:
    """The first stream's route and, for an injection, that of the second up to where it joins the first."""

    main: Route
    side: Route | None = None

    @property
    def routes(self) -> tuple[Route, ...]:
        return (self.main,) if self.side is None else (self.main, self.side)

    @property
    def together(self) -> Route:
        """All steps of all streams; to ask about valves and hoses, not about order."""
        return Route(tuple(step for route in self.routes for step in route.steps))


def driver_of(network: Network, route: Route) -> str:
    """A pump's id, ``supply`` or ``gravity``."""
    if route.pump is not None:
        return route.pump
    return "supply" if network.is_supply(route.start) else "gravity"


def main_routes(network: Network, want: Want, towers: Collection[str] | None = None) -> list[Route]:
    """Every way from source to destination, whatever drives it, through no tower but those named."""
    starts = outlets(network, want.source, want.outlet)
    if towers is None:
        towers = (want.via,) if want.via else ()
    found = simple_routes(network, starts, network.ports_of(want.destination), liquid_may_go(network, towers))
    return [route for route in found if want.via is None or want.via in route.of_kind("inline")]


def driven(plant: Plant, network: Network, want: Want, routes: Iterable[Route]) -> list[Route]:
    """Routes on which the wanted driver works: one pump, a fall all the way, or a supply's own pressure."""
    return [route for route in routes if _is_driven(plant, network, want, route)]


def _is_driven(plant: Plant, network: Network, want: Want, route: Route) -> bool:
    driver = driver_of(network, route)
    kind = driver if driver in ("supply", "gravity") else "pump"
    if kind == "pump" and network.is_supply(route.start):
        return False
    needs_pump = want.source == want.destination or want.beside is not None
    if want.driver not in ("any", kind) or (needs_pump and kind != "pump"):
        return False
    return kind != "gravity" or gravity_obstacle(plant, route) is None


def side_routes(network: Network, vessel: str, main: Route) -> list[Route]:
    """Every way from a vessel to the suction side of the pump on ``main``, without help of another pump."""
    joins = main.suction[1:]
    elsewhere = set(main.nodes) - set(joins)
    may_go = liquid_may_go(network, ())

    def allows(route: Route, step: Step) -> bool:
        return step.passage.kind != "pump" and step.far not in elsewhere and may_go(route, step)

    return list(simple_routes(network, outlets(network, vessel), joins, allows))


def outlets(network: Network, source: str, port: str | None = None) -> tuple[str, ...]:
    """The nodes at which liquid leaves a vessel (one port of it, if named) or a supply."""
    if network.is_supply(source):
        return (source,)
    drawing = tuple(node for node in network.ports_of(source) if network.draws(node))
    return tuple(node for node in drawing if port is None or node == f"{source}.{port}")


def pinned(network: Network, source: str, destination: str, routes: list[Route]) -> list[Route]:
    """The routes that the profile's pins for this transfer leave; all of them where it pins none."""
    pins = [set(pin.via) for pin in network.profile.routes if (pin.from_, pin.to) == (source, destination)]
    if not pins:
        return routes
    return [r for r in routes if any(pin <= {step.passage.id for step in r.steps} for pin in pins)]


def all_towers(network: Network) -> list[str]:
    """In-line equipment that liquid is not sent through unless asked."""
    return [id_ for id_, part in network.profile.inline.items() if part.kind in TOWERS]
