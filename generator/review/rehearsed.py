"""Findings of the rehearsal: each violation put into the plant's own names and units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Final

import yaml

from generator import quantities
from generator.operations.steps import Procedure, plain
from generator.plant.plant import Plant
from generator.problems import CONTENT
from generator.rehearsal.violation import Violation
from generator.review.finding import Finding

BREAK: Final = "break-"
BESIDE: Final = "beside-"
#: What the ids of the rehearsal's findings begin with.
RULES: Final = "rehearsal-"


@cache
def _words() -> Mapping[str, str]:
    text = (CONTENT / "wording" / "rehearsal.yaml").read_text(encoding="utf-8")
    loaded: dict[str, dict[str, str]] = yaml.safe_load(text)
    return loaded["runs"]


def run_title(run: str) -> str:
    """What a run is called; a break names the step after which it happened."""
    if run.startswith(BREAK):
        return _words()["break"].format(step=run.removeprefix(BREAK))
    if run.startswith(BESIDE):
        return _words()["beside"]
    return _words()[run]


def findings(
    plant: Plant, procedures: Iterable[Procedure], violations: Iterable[Violation]
) -> tuple[Finding, ...]:
    """One finding for each rule, procedure and equipment: where it came up first; it may last for steps."""
    titles = {procedure.id: plain(procedure.title) for procedure in procedures}
    first: dict[tuple[str, str, tuple[str, ...]], Violation] = {}
    for violation in violations:
        first.setdefault((violation.rule, violation.procedure, violation.equipment), violation)
    return tuple(_finding(plant, titles, violation) for violation in first.values())


def _finding(plant: Plant, titles: Mapping[str, str], violation: Violation) -> Finding:
    facts = {
        "run": run_title(violation.run),
        "procedure": titles[violation.procedure],
        "step": violation.step,
        "parts": ", ".join(dict.fromkeys(_name(plant, part) for part in violation.equipment)),
        "value": _shown(plant, violation.value, violation.quantity),
        "limit": _shown(plant, violation.limit, violation.quantity),
    }
    rule = f"{RULES}{violation.rule}"
    return Finding(rule, violation.severity, violation.place, violation.equipment, facts)


def _name(plant: Plant, part: str) -> str:
    """Name and painted label where there are both; a line's own id."""
    profile = plant.profile
    if part in profile.vessels:
        return f"{profile.vessels[part].name} ({profile.vessels[part].label})"
    try:
        return plant.label(part)
    except KeyError:
        return part


def _shown(plant: Plant, value: float | None, quantity: str) -> str:
    if value is None:
        return ""
    return quantities.show(value, quantity, units=plant.profile.units, rounding="target").text
