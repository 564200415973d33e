"""Flood-fill: where liquid gets from given nodes, given valves and hoses and at most one pump running."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator.plant.network import Network, Step, normal_state
from generator.plant.plant import Plant
from generator.problems import Problem


@dataclass(frozen=True)
class Flooded:
    """What got wet. ``spouts``: lines and hoses whose free end runs; ``lines``: those run through."""

    vessels: frozenset[str]
    spouts: frozenset[str]
    lines: frozenset[str]
    nodes: frozenset[str]


@dataclass(frozen=True)
class State:
    """Positions of all settable valves, the port of each hose's far end (None: loose), the pump that runs."""

    network: Network
    positions: Mapping[str, str]
    hoses: Mapping[str, str | None]
    running: str | None = None

    def passes(self, step: Step) -> bool:
        """Whether liquid can go this way now."""
        passage = step.passage
        if passage.kind == "pump":
            if passage.id == self.running:
                return step.forward
            return self.network.passes_when_stopped(passage.id)
        if passage.kind == "three_way":
            return self.network.joins(passage.id, self.positions[passage.id], passage)
        if passage.kind == "hose" and self.hoses[passage.id] != passage.hose_port:
            return False
        return all(self._valve_passes(valve, step) for valve in step.valves)

    def _valve_passes(self, valve: str, step: Step) -> bool:
        # A check valve passes from the line's first end to its second, as the profile draws it.
        return step.forward if self.network.is_check(valve) else self.positions[valve] == "open"


def flood(
    network: Network,
    positions: Mapping[str, str],
    hoses: Mapping[str, str | None],
    start: Iterable[str],
    running: str | None = None,
) -> Flooded:
    """Everything liquid reaches from ``start``. A vessel that gets wet is not passed through: it fills.

    Valves and hoses that are not named are in their normal state. Only the pump ``running`` runs, if any.
    """
    usual_positions, usual_hoses = normal_state(network.profile)
    state = State(network, {**usual_positions, **positions}, {**usual_hoses, **hoses}, running)
    wet = dict.fromkeys(start)
    waiting = list(wet)
    run: set[str] = set()
    while waiting:
        for step in network.steps_from(waiting.pop()):
            if not state.passes(step):
                continue
            if step.passage.kind in ("line", "hose"):
                run.add(step.passage.id)
            if step.far not in wet:
                wet[step.far] = None
                if network.vessel_of(step.far) is None:
                    waiting.append(step.far)
    vessels = frozenset(vessel for node in wet if (vessel := network.vessel_of(node)))
    spouts = frozenset(spout_id(node) for node in wet if network.is_spout(node))
    return Flooded(vessels, spouts, frozenset(run), frozenset(wet))


def spout_id(node: str) -> str:
    """The line or hose that a spout node is the free end of."""
    return node.partition(":")[2].partition(".")[0]


def resting_problems(plant: Plant) -> list[Problem]:
    """What flows by itself while everything is in its normal position and all pumps are stopped.

    One ``normal_positions_connect`` for each set of vessels and spouts that are joined; facts are names.
    """
    network = Network.of(plant.profile)
    positions, hoses = normal_state(plant.profile)
    starts = {
        vessel: [port for port in network.ports_of(vessel) if network.draws(port)]
        for vessel in plant.profile.vessels
    }
    starts |= {supply: [supply] for supply in plant.profile.supplies}
    found: dict[tuple[frozenset[str], frozenset[str]], Problem] = {}
    for origin, nodes in starts.items():
        wet = flood(network, positions, hoses, nodes)
        joined = wet.vessels | {origin}
        if len(joined) > 1 or wet.spouts:
            facts = {
                "vessels": ", ".join(plant.label(part) for part in sorted(joined)),
                "lines": ", ".join(sorted(wet.lines)),
            }
            found.setdefault((joined, wet.spouts), Problem("normal_positions_connect", facts=facts))
    return list(found.values())
