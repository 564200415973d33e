"""The fill-marks card of a vessel with a gauge: a level drawing with its marks, each as volume and level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.card_numbers import value_of
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import vessel_lines
from generator.handbook.levels import at_mark
from generator.plant.plant import Tank
from generator.profile.vessels import HorizontalCylinder, VerticalCylinder

# The drawing's width and inset; then, by paper, its height and that of a row of words beside it; all in mm.
WIDTH, INSET, LEAD = 56.0, 2.0, 10.0
NARROW_WIDTH, ROUND = 30.0, 6.0
SIZES = {"A4": (160.0, 22.0), "Letter": (140.0, 22.0), "A5": (100.0, 20.0), "half_Letter": (100.0, 20.0)}


@dataclass(frozen=True)
class Mark:
    """``y`` is where the line stands, ``row`` the middle of its words, both in mm from the drawing's top.

    ``gap`` is the space left above the words.
    """

    kind: str
    what: str
    level: str
    volume: str
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
    marks = _marks(desk, tank)
    gauge = tank.vessel.gauge
    if not marks or gauge is None:
        return None
    label = desk.tag(tank.id)
    context = {
        "marks": marks,
        "drawing": _drawing(tank, marks, desk.profile.paper.cards),
        "name": tank.vessel.name,
        "gauge": texts["gauge"][gauge.kind],
    }
    return build(
        desk,
        "marks",
        f"marks-{tank.id.replace('_', '-')}",
        desk.text(texts["title"], {"vessel": label}),
        vessel_lines(desk, tank.id, "marks"),
        Body("marks", [None], context),
        Filing(desk.text(words()["posted"]["marks"], {"where": label})),
    )


def _marks(desk: Desk, tank: Tank) -> list[Mark]:
    height, apart = SIZES[desk.profile.paper.cards]
    found = []
    for row in words()["marks"]["rows"]:
        figure = desk.figure(f"{tank.id}.{row['level']}")
        if figure is None:
            continue
        share = min(1.0, max(0.0, figure.value / tank.shape.inside_height_m))
        y = round(INSET + (1 - share) * (height - 2 * INSET), 2)
        found.append((y, row, value_of(figure), _volume(desk, tank, row, figure)))
    found.sort(key=lambda item: item[0])
    rows = spread([y for y, *_ in found], apart, height)
    above = [0.0, *(at + apart / 2 for at in rows)]
    return [
        Mark(str(row["kind"]), str(row["what"]), level, volume, y, at, round(at - apart / 2 - end, 2))
        for (y, row, level, volume), at, end in zip(found, rows, above, strict=False)
    ]


def _volume(desk: Desk, tank: Tank, row: Mapping[str, str], level: Figure) -> str:
    """What stands in the vessel at a mark, as its gauge shows it: hot oil takes more room than cold."""
    own = desk.figure(f"{tank.id}.{row['volume']}")
    if own is not None:
        return value_of(own)
    return next(iter(at_mark(tank, level)), "")


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


def _drawing(tank: Tank, marks: list[Mark], paper: str) -> dict[str, Any]:
    """Paths in mm; lines lead from each mark to its words at the right edge."""
    height, apart = SIZES[paper]
    wide = WIDTH if paper in ("A4", "Letter") else NARROW_WIDTH
    left, right, top, bottom = INSET, wide - INSET, INSET, height - INSET
    liquid = next((m.y for m in marks if m.kind == "plain"), marks[0].y)
    return {
        "width": wide + LEAD,
        "height": height,
        "row": apart,
        "shell": _outline(tank, left, right, top, bottom),
        "liquid": f"M{left} {liquid}H{right}V{bottom}H{left}Z",
        "lines": [
            {
                "kind": m.kind,
                "mark": f"M{left} {m.y}H{right}",
                "lead": f"M{right} {m.y}L{wide + LEAD} {m.row}",
            }
            for m in marks
        ],
    }


def _outline(tank: Tank, left: float, right: float, top: float, bottom: float) -> str:
    """The vessel's section: flat, cone, bulging out or dished in; a lying cylinder from its side."""
    shape = tank.vessel.shape
    middle = (left + right) / 2
    if isinstance(shape, HorizontalCylinder):  # seen from the side
        return (
            f"M{left + ROUND} {top}H{right - ROUND}Q{right} {top} {right} {top + ROUND}V{bottom - ROUND}"
            f"Q{right} {bottom} {right - ROUND} {bottom}H{left + ROUND}"
            f"Q{left} {bottom} {left} {bottom - ROUND}"
            f"V{top + ROUND}Q{left} {top} {left + ROUND} {top}Z"
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
