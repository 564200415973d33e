"""The last stage of a layout: rows, channels and bands get their heights, and everything its coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from generator.handbook.drawing import lettering, sizes
from generator.handbook.drawing.bodies import INSIDE
from generator.handbook.drawing.channels import TRACK, Reach
from generator.handbook.drawing.frames import Column
from generator.handbook.drawing.parts import Fitting, Item, Nozzle, Style
from generator.handbook.drawing.placed import Arrow, Box, Label, Layout, Line, Point, Symbol, Vessel
from generator.handbook.drawing.rows import PlacedFrame, Riser

MARGIN = 8.0
UP, DOWN, RIGHT, LEFT = 270, 90, 0, 180
NEAR_ELEMENT, DEEP_ELEMENT = 3.0, 6.0


@dataclass(frozen=True)
class Heights:
    """``channels`` are (top, bottom) of each; ``tops`` and ``bases`` each row's highest lid and its floor."""

    channels: tuple[tuple[float, float], ...]
    tops: tuple[float, ...]
    bases: tuple[float, ...]
    top_band: float
    bottom_band: float
    all: float


@dataclass
class _Sheet:
    """What has been drawn so far."""

    vessels: list[Vessel] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    arrows: list[Arrow] = field(default_factory=list)

    def line(self, nozzle: Nozzle, start: Point, end: Point) -> None:
        if start != end:
            self.lines.append(
                Line(nozzle.net or f"{nozzle.item}.{nozzle.port}", start, end, nozzle.style, nozzle.key)
            )

    def label(self, text: str, x: float, y: float, what: str) -> None:
        """A label centred at a point."""
        block = lettering.block(text)
        if block.lines:
            half, tall = block.width / 2, block.height / 2
            self.labels.append(Label(block.lines, Box(x - half, y - tall, x + half, y + tall, what)))

    def fittings(self, nozzle: Nozzle, x: float, y: float, turn: int) -> float:
        """A column's fittings from ``y`` on; returns where they end."""
        sign = 1.0 if turn == DOWN else -1.0
        for fitting in nozzle.fittings:
            long = sizes.long(fitting)
            y += sign * sizes.BETWEEN
            self._fitting(nozzle, fitting, x, y + sign * long / 2, turn)
            y += sign * long
        return y

    def _fitting(self, nozzle: Nozzle, fitting: Fitting, x: float, y: float, turn: int) -> None:
        what = fitting.id or f"{nozzle.item}.{nozzle.port}"
        if fitting.kind == "cut":
            self.label(fitting.shown, x, y, what)
        else:
            half = min(sizes.LONG.get(fitting.kind, sizes.VALVE_LONG), sizes.long(fitting)) / 2
            across = sizes.CLOSED_BAR if fitting.state else 7.0
            box = Box(x - across, y - half, x + across, y + half, what)
            self.symbols.append(
                Symbol(fitting.kind, fitting.id, x, y, turn, box, fitting.state, fitting.away, nozzle.key)
            )
            block = lettering.block(fitting.shown)
            self.label(fitting.shown, x + sizes.HALF + sizes.LABEL_GAP + block.width / 2, y, what)

    def arrow(self, nozzle: Nozzle, x: float, y: float, turn: int) -> None:
        """The arrow at the outer end of a column; ``turn`` leads away from the item."""
        away = nozzle.flow == "out"
        if nozzle.flow != "none":
            self.arrows.append(Arrow(x, y, turn if away else (turn + 180) % 360, nozzle))


def drawn(
    rows: Sequence[Sequence[PlacedFrame]],
    risers: Sequence[Riser],
    top: Sequence[PlacedFrame],
    bottom: Sequence[PlacedFrame],
    reaches: Sequence[Sequence[Reach]],
    tracks: Sequence[Mapping[str, int]],
) -> Layout:
    """A layout with its coordinates, moved so that it begins at the margin."""
    heights = _heights(rows, top, bottom, reaches, tracks)
    levels = [
        {reach.net: _level(reach, tracks[channel], heights.channels[channel]) for reach in found}
        for channel, found in enumerate(reaches)
    ]
    sheet = _Sheet()
    for number, placed in enumerate(rows):
        for item in placed:
            _vessel(sheet, item, heights, number, levels)
    for item in top:
        _block(sheet, item, heights.top_band, DOWN, levels[0], heights.channels[0][0])
    for item in bottom:
        _block(sheet, item, heights.bottom_band, UP, levels[-1], heights.channels[-1][1])
    for riser in risers:
        ends = (riser.x, levels[riser.row][riser.net]), (riser.x, levels[riser.row + 1][riser.net])
        sheet.lines.append(Line(riser.net, *ends, _style(sheet, riser.net)))
    for channel, found in enumerate(reaches):
        for reach in found:
            _header(sheet, reach, levels[channel][reach.net])
    return _moved(sheet, heights.all)


def _heights(
    rows: Sequence[Sequence[PlacedFrame]],
    top: Sequence[PlacedFrame],
    bottom: Sequence[PlacedFrame],
    reaches: Sequence[Sequence[Reach]],
    tracks: Sequence[Mapping[str, int]],
) -> Heights:
    y = MARGIN
    if top:
        y += max(_symbol_tall(item.frame.item) for item in top)
    top_band = y
    y += max((sizes.column_long(c.nozzle) for item in top for c in item.frame.columns), default=0.0)
    channels, tops, bases = [], [], []
    for number in range(len(rows) + 1):
        deep = TRACK * (max(tracks[number].values(), default=-1) + 2) if reaches[number] else 0.0
        channels.append((y, y + deep))
        y += deep
        if number == len(rows):
            break
        placed = rows[number]
        tallest = max(item.frame.body.height for item in placed if item.frame.body)
        above = max((_above(c, item, tallest) for item in placed for c in item.frame.columns), default=0.0)
        tops.append(y + above)
        bases.append(y + above + tallest)
        below = [c.nozzle for item in placed for c in item.frame.columns if not c.upwards]
        y += above + tallest + max((sizes.column_long(n) for n in below), default=0.0)
    y += max((sizes.column_long(c.nozzle) for item in bottom for c in item.frame.columns), default=0.0)
    bottom_band = y
    if bottom:
        y += max(_symbol_tall(item.frame.item) for item in bottom)
    return Heights(tuple(channels), tuple(tops), tuple(bases), top_band, bottom_band, y + MARGIN)


def _above(column: Column, item: PlacedFrame, tallest: float) -> float:
    """Room over the highest lid that a column needs: a vent stands on its own vessel's lid."""
    if not column.upwards or item.frame.body is None:
        return 0.0
    spare = tallest - item.frame.body.height if column.nozzle.net is None else 0.0
    return max(sizes.column_long(column.nozzle) - spare, 0.0)


def _symbol_tall(item: Item) -> float:
    label = sizes.block_label(item)
    return sizes.block_size(item)[1] + (label.height + sizes.LABEL_GAP if label.lines else 0.0)


def _level(reach: Reach, tracks: Mapping[str, int], channel: tuple[float, float]) -> float:
    if reach.straight:
        return channel[0]  # over all tracks, so that its end lies on no header
    return channel[0] + TRACK * (tracks[reach.net] + 1)


def _style(sheet: _Sheet, net: str) -> Style:
    """A header is a hose's or a vapour line's where all its branches are."""
    styles = {line.style for line in sheet.lines if line.net == net and line.nozzle is not None}
    return styles.pop() if len(styles) == 1 else "pipe"


def _header(sheet: _Sheet, reach: Reach, y: float) -> None:
    xs = sorted({*reach.above, *reach.below})
    style = _style(sheet, reach.net)
    for left, right in pairwise(xs):
        sheet.lines.append(Line(reach.net, (left, y), (right, y), style))


def _vessel(
    sheet: _Sheet, placed: PlacedFrame, heights: Heights, row: int, levels: Sequence[Mapping[str, float]]
) -> None:
    frame, body = placed.frame, placed.frame.shell
    base = heights.bases[row]
    lid = base - body.height
    half = body.width / 2
    item = frame.item
    dips = tuple(
        (placed.x + c.x, c.nozzle.dip) for c in frame.columns if c.upwards and c.nozzle.dip is not None
    )
    box = Box(placed.x - half, lid, placed.x + half, base, item.id)
    elements = tuple(_element(placed, base, heater.height, dips) for heater in item.heaters)
    sheet.vessels.append(Vessel(replace(item, body=body), placed.x, base, box, dips, elements))
    _words(sheet, placed, base)
    for column in frame.columns:
        nozzle, x = column.nozzle, placed.x + column.x
        if nozzle.side == "side":
            wall = placed.x + body.wall(column.y, column.x > 0)
            sheet.line(nozzle, (wall, base - column.y), (x, base - column.y))
            start = base - column.y
        elif column.upwards:
            start = lid
        else:
            start = base - body.floor(column.x)
        if column.upwards:
            local = nozzle.net is None and nozzle.side == "top"
            first = lid if local else heights.tops[row]
            ends = sheet.fittings(nozzle, x, first, UP)
            level = levels[row].get(nozzle.net or "", ends)
            arrow, turn = heights.channels[row][1] + sizes.ARROW / 2, UP
        else:
            ends = sheet.fittings(nozzle, x, base, DOWN)
            level = levels[row + 1].get(nozzle.net or "", ends)
            arrow, turn = heights.channels[row + 1][0] - sizes.ARROW / 2, DOWN
        sheet.line(nozzle, (x, start), (x, level))
        if nozzle.net is not None:
            sheet.arrow(nozzle, x, arrow, turn)


def _element(
    placed: PlacedFrame, base: float, height: float, dips: Iterable[tuple[float, float]]
) -> tuple[float, float, float]:
    """An element's left and right end and its level: it reaches in from a wall, clear of dip pipes."""
    body = placed.frame.shell
    low = max(height - 6.0, 0.0)
    walls = (placed.x + body.wall(low, False), placed.x + body.wall(low, True))
    edges = sorted((*walls, *(x for x, dip in dips if dip < height)))
    left, right = max(pairwise(edges), key=lambda gap: gap[1] - gap[0])
    if right == walls[1]:
        return max(left + 4.0, right - 0.62 * body.width), right, base - height
    return left, min(right - 4.0, left + 0.62 * body.width), base - height


def _words(sheet: _Sheet, placed: PlacedFrame, base: float) -> None:
    """A vessel's label under its fill limit, and each heater's over its element."""
    item, body = placed.frame.item, placed.frame.shell
    x = placed.x + placed.frame.label_x
    label = lettering.block(item.shown)
    top = base - min(item.limit or body.height, body.height) + INSIDE
    sheet.label(item.shown, x, top + label.height / 2, item.id)
    for heater in item.heaters:
        tall = lettering.block(heater.shown).height
        off = -(NEAR_ELEMENT + DEEP_ELEMENT + tall / 2) if body.words_below else NEAR_ELEMENT + tall / 2
        sheet.label(heater.shown, x, base - heater.height - off, f"{item.id}.heater")


def _block(
    sheet: _Sheet, placed: PlacedFrame, edge: float, turn: int, levels: Mapping[str, float], channel: float
) -> None:
    """A block whose symbol ends at ``edge``; its columns lead to the channel."""
    item, x = placed.frame.item, placed.x
    wide, tall = sizes.block_size(item)
    away = 1.0 if turn == DOWN else -1.0
    centre = edge - away * tall / 2
    box = Box(x - wide / 2, centre - tall / 2, x + wide / 2, centre + tall / 2, item.id)
    legs = {}
    for place, column in zip(_ends(len(placed.frame.columns)), placed.frame.columns, strict=True):
        nozzle, at = column.nozzle, x + column.x
        legs[place] = nozzle.port
        if place == "middle":
            start: Point = (at, edge)
        else:
            start = (x + (wide / 2 if place == "right" else -wide / 2), centre)
            sheet.line(nozzle, start, (at, centre))
            start = (at, centre)
        ends = sheet.fittings(nozzle, at, edge, turn)
        sheet.line(nozzle, start, (at, levels.get(nozzle.net or "", ends)))
        if nozzle.net is not None:
            sheet.arrow(nozzle, at, channel - away * sizes.ARROW / 2, turn)
    if item.kind in ("supply", "cut"):
        sheet.label(item.shown, x, centre, item.id)
    else:
        sheet.symbols.append(Symbol(item.kind, item.id, x, centre, turn, box, item=item, legs=legs))
        words = [(item.shown, 0.0)]
        if item.kind == "joint":
            places = sizes.joint_places(item)
            words = [(f.shown, place) for f, place in zip(item.fittings, places, strict=True)]
        label = sizes.block_label(item)
        y = centre - away * (tall / 2 + sizes.LABEL_GAP + label.height / 2)
        for text, off in words:
            sheet.label(text, x + off, y, item.id)


def _ends(count: int) -> tuple[str, ...]:
    return {1: ("middle",), 2: ("left", "right"), 3: ("left", "middle", "right")}[count]


def _moved(sheet: _Sheet, tall: float) -> Layout:
    """Everything shifted so that the leftmost thing stands at the margin."""
    xs = list(_xs(sheet))
    by = MARGIN - min(xs, default=0.0)
    width = max(xs, default=0.0) + by + MARGIN
    return Layout(
        width,
        tall,
        tuple(_vessel_moved(v, by) for v in sheet.vessels),
        tuple(
            Symbol(
                s.kind,
                s.id,
                s.x + by,
                s.y,
                s.turn,
                _box(s.box, by),
                s.state,
                s.away,
                s.nozzle,
                s.item,
                s.legs,
            )
            for s in sheet.symbols
        ),
        tuple(Label(label.lines, _box(label.box, by)) for label in sheet.labels),
        tuple(
            Line(n.net, (n.start[0] + by, n.start[1]), (n.end[0] + by, n.end[1]), n.style, n.nozzle)
            for n in sheet.lines
        ),
        tuple(Arrow(a.x + by, a.y, a.turn, a.nozzle) for a in sheet.arrows),
    )


def _vessel_moved(v: Vessel, by: float) -> Vessel:
    dips = tuple((x + by, low) for x, low in v.dips)
    elements = tuple((left + by, right + by, y) for left, right, y in v.elements)
    return Vessel(v.item, v.x + by, v.base, _box(v.box, by), dips, elements)


def _box(box: Box, by: float) -> Box:
    return Box(box.left + by, box.top, box.right + by, box.bottom, box.what)


def _xs(sheet: _Sheet) -> Iterator[float]:
    for boxes in (sheet.vessels, sheet.symbols, sheet.labels):
        for thing in boxes:
            yield thing.box.left
            yield thing.box.right
    for line in sheet.lines:
        yield line.start[0]
        yield line.end[0]


def every_box(layout: Layout) -> Iterable[Box]:
    """Boxes of all symbols and labels."""
    return [*(s.box for s in layout.symbols), *(label.box for label in layout.labels)]
