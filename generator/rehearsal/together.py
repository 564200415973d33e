"""Which transfers may run at the same time, and why not: by pumps, vessels and valves, then by the model."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from generator.plant.lineup import LineUp
from generator.rehearsal.filled import filled
from generator.rehearsal.model import Model
from generator.rehearsal.wrong_valve import lined_up

Reason = Literal["", "pump", "vessel", "hose", "valve", "flow"]


@dataclass(frozen=True)
class Together:
    """Two line-ups at once. ``reason`` is empty where they may run together.

    pump, vessel, hose: both need it · valve: one needs it otherwise than the other · flow: set together they
    let liquid go where neither wants it. ``parts`` are the ids concerned.
    """

    one: str
    other: str
    reason: Reason = ""
    parts: tuple[str, ...] = ()

    @property
    def allowed(self) -> bool:
        return not self.reason


def together(model: Model, line_ups: Iterable[LineUp]) -> tuple[Together, ...]:
    """Every pair of line-ups, in their order."""
    return tuple(_pair(model, one, other) for one, other in combinations(line_ups, 2))


def _pair(model: Model, one: LineUp, other: LineUp) -> Together:
    for reason, parts in _reasons(model, one, other):
        if parts:
            return Together(one.id, other.id, reason, tuple(sorted(parts)))
    return Together(one.id, other.id)


def _reasons(model: Model, one: LineUp, other: LineUp) -> Iterator[tuple[Reason, set[str]]]:
    yield "pump", {one.pump} if one.pump is not None and one.pump == other.pump else set()
    yield "vessel", set(_vessels(one) & _vessels(other))
    ends = [{end.hose for end in line_up.hoses} for line_up in (one, other)]
    yield "hose", ends[0] & ends[1]
    wanted = [_positions(line_up) for line_up in (one, other)]
    yield "valve", {v for v in wanted[0].keys() & wanted[1].keys() if wanted[0][v] != wanted[1][v]}
    yield "flow", _astray(model, one, other)


def _vessels(line_up: LineUp) -> frozenset[str]:
    ends = {end for stream in line_up.streams for end in (stream.source, stream.destination)}
    return line_up.wetted | ends


def _positions(line_up: LineUp) -> Mapping[str, str]:
    return {
        **dict.fromkeys(line_up.open, "open"),
        **dict.fromkeys((*line_up.touching, *line_up.guard), "closed"),
        **line_up.positions,
    }


def _astray(model: Model, one: LineUp, other: LineUp) -> set[str]:
    """What gets wet with both set and their pumps running, and is neither's."""
    state = filled(model)
    for line_up in (one, other):
        state = lined_up(state, line_up, running=True)
    apart = [_vessels(line_up) for line_up in (one, other)]
    return {
        part
        for flow in model.hydraulics.flows(state)
        for part in (flow.source, flow.destination)
        if not any({flow.source, flow.destination} <= vessels for vessels in apart)
    }
