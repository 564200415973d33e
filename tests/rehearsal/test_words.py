"""Every violation has words, and a finding of the rehearsal names run, procedure, step and quantity."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest
import yaml

import generator.rehearsal
from generator.problems import CONTENT, Place
from generator.profile.load import Loaded, load
from generator.rehearsal.violation import Violation
from generator.review import rehearsed
from tests.rehearsal.conftest import demo
from tests.rigs import PROFILES

WORDS = yaml.safe_load((CONTENT / "wording" / "findings.yaml").read_text("utf-8"))


ELEMENT = ("vessels", "dryer", "heaters", "element")


def rules() -> set[str]:
    """First argument of every ``Fault(...)`` in the package."""
    found = set()
    for path in Path(generator.rehearsal.__path__[0]).glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Fault":
                constants = [part for part in ast.walk(node.args[0]) if isinstance(part, ast.Constant)]
                found |= {str(part.value) for part in constants if part.value in ("spill", "astray")}
                if isinstance(node.args[0], ast.Constant):
                    found.add(str(node.args[0].value))
    return found - {"fault.rule"}


def test_every_rule_has_words_and_every_word_a_rule() -> None:
    assert {f"rehearsal-{rule}" for rule in rules()} == {r for r in WORDS if r.startswith("rehearsal-")}


def test_a_finding_names_step_procedure_and_quantity() -> None:
    rig = demo("larkstead")
    place = Place("content/procedures/22-dry.yaml", 12)
    hot = Violation("ceiling", "batch", "react", "28.11", place, ("tank",), 61.2, 58.2, "temperature")
    again = Violation("ceiling", "batches", "react", "28.12", place, ("tank",), 61.2, 58.2, "temperature")
    (finding,) = rehearsed.findings(_loaded("larkstead"), rig.plant, rig.procedures, [hot, again])
    assert finding.rule == "rehearsal-ceiling" and finding.severity == "stop"
    assert finding.place == _loaded("larkstead").place("recipe", "reaction", "set_point")
    assert finding.what.startswith("Rehearsal of one batch, React, step 28.11: Processing tank (TANK)")
    assert "142\xa0°F" in finding.what and "137\xa0°F" in finding.what


@pytest.mark.parametrize(
    ("rule", "equipment", "trail"),
    [
        ("fill", ("reactor",), ("vessels", "reactor", "max_fill")),
        ("uncovered", ("dryer.element", "dryer"), (*ELEMENT, "top_of_hot_part")),
        ("ceiling", ("finisher",), ("recipe", "stripping", "set_point")),
        ("pump-dry", ("p1", "reactor"), ("pumps", "p1")),
        ("end-valves", ("v10",), ("valves", "v10")),
        ("not-cut", ("p1",), ("safety", "emergency_stop", "cuts")),
        ("vent-shut", (), ("vessels",)),
    ],
)
def test_a_finding_points_at_the_line_of_the_profile_that_decides(
    rule: str, equipment: tuple[str, ...], trail: tuple[str, ...]
) -> None:
    rig, step = demo("quillmere"), Place("content/procedures/22-dry.yaml", 12)
    violation = Violation(rule, "batch", "react", "28.11", step, equipment, 1.0, 2.0)
    (finding,) = rehearsed.findings(_loaded("quillmere"), rig.plant, rig.procedures, [violation])
    assert finding.place == _loaded("quillmere").place(*trail)


def test_what_no_profile_decides_keeps_its_step() -> None:
    rig, step = demo("quillmere"), Place("content/procedures/22-dry.yaml", 12)
    violation = Violation("mass", "batch", "react", "28.11", step, (), 1.0, 2.0)
    (finding,) = rehearsed.findings(_loaded("quillmere"), rig.plant, rig.procedures, [violation])
    assert finding.place == step


@cache
def _loaded(name: str) -> Loaded:
    return load(PROFILES / f"{name}.yaml")


def test_all_words_can_be_filled() -> None:
    rig = demo("quillmere")
    place = Place("content/procedures/22-dry.yaml", 12)
    for rule in rules():
        for run in ("batch", "batches", "failed-conversion", "acid-step", "first-start", "break-27.3"):
            violation = Violation(rule, run, "react", "28.1", place, ("reactor", "p1", "to_tower"), 1.0, 2.0)
            (finding,) = rehearsed.findings(_loaded("quillmere"), rig.plant, rig.procedures, [violation])
            assert finding.what and finding.mend and finding.source and "{" not in finding.what
