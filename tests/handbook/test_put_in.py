"""Formulas with the numbers put in: what is shown can be worked out, and comes to what is printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator import quantities
from generator.figures.record import Figure, Input
from generator.handbook.put_in import constants, put_in
from tests.handbook.test_process import RIGS, body, book

KNOWN = constants("KOH")


def line(figure_id: str, rig: str = "quillmere") -> str:
    return put_in(book(rig).figures[figure_id], KNOWN).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("figure_id", "shown"),
    [
        ("methanol_volume", "V_M = 22 % × 180 L = 39.6 L"),
        ("catalyst_usual", "m_c = ((10.187 g/L) + (1.1111 g/L) × 2 mL) × 180 L = 2234 g"),
        ("oil_mass", "m_oil = 180 L × ((920 kg/m³) − 0.64 kg/m³ × (20 °C − 15 °C) / 1 °C) = 165 kg"),
        ("soap_in_fuel", "S_fuel = the smaller of 50 ppm and 40.993 ppm = 40.99 ppm"),
        ("balance_oil_left", "m_O = 165.02 kg × (1 − 1.0983 % − 0.15 %) × (1 − 98 %) = 3.259 kg"),
        ("turnovers", "N = (40 L/min) / 227.05 L = 10.57/h"),
        ("ceiling", "T_ceiling = 64.007 °C − 5 °C = 59.01 °C"),
    ],
)
def test_the_numbers_stand_in_the_formula(figure_id: str, shown: str) -> None:
    """Derived: the profile's 180 L, 22 %, 2 mL, 90 % flake, by each formula."""
    assert line(figure_id) == shown


def test_what_is_no_plain_arithmetic_has_no_line() -> None:
    for figure_id in ("reactor.oil_mark_level", "explosive_from", "glycerin_usual", "plain_boiling_left"):
        assert line(figure_id) == "", figure_id


def test_a_formula_that_does_not_come_to_the_figure_has_no_line() -> None:
    figure = book("quillmere").figures["methanol_volume"]
    assert put_in(figure, KNOWN) and not put_in(replace(figure, value=1.01 * figure.value), KNOWN)


def test_no_number_is_put_in_twice() -> None:
    """A degree sign's C is no symbol; a number put in is not read again."""
    cooling = line("dryer.heating_time_dry")
    assert "°C" in cooling and "Wh)" not in cooling and cooling.count("Wh") == 1
    titrant: Figure = book("quillmere").figures["titrant_check"]
    assert isinstance(titrant.inputs[0], Input) and line("titrant_check").count(" N") == 2


@pytest.mark.parametrize("figure_id", ["acid_value_single", "acid_added_by_tower"])
def test_a_unit_is_no_symbol(figure_id: str) -> None:
    """The g of mg/g is a gram, not the fall's acceleration."""
    assert "1000 mg/g" in line(figure_id) and "9.80665" not in line(figure_id)


@pytest.mark.parametrize("rig", RIGS)
def test_most_sheets_show_the_numbers_and_the_line_ends_in_the_printed_result(rig: str) -> None:
    made = book(rig)
    known = constants(made.profile.recipe.catalyst.base)
    seen = 0
    for figure in made.figures:
        shown = put_in(figure, known)
        if not shown:
            continue
        seen += 1
        came_to = quantities.parse(shown.rpartition(" = ")[2], figure.quantity, units="metric")
        near = 0.05 if figure.quantity == "temperature" else 0.0
        assert came_to == pytest.approx(figure.value, rel=1e-3, abs=near), figure.id
    assert seen > 80
    assert body(rig, "page-sheets").count('class="small put-in"') > 70
