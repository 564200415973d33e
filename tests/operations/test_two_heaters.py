"""A vessel with two elements: a sentence that has the heat taken away names both."""

from __future__ import annotations

import re

import pytest

from generator.figures.compute import compute
from generator.operations.expand import expand, react_pump
from generator.operations.steps import Step, plain
from generator.plant.plant import Plant
from generator.profile.model import Profile
from tests.rigs import edited


def two_heaters() -> Profile:
    """The one-vessel rig with a second element in its tank."""
    upper = {
        "label": "H-UP",
        "rated_power": "2 kW",
        "rated_voltage": "240 V",
        "supply_voltage": "120 V",
        "top_of_hot_part": "12 in",
        "rated_watt_density": "40 W/in2",
        "thermostat": {"label": "T-STAT-2", "differential": "2 K"},
        "high_limit": {"label": "LIMIT-2", "manual_reset": "yes", "independent": "yes"},
        "low_level_cutout": "yes",
        "terminals_rated_for_vapour": "yes",
        "circuit": "15 A",
    }
    return edited("larkstead", {"vessels.tank.heaters.upper": upper})


@pytest.fixture(scope="module")
def steps() -> tuple[Step, ...]:
    plant = Plant(two_heaters())
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    return tuple(step for procedure in expand(plant, figures).procedures for step in procedure.steps)


def test_who_takes_the_heat_away_takes_all_of_it(steps: tuple[Step, ...]) -> None:
    said = [plain(step.otherwise) for step in steps if step.otherwise and step.action != "hold_heat"]
    off = [text for text in said if re.search(r"\bswitch\b.*\bheaters?\b.*\boff\b", text)]
    assert len(off) >= 5
    for text in off:
        assert "heaters [H] [H-UP] off" in text, text


def test_no_sentence_knows_of_one_heater_only(steps: tuple[Step, ...]) -> None:
    parts = [part for step in steps for part in (step.text, step.expected, step.otherwise) if part]
    one = re.compile(r"\b(the|its) heater\b(?! (list|switches))")
    assert not [text for text in map(plain, parts) if one.search(text)]
