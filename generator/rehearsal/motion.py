"""Time passes: liquid moves as it flows, vessels warm and cool, what rests parts into layers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from generator.rehearsal import meeting
from generator.rehearsal.flows import NONE_M3, Flow
from generator.rehearsal.liquids import added, drawn, rested, stirred
from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.state import Contents, State
from generator.rehearsal.violation import Fault
from generator.rehearsal.warmth import boiled, warmed

#: Rest in which layers part, s (common practice, no source); and rest that hardly cools, s.
PARTS_S: Final = 1800.0
BRIEF_S: Final = 60.0
#: Two levels that run together are followed in steps of this, s.
TOGETHER_S: Final = 60.0
MOST_TURNS: Final = 2000


@dataclass(frozen=True)
class Goal:
    """When a transfer is over; see ``generator.operations.acts.goal`` for the kinds."""

    kind: str
    source: str
    destination: str
    volume_m3: float = 0.0
    or_layer: bool = False


@dataclass(frozen=True)
class Moved:
    """A state after a time, what was wrong on the way, and whether the goal was reached."""

    state: State
    faults: tuple[Fault, ...] = ()
    reached: bool = True


def advance(model: Model, state: State, time_s: float, goal: Goal | None = None) -> Moved:
    """The plant after a time, or as soon as the goal is reached."""
    left_s, faults, touched, reached = time_s, dict[Fault, None](), set[str](), goal is None
    for _ in range(MOST_TURNS):
        flows = model.hydraulics.flows(state)
        if goal is not None and _remaining(model, state, goal, flows) <= NONE_M3:
            reached = True
            break
        if left_s <= 0.0:
            break
        turn_s = _turn_s(model, state, flows, goal, left_s)
        state, wrong = _turned(model, state, flows, turn_s)
        touched |= {part for flow in flows for part in (flow.source, flow.destination)}
        faults |= dict.fromkeys(wrong)
        left_s -= turn_s
    if time_s >= PARTS_S and goal is None:
        state = _parted(model, state, touched)
    return Moved(state, tuple(faults), reached)


def _parted(model: Model, state: State, touched: set[str]) -> State:
    at_rest = {
        vessel: rested(contents, model.nature)
        for vessel, contents in state.contents.items()
        if vessel not in touched and len(contents.layers) == 1
    }
    return replace(state, contents={**state.contents, **at_rest})


def _turn_s(model: Model, state: State, flows: tuple[Flow, ...], goal: Goal | None, left_s: float) -> float:
    """How long the flows stay as they are: until a source runs down, a goal is reached, levels have moved."""
    turn_s = left_s
    for flow in flows:
        if flow.source == flow.destination or flow.source not in state.contents:
            continue
        share_s = _above_m3(model, state, flow.outlet) / _rate(flows, flow.outlet)
        turn_s = min(turn_s, share_s)
        if flow.driver == "gravity" and flow.destination in state.contents:
            turn_s = min(turn_s, TOGETHER_S)
    if goal is not None:
        rate = _net(flows, goal)
        if rate > 0.0:
            turn_s = min(turn_s, _remaining(model, state, goal, flows) / rate)
    return max(turn_s, 1e-3)


def _rate(flows: tuple[Flow, ...], outlet: str) -> float:
    return sum(flow.rate_m3s for flow in flows if flow.outlet == outlet)


def _net(flows: tuple[Flow, ...], goal: Goal) -> float:
    into = sum(f.rate_m3s for f in flows if f.destination == goal.destination != f.source)
    out = sum(f.rate_m3s for f in flows if f.source == goal.source != f.destination)
    return into if goal.kind in ("holds", "taken") else out


def _above_m3(model: Model, state: State, outlet: str) -> float:
    """Volume over a port's mouth, m³."""
    vessel, _, port = outlet.partition(".")
    return max(0.0, state.volume_m3(vessel) - model.tank(vessel).heel_m3(port))


def _remaining(model: Model, state: State, goal: Goal, flows: tuple[Flow, ...]) -> float:
    """Volume still to go until the goal, m³."""
    if goal.or_layer and len(state.contents[goal.source].layers) > 1:
        measured = replace(goal, or_layer=False)
        line = Goal("layer", goal.source, goal.destination)
        return min(_remaining(model, state, part, flows) for part in (measured, line))
    source, destination = goal.source, goal.destination
    if goal.kind == "holds":
        return goal.volume_m3 - state.volume_m3(destination)
    if goal.kind == "taken":
        return goal.volume_m3 - (state.volume_m3(destination) - state.since.get(destination, 0.0))
    if goal.kind == "given":
        return goal.volume_m3 - (state.since.get(source, 0.0) - state.volume_m3(source))
    outlets = {flow.outlet for flow in flows if flow.source == source != flow.destination}
    above = [_above_m3(model, state, outlet) for outlet in outlets]
    if goal.kind == "layer" and len(state.contents[source].layers) > 1:
        upper = state.contents[source].layers[-1].volume_m3(state.contents[source].temperature_c)
        return max((volume - upper for volume in above), default=0.0)
    return 0.0 if goal.kind == "layer" else max(above, default=0.0)


def _turned(
    model: Model, state: State, flows: tuple[Flow, ...], turn_s: float
) -> tuple[State, tuple[Fault, ...]]:
    contents, away, brought = dict(state.contents), state.away, state.brought
    faults: list[Fault] = []
    for flow in flows:
        if flow.source == flow.destination:
            contents[flow.source] = stirred(contents[flow.source], model.nature)
            continue
        mix, warm_c, fresh = _taken(model, contents, flow, flow.rate_m3s * turn_s)
        brought += fresh
        if mix.total_kg <= 0.0:
            continue
        if flow.destination not in contents:
            away += mix
            continue
        there = contents[flow.destination]
        faults += meeting.faults(model, flow.destination, there, mix, warm_c)
        contents[flow.destination] = added(there, mix, warm_c, model.nature)
        away += _overflowed(model, contents, flow.destination)
    lines = frozenset(line for f in flows if f.driver != "gravity" or f.siphon for line in f.lines)
    state = replace(
        state,
        contents=contents,
        away=away,
        brought=brought,
        primed=state.primed | lines,
        time_s=state.time_s + turn_s,
    )
    if turn_s >= BRIEF_S:
        state = warmed(model, state, turn_s)
        stirring = {flow.source for flow in flows if flow.source == flow.destination}
        for vessel in state.contents:
            state = boiled(model, state, vessel, turn_s, vessel in stirring)
    return state, tuple(faults)


def _taken(
    model: Model, contents: dict[str, Contents], flow: Flow, volume_m3: float
) -> tuple[Mix, float, Mix]:
    """What a flow takes from its source, its temperature (°C), and what of it came from outside."""
    if flow.source not in contents:
        mix = model.water(volume_m3)
        return mix, model.ambient_c, mix
    tank = model.tank(flow.source)
    mouth_m = tank.vessel.ports[flow.outlet.partition(".")[2]].mouth_m
    kept, mix = drawn(contents[flow.source], tank, mouth_m, volume_m3)
    contents[flow.source] = kept
    return mix, kept.temperature_c, Mix()


def _overflowed(model: Model, contents: dict[str, Contents], vessel: str) -> Mix:
    """What no longer fits into a vessel; taken out of it."""
    held = contents[vessel]
    capacity_m3 = model.tank(vessel).shape.capacity_m3()
    if held.volume_m3 <= capacity_m3:
        return Mix()
    gone = held.mix.share(1.0 - capacity_m3 / held.volume_m3)
    contents[vessel] = Contents((held.mix - gone,), held.temperature_c)
    return gone


def snapshot(state: State) -> Mapping[str, float]:
    """Volume of every vessel, m³."""
    return {vessel: contents.volume_m3 for vessel, contents in state.contents.items()}
