"""A finished layout: symbols, labels and lines with their coordinates, y downwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generator.handbook.drawing.parts import Item, Nozzle, Style

Point = tuple[float, float]
Key = tuple[str, str, str]


@dataclass(frozen=True)
class Box:
    """A rectangle; ``what`` says whose."""

    left: float
    top: float
    right: float
    bottom: float
    what: str = ""

    def meets(self, other: Box) -> bool:
        """Whether two boxes share any area."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom

    def hit_by(self, line: Line) -> bool:
        """Whether a line runs through the box, its edge not counted."""
        low_x, high_x = sorted((line.start[0], line.end[0]))
        low_y, high_y = sorted((line.start[1], line.end[1]))
        if line.level:
            return self.top < low_y < self.bottom and low_x < self.right and self.left < high_x
        return self.left < low_x < self.right and low_y < self.bottom and self.top < high_y


@dataclass(frozen=True)
class Line:
    """A straight piece of a line, level or upright; ``nozzle`` is whose column it is, if any."""

    net: str
    start: Point
    end: Point
    style: Style
    nozzle: Key | None = None

    @property
    def level(self) -> bool:
        return self.start[1] == self.end[1]

    @property
    def long(self) -> float:
        return abs(self.start[0] - self.end[0]) + abs(self.start[1] - self.end[1])


@dataclass(frozen=True)
class Label:
    """A painted label's lines in their box."""

    lines: tuple[str, ...]
    box: Box


@dataclass(frozen=True)
class Symbol:
    """``turn`` is in degrees clockwise from a pipe that leaves the item to the right."""

    kind: str
    id: str
    x: float
    y: float
    turn: int
    box: Box
    state: str = ""
    away: bool = True
    nozzle: Key | None = None
    item: Item | None = None
    legs: Mapping[str, str] | None = None


@dataclass(frozen=True)
class Vessel:
    """A vessel's middle and the level of its lowest point.

    Dip pipes are (x, height), elements (left, right, y).
    """

    item: Item
    x: float
    base: float
    box: Box
    dips: tuple[tuple[float, float], ...] = ()
    elements: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Arrow:
    """An arrowhead whose tip points along ``turn`` (0 right, 90 down)."""

    x: float
    y: float
    turn: int
    nozzle: Nozzle


@dataclass(frozen=True)
class Layout:
    """Everything of one drawing with its place."""

    width: float
    height: float
    vessels: tuple[Vessel, ...]
    symbols: tuple[Symbol, ...]
    labels: tuple[Label, ...]
    lines: tuple[Line, ...]
    arrows: tuple[Arrow, ...]
