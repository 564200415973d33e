"""Card for work on the equipment: how it is cut off, row by row."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from generator.handbook import lockout
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.card_lineup import Line
from generator.handbook.card_numbers import pieces
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import locked_lines


def lockout_card(book: Book) -> Card:
    """Steps before work, what is locked for what, steps after it."""
    desk, texts = Desk(book), lockout.words()
    groups = list(_groups(book))
    return build(
        desk,
        "lockout",
        "lockout",
        texts["title"],
        locked_lines(desk, "lockout"),
        Body("lockout", groups, {"labels": texts["row"]}, tuple(len(group["lines"]) for group in groups)),
        Filing(words()["posted"]["lockout"]),
    )


def _groups(book: Book) -> Iterator[dict[str, Any]]:
    texts, paper = lockout.words(), book.profile.paper.cards
    steps = {part: lockout.steps(book, part) for part in ("first", "after")}
    lines = [(number, Line(step)) for number, step in enumerate((*steps["first"], *steps["after"]), 1)]
    ends = len(steps["first"])
    for piece in pieces(lines[:ends], texts["pieces"]["steps"][paper]):
        yield {"heading": texts["first"], "lines": piece, "rows": []}
    for rows in pieces(lockout.rows(book), texts["pieces"]["rows"][paper]):
        yield {"heading": texts["rows"], "lines": [], "rows": rows}
    yield {"heading": texts["after"], "lines": lines[ends:], "rows": []}
