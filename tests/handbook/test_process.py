"""The tests page, the batch page and the sheets as an operator reads them."""

from __future__ import annotations

import html
import re
from functools import cache
from pathlib import Path

import pytest

from generator import quantities
from generator.figures.record import kinds
from generator.handbook import numbers, process
from generator.handbook.book import Book, Issue
from generator.handbook.marks import tag
from generator.handbook.pages import pages
from generator.operations.steps import plain
from generator.register.survey import survey

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
RIGS = sorted(path.stem for path in PROFILES.glob("*.yaml"))
BALANCE = ("balance_fame", "balance_glycerol", "balance_oil_left", "soap_lowest", "balance_base_left",
           "balance_water", "balance_methanol_ester", "balance_methanol_glycerin")  # fmt: skip


@cache
def book(rig: str) -> Book:
    made: Book = survey(PROFILES / f"{rig}.yaml").book
    return made


@cache
def body(rig: str, page_id: str) -> str:
    made = pages(book(rig), Issue(1, "2030-04-02", draft=False), ())
    return next(page.body_html for page in made if page.id == page_id)


def text(rig: str, page_id: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body(rig, page_id))).split())


def said(rig: str) -> dict[str, tuple[str, ...]]:
    return {row[0]: tuple(plain(cell) for cell in row) for row in process.tests_table(book(rig)).rows}


@pytest.mark.parametrize("rig", RIGS)
def test_soap_of_finished_fuel_has_one_limit_wherever_it_is_printed(rig: str) -> None:
    """Common practice: 50 ppm; derived: never more than the metal limit as soap, 40 ppm of potassium's."""
    base = book(rig).profile.recipe.catalyst.base
    most = {"KOH": "40\u00a0ppm", "NaOH": "50\u00a0ppm"}[base]
    assert said(rig)["Soap"][2] == f"{most} or less"
    procedure = book(rig).procedure("final-tests")
    assert procedure is not None
    assert any(f"{most} or less" in plain(step.text) for step in procedure.steps)
    assert f"at most {most}".replace("\u00a0", " ") in text(rig, "page-batch-sheet")
    assert "can still hold more metal" not in text(rig, "page-tests")


@pytest.mark.parametrize("rig", RIGS)
def test_every_number_that_a_test_is_held_to_leads_to_its_sheet(rig: str) -> None:
    """A cell with a digit and a unit is a figure of record; what is judged by eye has none."""
    rows = process.tests_table(book(rig)).rows
    for row in rows:
        for cell in row[2:]:
            free = re.sub("\ue002[^\ue004]*\ue004", "", cell) if "\ue002" in cell else cell
            assert "%" not in free and "ppm" not in free and "kg/m" not in free, row[0]
    sheets = body(rig, "page-sheets")
    for kind in ("soap_in_fuel", "free_base_most", "methanol_in_fuel", "water_in_fuel", "flash_least"):
        anchor = f"fig-{kind.replace('_', '-')}"
        assert f'href="page-sheets.html#{anchor}"' in body(rig, "page-tests")
        assert f'id="{anchor}"' in sheets


@pytest.mark.parametrize("rig", RIGS)
def test_the_flash_point_says_what_it_answers(rig: str) -> None:
    """Published, ASTM D6751-09: 93 °C for every fuel, 130 °C in the place of a methanol test."""
    figures = book(rig).figures
    assert figures["flash_least"].value == 93.0 and figures["flash_no_methanol"].value == 130.0
    assert figures["flash_no_methanol"].text in said(rig)["Methanol"][1]
    assert said(rig)["Flash point"][2] == f"{figures['flash_least'].text} or more"
    steps = [step for p in book(rig).procedures if p.id == "final-tests" for step in p.steps]
    (step,) = [s for s in steps if "flash point" in plain(s.text)]
    assert figures["flash_least"].text in plain(step.text)
    assert figures["flash_no_methanol"].text in plain(step.expected or "")


@pytest.mark.parametrize("rig", RIGS)
def test_pan_shake_free_base_and_density_are_tested_in_a_procedure_and_on_the_page(rig: str) -> None:
    carbide = ["Carbide tester"] if book(rig).profile.feedstock.water_tester else []
    assert [row[0] for row in process.oil_tests(book(rig)).rows] == ["Titration", "Hot pan", *carbide]
    assert "Shake test" in said(rig) and "Free base" in said(rig)
    steps = [step for p in book(rig).procedures if p.id == "final-tests" for step in p.steps]
    words = " ".join(plain(f"{s.text} {s.expected or ''}") for s in steps)
    assert "Free base:" in words and "hydrometer" in words and "Shake" in words
    assert book(rig).figures["fuel_density_most"].text in words


@pytest.mark.parametrize("rig", RIGS)
def test_no_result_leads_to_what_the_rig_cannot_do(rig: str) -> None:
    recipe = book(rig).profile.recipe
    then = " ".join(plain(row[3]) for row in process.decisions(book(rig)).rows)
    if recipe.washing.method != "tower":
        assert "tower" not in then and "bed" not in then
    if recipe.washing.method != "water":
        assert "Wash it" not in then and "Dry it again" not in then
    if recipe.stripping is None:
        assert "Drive the methanol off" not in then
    assert "{" not in then and "None" not in then


@pytest.mark.parametrize("rig", RIGS)
def test_a_us_plant_reads_fahrenheit_alone_and_density_in_both(rig: str) -> None:
    us = book(rig).profile.units == "us"
    density = next(name for name in said(rig) if name.startswith("Density"))
    assert density == ("Density at 59\u00a0°F" if us else "Density at 15\u00a0°C")
    assert book(rig).figures["fuel_density_most"].text.startswith("900\u00a0kg/m³")
    assert ("lb/gal" in book(rig).figures["fuel_density_most"].text) is us
    titles = [numbers.name(book(rig), figure) for figure in book(rig).figures]
    other = "°C" if us else "°F"
    assert [title for title in titles if other in title] == []


def test_every_title_with_degrees_states_them_both_ways() -> None:
    bare = re.compile(r"°C(?! \([^()]*°F\))")
    assert [kind for kind, words in kinds().items() if bare.search(words["title"])] == []


@pytest.mark.parametrize("rig", RIGS)
def test_the_printed_balance_adds_up(rig: str) -> None:
    """What comes out adds up to the printed total, and to what went in, to half a step for each row."""
    made, units = book(rig).figures, book(rig).profile.units
    printed = [quantities.parse(made[name].text, "balance_mass", units=units) for name in BALANCE]
    names = {made[name].shown.first.unit for name in (*BALANCE, "balance_in", "balance_out")}
    assert len(names) == 1
    step_kg = 0.1 * (0.45359237 if units == "us" else 1.0)
    for whole in ("balance_in", "balance_out"):
        total = quantities.parse(made[whole].text, "balance_mass", units=units)
        assert abs(sum(printed) - total) <= 0.5 * step_kg * (len(printed) + 1)
    (table,) = re.findall(r'<table class="t2 table-balance">.*?</table>', body(rig, "page-batch"), re.DOTALL)
    rows = re.findall(r"#fig-([a-z-]+)", table)
    assert rows == [name.replace("_", "-") for name in ("balance_in", *BALANCE, "balance_out")]


@pytest.mark.parametrize("rig", RIGS)
def test_the_fuel_to_expect_is_the_same_range_on_batch_page_and_batch_sheet(rig: str) -> None:
    made = book(rig).figures
    least, most = (made[f"fuel_{name}"].text.replace("\u00a0", " ") for name in ("least", "most"))
    for page_id in ("page-batch", "page-batch-sheet"):
        assert f"{least} to {most}" in text(rig, page_id)
    assert "before losses" in numbers.name(book(rig), made["fuel_volume"])


@pytest.mark.parametrize("rig", RIGS)
def test_sheets_of_a_pump_bear_its_painted_label(rig: str) -> None:
    titles = {group.title for group in numbers.sheet_groups(book(rig), {})}
    pumps = book(rig).profile.pumps
    assert not titles & set(pumps)
    wanted = [pump.label for pump_id, pump in pumps.items() if book(rig).figures.about(pump_id)]
    assert wanted and all(any(tag(label) in title for title in titles) for label in wanted)


@pytest.mark.parametrize("rig", RIGS)
def test_numbers_claim_no_more_than_they_can(rig: str) -> None:
    made = book(rig).figures
    assert made["passed_share"].text != "100\u00a0%"
    assert re.fullmatch(r"\d+(\.\d)?", made["turnovers_reaction"].text)
    assert "s" not in made["drying_least"].text.split("\u00a0")[1]


@pytest.mark.parametrize(
    ("kind", "shown"),
    [("volume", "0\u00a0L"), ("mass", "0\u00a0kg"), ("fraction", "0\u00a0%"), ("time", "0\u00a0min")],
)
def test_nothing_is_printed_in_the_unit_people_name(kind: str, shown: str) -> None:
    assert quantities.show(0.0, kind).text == shown
    assert quantities.show(0.0, kind, rounding="exact").text == shown


def test_money_has_two_decimals() -> None:
    for value, shown in ((7.0, "7.00"), (1234.5, "1234.50"), (0.125, "0.13"), (0.0, "0.00")):
        assert quantities.show(value, "money").text == shown
    assert quantities.show(350.0, "volume_price").text == "0.35/L"
    assert quantities.show(125.0, "volume_price").text == "0.125/L"
    assert quantities.show(1150.0, "volume_price").text == "1.15/L"


PROSE = [("page-tests", "decisions"), ("page-oil", "route"), ("page-tests", "tests")]


@pytest.mark.parametrize("rig", RIGS)
@pytest.mark.parametrize(("page_id", "name"), PROSE)
def test_a_table_of_prose_can_be_stacked_on_a_phone(rig: str, page_id: str, name: str) -> None:
    """Each cell but a row's first bears its column's head, which the phone prints before it."""
    stacked = rf'<table class="t\d table-{name} stacked">.*?</table>'
    (found,) = re.findall(stacked, body(rig, page_id), re.DOTALL)
    cells = re.findall(r"<td[^>]*>", found)
    assert cells and all('data-head="' in cell for cell in cells)


@pytest.mark.parametrize("rig", ["quillmere", "larkstead", "highfold"])
def test_a_rig_with_prices_says_what_a_batch_and_its_fuel_cost(rig: str) -> None:
    """Every amount of money has two decimals; fuel by the gallon in a US plant."""
    made, us = book(rig).figures, book(rig).profile.units == "us"
    assert "states no prices" not in text(rig, "page-costs")
    costs = [figure for figure in made if figure.quantity in ("money", "fuel_price")]
    assert len(costs) == 7
    assert all(re.fullmatch(r"\d+\.\d\d(/.+)?", figure.text) for figure in costs)
    assert made["cost_per_fuel"].text.endswith("/gal" if us else "/L")


def test_what_is_stored_stands_beside_the_limit_of_its_rule() -> None:
    """40 CFR 112.1: 1320 US gal; 29 CFR 1910.119: 10 000 lb. No letter of a formula stands for a limit."""
    rows = {row[0]: tuple(plain(cell) for cell in row) for row in numbers.stored(book("larkstead")).rows}
    spill = next(row for title, row in rows.items() if "spill plan" in title)
    assert spill[1:] == ("207\u00a0gal", "1320\u00a0gal")
    assert any(row[2] == "10000\u00a0lb" for row in rows.values())
    for kind, words in kinds().items():
        assert not re.search(r"\blimit [A-Z]\b", str(words["title"])), kind


def test_a_dash_in_the_table_of_what_must_not_meet_stands_alone() -> None:
    page = text("larkstead", "page-hazards")
    assert "Mixes; still flammable" in page and "–:" not in page.replace(" ", "")


@pytest.mark.parametrize("rig", RIGS)
def test_keys_of_the_profile_stand_between_quotation_marks_on_paper(rig: str) -> None:
    assert "`" not in text(rig, "page-findings")
    marked = [word for finding in book(rig).findings for word in re.findall("`(.+?)`", finding.what)]
    assert all(f"\u201c{word}\u201d" in text(rig, "page-findings") for word in marked)
    assert marked or rig != "larkstead"


def test_the_tests_on_the_card_are_those_of_the_page() -> None:
    """Every limit and every consequence of the plant's own use, and none of the fuel standard's."""
    for name in ("quillmere", "larkstead"):
        made = book(name)
        oil, fuel = process.bench_tests(made)
        rows = process.oil_tests(made).rows
        assert [(t.name, t.how, t.results[0][1]) for t in oil] == [row[:3] for row in rows]
        table = process.tests_table(made)
        own = [row for row in table.rows if row[2] != "–" or (len(row) == 5 and row[3] != "–")]
        assert [test.name for test in fuel] == [row[0] for row in own]
        then = {(row[0], row[3]) for row in process.decisions(made).rows}
        for test, row in zip(fuel, own, strict=True):
            for place, passes, fails in test.results:
                assert passes in row[2:4] and (test.name, fails) in then
                assert "standard" not in place and bool(place) is (name == "quillmere")
