"""The cards as they come out of the printer: one page each, large enough type, nothing outside its box."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from markupsafe import Markup

from generator.handbook.book import Book, Issue
from generator.handbook.cards import Card, cards
from generator.problems import FillmarkError
from generator.publish import cards as published
from generator.publish import pdf
from generator.publish.cards import Sheet, card_pdf, cards_pdf, fitted
from tests.handbook import stub_cards

pypdf = pytest.importorskip("pypdf")

ISSUE = Issue(3, "2031-05-17", draft=False)
# Sheet sizes in mm: ISO 216; ANSI/ASME Y14.1 A size and half of it.
SIZES = {"A4": (210, 297), "A5": (148, 210), "Letter": (215.9, 279.4), "half_Letter": (139.7, 215.9)}
RIGS = {"A4": "quillmere", "A5": "quillmere", "Letter": "larkstead", "half_Letter": "larkstead"}
# Reading distances: NUREG-0700 Rev. 3, 11.4.1.5-1 (character height), by the capital height of this face.
SMALLEST_PT, FOOT_PT, TITLE_PT, MOST_CRITICAL_PT = 12.0, 9.0, 24.0, 35.0


@cache
def book(paper: str) -> Book:
    """A rig on cards of that size; half a Letter and A5 are the smaller of each rig's."""
    own = {"quillmere": "A4", "larkstead": "Letter"}[RIGS[paper]]
    change = None if own == paper else (lambda text: text.replace(f"cards: {own}", f"cards: {paper}"))
    with TemporaryDirectory() as folder:
        return stub_cards.book(RIGS[paper], Path(folder), change)


@cache
def made_cards(paper: str) -> tuple[Card, ...]:
    """All cards of a rig's own paper; on the smaller ones, of each kind the one with most on it."""
    every = cards(book(paper))
    return tuple(every if paper in ("A4", "Letter") else longest(every))


def longest(every: Iterable[Card]) -> list[Card]:
    """Of each kind the card with most on it."""
    return list({card.kind: card for card in sorted(every, key=lambda card: len(card.html_body))}.values())


@cache
def sheets(paper: str) -> tuple[Sheet, ...]:
    return tuple(fitted(made_cards(paper), ISSUE))


@cache
def laid_out(paper: str) -> Any:
    return pdf.layout(published.html(sheets(paper), ISSUE), published.STYLES)


@cache
def printed(paper: str) -> bytes:
    """The file as issued, joined from each card's own, for A4; the other papers are laid out in one go."""
    if paper == "A4":
        return cards_pdf(sheets(paper), [card_pdf(sheet, ISSUE) for sheet in sheets(paper)])
    return pdf.write(laid_out(paper), paper)


def reader(content: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(content))


def type_sizes(page: Any) -> Iterator[tuple[float, float, str]]:
    """(size in points, height above the page's foot in points, text) of every piece of text on a page."""
    found: list[tuple[float, float, str]] = []

    def visit(text: str, cm: Any, tm: Any, _font: Any, size: float) -> None:
        if text.strip():
            found.append((abs(size * tm[3] * cm[3]), cm[5] + tm[5] * cm[3], text.strip()))

    page.extract_text(visitor_text=visit)
    yield from found


@pytest.mark.parametrize("paper", SIZES)
def test_each_card_is_one_page_of_its_paper(paper: str) -> None:
    pages = reader(printed(paper)).pages
    assert len(pages) == len(sheets(paper)) >= len(made_cards(paper))
    width, height = SIZES[paper]
    for page in pages:
        assert "take precedence" in " ".join(page.extract_text().split())
        assert float(page.mediabox.width) == pytest.approx(width / 25.4 * 72, abs=0.6)
        assert float(page.mediabox.height) == pytest.approx(height / 25.4 * 72, abs=0.6)


@pytest.mark.parametrize("paper", SIZES)
def test_no_type_is_too_small(paper: str) -> None:
    for sheet, page in zip(sheets(paper), reader(printed(paper)).pages, strict=True):
        sizes = list(type_sizes(page))
        assert sizes
        foot = (31 if paper in ("A4", "Letter") else 38) / 25.4 * 72  # it stands in the lower margin
        for size, y, text in sizes:
            least = FOOT_PT if y < foot else SMALLEST_PT
            assert size >= least - 0.05, (sheet.card.id, text, size)
        assert max(size for size, _, _ in sizes) >= TITLE_PT, sheet.card.id
        if sheet.card.kind == "temperatures":
            assert max(size for size, _, _ in sizes) >= MOST_CRITICAL_PT


@pytest.mark.parametrize("paper", SIZES)
def test_nothing_sticks_out(paper: str) -> None:
    for sheet, page in zip(sheets(paper), laid_out(paper).pages, strict=True):
        assert published.sticking_out(page) == [] == published.overprinted(page), sheet.card.id


def test_the_printed_text_holds_the_numbers_and_labels() -> None:
    made = book("A4")
    texts = {
        sheet.card.id: " ".join(page.extract_text().split())
        for sheet, page in zip(sheets("A4"), reader(printed("A4")).pages, strict=True)
    }

    def plain(text: str) -> str:
        return text.replace("\u00a0", " ")

    temperatures = plain(texts["card-temperatures"])
    for figure_id in ("methanol_boiling_point", "ceiling", "high_limit", "reactor.cover_volume"):
        assert plain(made.figures[figure_id].text) in temperatures
    dose = plain(texts["card-dose"])
    assert plain(made.figures["titration_20.catalyst_mass"].text) in dose and "5.0 mL" in dose
    line_up = made.line_ups["dryer-to-reactor"]
    card = texts["card-lineup-dryer-to-reactor"]
    for valve in (*line_up.open, *line_up.touching, *line_up.guard):
        assert made.plant.label(valve) in card
    for text in texts.values():
        assert "Quillmere shared plant" in text and "Issue 3" in text and "2031-05-17" in text
        assert "Take down when superseded" in text


def test_a_draft_says_so_and_has_no_number() -> None:
    draft = Issue(None, "2031-05-17", draft=True)
    first = [card for card in cards(book("A4")) if card.kind in ("dose", "lineup")][:2]
    for sheet in fitted(first, draft):
        text = " ".join(reader(card_pdf(sheet, draft)).pages[0].extract_text().split())
        assert "DRAFT" in text and "Issue draft" in text


def test_the_date_changes_the_foot_but_no_fingerprint() -> None:
    sheet = sheets("A4")[0]
    later = Issue(4, "2032-01-02", draft=False)
    again = fitted([cards(book("A4"))[0]], later)[0]
    assert again.card.fingerprint == sheet.card.fingerprint
    assert "2032-01-02" in reader(card_pdf(again, later)).pages[0].extract_text()


def test_the_same_cards_give_the_same_bytes() -> None:
    assert card_pdf(sheets("A4")[0], ISSUE) == card_pdf(sheets("A4")[0], ISSUE)


def test_long_labels_stay_inside(tmp_path: Path) -> None:
    def long(profile: str) -> str:
        profile = profile.replace('label: "5"', "label: WWWWWWWWWWWWWWWWWWWWWWWWWWWWWW")
        profile = profile.replace("label: TANK", "label: the big insulated green tank")
        return profile.replace("name: Larkstead barn rig", "name: " + "Larkstead " * 7)

    made = stub_cards.book("larkstead", tmp_path, long)
    some = [card for card in cards(made) if card.kind in ("lineup", "valves", "marks", "emergency")]
    long_sheets = fitted(longest(some), ISSUE)
    document = pdf.layout(published.html(long_sheets, ISSUE), published.STYLES)
    for sheet, page in zip(long_sheets, document.pages, strict=True):
        assert published.card_on(page) == sheet.card.id and published.sticking_out(page) == []


def test_what_sticks_out_is_seen() -> None:
    wide = '<html><body class="card paper-A5"><p style="white-space:nowrap;font-size:40pt">' + "W" * 40
    assert published.sticking_out(pdf.layout(wide, published.STYLES).pages[0])


def _risky(rig: str, paper: str, units: str, folder: Path) -> list[Card]:
    """The cards with most on them, of a rig on one size of paper in one system of units; ids made unique."""

    def change(text: str) -> str:
        text = re.sub(r"cards: \w+", f"cards: {paper}", text)
        text = re.sub(r"(?<!US )\b(gal|gpm)\b", r"US \1", text)
        return re.sub(r"(?m)^units: \w+", f"units: {units}", text) + "\n# on other paper, in other units\n"

    folder.mkdir()
    made = cards(stub_cards.book(rig, folder, change))
    marks = max((card for card in made if card.kind == "marks"), key=lambda card: card.html_body.count("<p"))
    chosen = [marks, *[card for card in made if card.kind in ("temperatures", "run")][:2]]
    return [replace(card, id=f"{rig}-{paper}-{units}-{card.id}") for card in chosen]


def test_the_fullest_cards_fit_every_paper_in_every_unit(tmp_path: Path) -> None:
    """Whole on A4; on the smaller sizes each group by itself, so that a card can be split to fit."""
    risky = [
        card
        for rig in ("quillmere", "larkstead")
        for paper in SIZES
        for units in ("metric", "us", "both")
        for card in _risky(rig, paper, units, tmp_path / f"{rig}-{paper}-{units}")
    ]
    pieces = []
    for card in risky:
        parts = card.split(range(1, len(card.groups))) if card.paper != "A4" else [card]
        assert [group for part in parts for group in part.groups] == list(card.groups)
        pieces += parts
    smallest = [Sheet(card, published.SMALLEST, published.foot(card, ISSUE)) for card in pieces]
    document = pdf.layout(published.html(smallest, ISSUE), published.STYLES)
    pages = Counter(published.card_on(page) for page in document.pages)
    assert not [card.id for card in pieces if pages[card.id] != 1]
    for card, page in zip(pieces, document.pages, strict=True):
        assert published.sticking_out(page) == [] == published.overprinted(page), card.id


def test_texts_on_each_other_are_seen_and_never_printed() -> None:
    two = '<p style="font-size:26pt">225 L at 790 mm</p><p style="font-size:26pt;margin-top:-%dpt">185 L</p>'
    for shift, seen in ((32, True), (0, False)):
        page = pdf.layout(f'<html><body class="card paper-A4">{two % shift}', published.STYLES).pages[0]
        assert bool(published.overprinted(page)) is seen
    card = cards(book("A4"))[0]
    on_each_other = replace(card, groups=(Markup(two) % 32,), counts=())  # noqa: S704
    with pytest.raises(FillmarkError):
        fitted([on_each_other], ISSUE)


def test_a_group_too_long_for_its_paper_is_an_error_and_is_never_clipped() -> None:
    card = cards(book("A4"))[0]
    tall = replace(card, groups=(Markup("<p>x</p>") * 200,), counts=())
    with pytest.raises(FillmarkError) as caught:
        fitted([tall], ISSUE)
    assert caught.value.problems[0].code == "card_too_long"


def test_a_telephone_number_never_breaks_and_stands_on_the_first_sheet(tmp_path: Path) -> None:
    def change(text: str) -> str:
        text = re.sub(r"cards: \w+", "cards: A5", text)
        return re.sub(r"poison_centre: .*", 'poison_centre: "1-800-555-0199-22"', text)

    card = next(c for c in cards(stub_cards.book("larkstead", tmp_path, change)) if c.kind == "emergency")
    first = fitted([card], ISSUE)[0]
    texts = reader(card_pdf(first, ISSUE)).pages[0].extract_text()
    assert "1-800-555-0199-22" in texts and "Emergency" in texts and "Say:" in texts


def test_start_and_stop_of_a_line_up_stand_on_one_small_sheet(tmp_path: Path) -> None:
    change = lambda text: re.sub(r"cards: \w+", "cards: A5", text)  # noqa: E731
    made = cards(stub_cards.book("larkstead", tmp_path, change))
    for card in [card for card in made if card.kind == "lineup"][:3]:
        sheets_ = fitted([card], ISSUE)
        assert sum("Secure, in this order" in sheet.card.html_body for sheet in sheets_) == 1
        (both,) = [sheet for sheet in sheets_ if "Secure, in this order" in sheet.card.html_body]
        assert "Open, in this order" in both.card.html_body


def test_a_foot_too_high_for_its_margin_sticks_out() -> None:
    sheet, end = sheets("A4")[0], Markup("</div>")
    for lines, seen in ((0, False), (12, True)):
        taller = replace(sheet, foot=sheet.foot.replace(end, Markup("<p>line</p>") * lines + end))
        page = pdf.layout(published.html([taller], ISSUE), published.STYLES).pages[0]
        assert bool(published.sticking_out(page)) is seen
