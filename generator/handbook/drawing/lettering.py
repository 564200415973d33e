"""How much room a painted label takes: a safe estimate of its width, and how it is broken into lines."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

SIZE = 12.0
LINE = 13.0
PAD_X, PAD_Y = 4.0, 2.0
LONGEST_LINE = 12

# Widths of the bold face as shares of the type size, each class rounded up to its widest character.
_CLASSES = (
    (" ',.:;Iijl|", 0.31),
    ("!()-/[\\]frt{}", 0.40),
    ("*?csz", 0.48),
    ('"#$+0123456789<=>EFJLSTVYZ^_`aegkovxy~', 0.56),
    ("ABCKPRXbdhnpqu", 0.62),
    ("&DGHNOQU", 0.70),
    ("Mw", 0.79),
    ("%@Wm", 0.92),
)
_WIDTHS = {char: width for chars, width in _CLASSES for char in chars}
_OTHER = 1.02


def width(text: str) -> float:
    """Width of a line in drawing units, never less than the bold face takes."""
    return SIZE * sum(_WIDTHS.get(char, _OTHER) for char in text)


def lines(text: str) -> tuple[str, ...]:
    """A label broken at its spaces into lines of a dozen characters where it can be."""
    out: list[str] = []
    for word in text.split():
        if out and len(out[-1]) + 1 + len(word) <= LONGEST_LINE:
            out[-1] += f" {word}"
        else:
            out.append(word)
    return tuple(out)


@dataclass(frozen=True)
class Block:
    """A label's lines and the size of its box."""

    lines: tuple[str, ...]
    width: float
    height: float


@lru_cache(maxsize=2048)
def block(text: str) -> Block:
    """A label in its box; nothing for an empty label."""
    broken = lines(text)
    if not broken:
        return Block((), 0.0, 0.0)
    wide = max(width(line) for line in broken) + 2 * PAD_X
    return Block(broken, float(round(wide + 0.5)), LINE * len(broken) + 2 * PAD_Y)
