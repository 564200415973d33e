"""What the shapes of a drawing mean: one small picture and its words for each kind that the drawing shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import yaml
from markupsafe import Markup

from generator.handbook.drawing.marks_on_lines import dots, hops
from generator.handbook.drawing.placed import Layout
from generator.handbook.drawing.symbols import dot, drawn, path, pieces, shapes
from generator.problems import CONTENT

FRAME = Markup(
    '<svg class="drawing-key" viewBox="{}" width="{}" height="{}" role="img"><title>{}</title>{}</svg>'
)
WIDE, TALL = 44, 26


@dataclass(frozen=True)
class Meaning:
    """A small picture and what it stands for."""

    picture: Markup
    words: str


@cache
def words() -> dict[str, Any]:
    """The words of the drawings."""
    text = (CONTENT / "drawing" / "words.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def legend(layout: Layout) -> list[Meaning]:
    """The meanings of all that a layout shows, symbols first."""
    made = []
    for kind, inside, height in _pictures(layout):
        said = str(words()["legend"][kind])
        box = f"{-WIDE // 2} {-height // 2} {WIDE} {height}"
        made.append(Meaning(FRAME.format(box, WIDE, height, said, inside), said))
    return made


def _pictures(layout: Layout) -> Iterator[tuple[str, Markup, int]]:
    """Kind, picture about its middle, and height."""
    joined = [f for s in layout.symbols if s.kind == "joint" and s.item is not None for f in s.item.fittings]
    seen = {(s.kind, s.state) for s in layout.symbols} | {(f.kind, f.state) for f in joined}
    for state in ("open", "closed"):
        if any(found == state for _, found in seen):
            yield state, drawn(pieces("valve", state), state), TALL
    kinds = {kind for kind, _ in seen}
    for kind in (k for k in shapes()["fittings"] if k in kinds):
        yield kind, drawn(pieces(kind)), TALL
    if "three_way" in kinds:
        legs = [(leg, "ink" if leg == "left" else "paper") for leg in ("left", "right", "up")]
        yield "three_way", drawn([{"d": shapes()["legs"][leg], "fill": fill} for leg, fill in legs]), TALL + 4
    for kind in (k for k in shapes()["blocks"] if k in kinds):
        yield kind, drawn(pieces(kind)), 60 if kind.endswith("tower") else 36
    for kind, picture in _strokes(layout):
        yield kind, picture, TALL


def _strokes(layout: Layout) -> Iterator[tuple[str, Markup]]:
    """What lines and marks in vessels mean."""
    joints = [plain for _, plain in dots(layout.lines)]
    if any(joints):
        yield "tee", path("M-18 0H18M0 0V10", width=1.8) + dot(0, 0, plain=True)
    if not all(joints):
        yield "choice", path("M-18 0H18M0 0V10", width=1.8, dash="7 3") + dot(0, 0, plain=False)
    if hops(layout.lines):
        yield "hop", path("M-18 0H-4a4 4 0 0 1 8 0H18M0 -11V11", width=1.8)
    if any(line.style == "vapour" for line in layout.lines):
        yield "vapour", path("M-18 0H18", width=1.8, dash="2 3")
    if any(vessel.elements for vessel in layout.vessels):
        yield "element", path("M-15 5L-10 -3L-5 5L0 -3L5 5L10 -3L15 5", width=2.4)
    if any(vessel.dips for vessel in layout.vessels):
        yield "dip", path("M-15 -6H15", width=2.2) + path("M0 -11V9", width=1.4)
    if any(vessel.item.limit for vessel in layout.vessels):
        yield "mark", path("M-9 4H9M-3.5 -4H3.5L0 2.4Z", fill="ink", width=1.4)
    if any(vessel.item.heel > 1.0 for vessel in layout.vessels):
        yield "heel", path("M-15 -4H15V8H-15Z", fill="soft", stroke="")
