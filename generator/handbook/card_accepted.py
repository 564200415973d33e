"""What the owner has accepted, on every card that names the equipment it concerns."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from html import unescape

from generator.handbook import render
from generator.handbook.book import Book
from generator.handbook.card import Card
from generator.handbook.marks import clean
from generator.plant.plant import Plant
from generator.review.finding import Finding

_TAG = re.compile(r'<span class="tag">([^<]*)</span>')
#: A heater that is locked off while the card is in use concerns nobody who works from it, nor does what only
#: a wrong valve would bring in.
_ASIDE = re.compile(
    r'<p class="heater heater-locked">.*?</p>|<section class="group worst">.*?</section>', re.DOTALL
)


def with_accepted(book: Book, cards: Iterable[Card]) -> list[Card]:
    """The cards, each with the accepted deviations it touches below its title."""
    return [_with_its_own(book, card) for card in cards]


def _with_its_own(book: Book, card: Card) -> Card:
    named = {unescape(label) for label in _TAG.findall(_ASIDE.sub("", card.html_body))}
    found = [finding for finding in book.accepted if _touches(book, card, finding, named)]
    if not found:
        return card
    return replace(card, head=card.head + render.render("cards/accepted.html", links=False, findings=found))


def _touches(book: Book, card: Card, finding: Finding, named: set[str]) -> bool:
    """Whether a card names or uses any of the equipment; what concerns none of it is on every card."""
    ids = set(finding.equipment)
    labels = {label for id_ in ids if (label := _label(book.plant, id_)) is not None}
    used = {part for line_up in card.line_ups for part in _parts(book, line_up)}
    return not ids or bool(labels & named or ids & used)


def _label(plant: Plant, id_: str) -> str | None:
    """The painted label as a card prints it; None for what has none, such as a pipe."""
    try:
        return clean(plant.label(id_))
    except KeyError:
        return None


def _parts(book: Book, line_up_id: str) -> set[str]:
    """Vessels, pump and lines of a line-up."""
    line_up = book.line_ups[line_up_id]
    lines = {line for stream in line_up.streams for line in stream.path}
    return {*line_up.wetted, *lines, *([line_up.pump] if line_up.pump else [])}
