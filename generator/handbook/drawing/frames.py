"""Columns of one vessel or block: where each nozzle's line runs, and what room it takes on either side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from generator.handbook.drawing import lettering
from generator.handbook.drawing.bodies import Body
from generator.handbook.drawing.parts import Item, Nozzle
from generator.handbook.drawing.sizes import Extent, block_label, block_size, extent

Leaning = Mapping[tuple[str, str, str], float]

ZONES = ("above", "beside", "below")
EDGE = 12.0
GAP = 4.0
STUB = 15.0
STUBS_APART = 13.0


@dataclass(frozen=True)
class Column:
    """A nozzle's line, ``x`` from the item's middle; ``y`` is the port's height on a vessel's side."""

    nozzle: Nozzle
    x: float
    upwards: bool
    y: float = 0.0


@dataclass(frozen=True)
class Frame:
    """``room`` is what an item takes left and right of its middle, by zone.

    ``body`` is a vessel's, as wide as its columns need; ``label_x`` is where its label stands.
    """

    item: Item
    columns: tuple[Column, ...]
    room: Mapping[str, Extent]
    body: Body | None = None
    label_x: float = 0.0

    @property
    def shell(self) -> Body:
        """The body of a vessel's frame; TypeError for a block's."""
        if self.body is None:
            raise TypeError(self.item.id)
        return self.body


def packed(nozzles: Sequence[Nozzle], split: int | None = None, between: float = 0.0) -> list[float]:
    """Places of columns side by side about 0, with room ``between`` the first ``split`` and the others."""
    xs: list[float] = []
    for index, nozzle in enumerate(nozzles):
        if not index:
            xs.append(0.0)
            continue
        apart = extent(nozzles[index - 1]).right + extent(nozzle).left + GAP
        xs.append(xs[-1] + (max(apart, between) if index == split else apart))
    middle = (xs[0] + xs[-1]) / 2 if xs else 0.0
    return [round(x - middle) for x in xs]


def vessel_frame(item: Item, nozzles: Sequence[Nozzle], leaning: Leaning) -> Frame:
    """A vessel with its nozzles. ``leaning`` says how far left (−) or right (+) each nozzle's net lies."""
    ordered = sorted(nozzles, key=lambda n: (leaning[n.key], n.key))
    tops = _lid_order([n for n in ordered if n.side == "top"])
    bottoms = [n for n in ordered if n.side == "bottom"]
    sides = [n for n in ordered if n.side == "side"]
    bottom_xs = packed(bottoms)
    if bottoms:
        item = replace(
            item, body=item.shell.wider(2 * (max(-bottom_xs[0], bottom_xs[-1]) + EDGE + item.shell.bulge))
        )
    body, across, label_x = _across_top(item, tops)
    columns = [Column(n, x, True) for n, x in zip(tops, across, strict=True)]
    columns += [Column(n, x, False) for n, x in zip(bottoms, bottom_xs, strict=True)]
    half = body.width / 2
    room = {
        "above": _room(columns, True),
        "beside": Extent(half + 1, half + 1),
        "below": _room(columns, False),
    }
    left, right = _shared(sides, leaning)
    columns += _beside(body, left, room, -1.0)
    columns += _beside(body, right, room, 1.0)
    return Frame(item, tuple(columns), room, body, label_x)


def _across_top(item: Item, tops: Sequence[Nozzle]) -> tuple[Body, list[float], float]:
    """Columns through the lid, and where the vessel's label stands clear of dip pipes.

    Dip pipes stand at the sides; the last of ``tops`` may have its own labels beyond the shell.
    """
    word = max(lettering.block(text).width for text in (item.shown, *(h.shown for h in item.heaters)))
    dips = [index for index, nozzle in enumerate(tops) if nozzle.dip is not None]
    first_right = next((i for i in reversed(range(len(tops))) if i in dips and i - 1 not in dips), 0)
    xs = packed(tops, first_right, word + EDGE if len(dips) > 1 else 0.0)
    span = xs[-1] - xs[0] if xs else 0.0
    body = item.shell.wider(max(span, 0.0 if not dips else word + EDGE) + 2 * (EDGE + item.shell.bulge))
    body = body.wider(word + 2 * EDGE)
    if len(dips) == 1:
        # The only one stands at the right wall, the label left of it.
        shift = round(body.width / 2 - body.bulge - EDGE - xs[-1])
        xs = [x + shift for x in xs]
        return body, xs, round((xs[-1] - body.width / 2) / 2)
    return body, xs, round((xs[first_right - 1] + xs[first_right]) / 2) if dips else 0.0


def _lid_order(tops: Sequence[Nozzle]) -> list[Nozzle]:
    """Half of the dip pipes left, the others right, what has none between them; a single one stands last."""
    dips = [n for n in tops if n.dip is not None]
    plain = [n for n in tops if n.dip is None]
    return [*dips[: len(dips) // 2], *plain, *dips[len(dips) // 2 :]]


def _room(columns: Sequence[Column], upwards: bool) -> Extent:
    mine = [c for c in columns if c.upwards == upwards]
    left = max((extent(c.nozzle).left - c.x for c in mine), default=0.0)
    right = max((extent(c.nozzle).right + c.x for c in mine), default=0.0)
    return Extent(max(left, 0.0), max(right, 0.0))


def _shared(sides: Sequence[Nozzle], leaning: Leaning) -> tuple[list[Nozzle], list[Nozzle]]:
    """Side ports by wall: each towards its net; those that lead nowhere fill up the emptier wall."""
    left = [n for n in sides if n.net is not None and leaning[n.key] < 0]
    right = [n for n in sides if n.net is not None and leaning[n.key] >= 0]
    for nozzle in (n for n in sides if n.net is None):
        (left if len(left) < len(right) else right).append(nozzle)
    return left, right


def _beside(body: Body, nozzles: Sequence[Nozzle], room: dict[str, Extent], sign: float) -> list[Column]:
    """Columns beside the shell: the lowest that goes down and the highest that goes up stand nearest."""
    down = sorted((n for n in nozzles if not n.upwards), key=lambda n: (n.height, n.key))
    up = sorted((n for n in nozzles if n.upwards), key=lambda n: (-n.height, n.key))
    heights = _spread([*down, *reversed(up)], body.height)
    columns = []
    line = body.width / 2 + STUB
    for nozzle in (*down, *up):
        zone = "above" if nozzle.upwards else "below"
        needs = extent(nozzle)
        inner, outer = (needs.left, needs.right) if sign > 0 else (needs.right, needs.left)
        taken = room[zone].right if sign > 0 else room[zone].left
        x = round(max(line, taken + inner + GAP))
        columns.append(Column(nozzle, sign * x, nozzle.upwards, heights[nozzle.key]))
        room[zone] = _grown(room[zone], x + outer, sign)
        room["beside"] = _grown(room["beside"], x + 6, sign)
        line = x + STUBS_APART
    return columns


def _grown(room: Extent, to: float, sign: float) -> Extent:
    if sign > 0:
        return Extent(room.left, max(room.right, to))
    return Extent(max(room.left, to), room.right)


def _spread(nozzles: Sequence[Nozzle], height: float) -> dict[tuple[str, str, str], float]:
    """Ports at their heights, moved apart where two stubs would touch."""
    ordered = sorted(nozzles, key=lambda n: (n.height, n.key))
    placed: list[float] = []
    for nozzle in ordered:
        low = placed[-1] + STUBS_APART if placed else 3.0
        placed.append(max(nozzle.height, low))
    for index in range(len(placed) - 1, -1, -1):
        most = height - 3.0 if index == len(placed) - 1 else placed[index + 1] - STUBS_APART
        placed[index] = min(placed[index], most)
    return {nozzle.key: round(y) for nozzle, y in zip(ordered, placed, strict=True)}


def block_frame(item: Item, nozzles: Sequence[Nozzle], upwards: bool) -> Frame:
    """A block with its columns in the order given, all to one side; the symbol stands in the middle."""
    wide, _ = block_size(item)
    label = block_label(item)
    between = wide + 2 * GAP if len(nozzles) == 2 else 0.0
    xs = packed(nozzles, 1, between)
    if len(nozzles) == 3:
        xs = _about_middle(nozzles, wide)
    columns = tuple(Column(n, x, upwards) for n, x in zip(nozzles, xs, strict=True))
    over = _room(columns, upwards)
    half = max(wide, label.width) / 2 + 1
    reach = max((abs(x) for x in xs), default=0.0) + 1
    return Frame(item, columns, {"columns": over, "symbol": Extent(max(half, reach), max(half, reach))})


def _about_middle(nozzles: Sequence[Nozzle], wide: float) -> list[float]:
    """Three columns, the second straight over the symbol."""
    left, middle, right = (extent(n) for n in nozzles)
    before = max(wide / 2 + GAP, left.right + middle.left + GAP)
    after = max(wide / 2 + GAP, middle.right + right.left + GAP)
    return [-round(before), 0, round(after)]
