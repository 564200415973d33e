"""For each line-up, each single valve left in a wrong position: where the liquid goes, how bad it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from generator.plant.lineup import LineUp
from generator.rehearsal.filled import filled
from generator.rehearsal.flows import Flow
from generator.rehearsal.meeting import faults, holds_methanol
from generator.rehearsal.model import Model
from generator.rehearsal.state import State

#: Worst first. danger: a flow does harm · spoils: another vessel's liquid gets in or out · stops: the
#: transfer does not go, or the pump runs dry or against closed valves.
Severity = Literal["danger", "spoils", "stops"]
SEVERITIES: Final[tuple[Severity, ...]] = ("danger", "spoils", "stops")
#: What a flow may do, worst first: ids of what must not meet (``rehearsal-…`` without the prefix), methanol
#: that runs out or gets to where none was, anything else that runs out.
HARMS: Final = (
    *("water-in-methoxide", "acid-meets-lye", "hot-receiver"),
    *("methanol-out", "methanol-astray", "wet-oil", "out"),
)
Pair = tuple[str, str]


@dataclass(frozen=True)
class Harm:
    """What the flow from ``source`` to ``destination`` (a vessel or a spout) does: one of HARMS."""

    rule: str
    source: str
    destination: str


@dataclass(frozen=True)
class WrongValve:
    """One valve of one line-up in a ``position`` that is wrong.

    goes: flows that the line-up does not want, as (from, to) · lost: those it wants and does not get ·
    running: whether the pump runs, or everything is set and it still stands · harms: what the flows do.
    """

    line_up: str
    valve: str
    position: str
    running: bool
    goes: tuple[Pair, ...]
    lost: tuple[Pair, ...]
    pump: Literal["", "dry", "dead_head"]
    harms: tuple[Harm, ...]

    @property
    def severity(self) -> Severity:
        return "danger" if self.harms else "spoils" if self.goes else "stops"


def wrong_valves(model: Model, line_ups: Iterable[LineUp]) -> Iterator[WrongValve]:
    """Every row that matters, line-up by line-up, valves in the profile's order."""
    usual = filled(model)
    for line_up in line_ups:
        for running in (True, False) if line_up.pump else (False,):
            state = lined_up(usual, line_up, running=running)
            right = _pairs(model.hydraulics.flows(state))
            for valve, position in _wrong(model, state.positions):
                row = _row(model, state, line_up, running, right, valve, position)
                if row is not None:
                    yield row


def lined_up(state: State, line_up: LineUp, *, running: bool) -> State:
    """A state with a line-up set, its pump running or not, its throttle at its setting."""
    positions = {
        **state.positions,
        **dict.fromkeys(line_up.open, "open"),
        **dict.fromkeys((*line_up.touching, *line_up.guard), "closed"),
        **line_up.positions,
    }
    hoses = {**state.hoses, **{end.hose: end.port for end in line_up.hoses}}
    throttled = frozenset({line_up.throttle}) if line_up.throttle else frozenset[str]()
    pumps = frozenset({line_up.pump}) if running and line_up.pump else frozenset[str]()
    return replace(
        state,
        positions=positions,
        hoses=hoses,
        throttled=state.throttled | throttled,
        running=state.running | pumps,
    )


def _wrong(model: Model, positions: Mapping[str, str]) -> Iterator[Pair]:
    for valve, described in model.plant.profile.valves.items():
        if described.kind != "check":
            for position in described.positions or ("open", "closed"):
                if position != positions[valve]:
                    yield valve, position


def _pairs(flows: Iterable[Flow]) -> dict[Pair, Flow]:
    return {(flow.source, flow.destination): flow for flow in flows}


def _row(
    model: Model,
    state: State,
    line_up: LineUp,
    running: bool,
    right: Mapping[Pair, Flow],
    valve: str,
    position: str,
) -> WrongValve | None:
    wrong = replace(state, positions={**state.positions, valve: position})
    flows = _pairs(model.hydraulics.flows(wrong))
    mine = {part for pair in right for part in pair} | line_up.wetted
    goes = tuple(pair for pair in flows if pair not in right and mine & set(pair))
    lost = tuple(pair for pair in right if pair not in flows)
    pump = _trouble(model, wrong)
    if not goes and not lost and not pump:
        return None
    harms = tuple(Harm(rule, *pair) for pair in goes for rule in _harms(model, wrong, pair))
    return WrongValve(line_up.id, valve, position, running, goes, lost, pump, harms)


def _trouble(model: Model, state: State) -> Literal["", "dry", "dead_head"]:
    for pump in model.hydraulics.pumps(state):
        if not pump.receivers:
            return "dead_head"
        if pump.air or not pump.sources:
            return "dry"
    return ""


def _harms(model: Model, state: State, pair: Pair) -> Iterator[str]:
    """What a flow does that must not be."""
    source, destination = pair
    if source == destination:
        return
    comes = state.contents.get(source)
    mix = comes.mix if comes else model.water(1e-2)
    warm_c = comes.temperature_c if comes else model.ambient_c
    if destination not in state.contents:
        yield "methanol-out" if holds_methanol(mix) else "out"
        return
    there = state.contents[destination]
    yield from dict.fromkeys(fault.rule for fault in faults(model, destination, there, mix, warm_c))
    if holds_methanol(mix) and not holds_methanol(there.mix):
        yield "methanol-astray"
