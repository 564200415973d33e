"""A deviation that the owner accepts is printed where it matters, and no longer than it holds."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from generator.handbook.book import Book, Issue
from generator.handbook.cards import cards
from generator.handbook.pages import pages
from generator.publish.manual import manual_html
from generator.publish.record import record
from generator.register.survey import Survey, survey
from tests.faults.owner import DENSE_ELEMENT, PLASTIC_CAN, accepts
from tests.faults.rows import Edit, edited
from tests.review.conftest import PROFILES

LAST = "2031-05-24"


def found(folder: Path, today: date, *edits: Edit) -> Survey:
    path = folder / "rig.yaml"
    path.write_text(edited((PROFILES / "quillmere.yaml").read_text("utf-8"), edits), "utf-8")
    return survey(path, today)


@pytest.fixture(scope="module")
def can(tmp_path_factory: pytest.TempPathFactory) -> Book:
    edits = (PLASTIC_CAN, accepts("S11", "charge_can", LAST))
    made = found(tmp_path_factory.mktemp("can"), date(2031, 5, 24), *edits)
    assert made.stops == 0
    return made.book


def saying(book: Book) -> set[str]:
    """Ids of the cards that say what is accepted."""
    return {card.id for card in cards(book) if f"ACCEPTED until {LAST}" in card.html_body}


def test_every_card_about_the_can_says_so_and_no_other(can: Book) -> None:
    assert saying(can) == {
        "card-methoxide",
        "card-marks-charge-can",
        "card-lineup-methanol-drum-to-charge-can",
        "card-lineup-around-reactor-with-charge-can",
        "card-lockout",
    }


def test_an_element_is_told_where_it_may_be_on(tmp_path: Path) -> None:
    edits = (DENSE_ELEMENT, accepts("watt-density", "reactor.element", LAST))
    said = saying(found(tmp_path, date(2031, 1, 1), *edits).book)
    assert "card-lineup-around-reactor" in said
    assert "card-methanol" not in said


def test_the_cover_the_first_page_and_the_findings_page_name_it(can: Book) -> None:
    issue = Issue(1, LAST, draft=False)
    made = pages(can, issue)
    by_id = {page.id: page for page in made}
    manual = manual_html(can, made, issue)
    cover = manual[manual.index('class="cover"') : manual.index('class="toc"')]
    for html in (cover, by_id["page-findings"].body_html):
        assert LAST in html and "Plant keeper" in html and "replaced when it fails" in html
    (entry,) = (f for f in record(can, issue, ())["findings"] if f["accepted"])
    assert entry["rule"] == "S11" and entry["accepted"]["until"] == LAST


def test_the_day_after_its_last_it_stops_again(tmp_path: Path) -> None:
    edits = (PLASTIC_CAN, accepts("S11", "charge_can", LAST))
    made = found(tmp_path, date(2031, 5, 25), *edits)
    assert made.stops == 1
    assert {f.rule for f in made.book.findings if f.severity != "note"} == {"S11", "accepted-over"}


def test_an_uncovered_element_stops_whoever_accepts_it(tmp_path: Path) -> None:
    high = ("\n  reactor:\n", "top_of_hot_part: 0.36 m", "top_of_hot_part: 0.62 m")
    made = found(tmp_path, date(2031, 1, 1), high, accepts("S01", "reactor.element", LAST))
    assert [f.rule for f in made.book.findings if f.stops] == ["S01"]
