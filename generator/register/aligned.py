"""Two lists of sentences side by side: what differs, each old one beside the new one in its place."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest

from generator.handbook.document import DRAWN
from generator.handbook.marks import clean

# Bounds of cells and boxes in a document's reading, and of rows of a table.
_BOUND = re.compile(r"^(?P<name>td|th|li|p|h[1-4]|tr|caption|text|title):(?P<text>.*)$", re.DOTALL)
_NUMBERED = re.compile(r"^([0-9]+)(?=[A-Z])")


@dataclass(frozen=True)
class Pair:
    """What was said and what is said now; '' where one of them is missing. ``*_at`` count from 0."""

    old: str
    new: str
    old_at: int | None = None
    new_at: int | None = None


def aligned(old: Sequence[str], new: Sequence[str]) -> list[Pair]:
    """The differences in order; equal sentences are left out."""
    found: list[Pair] = []
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    for what, a, b, c, d in matcher.get_opcodes():
        if what != "equal":
            for before, after in zip_longest(range(a, b), range(c, d)):
                texts = ("" if before is None else old[before], "" if after is None else new[after])
                found.append(Pair(*texts, before, after))
    return found


def said(reading: str) -> list[str]:
    """A document's reading as sentences and rows of tables, without what is only drawn."""
    out: list[str] = []
    in_row = False
    for line in reading.split("\n"):
        match = _BOUND.match(line)
        if line.startswith(f"{DRAWN}:"):
            continue
        name, text = (match["name"], match["text"]) if match else ("", line)
        text = _NUMBERED.sub(r"\1. ", clean(text.replace("\x01", "")))
        if name == "tr":
            in_row = True
            out.append(text)
        elif name in ("td", "th") and in_row and out:
            out[-1] = f"{out[-1]} | {text}" if out[-1] else text
        else:
            in_row = False
            out.append(text)
    return [text for text in (line.strip() for line in out) if text]
