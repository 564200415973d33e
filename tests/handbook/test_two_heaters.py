"""Two heaters in one vessel: both are named, may share thermostat and high limit, each has its own cover."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.handbook.book import Book
from generator.handbook.card_numbers import temperatures_card
from generator.register.survey import survey
from tests.faults.rows import Edit, W, edited

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
LIMIT = "{label: HL, manual_reset: yes, independent: yes}"
UPPER = """        circuit: 25 A
      upper:
        label: H2
        rated_power: 2 kW
        rated_voltage: 230 V
        supply_voltage: 230 V
        top_of_hot_part: 0.50 m
        rated_watt_density: 1.9 W/cm2
        thermostat: {label: TS, differential: 2 K}
        high_limit: {label: HL, manual_reset: yes, independent: yes}
        low_level_cutout: yes
        terminals_rated_for_vapour: yes
        circuit: 16 A
"""
TWO = ("\n  tank:\n", "        circuit: 25 A\n", UPPER)


def book(tmp_path: Path, *edits: Edit) -> Book:
    path = tmp_path / "rig.yaml"
    path.write_text(edited((PROFILES / f"{W}.yaml").read_text("utf-8"), (TWO, *edits)), "utf-8")
    return survey(path).book


def test_one_thermostat_and_one_high_limit_serve_both(tmp_path: Path) -> None:
    assert not [f.what for f in book(tmp_path).findings if f.rule == "label-twice"]


@pytest.mark.parametrize(
    "edit",
    [
        ("\n      upper:\n", "{label: TS, differential: 2 K}", "{label: HL, differential: 2 K}"),
        ("\n      upper:\n", "{label: TS, differential: 2 K}", "{label: TS, differential: 1 K}"),
        ("\n      upper:\n", "label: H2", "label: TS"),
    ],
    ids=["of another kind", "described otherwise", "a heater"],
)
def test_nothing_else_shares_a_label(tmp_path: Path, edit: tuple[str, str, str]) -> None:
    assert [f.severity for f in book(tmp_path, edit).findings if f.rule == "label-twice"][:1] == ["stop"]


def test_only_the_heater_that_is_uncovered_is_told(tmp_path: Path) -> None:
    edit = ("\n      upper:\n", "top_of_hot_part: 0.50 m", "top_of_hot_part: 0.80 m")
    found = [f for f in book(tmp_path, edit).findings if f.rule == "S01"]
    assert [f.equipment for f in found] == [("tank.upper",)]
    assert "H2" in found[0].what and "875\u00a0mm" in found[0].what


def test_the_card_names_both_at_their_common_cover_mark(tmp_path: Path) -> None:
    card = temperatures_card(book(tmp_path))
    (said,) = re.findall(r"([^:]*): on only above", re.sub(r"<[^>]+>", " ", "".join(card.groups)))
    assert said.split()[-4:] == ["H", "H2", "in", "T"]
