"""Where lines meet: dots at tees, hops where one line crosses another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from generator.handbook.drawing.placed import Line, Point


def dots(lines: Iterable[Line]) -> Iterator[tuple[Point, bool]]:
    """Points where three lines or more of one net meet; False where they are a hose's, one used at a time."""
    ends: dict[tuple[str, Point], list[Line]] = {}
    for line in lines:
        for point in (line.start, line.end):
            ends.setdefault((line.net, point), []).append(line)
    for (_, point), meeting in ends.items():
        if len(meeting) > 2:
            yield point, not all(line.style == "hose" for line in meeting)


def crossings(lines: Iterable[Line]) -> Iterator[tuple[Line, Line, Point]]:
    """Every place where a level line crosses an upright one of another net."""
    every = list(lines)
    upright = sorted((line for line in every if not line.level), key=lambda line: line.start[0])
    for level in every:
        if not level.level:
            continue
        low, high = sorted((level.start[0], level.end[0]))
        for line in upright:
            x = line.start[0]
            if x <= low or line.net == level.net:
                continue
            if x >= high:
                break
            bottom, top = sorted((line.start[1], line.end[1]))
            if bottom < level.start[1] < top:
                yield level, line, (x, level.start[1])


def hops(lines: Iterable[Line]) -> dict[Line, list[float]]:
    """By level line, the places at which it hops."""
    found: dict[Line, list[float]] = {}
    for level, _, (x, _) in crossings(lines):
        found.setdefault(level, []).append(x)
    return found
