"""Every seeded fault of a profile is found: by its rule, at its severity, on its line, and nothing else."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

import pytest
import yaml

from generator.figures.compute import compute
from generator.operations.expand import expand, react_pump
from generator.operations.maker import LineUps
from generator.plant.plant import Plant
from generator.problems import CONTENT, FillmarkError
from generator.profile.load import load
from generator.register.survey import finish_pump, survey
from generator.rehearsal.campaign import rehearse
from generator.review import rehearsed
from generator.review.finding import Finding
from generator.review.review import review
from generator.review.rules_lineups import transfers_needed
from tests.rigs import PROFILES

from .acid import ACID
from .heat import HEAT
from .ignition import IGNITION
from .owner import OWNER
from .piping import PIPING
from .refused import REFUSED
from .rehearsed import REHEARSED
from .room import ROOM
from .rows import RIGS, Case, edited, line_of
from .site import PLACE
from .vapour import VAPOUR

CASES = (*OWNER, *HEAT, *ACID, *VAPOUR, *IGNITION, *PLACE, *ROOM, *PIPING, *REHEARSED)
WORDS = yaml.safe_load((CONTENT / "wording" / "findings.yaml").read_text("utf-8"))
#: Rules that a sound rig breaks already, or that no spoilt profile can reach: each has its own test.
ELSEWHERE = {
    "cool-before-tower", "dries-by-air", "figure-missing", "line-up-missing", "side-outlet", "S39-throttled",
}  # fmt: skip


def reviewed(path: Path, rehearses: bool) -> tuple[Finding, ...]:
    """What the review finds and, if wanted, a rehearsal of batches that are not broken off.

    Without it only the transfers that every batch makes are lined up: quicker, and all that rules look at.
    """
    loaded = load(path)
    plant = Plant(loaded.profile)
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=finish_pump(plant))
    if not rehearses:
        ways = LineUps(plant)
        for want in transfers_needed(plant):
            ways.get(want)
        return review(loaded, plant, figures, tuple(ways.found.values()), tuple(ways.problems.values()))
    made = expand(plant, figures)
    found = review(loaded, plant, figures, tuple(made.line_ups.values()), made.problems, made.missing)
    report = rehearse(plant, figures, made.procedures, every=0)
    return (*found, *rehearsed.findings(loaded, plant, made.procedures, report.violations))


@cache
def as_it_is(rig: str, rehearses: bool) -> Counter[tuple[str, str, tuple[str, ...]]]:
    return keys(reviewed(PROFILES / f"{rig}.yaml", rehearses))


def keys(findings: tuple[Finding, ...]) -> Counter[tuple[str, str, tuple[str, ...]]]:
    return Counter((f.rule, f.severity, f.equipment) for f in findings)


def spoilt(case: Case, folder: Path) -> tuple[str, Path]:
    """The text of a rig with its fault, and the file that holds it."""
    text = edited((PROFILES / f"{case.rig}.yaml").read_text("utf-8"), case.edits)
    path = folder / f"{case.rig}.yaml"
    path.write_text(text, "utf-8")
    return text, path


def test_there_are_faults_enough_on_each_rig() -> None:
    assert len({(case.rig, case.edits) for case in (*CASES, *REFUSED)}) >= 300
    assert all(sum(case.rig == rig for case in CASES) >= 60 for rig in RIGS)


@pytest.mark.parametrize("rig", RIGS)
def test_a_sound_rig_gives_nothing_but_notes_and_accepts_nothing(rig: str) -> None:
    book = survey(PROFILES / f"{rig}.yaml").book
    assert [(f.standing, f.rule) for f in book.findings if f.standing != "note"] == []
    assert not book.profile.accepted


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{case}" for n, case in enumerate(CASES)])
def test_a_fault_is_found_on_its_line_and_nothing_else_is(case: Case, tmp_path: Path) -> None:
    text, path = spoilt(case, tmp_path)
    rehearses = case in REHEARSED
    findings = reviewed(path, rehearses)
    new = keys(findings) - as_it_is(case.rig, rehearses)
    own = [key[:2] for key in new.elements() if key[0] not in case.also]
    expected = [(case.rule, case.severity)]
    # What goes on over several steps is told for each procedure.
    assert (sorted(set(own)) if rehearses else own) == expected * case.times
    assert {rule for rule, _, _ in new} - {case.rule} == set(case.also)
    places = [f.place for f in findings if (f.rule, f.severity, f.equipment) in new and f.rule == case.rule]
    assert places[0] is not None
    assert (Path(places[0].file).name, places[0].line) == (path.name, line_of(text, case.at))
    for finding in findings:
        for said in (finding.what, finding.mend, finding.source):
            assert said and not set("{}<>") & set(said)


@pytest.mark.parametrize("case", REFUSED, ids=[f"{n}-{case}" for n, case in enumerate(REFUSED)])
def test_what_cannot_be_read_is_refused_at_its_line(case: Case, tmp_path: Path) -> None:
    text, path = spoilt(case, tmp_path)
    with pytest.raises(FillmarkError) as caught:
        load(path)
    assert {problem.code for problem in caught.value.problems} == {case.rule}
    first = caught.value.problems[0]
    assert first.place is not None and first.place.line == line_of(text, case.at)
    assert first.what and first.mend


def test_every_rule_has_a_fault() -> None:
    decided = {rule for rule in WORDS if not rule.startswith(rehearsed.RULES)}
    assert {case.rule for case in CASES if case not in REHEARSED} | ELSEWHERE == decided
