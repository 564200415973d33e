"""Wall cards as PDF: one page each, whatever it takes but clipping. WeasyPrint is imported by ``pdf`` where used."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from generator.handbook import render
from generator.handbook.book import Issue
from generator.handbook.card import Card
from generator.handbook.desk import words
from generator.problems import FillmarkError, Problem
from generator.publish import pdf

STYLES = ("tokens.css", "base.css", "cards.css")
# From the largest type to the smallest; the middle one is tried first.
LARGER, USUAL, SMALLER = "roomy", "", ("close", "compact")
# A box may stick out by less than a printer can place; a line's box is a little higher than its line.
SLACK_PX, SLACK_LINE_PX = 0.5, 2.0

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Sheet:
    """A card that fits its paper, and the variant of the type sizes in which it does."""

    card: Card
    variant: str
    foot: Markup


def fitted(cards: Iterable[Card], issue: Issue, progress: Progress | None = None) -> list[Sheet]:
    """Every card on exactly one page: as it is, else in the compact variant, else split between its groups.

    ``progress`` is called with each card's title before it is laid out. Raises FillmarkError for a card of
    which a single group is too long for its paper.
    """
    sheets: list[Sheet] = []
    for card in cards:
        if progress is not None:
            progress(card.title)
        sheets += _fit(card, issue)
    return sheets


def cards_pdf(sheets: Sequence[Sheet], issue: Issue) -> bytes:
    """All sheets in one PDF/UA-1 file, a page each. Raises FillmarkError if that is not what comes out."""
    document = pdf.layout(_html(sheets, issue), STYLES)
    if len(document.pages) != len(sheets):
        raise FillmarkError([_too_long(sheets[0].card)])
    return pdf.write(document, "|".join(sheet.card.fingerprint for sheet in sheets)[:200])


def card_pdf(sheet: Sheet, issue: Issue) -> bytes:
    """One card's own PDF."""
    return cards_pdf([sheet], issue)


def _fit(card: Card, issue: Issue) -> list[Sheet]:
    whole = _sheet_that_fits(card, issue)
    if whole is not None:
        return [whole]
    bounds: list[int] = []
    for index in range(1, len(card.groups)):
        # As much on each part as will go; the last part is tried with the closing lines.
        trial = card.split([*bounds, index + 1] if index + 1 < len(card.groups) else bounds)
        if _sheet_that_fits(trial[len(bounds)], issue) is None:
            bounds.append(index)
    sheets = [_sheet_that_fits(part, issue) for part in card.split(bounds)] if bounds else [None]
    found = [sheet for sheet in sheets if sheet is not None]
    if len(found) < len(sheets):
        raise FillmarkError([_too_long(card)])
    return found


def _too_long(card: Card) -> Problem:
    return Problem("card_too_long", facts={"card": card.title, "paper": card.paper.replace("_", " ")})


def _sheet_that_fits(card: Card, issue: Issue) -> Sheet | None:
    if card.too_many_lines:
        return None
    foot = _foot(card, issue)

    def fits(variant: str) -> bool:
        document = pdf.layout(_html([Sheet(card, variant, foot)], issue), STYLES)
        return len(document.pages) == 1 and not sticking_out(document.pages[0])

    if fits(USUAL):
        return Sheet(card, LARGER if fits(LARGER) else USUAL, foot)
    for variant in SMALLER:
        if fits(variant):
            return Sheet(card, variant, foot)
    return None


def sticking_out(page: Any) -> list[str]:
    """Texts of a laid-out page that lie outside what is printed: the page box, or the foot's own box."""
    from weasyprint.formatting_structure import boxes

    box = page._page_box  # WeasyPrint has no public way to the boxes
    found = []
    for area in (box, *(child for child in box.children if isinstance(child, boxes.MarginBox))):
        left, top = area.content_box_x(), area.content_box_y()
        right, bottom = left + area.width, top + area.height
        inner = [child for child in area.children if not isinstance(child, boxes.MarginBox)]
        for text in _texts(inner, boxes):
            x, y = text.position_x, text.position_y
            if x < left - SLACK_PX or x + text.width > right + SLACK_PX:
                found.append(str(text.text))
            elif y < top - SLACK_LINE_PX or y + text.height > bottom + SLACK_LINE_PX:
                found.append(str(text.text))
    return found


def _texts(children: Iterable[Any], boxes: Any) -> Iterable[Any]:
    for child in children:
        if isinstance(child, boxes.TextBox):
            yield child
        elif isinstance(child, boxes.ParentBox):
            yield from _texts(child.children, boxes)


def _foot(card: Card, issue: Issue) -> Markup:
    ui = words()["ui"]
    part = ui["part"].format(n=card.part, m=card.parts)
    following = ui["next"].format(n=card.part + 1) if card.part < card.parts else ""
    return render.render(
        "cards/foot.html",
        links=False,
        card=card,
        issue=issue,
        words=words(),
        part_words=part,
        next_words=following,
    )


def _html(sheets: Sequence[Sheet], issue: Issue) -> str:
    title = f"{sheets[0].card.title} – {sheets[0].card.plant}"
    if len(sheets) > 1:
        title = f"{words()['ui']['all']} – {sheets[0].card.plant}"
    return str(
        render.render(
            "cards/page.html",
            links=False,
            sheets=sheets,
            issue=issue,
            words=words(),
            title=title,
            language="en",
        )
    )
