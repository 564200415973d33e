"""What flows at a moment: by running pumps, by gravity, through siphons that stand full, from supplies.

Rates are rough (a pump's own flow, shared evenly; a fall's customary one): where liquid goes is what counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from generator.plant.flood import spout_id
from generator.plant.plant import Plant
from generator.rehearsal.piping import Piping, Setting, Way
from generator.rehearsal.state import State

#: Flow by gravity through a pipe of this size of plant, m³/s: 10 L/min (common practice, no source).
FALL_M3S: Final = 10.0 / 60_000.0
#: A level less than this above a mouth is level with it, m; and a volume that is as good as none, m³.
LEVEL_M: Final = 1e-6
NONE_M3: Final = 1e-9


@dataclass(frozen=True)
class Flow:
    """One flow: from a port or supply into a port or out of a spout, driven by a pump, gravity or supply."""

    source: str
    outlet: str
    destination: str
    inlet: str
    driver: str
    rate_m3s: float
    lines: frozenset[str]
    inline: frozenset[str] = frozenset()
    siphon: bool = False


@dataclass(frozen=True)
class PumpState:
    """A running pump: the vessels it draws from, the nodes it draws air from, where it delivers."""

    pump: str
    sources: tuple[Way, ...]
    air: tuple[Way, ...]
    receivers: tuple[Way, ...]


class Hydraulics:
    """Flows of one plant's states. ``injection_m3s`` is the most that a throttle lets through."""

    def __init__(self, plant: Plant, injection_m3s: float = FALL_M3S) -> None:
        self.plant = plant
        self.piping = Piping(plant)
        self.injection_m3s = injection_m3s
        self._levels: dict[tuple[str, float], float] = {}
        self._known: list[tuple[State, tuple[Flow, ...]]] = []

    def setting(self, state: State) -> Setting:
        """What decides which ways are open."""
        return self.piping.setting(state.positions, state.hoses, state.running)

    def surface_m(self, state: State, vessel: str) -> float:
        """Height of a vessel's liquid above the floor, m."""
        key = (vessel, state.volume_m3(vessel))
        if key not in self._levels:
            tank = self.plant.tanks[vessel]
            volume_m3 = min(key[1], tank.shape.capacity_m3())
            self._levels[key] = tank.vessel.elevation_m + tank.shape.level_at(volume_m3)
        return self._levels[key]

    def flows(self, state: State) -> tuple[Flow, ...]:
        """Every flow of a state. The last few are remembered: a step's checks ask for them again."""
        for known, found in self._known:
            if known is state:
                return found
        made = self._flows(state)
        self._known = [(state, made), *self._known[:2]]
        return made

    def _flows(self, state: State) -> tuple[Flow, ...]:
        setting = self.setting(state)
        surfaces = {vessel: self.surface_m(state, vessel) for vessel in state.contents}
        pumped = [flow for pump in self.pumps(state) for flow in self._pumped(state, pump)]
        return (*pumped, *self._falls(state, setting, surfaces), *self._supplied(setting))

    def pumps(self, state: State) -> tuple[PumpState, ...]:
        """Every running pump with what stands open before and behind it."""
        return tuple(self._pump(state, pump) for pump in sorted(state.running))

    def _pump(self, state: State, pump: str) -> PumpState:
        setting, network = self.setting(state), self.piping.network
        sources: list[Way] = []
        air: list[Way] = []
        for way in self.piping.ways(setting, f"{pump}.in", backwards=True):
            vessel = network.vessel_of(way.end)
            wet = network.is_supply(way.end) or (vessel is not None and self._gives(state, way.end))
            (sources if wet else air).append(way)
        receivers = [
            way for way in self.piping.ways(setting, f"{pump}.out") if not network.is_supply(way.end)
        ]
        return PumpState(pump, tuple(sources), tuple(air), tuple(receivers))

    def _gives(self, state: State, node: str) -> bool:
        """Whether liquid stands over a port's mouth, so that it can be drawn."""
        vessel = node.partition(".")[0]
        if state.volume_m3(vessel) <= NONE_M3:
            return False
        surface_m = self.surface_m(state, vessel)
        return any(
            port == node and surface_m > mouth_m + LEVEL_M for port, mouth_m in self.piping.drawing[vessel]
        )

    def _pumped(self, state: State, pump: PumpState) -> Iterator[Flow]:
        if not pump.sources or not pump.receivers:
            return
        rate = min([self.plant.profile.pumps[pump.pump].flow_m3s, *self._restricted(pump.receivers)])
        slow = [way for way in pump.sources if self._throttled(state, way)]
        fast = [way for way in pump.sources if way not in slow]
        each_slow = min(self.injection_m3s, rate / len(pump.sources))
        for way in pump.sources:
            drawn = each_slow if way in slow else (rate - each_slow * len(slow)) / len(fast)
            for end in pump.receivers:
                yield self._flow(way, end, pump.pump, drawn / len(pump.receivers))

    def _restricted(self, ways: tuple[Way, ...]) -> list[float]:
        lines = self.plant.profile.lines
        parts = [lines[p.id].restrictor for way in ways for p in way.passages if p.kind == "line"]
        return [part.flow_m3s for part in parts if part is not None]

    def _throttled(self, state: State, way: Way) -> bool:
        return any(valve in state.throttled for p in way.passages for valve in p.valves)

    def _flow(self, way: Way, end: Way, driver: str, rate: float) -> Flow:
        return Flow(
            self._owner(way.end),
            way.end,
            self._owner(end.end),
            end.end,
            driver,
            rate,
            way.lines | end.lines,
            way.inline | end.inline,
        )

    def _owner(self, node: str) -> str:
        network = self.piping.network
        return network.vessel_of(node) or (spout_id(node) if network.is_spout(node) else node)

    def _falls(self, state: State, setting: Setting, surfaces: dict[str, float]) -> Iterator[Flow]:
        """What gravity moves: down along the lowest way, or over a hump that stands full since a pump ran."""
        for vessel, surface_m in surfaces.items():
            if state.volume_m3(vessel) <= NONE_M3:
                continue
            for port, mouth_m in self.piping.drawing[vessel]:
                if surface_m <= mouth_m + LEVEL_M:
                    continue
                for way in self.piping.ways(setting, port):
                    flow = self._fall(state, surfaces, port, surface_m, way)
                    if flow is not None:
                        yield flow

    def _fall(
        self, state: State, surfaces: dict[str, float], port: str, surface_m: float, way: Way
    ) -> Flow | None:
        network, piping = self.piping.network, self.piping
        vessel, there = port.partition(".")[0], network.vessel_of(way.end)
        if there == vessel or network.is_supply(way.end):
            return None
        humps = [way.peak_m, piping.shell_m(port)]
        back_m = -1.0
        if there is not None:
            back_m = max(piping.mouth_m(way.end), surfaces[there])
            humps.append(piping.shell_m(way.end))
        if surface_m <= back_m + LEVEL_M:
            return None
        siphon = surface_m <= max(humps) + LEVEL_M
        if siphon and not way.lines <= state.primed:
            return None
        rate = min([FALL_M3S, *self._restricted((way,))])
        if self._throttled(state, way):
            rate = min(rate, self.injection_m3s)
        end = self._owner(way.end)
        return Flow(vessel, port, end, way.end, "gravity", rate, way.lines, way.inline, siphon)

    def _supplied(self, setting: Setting) -> Iterator[Flow]:
        for supply, part in self.plant.profile.supplies.items():
            ends = self.piping.ways(setting, supply)
            for way in ends:
                if not self.piping.network.is_supply(way.end):
                    rate = part.flow_m3s / len(ends)
                    yield Flow(supply, supply, self._owner(way.end), way.end, "supply", rate, way.lines)
