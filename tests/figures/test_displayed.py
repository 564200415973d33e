"""What the pages and cards of all demo rigs print: each figure rounds safely and has its own sheet."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import yaml

from generator import quantities
from generator.figures.record import Figure
from generator.handbook import numbers, process, tables
from generator.handbook.book import Book, Issue
from generator.handbook.cards import cards
from generator.handbook.marks import anchor, tag, valued
from generator.handbook.pages import pages
from generator.register.survey import survey
from generator.unit_ladders import QUANTITIES

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
RIGS = sorted(path.stem for path in PROFILES.glob("*.yaml"))
ISSUE = Issue(1, "2030-04-02", draft=False)
TAG = re.compile(r"<[^>]+>")
PRINTED = re.compile(r'<a[^>]*href="page-sheets.html#([a-z0-9-]+)"[^>]*>(.*?)</a>', re.DOTALL)
SHEET = re.compile(r'<section class="sheet" id="([^"]+)">(.*?)</section>', re.DOTALL)
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


def half_step(figure: Figure, second: bool) -> float:
    """Half of the step that a value is rounded to, or its second part, inside unit."""
    system = "us" if figure.units == "us" or second else "metric"
    rung = quantities._rung(QUANTITIES[figure.quantity].ladders[system], figure.value, figure.resolution)
    return 0.5 * float(quantities._step(rung, figure.resolution) * rung.unit.factor)


@pytest.mark.parametrize("rig", RIGS)
@pytest.mark.parametrize("units", ["us", "metric", "both"])
def test_every_figure_rounds_to_the_safe_side_in_every_unit_system(rig: str, units: str) -> None:
    """Derived: an upper limit prints no higher than it is, a lower one no lower; every figure is tried."""
    made = book(rig)
    assert len(displayed(rig)) > 150 and displayed(rig) <= {figure.id for figure in made.figures}
    for made_figure in made.figures:
        figure = replace(made_figure, units=units)
        slack = 1e-8 * max(abs(figure.value), 1e-6)
        for number, part in enumerate(figure.shown.parts):
            printed = quantities.parse(part.text, figure.quantity, units=units)
            if figure.quantity == "temperature":
                slack = 1e-6
            if figure.rounding == "maximum":
                assert printed <= figure.value + slack, figure.id
            elif figure.rounding == "minimum":
                assert printed >= figure.value - slack, figure.id
            elif figure.rounding == "target":
                reach = sum(half_step(figure, second) for second in {False, units == "both"})
                assert abs(printed - figure.value) <= reach + slack, figure.id
            else:
                assert figure.rounding == "exact"
                # What is stated in the other system is rounded where it would be a long number.
                reads_back = printed == pytest.approx(figure.value, rel=1e-9, abs=1e-12)
                nearest = quantities.show(figure.value, figure.quantity, units=units).parts[number]
                assert reads_back or part == nearest, figure.id


@pytest.mark.parametrize("rig", RIGS)
def test_a_page_prints_a_figure_as_its_sheet_does(rig: str) -> None:
    """The link to a sheet bears the very text of the figure, so that what is tested is what is read."""
    made = book(rig)
    texts = {anchor(figure.id): figure.text for figure in made.figures}
    seen = set()
    for page in pages(made, ISSUE, ()):
        for target, body in PRINTED.findall(page.body_html):
            if target in texts:
                seen.add(target)
                assert html.unescape(TAG.sub("", body)) == texts[target], (page.id, target)
    assert len(seen) > 100


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


@pytest.mark.parametrize("rig", RIGS)
def test_no_page_prints_a_number_that_nobody_can_read(rig: str) -> None:
    for page in pages(book(rig), ISSUE, ()):
        assert not re.findall(r"\d\.0*[1-9]\d{5,}", TAG.sub(" ", page.body_html)), page.id


def test_the_tests_table_holds_soap_against_the_figure_of_record() -> None:
    made = book("quillmere")
    (soap,) = [row for row in process.tests_table(made).rows if row[0] == "Soap"]
    assert f"{valued(made.figures['soap_to_tower'])} or less" in soap
    assert f"{valued(made.figures['soap_in_fuel'])} or less" in soap


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


@pytest.mark.parametrize("rig", RIGS)
def test_a_sheet_says_its_range_and_whether_to_check_it_before_use(rig: str) -> None:
    made = book(rig)
    (page,) = [p for p in pages(made, ISSUE, ()) if p.id == "page-sheets"]
    parts = dict(SHEET.findall(page.body_html))
    seen = 0
    for figure in made.figures:
        body = parts.get(anchor(figure.id))
        if body is None:
            continue  # a row of the dose table
        seen += 1
        assert "Holds for:" in body, figure.id
        doubtful = figure.words["mark"] in ("common practice", "from memory") and not figure.own
        assert ("Check before use." in body) is doubtful, figure.id
    assert seen > 100


def test_each_heater_of_a_vessel_shows_its_own_power(tmp_path: Path) -> None:
    tree = yaml.load((PROFILES / "quillmere.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)  # noqa: S506
    second = tree["vessels"]["dryer"]["heaters"]["element"] | {"label": "H9", "rated_power": "1 kW"}
    tree["vessels"]["dryer"]["heaters"]["second"] = second
    path = tmp_path / "rig.yaml"
    path.write_text(yaml.safe_dump(tree, allow_unicode=True), encoding="utf-8")
    made: Book = survey(path).book
    powers = {row[0]: row[2] for row in tables.heaters(made).rows}
    assert made.figures["dryer.element_power"].text == "4\u00a0kW"
    assert powers[tag("H1")] == "3\u00a0kW" and powers[tag("H9")] == "1\u00a0kW"


@pytest.mark.parametrize("rig", RIGS)
def test_room_for_the_fuel_is_no_less_than_the_most_that_comes(rig: str) -> None:
    figures = book(rig).figures
    asked, most = figures["fuel_volume"], figures["fuel_most"]
    assert quantities.parse(asked.shown.parts[0].text, "volume", units=asked.units) >= most.value
