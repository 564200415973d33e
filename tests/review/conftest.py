"""A demo profile with a few words changed, loaded, computed and reviewed."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.plant.lineup import LineUp
from generator.plant.lineups import NoLineUp, line_up
from generator.plant.plant import Plant
from generator.profile.load import Loaded, load
from generator.review.finding import Finding
from generator.review.review import review
from generator.review.rules_lineups import transfers_needed
from tests.faults.rows import Edit, edited

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
Reviewed = tuple[str, tuple[Finding, ...]]


def line_ups_of(plant: Plant) -> tuple[LineUp, ...]:
    found = []
    for want in transfers_needed(plant):
        try:
            found.append(line_up(plant, want))
        except NoLineUp:
            continue
    return tuple(found)


def figures_of(plant: Plant, line_ups: tuple[LineUp, ...]) -> FigureBook:
    react, fuel = plant.the("react").id, plant.the("fuel").id
    ends = {(lined.streams[0].source, lined.streams[0].destination): lined.pump for lined in line_ups}
    finish = next((pump for (_, destination), pump in ends.items() if destination == fuel), None)
    return compute(plant, react_pump=ends.get((react, react)), finish_pump=finish)


def reviewed(loaded: Loaded) -> tuple[Finding, ...]:
    plant = Plant(loaded.profile)
    line_ups = line_ups_of(plant)
    return review(loaded, plant, figures_of(plant, line_ups), line_ups)


@cache
def as_it_is(rig: str) -> tuple[Finding, ...]:
    return reviewed(load(PROFILES / f"{rig}.yaml"))


@pytest.fixture
def changed(tmp_path: Path) -> Callable[[str, tuple[Edit, ...]], Reviewed]:
    """Text and findings of a demo rig after edits."""

    def change(rig: str, edits: tuple[Edit, ...]) -> Reviewed:
        text = edited((PROFILES / f"{rig}.yaml").read_text("utf-8"), edits)
        path = tmp_path / f"{rig}.yaml"
        path.write_text(text, "utf-8")
        return text, reviewed(load(path))

    return change
