"""Written steps held to checkable rules of procedure writing (NUREG-0899, DOE-STD-1029-92; second-hand)."""

from __future__ import annotations

import re
from typing import Any

import pytest
import yaml

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.operations.emergency import places
from generator.operations.expand import Expanded, expand, react_pump, sources, waits
from generator.operations.facts import facts, holds
from generator.operations.steps import Step, plain
from generator.operations.wording import Words, safety_messages
from generator.plant.plant import Plant
from generator.problems import CONTENT
from tests.operations.conftest import RIGS, expanded
from tests.rigs import edited

RULES = yaml.safe_load((CONTENT / "wording" / "step_rules.yaml").read_text(encoding="utf-8"))
PHASES = {
    # 29 CFR 1910.119(f)(1)(i)(A)-(G), used as a list of contents
    "first_start_up",
    "normal",
    "temporary",
    "emergency_shutdown",
    "emergency_operation",
    "normal_shutdown",
    "restart",
}

Demo = tuple[Plant, FigureBook, Expanded]
SCENES = yaml.safe_load((CONTENT / "hazards" / "emergency.yaml").read_text(encoding="utf-8"))
VERBS = {*RULES["verbs"], *SCENES["verbs"]}
ELSEWHERE = re.compile(r"go to procedure ([A-Z][^.]+)\.")
STEPS = [
    pytest.param(step, expanded(name)[0], id=f"{name}-{step.number}")
    for name in RIGS
    for procedure in expanded(name)[2].procedures
    for step in procedure.steps
]


def _words(text: str, plant: Plant) -> int:
    """A list of painted labels counts as one word, and so does a place that the owner named."""
    listed = re.sub(r"(\[[^\]]*\]\s*)+", "LABEL ", plain(text))
    for place in places(plant).values():
        listed = listed.replace(place, "PLACE")
    return len(listed.split())


@pytest.mark.parametrize(("step", "plant"), STEPS)
def test_a_step_begins_with_a_verb_and_is_short(step: Step, plant: Plant) -> None:
    text = plain(step.text)
    assert re.split(r"[\s:,]", text)[0] in VERBS, text
    for sentence in re.split(r"(?<=[.:]) ", text):
        assert _words(sentence, plant) <= RULES["most_words"], sentence
    lowered = f" {text.lower()} "
    assert not [w for w in RULES["banned"] if re.search(rf"\b{re.escape(w)}(?!\w)", lowered)], text


@pytest.mark.parametrize(("step", "plant"), STEPS)
def test_a_step_leaves_no_hole(step: Step, plant: Plant) -> None:
    assert set(step.valves) <= set(plant.profile.valves)
    for text in (step.text, step.expected, step.otherwise, step.blank):
        if text is not None:
            shown = plain(text)
            assert shown.strip() and "{{" not in shown and "None" not in shown and "  " not in shown, shown


def test_all_seven_phases_are_there_or_say_why_not(demo: Demo) -> None:
    found = {p.phase for p in demo[2].procedures}
    assert found == PHASES
    for procedure in demo[2].procedures:
        assert bool(procedure.steps) != bool(procedure.unused), procedure.id


def test_numbers_run_without_gaps_and_references_exist(demo: Demo) -> None:
    for procedure in demo[2].procedures:
        assert [s.number for s in procedure.steps] == [
            f"{procedure.number}.{i + 1}" for i in range(len(procedure.steps))
        ]
        numbers = {step.number for step in procedure.steps}
        for step in procedure.steps:
            for reference in re.findall(r"from step (\d+\.\d+)", plain(f"{step.text} {step.otherwise}")):
                assert reference in numbers, step.number
    titles = {p.title for p in demo[2].procedures if not p.unused}
    for procedure in demo[2].procedures:
        for step in procedure.steps:
            for named in ELSEWHERE.findall(plain(f"{step.text} {step.otherwise}")):
                assert named in titles, (step.number, named)


def test_steps_say_where_they_come_from_and_which_valves_they_move(demo: Demo) -> None:
    valves = demo[0].profile.valves
    for procedure in demo[2].procedures:
        for step in procedure.steps:
            assert step.source.file.startswith("content/procedures/") and step.source.line > 0
            assert all(valve in valves for valve in step.valves)
            labels = plain(step.text)
            for valve in step.valves:
                assert f"[{valves[valve].label}]" in labels, step.number


def test_messages_exist(demo: Demo) -> None:
    known = yaml.safe_load((CONTENT / "hazards" / "messages.yaml").read_text(encoding="utf-8"))
    used = {m for p in demo[2].procedures for s in p.steps for m in s.messages}
    assert used <= set(known)
    assert len(used) > 20


def _wanted(entry: dict[str, Any]) -> set[str]:
    """Messages that one entry of a procedure file asks for, whichever place it names them in."""
    inner = entry.get("transfer") or entry.get("circulate")
    return {*entry.get("messages", ()), *(inner.get("messages", ()) if isinstance(inner, dict) else ())}


def test_a_warning_asked_for_is_printed_whatever_the_first_step_of_its_transfer_is(demo: Demo) -> None:
    """A transfer by gravity or by hand has no step for its pump: the warnings stand before what it has."""
    known = {**facts(demo[0]), **waits(demo[1])}
    messages = safety_messages()
    printed = {p.id: {m for s in p.steps for m in s.messages} for p in demo[2].procedures}
    for name, data in sources():
        if not holds(data.get("when"), known):
            continue
        for entry in data.get("steps", ()):
            if holds(entry.get("when"), known) and "lock_heaters" not in entry:
                asked = {m for m in _wanted(entry) if holds(messages[m]["when"], known)}
                assert asked <= printed[data["id"]], (name, entry["__line__"])


def test_a_message_that_does_not_concern_the_rig_is_not_printed() -> None:
    plant = Plant(edited("quillmere", {"recipe.settling": {"time": "4 h"}}))
    made = expand(plant, compute(plant, react_pump=react_pump(plant), finish_pump=None))
    known = facts(plant)
    for procedure in made.procedures:
        for step in procedure.steps:
            for key in step.messages:
                assert holds(safety_messages()[key]["when"], known), (step.number, key)


def test_a_us_rig_is_told_no_metric_temperatures_or_litres(demo: Demo) -> None:
    plant, figures, made = demo
    if plant.profile.units != "us":
        return
    words = Words(plant, figures, facts(plant))
    for key, message in safety_messages().items():
        for part in ("hazard", "consequence", "avoid"):
            shown = plain(words.fill(message[part]))
            assert not re.search(r"°C|\d (?:L|m|mm|bar)\b", shown) and "{" not in shown, (key, shown)
    for procedure in made.procedures:
        for step in procedure.steps:
            if step.action != "emergency":  # fixed wording gives both
                assert "°C" not in plain(f"{step.text} {step.expected} {step.otherwise}"), step.number


def test_every_procedure_file_names_known_substances_and_equipment() -> None:
    substances = yaml.safe_load((CONTENT / "hazards" / "substances.yaml").read_text(encoding="utf-8"))
    jobs = yaml.safe_load((CONTENT / "hazards" / "ppe.yaml").read_text(encoding="utf-8"))["jobs"]
    for name, data in sources():
        assert set(data.get("substances", ())) <= set(substances), name
        assert set(data.get("ppe", ())) <= set(jobs), name
