"""What a part can be fed from, whatever the valves' positions are."""

from __future__ import annotations

from collections.abc import Iterator

from generator.plant.network import Network, Step


def upstream(network: Network, node: str) -> frozenset[str]:
    """All nodes from which liquid can get to ``node`` without passing a vessel or a pump."""
    seen = {node}
    waiting = [node]
    while waiting:
        for step in network.steps_from(waiting.pop()):
            if step.far not in seen and _passes_back(network, step):
                seen.add(step.far)
                if network.vessel_of(step.far) is None:
                    waiting.append(step.far)
    return frozenset(seen)


def sources(network: Network, pump: str) -> Iterator[str]:
    """Vessel ports that a pump can draw from, in the profile's order."""
    reached = upstream(network, f"{pump}.in")
    for vessel in network.profile.vessels:
        yield from (port for port in network.ports_of(vessel) if port in reached and network.draws(port))


def _passes_back(network: Network, step: Step) -> bool:
    """Whether liquid can come the other way along a step. Check valves and in-line equipment pass one way."""
    if step.passage.kind == "pump":
        return False
    one_way = step.passage.kind == "inline" or any(network.is_check(valve) for valve in step.valves)
    return not (one_way and step.forward)
