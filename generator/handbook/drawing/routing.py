"""Which pieces of line a stream takes through a layout, and which way it goes along each nozzle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from generator.handbook.drawing.placed import Key, Layout, Line, Point


def taken(layout: Layout, courses: Iterable[Sequence[Key]]) -> tuple[list[Line], dict[Key, bool]]:
    """Lines on the way, and by nozzle whether liquid leaves its item there.

    A course is the nozzles it passes in order. One that ends inside a net (a second source let into a header)
    goes on to where the first course leaves that net.
    """
    lines: dict[Line, None] = {}
    leaves: dict[Key, bool] = {}
    exits: dict[str, Key] = {}
    net_of = {line.nozzle: line.net for line in layout.lines if line.nozzle is not None}
    for course in courses:
        for one, other in _pairs(course, net_of, exits):
            leaves[one], leaves[other] = True, False
            exits.setdefault(net_of[one], other)
            lines.update(dict.fromkeys(_between(layout, net_of[one], one, other)))
    return list(lines), leaves


def _pairs(course: Sequence[Key], net_of: dict[Key, str], exits: dict[str, Key]) -> Iterator[tuple[Key, Key]]:
    """Where a course enters and leaves each net."""
    known = [key for key in course if key in net_of]
    for one, other in pairwise(known):
        if net_of[one] == net_of[other]:
            yield one, other
    if known and (len(known) == 1 or net_of[known[-2]] != net_of[known[-1]]) and net_of[known[-1]] in exits:
        yield known[-1], exits[net_of[known[-1]]]


def _between(layout: Layout, net: str, one: Key, other: Key) -> list[Line]:
    """The lines of a net from one nozzle's port to another's."""
    around: dict[Point, list[Line]] = {}
    for line in layout.lines:
        if line.net == net:
            for point in (line.start, line.end):
                around.setdefault(point, []).append(line)
    start, goal = _port(layout, one), _port(layout, other)
    back: dict[Point, tuple[Point, Line]] = {}
    waiting = [start]
    seen = {start}
    for point in waiting:
        for line in around[point]:
            far = line.end if line.start == point else line.start
            if far not in seen:
                seen.add(far)
                back[far] = (point, line)
                waiting.append(far)
    path: list[Line] = []
    at = goal
    while at != start:
        at, line = back[at]
        path.append(line)
    return path[::-1]


def _port(layout: Layout, nozzle: Key) -> Point:
    """Where a nozzle's column begins at its item: its lines are drawn from there."""
    return next(line.start for line in layout.lines if line.nozzle == nozzle)
