"""Which wall cards exist for a book. To add one: a builder that returns cards, its words, its template."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from generator.handbook.book import Book
from generator.handbook.card import Card
from generator.handbook.card_accepted import with_accepted
from generator.handbook.card_lineup import lineup_cards
from generator.handbook.card_lockout import lockout_card
from generator.handbook.card_marks import marks_cards
from generator.handbook.card_numbers import dose_card, temperatures_card, valves_card
from generator.handbook.card_run import run_cards
from generator.handbook.card_safety import emergency_card, lye_card, methanol_card, methoxide_card
from generator.handbook.card_tests import tests_card

__all__ = ["Card", "cards"]

Builder = Callable[[Book], Card | Sequence[Card] | None]

BUILDERS: tuple[Builder, ...] = (
    emergency_card,
    run_cards,
    dose_card,
    temperatures_card,
    methanol_card,
    lye_card,
    methoxide_card,
    lineup_cards,
    valves_card,
    marks_cards,
    tests_card,
    lockout_card,
)


def cards(book: Book) -> list[Card]:
    """Every wall card of a handbook, in the order in which they print; not yet fitted to their paper."""
    found: list[Card] = []
    for builder in BUILDERS:
        built = builder(book)
        if isinstance(built, Card):
            found.append(built)
        elif built is not None:
            found.extend(built)
    return with_accepted(book, found)
