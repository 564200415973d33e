"""Card for the bench: each test of oil and fuel, what passes and what follows if it does not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from generator.handbook import process
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.card_numbers import pieces
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import locked_lines


def tests_card(book: Book) -> Card:
    """Tests of the oil, then of the fuel, with the limits of the plant's own use."""
    desk = Desk(book)
    return build(
        desk,
        "tests",
        "tests",
        words()["tests"]["title"],
        locked_lines(desk, "tests"),
        Body("tests", list(_groups(book))),
        Filing(words()["posted"]["tests"]),
    )


def _groups(book: Book) -> Iterator[dict[str, Any]]:
    texts = words()["tests"]
    for heading, tests in zip((texts["oil"], texts["fuel"]), process.bench_tests(book), strict=True):
        for piece in pieces(tests, texts["pieces"][book.profile.paper.cards]):
            yield {"heading": heading, "tests": piece}
