"""Every spoilt procedure is caught by the rehearsal: its rule, its severity, its file, its step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
import yaml

from generator.operations import expand as expanding
from generator.operations.steps import Procedure, Step
from generator.problems import CONTENT
from generator.profile.load import Loaded, load
from generator.rehearsal.run import Rehearsal
from generator.rehearsal.violation import Violation
from generator.review import rehearsed
from tests.rehearsal.conftest import Rig, batch_of, demo, with_steps
from tests.rigs import PROFILES

from .rehearsed import REHEARSED
from .slips import ENTRIES, STEPS, SWAPPED, Entry, Slip

WORDS = yaml.safe_load((CONTENT / "wording" / "findings.yaml").read_text("utf-8"))
#: What no single slip of a sound rig brings about: breaks, two batches at once, mixtures, mass.
ELSEWHERE = {
    "fill", "heat-with-methoxide", "pump-busy", "water-in-methoxide", "acid-meets-lye", "wet-oil",
    "never-cool", "not-cut", "ventilation", "mass", "too-hot", "other-batch",
}  # fmt: skip


@cache
def loaded(rig: str) -> Loaded:
    return load(PROFILES / f"{rig}.yaml")


@cache
def lines_of(file: str) -> list[str]:
    return (CONTENT.parent / file).read_text("utf-8").splitlines()


def told_at_its_step(rig: Rig, procedures: Sequence[Procedure], run: Rehearsal, slip: Slip | Entry) -> None:
    """The first violation of the rule names procedure, step, and the entry of the file it is from."""
    steps = {step.number: step for procedure in procedures for step in procedure.steps}
    hits = [violation for violation in run.violations if violation.rule == slip.rule]
    assert hits, sorted({violation.rule for violation in run.violations})
    first, step = hits[0], steps[hits[0].step]
    assert (first.procedure, first.severity) == (slip.told or slip.procedure, slip.severity)
    assert slip.action in ("", step.action)
    entry = entry_at(first)
    assert any(f"{step.operation}:" in line for line in entry), (step.operation, entry)
    (finding, *_) = rehearsed.findings(loaded(slip.rig), rig.plant, procedures, [first])
    assert finding.rule == f"{rehearsed.RULES}{slip.rule}" and finding.severity == slip.severity
    assert f"step {first.step}" in finding.what


def entry_at(violation: Violation) -> list[str]:
    """The lines of a procedure's file from where a violation points to the next entry."""
    text = lines_of(violation.place.file)
    assert f"id: {violation.procedure}" in text
    rest = text[violation.place.line - 1 :]
    assert rest[0].startswith("  - ")
    end = next((n for n, line in enumerate(rest) if n and not line.startswith("    ")), len(rest))
    return rest[:end]


@pytest.mark.parametrize("slip", STEPS, ids=[f"{n}-{slip}" for n, slip in enumerate(STEPS)])
def test_a_step_left_out_or_moved_is_caught_at_a_step(slip: Slip) -> None:
    rig = demo(slip.rig)
    procedures = with_steps(rig.procedures, slip.procedure, slip.edit)
    told_at_its_step(rig, rig.procedures, batch_of(rig, procedures), slip)


def spoilt(steps: Sequence[dict[str, Any]], entry: Entry) -> list[dict[str, Any]]:
    """The entries of a file without one or some, or with one before another."""
    hits = [step for step in steps if entry.piece in str(step)]
    if entry.each:
        return [step for step in steps if step not in hits]
    gone = hits[0]
    rest = [step for step in steps if step is not gone]
    if entry.before:
        at = next(n for n, step in enumerate(rest) if entry.before in str(step))
        assert steps.index(gone) > at
        rest.insert(at, gone)
    return rest


@pytest.mark.parametrize("entry", ENTRIES, ids=[f"{n}-{entry}" for n, entry in enumerate(ENTRIES)])
def test_an_entry_of_a_file_left_out_or_moved_is_caught(
    entry: Entry, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = demo(entry.rig)
    files = tuple(
        (name, {**data, "steps": spoilt(data["steps"], entry)} if data["id"] == entry.procedure else data)
        for name, data in expanding.sources()
    )
    monkeypatch.setattr(expanding, "sources", lambda: files)
    procedures = expanding.expand(rig.plant, rig.figures).procedures
    told_at_its_step(rig, procedures, batch_of(rig, procedures), entry)


def _swapped(steps: Iterable[Step], one: str, other: str) -> tuple[Step, ...]:
    """Steps that name one valve act on the other."""
    names = {one: other, other: one}
    return tuple(replace(step, valves=tuple(names.get(v, v) for v in step.valves)) for step in steps)


@pytest.mark.parametrize(("name", "one", "other", "rules"), SWAPPED)
def test_two_labels_swapped_are_caught(name: str, one: str, other: str, rules: set[str]) -> None:
    rig = demo(name)
    run = batch_of(rig, [replace(p, steps=_swapped(p.steps, one, other)) for p in rig.procedures])
    hits = [violation for violation in run.violations if violation.rule in rules]
    assert hits and hits[0].severity == "stop" and entry_at(hits[0])


def test_every_rule_of_the_rehearsal_has_a_slip() -> None:
    seeded = {f"{rehearsed.RULES}{slip.rule}" for slip in (*STEPS, *ENTRIES)} | {c.rule for c in REHEARSED}
    seeded |= {f"{rehearsed.RULES}{rule}" for *_, found in SWAPPED for rule in found}
    rules = {rule for rule in WORDS if rule.startswith(rehearsed.RULES)}
    assert seeded | {f"{rehearsed.RULES}{rule}" for rule in ELSEWHERE} == rules
