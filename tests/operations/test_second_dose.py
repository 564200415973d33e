"""A second dose of methoxide is made and let in by the steps of the first, with its own numbers."""

from __future__ import annotations

import re
from functools import cache

import pytest

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.operations.expand import Expanded, expand, react_pump
from generator.operations.steps import Procedure, plain
from generator.plant.plant import Plant
from tests.rigs import edited

DOSES = (("conversion-failed", "extra_dose"), ("second-dose", "second_dose"))


@cache
def two_stages() -> tuple[FigureBook, Expanded]:
    plant = Plant(edited("quillmere", {"recipe.stages": "2"}))
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    return figures, expand(plant, figures)


def procedure(id_: str) -> Procedure:
    return next(p for p in two_stages()[1].procedures if p.id == id_)


def shape(id_: str) -> list[str]:
    """What a procedure says, its numbers left out."""
    return [re.sub(r"[\d.,]+\s*\S*|half", "#", plain(step.text)) for step in procedure(id_).steps]


@pytest.mark.parametrize(("id_", "_"), DOSES)
def test_no_step_of_the_first_dose_is_left_out_of_a_second(id_: str, _: str) -> None:
    first = [*shape("methoxide"), *shape("inject")]
    own = ("Put on", "Check that these are open", "Check that pump", "Have a second person read the volume")
    left_out = [text for text in first if text not in shape(id_) and not text.startswith(own)]
    # The methanol of a second dose is another amount; nothing else is another step.
    assert [text for text in left_out if "methanol" not in text and "holds #" not in text] == []


@pytest.mark.parametrize(("id_", "dose"), DOSES)
def test_a_second_dose_has_its_own_flow_time_and_heat(id_: str, dose: str) -> None:
    figures, _ = two_stages()
    said = "\n".join(plain(f"{step.text} {step.expected or ''}") for step in procedure(id_).steps)
    for kind in ("injection_flow", "injection_time", "methoxide_rise"):
        assert plain(figures[f"{dose}.{kind}"].text) in said
    flow, time = figures[f"{dose}.injection_flow"].value, figures[f"{dose}.injection_time"].value
    methanol = figures["again_methanol" if dose == "extra_dose" else "second_methanol"].value
    assert methanol <= flow * time <= 1.15 * methanol  # the flake takes some room
    assert flow < figures["injection_flow"].value
    messages = {message for step in procedure(id_).steps for message in step.messages}
    assert "lye_in_methanol_heat" not in messages and "lye_heat_small_dose" in messages


def test_an_entry_taken_from_another_procedure_stands_where_its_words_do() -> None:
    lines = {step.source.file for step in procedure("conversion-failed").steps}
    assert {"content/procedures/24-methoxide.yaml", "content/procedures/26-inject.yaml"} <= lines
