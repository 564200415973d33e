"""A layout as SVG: vessels, lines with hops and dots, arrows, symbols, labels; black and one quiet accent."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from markupsafe import Markup

from generator.handbook.drawing.lettering import LINE, PAD_Y, SIZE
from generator.handbook.drawing.marks_on_lines import dots, hops
from generator.handbook.drawing.parts import Item, Style
from generator.handbook.drawing.placed import Arrow, Key, Label, Layout, Line, Symbol, Vessel
from generator.handbook.drawing.sizes import joint_places
from generator.handbook.drawing.symbols import COLOURS, dot, drawn, number, path, pieces, shapes

HOP = 4.0
DASHES: dict[Style, str] = {"pipe": "", "hose": "7 3", "vapour": "2 3"}
FACE = "Source Sans Pro"
# From a label line's top to the foot of its letters.
RISE = 10.4
LIMIT = "h14m-10.5 -6h7l-3.5 5.6z"
BOX = Markup(
    '<rect class="f-paper s-ink" x="{}" y="{}" width="{}" height="{}" rx="2.5" fill="{}" stroke="{}" stroke-width="1.2"/>'  # noqa: E501
)
TEXT = Markup(
    '<text class="f-ink" x="{}" y="{}" text-anchor="middle" font-family="{}" font-size="{}" font-weight="700" fill="{}">{}</text>'  # noqa: E501
)


def svg(
    layout: Layout,
    title: str,
    described: str,
    route: Collection[Line] = (),
    leaves: Mapping[Key, bool] | None = None,
) -> Markup:
    """The drawing; ``route`` are the lines that the liquid takes, drawn heavier.

    ``leaves`` says by nozzle whether liquid goes out of its item there; without it every arrow shows what its
    line is meant for.
    """
    body = Markup("").join(
        [
            *(_vessel(vessel) for vessel in layout.vessels),
            *_lines(layout, route),
            *(_arrow(arrow, leaves) for arrow in layout.arrows),
            *(_symbol(symbol) for symbol in layout.symbols),
            *(_label(label) for label in layout.labels),
        ]
    )
    return Markup(
        '<svg class="drawing" viewBox="0 0 {w} {h}" width="{w}" height="{h}" role="img">'
        "<title>{title}</title><desc>{described}</desc>{body}</svg>"
    ).format(w=number(layout.width), h=number(layout.height), title=title, described=described, body=body)


def _vessel(vessel: Vessel) -> Markup:
    item, body = vessel.item, vessel.item.shell
    out = Markup("")
    if item.heel > 1.0:
        out += path(_polygon(vessel, body.outline(item.heel)), fill="soft", stroke="")
    out += path(_polygon(vessel, body.outline()), width=2.2)
    if item.limit is not None and item.limit < body.height:
        left, y = vessel.x + body.wall(item.limit, False), vessel.base - item.limit
        out += path(f"M{number(left)} {number(y)}{LIMIT}", fill="ink", width=1.4)
    for x, low in vessel.dips:
        out += path(
            f"M{number(x)} {number(vessel.base - body.height)}V{number(vessel.base - low)}", width=1.4
        )
    for element in vessel.elements:
        out += path(_zigzag(*element), width=2.4)
    return out


def _polygon(vessel: Vessel, corners: Iterable[tuple[float, float]]) -> str:
    points = [f"{number(vessel.x + x)} {number(vessel.base - height)}" for x, height in corners]
    return f"M{'L'.join(points)}Z"


def _zigzag(left: float, right: float, y: float) -> str:
    steps = max(int((right - left) / 5), 2)
    apart = (right - left) / steps
    points = [f"{number(left + k * apart)} {number(y + (0 if k % 2 else 6))}" for k in range(steps + 1)]
    return f"M{'L'.join(points)}"


def _lines(layout: Layout, route: Collection[Line]) -> Iterator[Markup]:
    crossed = hops(layout.lines)
    heavy = set(route)
    for line in sorted(layout.lines, key=lambda line: line in heavy):
        on = line in heavy
        yield path(
            _path(line, crossed.get(line, ())),
            stroke="accent" if on else "ink",
            width=4.6 if on else 1.8,
            dash=DASHES[line.style],
        )
    for (x, y), plain in dots(layout.lines):
        yield dot(x, y, plain=plain)


def _path(line: Line, crossings: Collection[float]) -> str:
    """A line's path, with a half circle over each upright line that it crosses."""
    (x, y), (to_x, to_y) = line.start, line.end
    if not line.level:
        return f"M{number(x)} {number(y)}V{number(to_y)}"
    low, high = sorted((x, to_x))
    path = f"M{number(low)} {number(y)}"
    for at in sorted(crossings):
        path += f"H{number(at - HOP)}a{number(HOP)} {number(HOP)} 0 0 1 {number(2 * HOP)} 0"
    return f"{path}H{number(high)}"


def _arrow(arrow: Arrow, leaves: Mapping[Key, bool] | None) -> Markup:
    turn, size = arrow.turn, 1.0
    if leaves is not None:
        goes_out = leaves.get(arrow.nozzle.key)
        if goes_out is None:
            return Markup("")
        size = 1.7
        if goes_out != (arrow.nozzle.flow == "out"):
            turn = (turn + 180) % 360
    at = f"translate({number(arrow.x)} {number(arrow.y)}) rotate({turn})"
    return path("M5 0L-4 -4.2V4.2Z", fill="ink", stroke="", at=at if size == 1.0 else f"{at} scale({size})")


def _symbol(symbol: Symbol) -> Markup:
    at = f"translate({number(symbol.x)} {number(symbol.y)})"
    if symbol.kind == "three_way":
        return drawn(list(_legs(symbol)), at=at)
    if symbol.kind == "joint" and symbol.item is not None:
        return Markup("").join(_joint(symbol, symbol.item))
    turn = symbol.turn
    if symbol.item is not None and symbol.kind != "spout":
        turn = 0
        if (symbol.legs or {}).get("left") == "out":
            at += " scale(-1 1)"
    elif symbol.kind == "check" and not symbol.away:
        turn += 180
    return drawn(pieces(symbol.kind, symbol.state), symbol.state, f"{at} rotate({turn})" if turn else at)


def _joint(symbol: Symbol, item: Item) -> Iterator[Markup]:
    """Fittings between two headers, side by side."""
    left, right = symbol.box.left, symbol.box.right
    yield path(f"M{number(left)} {number(symbol.y)}H{number(right)}", width=1.8)
    for place, fitting in zip(joint_places(item), item.fittings, strict=True):
        at = f"translate({number(symbol.x + place)} {number(symbol.y)})"
        yield drawn(pieces(fitting.kind, fitting.state), fitting.state, at)


def _legs(symbol: Symbol) -> Iterator[dict[str, str]]:
    """A three-way valve's triangles, filled where its position shuts the leg."""
    middle = "down" if symbol.turn == 90 else "up"
    joined = symbol.item.joined if symbol.item is not None else frozenset()
    for place, port in (symbol.legs or {}).items():
        shape = shapes()["legs"][middle if place == "middle" else place]
        yield {"d": shape, "fill": "paper" if port in joined else "ink"}


def _label(label: Label) -> Markup:
    box = label.box
    out = BOX.format(
        number(box.left),
        number(box.top),
        number(box.right - box.left),
        number(box.bottom - box.top),
        COLOURS["paper"],
        COLOURS["ink"],
    )
    middle = number((box.left + box.right) / 2)
    for index, text in enumerate(label.lines):
        y = number(box.top + PAD_Y + LINE * index + RISE)
        out += TEXT.format(middle, y, FACE, number(SIZE), COLOURS["ink"], text)
    return out
