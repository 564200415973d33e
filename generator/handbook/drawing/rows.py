"""Rows of vessels: what place each takes from the left, and where lines rise between them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.handbook.drawing.frames import ZONES, Frame
from generator.handbook.drawing.sizes import Extent

APART = 14.0
RISER = 12.0
CLEAR = 9.0
NUDGE = 2.0


@dataclass(frozen=True)
class Riser:
    """A net's line from the channel over a row to the one under it, at ``x``."""

    net: str
    row: int
    x: float


@dataclass(frozen=True)
class PlacedFrame:
    """A frame with its middle at ``x``; columns count from there."""

    frame: Frame
    x: float


def taken_from_above(placed: Iterable[PlacedFrame], risers: Iterable[Riser]) -> list[tuple[float, str]]:
    """Lines that come into the channel under a row: x and net."""
    columns = [
        (item.x + column.x, column.nozzle.net)
        for item in placed
        for column in item.frame.columns
        if not column.upwards and column.nozzle.net is not None
    ]
    return columns + [(riser.x, riser.net) for riser in risers]


def clear(x: float, net: str, taken: Sequence[tuple[float, str]]) -> bool:
    """Whether a line at ``x`` keeps clear of every other net's."""
    return all(abs(x - other) >= CLEAR or (net == mine and x == other) for other, mine in taken)


def row(
    frames: Sequence[Frame],
    gaps: Mapping[int, Sequence[str]],
    number: int,
    taken: Sequence[tuple[float, str]],
) -> tuple[list[PlacedFrame], list[Riser]]:
    """Places a row from left to right; ``gaps`` has the nets that rise before each vessel or after the last.

    ``taken`` are the lines that come from above into the channel over this row.
    """
    right = dict.fromkeys(ZONES, 0.0)
    placed: list[PlacedFrame] = []
    risers: list[Riser] = []
    for index in range(len(frames) + 1):
        edge = max(right.values()) + RISER if placed else 0.0
        for net in gaps.get(index, ()):
            while not clear(edge, net, taken):
                edge += NUDGE
            risers.append(Riser(net, number, edge))
            edge += RISER
        if index == len(frames):
            break
        frame = frames[index]
        x = max(right[zone] + frame.room[zone].left for zone in ZONES) + APART
        if gaps.get(index):
            x = max(x, edge + max(frame.room[zone].left for zone in ZONES))
        x = _nudged(frame, float(round(x)), taken)
        placed.append(PlacedFrame(frame, x))
        right = {zone: x + frame.room[zone].right for zone in ZONES}
    return placed, risers


def _nudged(frame: Frame, x: float, taken: Sequence[tuple[float, str]]) -> float:
    lines = [(column.x, str(column.nozzle.net)) for column in frame.columns if column.upwards]
    while not all(clear(x + offset, net, taken) for offset, net in lines):
        x += NUDGE
    return x


def shifted(placed: Iterable[PlacedFrame], by: float) -> list[PlacedFrame]:
    """The same row moved sideways."""
    return [PlacedFrame(item.frame, item.x + by) for item in placed]


def room_of(frame: Frame) -> Extent:
    """Room a frame takes over all its zones."""
    return Extent(
        max(extent.left for extent in frame.room.values()),
        max(extent.right for extent in frame.room.values()),
    )
