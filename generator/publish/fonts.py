"""The bundled typeface: which files it has, the rules that load them, which characters it can print."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

FAMILY = "Source Sans Pro"
# Weight in the stylesheet and the file that has it; no slanted ones, because long slanted text reads badly.
WEIGHTS = {400: "SourceSansPro-Regular.ttf", 600: "SourceSansPro-Semibold.ttf", 700: "SourceSansPro-Bold.ttf"}
LICENCE = "LICENSE.txt"


def folder() -> Path:
    """Where the font package keeps its files."""
    return Path(str(files("font_source_sans_pro"))) / "files"


def paths() -> dict[str, Path]:
    """Every bundled font file by name."""
    return {name: folder() / name for name in WEIGHTS.values()}


def css(prefix: str) -> str:
    """``@font-face`` rules; ``prefix`` comes before each file's name."""
    return "".join(
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; font-style: normal; '
        f'src: url("{prefix}{name}") format("truetype"); }}\n'
        for weight, name in WEIGHTS.items()
    )


@cache
def characters(weight: int = 400) -> frozenset[int]:
    """Code points that the face of that weight has a glyph for."""
    from fontTools.ttLib import TTFont

    with TTFont(folder() / WEIGHTS[weight], lazy=True) as font:
        return frozenset(font.getBestCmap())


def missing(text: str) -> set[str]:
    """Characters of a text that some weight cannot print; white space is left out."""
    wanted = {c for c in text if not c.isspace()}
    return {c for c in wanted if any(ord(c) not in characters(weight) for weight in WEIGHTS)}
