"""Every label in a step's sentence is the label of a piece of equipment or a valve that the step lists."""

from __future__ import annotations

import re

from generator.figures.record import FigureBook
from generator.operations.expand import Expanded
from generator.operations.steps import labels
from generator.plant.plant import Plant


def test_a_step_lists_what_its_sentence_names(demo: tuple[Plant, FigureBook, Expanded]) -> None:
    plant, _, expanded = demo
    by_hand = 0
    for procedure in expanded.procedures:
        for step in procedure.steps:
            listed = {plant.label(id_) for id_ in (*step.equipment, *step.valves)}
            named = {label for label in labels(step.text) if label in plant.by_label}
            assert named <= listed, (step.number, named - listed)
            by_hand += bool(named) and step.action in ("do", "check", "read", "emergency")
    assert by_hand > 5


def test_valves_and_equipment_are_kept_apart(demo: tuple[Plant, FigureBook, Expanded]) -> None:
    plant, _, expanded = demo
    valves = set(plant.profile.valves)
    for procedure in expanded.procedures:
        for step in procedure.steps:
            assert set(step.valves) <= valves and not set(step.equipment) & valves, step.number


def test_isopropanol_is_warned_of_before_it_is_poured(demo: tuple[Plant, FigureBook, Expanded]) -> None:
    pours = [step for p in demo[2].procedures for step in p.steps if "of isopropanol" in step.text]
    assert len(pours) >= 3
    assert [step.number for step in pours if "isopropanol_flame" not in step.messages] == []


def test_who_is_sent_to_another_procedure_is_told_its_number_and_title(
    demo: tuple[Plant, FigureBook, Expanded],
) -> None:
    heads = tuple(f"{p.number} {p.title}" for p in demo[2].procedures)
    sent = 0
    for procedure in demo[2].procedures:
        texts = [text for s in procedure.steps for text in (s.text, s.expected, s.otherwise) if text]
        for text in (*procedure.before, *texts):
            for match in re.finditer(r"[Pp]rocedure (?=[A-Z0-9])", text):
                assert text[match.end() :].startswith(heads), (procedure.id, text)
                sent += 1
    assert sent > 4


def test_a_valve_that_only_guards_a_vessel_is_not_said_to_divert_the_flow(
    demo: tuple[Plant, FigureBook, Expanded],
) -> None:
    plant, _, expanded = demo
    found = {line_up.id: line_up for line_up in expanded.line_ups.values()}
    steps = [step for procedure in expanded.procedures for step in procedure.steps]
    closed = [step for step in steps if step.action == "close_valve" and "for now" in step.text]
    assert closed or plant.profile.name != "Larkstead barn rig"
    for step in closed:
        diverts = step.data["valve"] in found[step.line_up or ""].touching
        assert ("would let liquid leave" in step.text) is diverts, step.text


def test_a_mix_that_stands_is_not_sent_back_to_be_heated(demo: tuple[Plant, FigureBook, Expanded]) -> None:
    """Methoxide is in: where the circulation has stopped, the layers have parted and are mixed cold first."""
    procedures = {procedure.id: procedure for procedure in demo[2].procedures}
    restart = f"{procedures['restart'].number} {procedures['restart'].title}"
    checked = [s for s in procedures["react"].steps if s.action in ("check_all_open", "check_runs")]
    assert checked and all(restart in (step.otherwise or "") for step in checked)
