"""The fill-marks card of a vessel with a gauge: a level drawing with its marks, each as volume and level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import vessel_lines
from generator.handbook.levels import at_mark
from generator.handbook.marks import parts_of
from generator.operations.steps import plain
from generator.plant.plant import Tank
from generator.profile.vessels import HorizontalCylinder, VerticalCylinder

INSET, ROUND = 2.0, 6.0


@dataclass(frozen=True)
class Layout:
    """Room on a paper, mm: the drawing's height (never above ``tallest``) and width, and that of one lying.

    ``rows`` is the height of a mark's words: on one line, in two units, or on two lines where one would hold
    more than ``longest`` characters.
    """

    height: float
    tallest: float
    width: float
    lying: float
    lead: float
    rows: Mapping[str, float]
    longest: int


WIDE_ROWS = {"one": 22.0, "both": 25.0, "two": 28.0}
NARROW_ROWS = {"one": 20.0, "both": 23.0, "two": 27.0}
LAYOUTS = {
    "A4": Layout(160.0, 170.0, 56.0, 80.0, 10.0, WIDE_ROWS, 22),
    "Letter": Layout(140.0, 150.0, 56.0, 80.0, 10.0, WIDE_ROWS, 22),
    "A5": Layout(96.0, 102.0, 24.0, 36.0, 7.0, NARROW_ROWS, 21),
    "half_Letter": Layout(96.0, 108.0, 20.0, 32.0, 7.0, NARROW_ROWS, 19),
}


@dataclass(frozen=True)
class Mark:
    """One fill mark, in words; ``lines`` are read from the top, each of the pieces volume and level.

    ``other`` is the same in the plant's second units, empty where it has one system only.
    """

    kind: str
    what: str
    height_m: float
    lines: tuple[tuple[str, ...], ...]
    other: tuple[str, ...]


@dataclass(frozen=True)
class Placed:
    """A mark on its drawing: ``y`` is where its line stands, ``row`` the middle of its words, ``gap`` the
    space left above them; all in mm from the drawing's top.
    """

    mark: Mark
    y: float
    row: float
    gap: float


def marks_cards(book: Book) -> list[Card]:
    """A card for every vessel with a gauge and at least one mark."""
    cards = []
    for tank in book.plant.tanks.values():
        if tank.vessel.gauge is not None:
            card = _card(Desk(book), tank)
            if card is not None:
                cards.append(card)
    return cards


def _card(desk: Desk, tank: Tank) -> Card | None:
    texts = words()["marks"]
    layout = LAYOUTS[desk.profile.paper.cards]
    marks = _marks(desk, tank, layout)
    gauge = tank.vessel.gauge
    if not marks or gauge is None:
        return None
    label = desk.tag(tank.id)
    row = layout.rows[_rows(marks)]
    most = int(layout.tallest // row)
    pieces = [marks[n : n + most] for n in range(0, len(marks), most)]
    return build(
        desk,
        "marks",
        f"marks-{tank.id.replace('_', '-')}",
        desk.text(texts["title"], {"vessel": label}),
        vessel_lines(desk, tank.id, "marks"),
        Body(
            "marks",
            [_drawing(tank, piece, layout, row, _level(marks)) for piece in pieces],
            {"name": tank.vessel.name, "gauge": texts["gauge"][gauge.kind]},
        ),
        Filing(desk.text(words()["posted"]["marks"], {"where": label})),
    )


def _marks(desk: Desk, tank: Tank, layout: Layout) -> list[Mark]:
    """The vessel's marks from the highest to the lowest."""
    found = []
    for row in words()["marks"]["rows"]:
        level = desk.figure(f"{tank.id}.{row['level']}")
        if level is None:
            continue
        volume = _volume(desk, tank, row, level)
        warm = f"{tank.id}.warm_oil" in (part.figure for part in level.inputs)
        first, *others = zip_longest(volume, parts_of(level), fillvalue="")
        pieces = tuple(piece for piece in first if piece)
        long = sum(len(plain(piece)) for piece in pieces) + len(" at ") > layout.longest
        lines = tuple((piece,) for piece in pieces) if long and not others else (pieces,)
        other = tuple(piece for piece in others[0] if piece) if others else ()
        what = _name(row, tank, warm=warm)
        found.append(Mark(str(row["kind"]), what, level.value, lines, other))
    return sorted(found, key=lambda mark: -mark.height_m)


def _name(row: Mapping[str, str], tank: Tank, *, warm: bool) -> str:
    """What a mark is called: that of warm oil says so, and elsewhere than in the reactor it is the batch."""
    if warm and "warm" in row:
        return row["warm"]
    return row["moved"] if "moved" in row and "react" not in tank.vessel.roles else row["what"]


def _rows(marks: Sequence[Mark]) -> str:
    """Which height of ``Layout.rows`` these marks need."""
    if any(len(mark.lines) > 1 for mark in marks):
        return "two"
    return "both" if any(mark.other for mark in marks) else "one"


def _volume(desk: Desk, tank: Tank, row: Mapping[str, str], level: Figure) -> tuple[str, ...]:
    """What stands in the vessel at a mark, in each system of units: the figure that made the level."""
    own = desk.figure(f"{tank.id}.{row['volume']}")
    if own is not None:
        return parts_of(own)
    figure = at_mark(desk.book, level)
    desk.figure(figure.id)
    return parts_of(figure)


def spread(wanted: list[float], apart: float, height: float) -> list[float]:
    """Places near the wanted ones (ascending), at least ``apart`` from each other, within 0 to ``height``.

    Each is the middle of a row as high as ``apart``. ValueError where so many rows do not fit.
    """
    if len(wanted) * apart > height:
        raise ValueError(len(wanted))
    half = apart / 2
    placed: list[float] = []
    for at in wanted:
        placed.append(max(at, half, placed[-1] + apart if placed else half))
    limit = height - half
    for n in range(len(placed) - 1, -1, -1):
        placed[n] = min(placed[n], limit)
        limit = placed[n] - apart
    return [round(at, 2) for at in placed]


def _level(marks: Sequence[Mark]) -> float:
    """The level that the drawing shows as full: the highest that a batch reaches, else the limit; m."""
    return next((mark.height_m for mark in marks if mark.kind == "plain"), marks[0].height_m)


def _drawing(tank: Tank, marks: Sequence[Mark], layout: Layout, row: float, level_m: float) -> dict[str, Any]:
    """Paths in mm; lines lead from each mark to its words at the right edge."""
    shape, tall_m = tank.vessel.shape, tank.shape.inside_height_m
    wide, shell = layout.width, layout.height - 2 * INSET
    if isinstance(shape, HorizontalCylinder):
        wide = layout.lying
        shell = min(shell, (wide - 2 * INSET) * tall_m / shape.length_m)
    height = max(shell + 2 * INSET, row * len(marks))
    left, right = INSET, wide - INSET
    top = (height - shell) / 2
    bottom = top + shell

    def y(at_m: float) -> float:
        return round(bottom - shell * min(1.0, max(0.0, at_m / tall_m)), 2)

    rows = spread([y(mark.height_m) for mark in marks], row, height)
    above = [0.0, *(at + row / 2 for at in rows)]
    placed = [
        Placed(mark, y(mark.height_m), at, round(at - row / 2 - end, 2))
        for mark, at, end in zip(marks, rows, above, strict=False)
    ]
    return {
        "width": wide + layout.lead,
        "height": round(height, 2),
        "row": row,
        "shell": _outline(tank, left, right, round(top, 2), round(bottom, 2)),
        "liquid": f"M{left} {y(level_m)}H{right}V{bottom:.2f}H{left}Z",
        "marks": placed,
        "lines": [
            {
                "kind": one.mark.kind,
                "mark": f"M{left} {one.y}H{right}",
                "lead": f"M{right} {one.y}L{wide + layout.lead} {one.row}",
            }
            for one in placed
        ],
    }


def _outline(tank: Tank, left: float, right: float, top: float, bottom: float) -> str:
    """The vessel's section: flat, cone, bulging out or dished in; a lying cylinder from its side."""
    shape = tank.vessel.shape
    middle = (left + right) / 2
    if isinstance(shape, HorizontalCylinder):  # seen from the side
        end = round(min(ROUND, (bottom - top) / 4), 2)
        in_left, in_right, under, over = left + end, right - end, round(top + end, 2), round(bottom - end, 2)
        return (
            f"M{in_left} {top}H{in_right}Q{right} {top} {right} {under}V{over}"
            f"Q{right} {bottom} {in_right} {bottom}H{in_left}"
            f"Q{left} {bottom} {left} {over}V{under}Q{left} {top} {in_left} {top}Z"
        )
    depth = 0.0
    if isinstance(shape, VerticalCylinder) and shape.bottom != "flat":
        deep_m = shape.bottom_depth_m if shape.bottom_depth_m is not None else shape.diameter_m / 4
        depth = (bottom - top) * min(0.5, deep_m / tank.shape.inside_height_m)
    knuckle = round(bottom - depth, 2)
    if depth and isinstance(shape, VerticalCylinder) and shape.bottom == "cone":
        return f"M{left} {top}V{knuckle}L{middle} {bottom}L{right} {knuckle}V{top}Z"
    if depth and isinstance(shape, VerticalCylinder) and shape.bottom == "dished_in":
        control = round(bottom - 2 * depth, 2)
        return f"M{left} {top}V{bottom}Q{middle} {control} {right} {bottom}V{top}Z"
    if depth:
        control = round(bottom + depth, 2)
        return f"M{left} {top}V{knuckle}Q{middle} {control} {right} {knuckle}V{top}Z"
    return f"M{left} {top}V{bottom}H{right}V{top}Z"
