"""Text of the profile and marks inside sentences: painted labels, values of record, anchors."""

from __future__ import annotations

import unicodedata
from collections.abc import Set as AbstractSet

from generator.figures.record import Figure
from generator.operations.steps import (
    LABEL_END,
    LABEL_START,
    VALUE_END,
    VALUE_SPLIT,
    VALUE_START,
)

MARKS = frozenset((LABEL_START, LABEL_END, VALUE_START, VALUE_SPLIT, VALUE_END))


def clean(text: str, *, keep: AbstractSet[str] = frozenset()) -> str:
    """Text on one line without control, private-use and direction characters (but for those in ``keep``)."""
    kept = (c if c in keep or unicodedata.category(c) not in ("Cc", "Cf", "Co", "Cs") else " " for c in text)
    return " ".join(part for part in "".join(kept).split(" ") if part)


def tag(label: str) -> str:
    """A painted label as a mark inside a sentence."""
    return LABEL_START + clean(label) + LABEL_END


def valued(figure: Figure | None) -> str:
    """A figure's printed value as a mark inside a sentence; nothing where there is no figure."""
    if figure is None:
        return ""
    return VALUE_START + figure.id + VALUE_SPLIT + figure.text + VALUE_END


def parts_of(figure: Figure) -> tuple[str, ...]:
    """A figure's printed value as marks, one for each system of units of the plant, its first one first."""
    return tuple(VALUE_START + figure.id + VALUE_SPLIT + part.text + VALUE_END for part in figure.shown.parts)


def anchor(figure_id: str) -> str:
    """The id of a figure's calculation sheet in the pages."""
    return "fig-" + figure_id.replace(".", "-").replace("_", "-")
