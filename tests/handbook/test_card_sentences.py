"""What a card tells the hand to do is what the procedure says, in the same order, with the same numbers."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from generator.handbook import card_lineup
from generator.handbook.book import Book
from generator.handbook.cards import cards
from generator.handbook.desk import Desk
from generator.handbook.document import reading
from generator.operations.inject import shut_while_held
from generator.operations.steps import Procedure, labels, plain
from generator.plant.lineup import Want
from generator.register.survey import survey

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
RIGS = ("quillmere", "larkstead", "withyburn")
# Lines of a card that gather several steps into one: what they name is compared, not the words.
GATHERED = re.compile(
    r"Check that (these|this one|all others)|Check that \[.+\] circulates|Lift the|Leave \["
)
# What a step says more than a card: which way a valve leads, and where a hose rests.
MORE = re.compile(
    r" (into|out of) \[[^\]]+\]|: its place at rest| for now: (left open|it also touches).*(?=\.)"
)
VALUE = re.compile(r"\ue002([^\ue003]+)\ue003([^\ue004]*)\ue004")


@cache
def book(rig: str) -> Book:
    return survey(PROFILES / f"{rig}.yaml").book


def in_order(wanted: list[str], said: list[str]) -> str | None:
    """The first wanted sentence that is not said after the ones before it; None where all are."""
    rest = iter(said)
    return next((sentence for sentence in wanted if sentence not in rest), None)


def sentences(procedure: Procedure) -> list[str]:
    return [MORE.sub("", plain(step.text)) for step in procedure.steps]


def setting(book: Book, line_up: str) -> list[Procedure]:
    return [p for p in book.procedures if line_up in p.line_ups]


def groups(made: Book, line_up: str) -> dict[str, tuple[card_lineup.Line, ...]]:
    desk, found = Desk(made), made.line_ups[line_up]
    return card_lineup._groups(desk, found, card_lineup._facts(desk, found))


def checked(procedure: Procedure) -> set[str]:
    """Labels of all that the procedure has closed or sees closed."""
    closing = ("check_closed", "check_guards", "close_valve", "let_in")
    return {label for step in procedure.steps if step.action in closing for label in labels(step.text)}


@pytest.mark.parametrize("rig", RIGS)
def test_a_line_up_card_says_what_a_procedure_says_in_its_order(rig: str) -> None:
    made = book(rig)
    for line_up in made.line_ups:
        lines = [plain(line.text) for group in groups(made, line_up).values() for line in group]
        wanted = [line for line in lines if not GATHERED.match(line)]
        said = [sentences(procedure) for procedure in setting(made, line_up)]
        if line_up.startswith("around-"):  # one procedure starts it, a later one stops it
            said.append([sentence for each in said for sentence in each])
        missing = [in_order(wanted, each) for each in said]
        assert wanted and None in missing, (line_up, missing)


@pytest.mark.parametrize("rig", RIGS)
def test_a_line_up_card_keeps_closed_what_a_procedure_checks_or_closes(rig: str) -> None:
    made = book(rig)
    for line_up in made.line_ups:
        closed = {
            label
            for line in groups(made, line_up)["set"]
            if "CLOSED" in line.text or line.text.startswith("Close ")
            for label in labels(" ".join((line.text, *line.tags)))
        }
        left = [closed - checked(procedure) for procedure in setting(made, line_up)]
        assert closed and set() in left, (line_up, left)


@pytest.mark.parametrize("rig", RIGS)
def test_the_run_card_names_the_procedures_by_number_and_title(rig: str) -> None:
    made = book(rig)
    printed = "".join(plain(card.html_body) for card in cards(made) if card.kind == "run")
    for procedure in (*made.by_group("run"), *made.by_group("finish")):
        line = f"{procedure.number}</span>"
        assert (line in printed) is (procedure.unused is None), procedure.id


@pytest.mark.parametrize("rig", RIGS)
def test_every_number_on_a_card_and_in_a_step_is_the_figure_of_record(rig: str) -> None:
    made = book(rig)
    texts = [step.text for procedure in made.procedures for step in procedure.steps]
    for line_up in made.line_ups:
        texts += [line.text for group in groups(made, line_up).values() for line in group]
    found = [pair for text in texts for pair in VALUE.findall(text)]
    assert len(found) > 50
    for figure_id, shown in found:
        assert made.figures[figure_id].text == shown, figure_id


@pytest.mark.parametrize("rig", RIGS)
def test_what_holds_methoxide_back_is_shut_on_the_cards_as_in_the_procedure(rig: str) -> None:
    made = book(rig)
    can = made.plant.the("methoxide").id
    held = [f"[{made.plant.label(valve)}]" for valve in shut_while_held(made.plant)]
    assert held
    shown = next(card for card in cards(made) if card.kind == "valves")
    filling = next(f for f in made.line_ups.values() if f.streams[0].destination == can)
    letting = next(f for f in made.line_ups.values() if can in {s.source for s in f.streams[1:]})
    around = made.line_ups[Want(letting.streams[0].source, letting.streams[0].destination).id]
    procedure = next(p for p in made.procedures if p.id == "methoxide")
    for valve in held:
        assert f"Close {valve}." in [plain(line.text) for line in groups(made, filling.id)["set"]]
        assert f"Close {valve}." in sentences(procedure)
        assert valve in plain(" ".join(line.text for line in groups(made, around.id)["set"]))
    assert "".join(shown.groups).count("closed while") == len(held)


@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_the_methoxide_card_stirs_as_long_as_the_procedure(rig: str) -> None:
    made = book(rig)
    procedure = made.procedure("methoxide")
    card = next(card for card in cards(made) if card.kind == "methoxide")
    said = "for five minutes"
    assert procedure is not None and any(said in plain(step.text) for step in procedure.steps)
    assert said in reading(card.html_body)
