"""Scores a layout as an engineer would: what overlaps, what runs through what, how many lines cross."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, product

from generator.handbook.drawing.marks_on_lines import crossings
from generator.handbook.drawing.placed import Box, Layout, Line

# Two parallel lines closer than this read as one; a line may touch a box's edge.
CLOSE = 7.0
TOUCH = 2.0
SKIN = 0.5


@dataclass(frozen=True)
class Score:
    """``faults`` are to be none; ``crossings`` is counted."""

    faults: tuple[str, ...]
    crossings: int


def score(layout: Layout) -> Score:
    """All that is wrong with a layout, worked out from its coordinates alone."""
    faults = [
        *_overlaps(layout),
        *_run_through(layout),
        *_inside_vessels(layout),
        *_run_along(layout),
        *_touch(layout),
        *_outside(layout),
    ]
    return Score(tuple(faults), len(list(crossings(layout.lines))))


def _inner(box: Box) -> Box:
    return Box(box.left + SKIN, box.top + SKIN, box.right - SKIN, box.bottom - SKIN, box.what)


def _boxes(layout: Layout) -> list[tuple[str, Box]]:
    symbols = [(f"symbol {s.kind} {s.box.what}", s.box) for s in layout.symbols]
    return symbols + [(f"label {' '.join(label.lines)}", label.box) for label in layout.labels]


def _overlaps(layout: Layout) -> Iterator[str]:
    for (name, box), (other_name, other) in combinations(_boxes(layout), 2):
        if _inner(box).meets(_inner(other)):
            yield f"{name} overlaps {other_name}"
    shells = [(v.item.id, v.box) for v in layout.vessels]
    for (name, box), (other_name, other) in combinations(shells, 2):
        if box.meets(other):
            yield f"vessel {name} overlaps {other_name}"
    inside = {f"{label.box.what}" for label in layout.labels}
    for name, box in _boxes(layout):
        for id_, shell in shells:
            own = box.what in (id_, f"{id_}.heater") and box.what in inside
            if not own and _inner(box).meets(_inner(shell)):
                yield f"{name} lies in vessel {id_}"
            if own and not (shell.left < box.left and box.right < shell.right and box.bottom < shell.bottom):
                yield f"{name} sticks out of vessel {id_}"


def _run_through(layout: Layout) -> Iterator[str]:
    for line in layout.lines:
        for symbol in layout.symbols:
            own = symbol.nozzle == line.nozzle if symbol.nozzle else _ends_at(line, symbol.box)
            if not own and _inner(symbol.box).hit_by(line):
                yield f"line of {line.net} runs through symbol {symbol.kind} {symbol.box.what}"
        for label in layout.labels:
            if _inner(label.box).hit_by(line) and not _ends_at(line, label.box):
                yield f"line of {line.net} runs through label {' '.join(label.lines)}"
        for vessel in layout.vessels:
            own = line.nozzle is not None and line.nozzle[0] == vessel.item.id
            if not own and _inner(vessel.box).hit_by(line):
                yield f"line of {line.net} runs through vessel {vessel.item.id}"


def _inside_vessels(layout: Layout) -> Iterator[str]:
    for vessel, label in product(layout.vessels, layout.labels):
        box, name = _inner(label.box), " ".join(label.lines)
        for x, height in vessel.dips:
            if box.hit_by(Line("dip", (x, vessel.box.top), (x, vessel.base - height), "pipe")):
                yield f"dip pipe of {vessel.item.id} runs through label {name}"
        for left, right, y in vessel.elements:
            if Box(left, y, right, y + 6).meets(box):
                yield f"element of {vessel.item.id} runs through label {name}"


def _ends_at(line: Line, box: Box) -> bool:
    """Whether the line begins or ends at the box: it leads there and not through."""
    wide = Box(box.left - 1, box.top - 1, box.right + 1, box.bottom + 1)
    return any(
        wide.left <= x <= wide.right and wide.top <= y <= wide.bottom for x, y in (line.start, line.end)
    )


def _run_along(layout: Layout) -> Iterator[str]:
    for line, other in combinations(layout.lines, 2):
        if line.net == other.net or line.level != other.level:
            continue
        across = 1 if line.level else 0
        along = 1 - across
        apart = abs(line.start[across] - other.start[across])
        low = max(min(line.start[along], line.end[along]), min(other.start[along], other.end[along]))
        high = min(max(line.start[along], line.end[along]), max(other.start[along], other.end[along]))
        if apart < CLOSE and high - low > 0:
            yield f"lines of {line.net} and {other.net} run along each other"


def _touch(layout: Layout) -> Iterator[str]:
    """A line that ends on another net's line reads as joined to it."""
    for line, other in product(layout.lines, repeat=2):
        if line.net != other.net:
            low_x, high_x = sorted((other.start[0], other.end[0]))
            low_y, high_y = sorted((other.start[1], other.end[1]))
            for x, y in (line.start, line.end):
                if low_x - TOUCH < x < high_x + TOUCH and low_y - TOUCH < y < high_y + TOUCH:
                    yield f"line of {line.net} touches line of {other.net}"


def _outside(layout: Layout) -> Iterator[str]:
    for name, box in _boxes(layout):
        if box.left < 0 or box.top < 0 or box.right > layout.width or box.bottom > layout.height:
            yield f"{name} lies outside"
