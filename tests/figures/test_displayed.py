"""What the pages and cards of all demo rigs print: each figure rounds safely and has its own sheet."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from generator import quantities
from generator.handbook import numbers
from generator.handbook.book import Book, Issue
from generator.handbook.cards import cards
from generator.handbook.marks import anchor
from generator.handbook.pages import pages
from generator.register.survey import survey

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
RIGS = sorted(path.stem for path in PROFILES.glob("*.yaml"))
ISSUE = Issue(1, "2030-04-02", draft=False)
LINK = re.compile(r'href="page-sheets.html#([a-z0-9-]+)"')


@cache
def book(rig: str) -> Book:
    made: Book = survey(PROFILES / f"{rig}.yaml").book
    return made


@cache
def displayed(rig: str) -> frozenset[str]:
    """Ids of every figure that a page or a card of the rig prints."""
    made, sheets = book(rig), {anchor(figure.id): figure.id for figure in book(rig).figures}
    bodies = [page.body_html for page in pages(made, ISSUE, ())]
    linked = {sheets[target] for body in bodies for target in LINK.findall(body) if target in sheets}
    return frozenset(linked | {id_ for card in cards(made) for id_ in card.figures})


def test_the_demo_rigs_are_the_cases_that_the_trade_knows() -> None:
    assert {"quillmere", "larkstead", "highfold"} <= set(RIGS)
    recipes = [book(rig).profile.recipe for rig in RIGS]
    assert {recipe.catalyst.base for recipe in recipes} == {"KOH", "NaOH"}
    assert {recipe.stages for recipe in recipes} == {1, 2}
    assert book("highfold").figures["ceiling"].value < 52.0


@pytest.mark.parametrize("rig", RIGS)
def test_no_demo_rig_has_a_finding_that_stops_or_warns(rig: str) -> None:
    allowed = {"larkstead": {"warn"}}.get(rig, set())
    found = {finding.severity for finding in book(rig).findings} - {"note"}
    assert found <= allowed, [f.what for f in book(rig).findings if f.severity != "note"]


@pytest.mark.parametrize("rig", RIGS)
def test_every_displayed_figure_rounds_to_the_safe_side(rig: str) -> None:
    """Derived: an upper limit prints no higher than it is, a lower one no lower."""
    made = book(rig)
    shown = displayed(rig)
    assert len(shown) > 150, len(shown)
    for id_ in sorted(shown):
        figure = made.figures[id_]
        slack = 1e-8 * max(abs(figure.value), 1.0)
        for part in figure.shown.parts:
            printed = quantities.parse(part.text, figure.quantity, units=made.profile.units)
            if figure.rounding == "maximum":
                assert printed <= figure.value + slack, figure.id
            elif figure.rounding == "minimum":
                assert printed >= figure.value - slack, figure.id
            elif figure.rounding == "target":
                reach = max(0.05 * abs(figure.value), figure.resolution or 0.0, 0.5)
                assert abs(printed - figure.value) <= reach, figure.id


@pytest.mark.parametrize("rig", RIGS)
def test_waits_air_cover_and_room_for_spills_are_never_rounded_down(rig: str) -> None:
    careful = ("settle_time", "ventilation_needed", "containment_needed", "cover_level", "cover_volume")
    careful += ("cool_to_preheat_time", "cool_to_tower_time", "air_exposure", "drop_time", "acid_settling")
    careful += ("displaced_methanol", "boil_off", "spill_share", "injection_time", "wash_rest")
    for figure in book(rig).figures:
        if figure.kind in careful:
            assert figure.rounding == "minimum", figure.id
        if figure.kind in ("ceiling", "high_limit", "fill_limit", "preheat_limit", "soap_in_fuel"):
            assert figure.rounding == "maximum", figure.id


@pytest.mark.parametrize("rig", RIGS)
def test_every_figure_on_a_page_or_card_has_its_sheet(rig: str) -> None:
    made = book(rig)
    sheets = {sheet.id for group in numbers.sheet_groups(made, {}) for sheet in group.sheets}
    sheets |= {target for row in numbers.dose_sheets(made) for target, _ in row.cells}
    assert {anchor(id_) for id_ in displayed(rig)} <= sheets
    (page,) = [p for p in pages(made, ISSUE, ()) if p.id == "page-sheets"]
    for target in sheets:
        assert f'id="{target}"' in page.body_html, target


@pytest.mark.parametrize("rig", RIGS)
def test_every_link_to_a_sheet_arrives(rig: str) -> None:
    made = book(rig)
    known = {anchor(figure.id) for figure in made.figures}
    for page in pages(made, ISSUE, ()):
        for target in LINK.findall(page.body_html):
            assert target in known or target.startswith("sheets-"), (page.id, target)


def test_an_own_value_shows_on_its_sheet_on_what_it_makes_and_on_the_list() -> None:
    made = book("highfold")
    sheets = {s.id: s for group in numbers.sheet_groups(made, {}) for s in group.sheets}
    words = "own value"
    assert words in sheets["fig-conversion"].own and not sheets["fig-conversion"].source
    assert words in sheets["fig-balance-fame"].own
    assert any(words in shown for _, shown in sheets["fig-balance-fame"].inputs)
    assert not sheets["fig-most-loss"].own and sheets["fig-most-loss"].source
    (page,) = [p for p in pages(made, ISSUE, ()) if p.id == "page-findings"]
    own, customary = page.body_html.split("Customary and recalled numbers")
    assert "Conversion the mass balance counts with" in own and "97" in own
    assert "Most fuel lost" in customary and "Conversion the mass balance" not in customary
