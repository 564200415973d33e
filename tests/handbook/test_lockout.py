"""Locking out for work: rows for this rig, the same on the page and on the card; words by what it has."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from markupsafe import Markup

from generator.handbook import lockout
from generator.handbook.cards import cards
from generator.handbook.pages import pages
from generator.operations.steps import plain
from generator.profile.vessels import Role
from tests.handbook import stub_cards
from tests.handbook.stub import ISSUE, book


def read(html: str) -> str:
    """Text of a page or card as a person reads it."""
    return Markup(html).striptags()  # noqa: S704 - only read for its text


@pytest.mark.parametrize("name", ["quillmere", "larkstead"])
def test_page_and_card_say_the_same(name: str) -> None:
    made = book(name)
    page = next(page for page in pages(made, ISSUE) if page.id == "page-lockout")
    card = next(card for card in cards(made) if card.kind == "lockout")
    page_text, card_text = (read(body) for body in (page.body_html, card.html_body))
    for part in ("first", "after"):
        for step in lockout.steps(made, part):
            said = " ".join(step.split())
            assert said in page_text and said in card_text, said
    for row in lockout.rows(made):
        assert plain(row.holds) in page_text and plain(row.holds) in card_text


def test_each_row_names_what_heats_what_runs_and_what_shuts() -> None:
    rows = {plain(row.part): row for row in lockout.rows(book("quillmere"))}
    reactor, pump = rows["Reactor [R1]"], rows["Oil and reaction pump [P1]"]
    assert plain(reactor.switches) == "[H2]" and plain(reactor.close) == "[03] [06] [14]"
    assert plain(pump.switches) == "[P1]" and "hot" in pump.holds
    by_hand = rows["Methanol hand pump [HP]"]
    assert by_hand.switches == by_hand.empty == "" and "methanol" in by_hand.holds
    assert "lifted out of [MEOH]" in plain(by_hand.close)


def test_the_drain_is_used_before_it_is_chained() -> None:
    said = lockout.steps(book("quillmere"), "first")
    drained, chained = (next(n for n, step in enumerate(said) if word in step) for word in ("drain", "Chain"))
    assert drained < chained


def test_fan_and_protective_equipment_come_before_anything_is_drained() -> None:
    said = lockout.steps(book("quillmere"), "first")
    at = {word: next(n for n, step in enumerate(said) if word in step) for word in ("fan", "gloves", "Empty")}
    assert max(at["fan"], at["gloves"]) < at["Empty"]


def test_drums_that_are_moved_have_no_row() -> None:
    made = book("quillmere")
    movable = {vessel.name for vessel in made.profile.vessels.values() if vessel.movable}
    assert movable and not [row for row in lockout.rows(made) if any(name in row.part for name in movable)]


def test_a_rig_without_a_fan_is_not_told_to_keep_it_running(tmp_path: Path) -> None:
    kept = "Keep the fan running."
    assert kept in lockout.steps(book("quillmere"), "first")

    def outdoors(text: str) -> str:
        return "\n".join(line for line in text.splitlines() if not line.lstrip().startswith("fan:")) + "\n"

    assert kept not in lockout.steps(stub_cards.book("quillmere", tmp_path, outdoors), "first")


def test_the_temperature_is_in_the_plants_unit() -> None:
    said = {name: " ".join(lockout.steps(book(name), "first")) for name in ("quillmere", "larkstead")}
    assert "40\u00a0°C" in said["quillmere"] and "104\u00a0°F" in said["larkstead"]


def test_every_role_says_what_may_be_inside() -> None:
    assert set(get_args(Role)) <= set(lockout.words()["inside"])
