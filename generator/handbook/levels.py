"""The level graphic: a vessel's outline with its fill marks, each a line, a tick and a number."""

from __future__ import annotations

from dataclasses import dataclass

from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.render import interface
from generator.plant.plant import Tank
from generator.profile import vessels as described

# Drawing units are px at 96 to the inch. The longest side of a shell, gaps and the room for words.
TALLEST, WIDEST, MARGIN, WORDS, PITCH = 230.0, 190.0, 12.0, 190.0, 36.0
# Marks from top to bottom when levels are equal, and the figure that holds each level and its volume.
MARKS = (
    ("limit", "fill_limit_level", ("{id}.fill_limit",)),
    ("charge", "charge_mark_level", ()),
    ("oil", "oil_mark_level", ()),
    ("methanol", "methanol_mark_level", ()),
    ("glycerin", "glycerin_mark_level", ()),
    ("fuel", "fuel_mark_level", ()),
    ("cover", "cover_level", ("{id}.cover_volume",)),
)


@dataclass(frozen=True)
class Mark:
    """One fill mark: heights in drawing units from the top."""

    kind: str
    name: str
    shown: str
    y: float
    text_y: float
    figure_y: float
    name_y: float


@dataclass(frozen=True)
class Drawing:
    """A vessel with its marks, all coordinates ready for the template."""

    title: str
    width: float
    height: float
    shell: str
    empty: str
    element: str
    marks: tuple[Mark, ...]
    tick_left: float
    tick_right: float
    text_left: float
    words_left: float


def _size(shape: described.Shape, depth_m: float) -> tuple[float, float]:
    """Width and height of the outline, m."""
    if isinstance(shape, described.VerticalCylinder):
        return shape.diameter_m, depth_m
    if isinstance(shape, described.HorizontalCylinder):
        return shape.length_m, shape.diameter_m
    if isinstance(shape, described.Box):
        return shape.length_m, depth_m
    return shape.plan_diameter_m, depth_m


def _outline(shape: described.Shape, wide: float, tall: float, scale: float) -> str:
    """The shell as a path from top left round to top right, in a box of its own at (MARGIN, MARGIN)."""
    left, top = MARGIN, MARGIN
    right, bottom, middle = left + wide, top + tall, left + wide / 2
    start, end = f"M{left:.1f} {top:.1f}", f"V{top:.1f}Z"
    if isinstance(shape, described.VerticalCylinder) and shape.bottom != "flat":
        depth = (shape.bottom_depth_m or shape.diameter_m / 4) * scale
        knee = bottom - depth
        if shape.bottom == "cone":
            return f"{start}V{knee:.1f}L{middle:.1f} {bottom:.1f}L{right:.1f} {knee:.1f}{end}"
        if shape.bottom == "dished_in":
            return f"{start}V{bottom:.1f}Q{middle:.1f} {bottom - 2 * depth:.1f} {right:.1f} {bottom:.1f}{end}"
        return f"{start}V{knee:.1f}A{wide / 2:.1f} {depth:.1f} 0 0 0 {right:.1f} {knee:.1f}{end}"
    if isinstance(shape, described.HorizontalCylinder):
        inset = tall * 0.18
        arc, into, out = f"A{inset:.1f} {tall / 2:.1f} 0 0 1", right - inset, left + inset
        over, under = f"{top:.1f}", f"{bottom:.1f}"
        return f"M{out:.1f} {over}H{into:.1f}{arc} {into:.1f} {under}H{out:.1f}{arc} {out:.1f} {over}Z"
    return f"{start}V{bottom:.1f}H{right:.1f}{end}"


def _found(book: Book, tank: Tank) -> list[tuple[str, Figure, list[Figure]]]:
    """The marks this vessel has: kind, level, and the volumes that belong to it; highest first."""
    found = []
    for kind, level_kind, volumes in MARKS:
        level = book.figures.get(f"{tank.id}.{level_kind}")
        if level is not None:
            named = (book.figures.get(v.format(id=tank.id)) for v in volumes)
            found.append((kind, level, [figure for figure in named if figure is not None]))
    return sorted(found, key=lambda mark: -mark[1].value)


def _spread(heights: list[float], floor: float) -> list[float]:
    """Heights of the words, moved apart so that none overlaps, top to bottom, none below ``floor``."""
    placed: list[float] = []
    for y in heights:
        placed.append(max(y, placed[-1] + PITCH) if placed else max(y, MARGIN + PITCH / 2))
    for i in range(len(placed) - 1, -1, -1):
        most = floor if i == len(placed) - 1 else placed[i + 1] - PITCH
        placed[i] = min(placed[i], most)
    return placed


def drawing(book: Book, tank: Tank) -> Drawing | None:
    """A vessel's level graphic, or None where it has no mark."""
    found = _found(book, tank)
    if not found:
        return None
    words = interface()["marks"]
    wide_m, tall_m = _size(tank.vessel.shape, tank.shape.inside_height_m)
    scale = min(TALLEST / tall_m, WIDEST / wide_m)
    wide, tall = wide_m * scale, tall_m * scale
    height = max(tall, PITCH * len(found)) + 2 * MARGIN
    ys = [MARGIN + tall - level.value * scale for _, level, _ in found]
    texts = _spread(ys, height - PITCH / 2)
    marks = tuple(
        Mark(
            kind,
            words["moved" if kind == "charge" and "react" not in tank.vessel.roles else kind],
            " · ".join([level.text, *([v.text for v in volumes] or [at_mark(book, level).text])]),
            *(round(n, 1) for n in (y, at, at - 1, at + 14)),
        )
        for (kind, level, volumes), y, at in zip(found, ys, texts, strict=True)
    )
    shell = _outline(tank.vessel.shape, wide, tall, scale)
    tick_right = MARGIN + wide + 10
    title = f"{words['title']} {tank.label}: " + "; ".join(f"{m.name} {m.shown}" for m in marks)
    return Drawing(
        title=title,
        width=round(tick_right + 30 + WORDS, 1),
        height=round(height, 1),
        shell=shell,
        empty=f"M{MARGIN} {MARGIN}H{MARGIN + wide:.1f}V{_filled(found, ys):.1f}H{MARGIN}Z",
        element=_element(tank, tall, scale),
        marks=marks,
        tick_left=MARGIN,
        tick_right=round(tick_right, 1),
        text_left=round(tick_right + 22, 1),
        words_left=round(tick_right + 27, 1),
    )


def at_mark(book: Book, level: Figure) -> Figure:
    """What stands in the vessel at a mark: the figure that the level was made from."""
    volume = next(given.figure for given in level.inputs if given.quantity == "volume" and given.figure)
    return book.figures[volume]


def _filled(found: list[tuple[str, Figure, list[Figure]]], ys: list[float]) -> float:
    """The height to which the drawing shows liquid: the highest mark that a batch reaches, else the limit."""
    reached = [y for (kind, _, _), y in zip(found, ys, strict=True) if kind in ("charge", "oil")]
    return min(reached, default=ys[0])


def _element(tank: Tank, tall: float, scale: float) -> str:
    """A dashed line at the top of the highest hot part."""
    tops = [heater.top_of_hot_part_m for heater in tank.vessel.heaters.values()]
    if not tops:
        return ""
    y = MARGIN + tall - max(tops) * scale
    return f"M{MARGIN + 6:.1f} {y:.1f}h26"
