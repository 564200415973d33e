"""The model knows every action and act that content may ask for, and content says what the model needs."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from generator.operations.expand import sources
from generator.operations.plain import KINDS
from generator.operations.steps import Procedure, Step
from generator.operations.wording import step_words
from generator.rehearsal.actions import ACTIONS, unknown
from generator.rehearsal.acts import _ACTS, ASIDE
from tests.rehearsal.conftest import RIGS, Rig, demo

#: Entries of steps.yaml that are words for parts of steps, not kinds of steps.
NOT_STEPS = {
    "hints", "watch_until_expected", "if_then", "extinguishers", "missing", "emptied", "emptied_to",
    "heaters",
}  # fmt: skip


def steps_of(rig: Rig) -> Iterator[tuple[Procedure, Step]]:
    for procedure in rig.procedures:
        for step in procedure.steps:
            yield procedure, step


def test_the_model_knows_every_action() -> None:
    assert unknown({*step_words(), *KINDS, "hold"} - NOT_STEPS) == []


def test_an_action_that_nobody_knows_is_told() -> None:
    assert unknown(["open_valve", "juggle"]) == ["juggle"]


def test_actions_without_words_are_those_in_a_procedures_own_words() -> None:
    assert set(ACTIONS) - set(step_words()) == {*KINDS, "hold"} - {"wait"}


@pytest.mark.parametrize("name", RIGS)
def test_the_model_knows_every_act(name: str) -> None:
    used = {act for _, step in steps_of(demo(name)) for act in step.data.get("acts", {})}
    assert used <= {*_ACTS, *ASIDE}
    assert len(used) > 12


@pytest.mark.parametrize("name", RIGS)
def test_every_wait_says_how_long(name: str) -> None:
    for _, step in steps_of(demo(name)):
        if step.action == "wait":
            acts = step.data.get("acts", {})
            assert acts.get("time_s") or acts.get("cools"), step.number


@pytest.mark.parametrize("name", RIGS)
def test_every_number_that_a_step_needs_is_there(name: str) -> None:
    for _, step in steps_of(demo(name)):
        numbers = {
            **step.data.get("acts", {}), **step.data.get("goal", {}),
            **{key: value for key, value in step.data.items() if key.endswith(("_c", "_m3"))},
        }  # fmt: skip
        for key, value in numbers.items():
            # Room is asked for only where a volume is printed.
            if key.endswith(("_m3", "_kg", "_s", "_c")) and not (step.action == "room" and value is None):
                assert isinstance(value, float), (step.number, key)


def test_a_goal_names_the_figure_that_its_sentence_prints() -> None:
    """``goal`` repeats in data what ``until`` says; where both name a figure it is the same one."""
    goals = 0
    for name, data in sources():
        for entry in data.get("steps", ()):
            given = entry.get("transfer")
            if given is None:
                continue
            assert "goal" in given, (name, entry["__line__"])
            if isinstance(given["goal"], dict):
                (volume,) = (value for key, value in given["goal"].items() if key != "or")
                assert str(volume) in given["until"], (name, entry["__line__"])
                goals += 1
            elif given["goal"] == "emptied":
                assert "{{ emptied }}" in given["until"], (name, entry["__line__"])
            if "amount" in given:
                assert str(given["room"]) in given["amount"], (name, entry["__line__"])
    assert goals >= 6


@pytest.mark.parametrize("name", RIGS)
def test_what_opens_a_way_promises_what_it_will_touch(name: str) -> None:
    for _, step in steps_of(demo(name)):
        if step.line_up:
            assert step.wets, step.number
            assert set(step.wets) <= set(demo(name).plant.tanks) | set(demo(name).plant.profile.supplies)


@pytest.mark.parametrize("name", RIGS)
def test_a_step_that_presses_stops_or_repeats_says_so_in_data(name: str) -> None:
    """Guards against a sentence whose doing the model would miss (derived from their verbs)."""
    for _, step in steps_of(demo(name)):
        if step.action not in ("do", "pour", "weigh"):
            continue
        text = step.text
        for words in ("Press the emergency", "Release the", "cooling-water", "Stop every pump", "is in"):
            if words in text and "Read" not in text and "Leave" not in text:
                assert step.data.get("acts"), step.number
        if step.action == "pour":
            assert step.data["acts"]["pours_kg"] > 0
