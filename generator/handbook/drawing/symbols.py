"""Symbols as SVG paths; their shapes stand in content/drawing/symbols.yaml."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import yaml
from markupsafe import Markup

from generator.problems import CONTENT

# Printed as they stand; on screen the classes take the page's own ink and paper.
COLOURS = {"ink": "#15181a", "paper": "#ffffff", "accent": "#2c5364", "soft": "#e4ebee"}
STROKE = 2.0

Piece = dict[str, Any]


@cache
def shapes() -> dict[str, Any]:
    """All shapes by kind."""
    text = (CONTENT / "drawing" / "symbols.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def number(value: float) -> str:
    """A coordinate as it is written."""
    return f"{value:.1f}".removesuffix(".0")


def path(  # one path has as many properties as it has
    d: str, *, fill: str = "", stroke: str = "ink", width: float = STROKE, dash: str = "", at: str = ""
) -> Markup:
    """One path; ``fill`` and ``stroke`` are keys of the colours, or empty for none."""
    classes = " ".join(filter(None, (f"f-{fill}" if fill else "", f"s-{stroke}" if stroke else "")))
    colours = Markup(' fill="{}"').format(COLOURS.get(fill, "none"))
    if stroke:
        colours += Markup(' stroke="{}" stroke-width="{}" stroke-linejoin="round"').format(
            COLOURS[stroke], number(width)
        )
    if dash:
        colours += Markup(' stroke-dasharray="{}"').format(dash)
    if at:
        colours += Markup(' transform="{}"').format(at)
    return Markup('<path class="{}" d="{}"{}/>').format(classes, d, colours)


def dot(x: float, y: float, *, plain: bool) -> Markup:
    """Where lines are joined: filled, or hollow where only one is at a time."""
    fill = "ink" if plain else "paper"
    shape = Markup(
        '<circle class="f-{} s-ink" cx="{}" cy="{}" r="3.6" fill="{}" stroke="{}" stroke-width="1.6"/>'
    )
    return shape.format(fill, number(x), number(y), COLOURS[fill], COLOURS["ink"])


def pieces(kind: str, state: str = "") -> tuple[Piece, ...]:
    """What a symbol is drawn from; a closed valve has its bar across the pipe as well as its filled body."""
    found = shapes()
    shape = found["fittings"].get(kind) or found["blocks"][kind]
    return (*shape, found["closed"]) if state == "closed" else tuple(shape)


def drawn(parts: Sequence[Piece], state: str = "", at: str = "") -> Markup:
    """Pieces as paths inside a group that is moved and turned by ``at``."""
    filled = {"state": "ink" if state == "closed" else "paper", "none": ""}
    paths = Markup("").join(
        path(
            part["d"],
            fill=str(filled.get(part.get("fill", "none"), part.get("fill", ""))),
            stroke="ink" if part.get("width", STROKE) else "",
            width=part.get("width", STROKE),
            dash=part.get("dash", ""),
        )
        for part in parts
    )
    return Markup('<g transform="{}">{}</g>').format(at, paths) if at else paths
