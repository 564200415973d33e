"""Findings of the rehearsal: each violation put into the plant's own names and units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Final

import yaml

from generator import quantities
from generator.operations.steps import Procedure, plain
from generator.plant.plant import Plant
from generator.problems import CONTENT, Place
from generator.profile.load import Loaded
from generator.rehearsal.violation import Violation
from generator.review.finding import Finding

BREAK: Final = "break-"
BESIDE: Final = "beside-"
#: What the ids of the rehearsal's findings begin with.
RULES: Final = "rehearsal-"
#: What the profile says of a vessel that decides these; of a heater, where its hot part ends.
VESSEL_KEYS: Final = {
    "fill": "max_fill",
    "room": "max_fill",
    "too-hot": "max_temperature",
    "never-hot": "heaters",
    "sample-dry": "ports",
    "not-empty": "ports",
    "wrong-layer": "gauge",
}
#: Settings of the recipe by the role of the vessel that they warm.
SET_POINTS: Final = {"react": "reaction", "dry": "drying", "strip": "stripping", "wash": "washing"}
WARM: Final = ("ceiling", "hot-receiver", "wet-oil")
STOP_CUTS: Final = ("not-cut", "ventilation")
SECTIONS: Final = ("vessels", "pumps", "valves", "lines", "hoses", "inline", "condensers", "supplies")
#: The program's own fault: no line of the profile decides it.
OURS: Final = ("mass",)


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
    loaded: Loaded, plant: Plant, procedures: Iterable[Procedure], violations: Iterable[Violation]
) -> tuple[Finding, ...]:
    """One finding for each rule, procedure and equipment: where it came up first; it may last for steps.

    It stands at the line of the profile that decides it: the step, named in its words, is not the owner's.
    """
    titles = {procedure.id: plain(procedure.title) for procedure in procedures}
    first: dict[tuple[str, str, tuple[str, ...]], Violation] = {}
    for violation in violations:
        first.setdefault((violation.rule, violation.procedure, violation.equipment), violation)
    return tuple(
        _finding(plant, titles, violation, _place(loaded, violation)) for violation in first.values()
    )


def _place(loaded: Loaded, violation: Violation) -> Place:
    """Where the profile decides what went wrong: the setting, else the part it happened at."""
    profile, rule = loaded.profile, violation.rule
    if rule in OURS:
        return violation.place
    if rule in STOP_CUTS:
        return loaded.place("safety", "emergency_stop", "cuts")
    for part in violation.equipment:
        vessel, _, heater = part.partition(".")
        if heater and vessel in profile.vessels:
            return loaded.place("vessels", vessel, "heaters", heater, "top_of_hot_part")
    part = next(iter(violation.equipment), "")
    section = next((name for name in SECTIONS if part in getattr(profile, name)), None)
    if section is None:
        return loaded.place("vessels")
    if section != "vessels":
        return loaded.place(section, part)
    roles = profile.vessels[part].roles
    warmed = next((SET_POINTS[role] for role in SET_POINTS if role in roles), None)
    if rule in WARM and warmed is not None:
        return loaded.place("recipe", warmed, "set_point")
    return loaded.place(section, part, VESSEL_KEYS.get(rule, ""))


def _finding(plant: Plant, titles: Mapping[str, str], violation: Violation, place: Place) -> Finding:
    facts = {
        "run": run_title(violation.run),
        "procedure": titles[violation.procedure],
        "step": violation.step,
        "parts": ", ".join(dict.fromkeys(plant.called(part) for part in violation.equipment)),
        "value": _shown(plant, violation.value, violation.quantity),
        "limit": _shown(plant, violation.limit, violation.quantity),
    }
    rule = f"{RULES}{violation.rule}"
    return Finding(rule, violation.severity, place, violation.equipment, facts)


def _shown(plant: Plant, value: float | None, quantity: str) -> str:
    if value is None:
        return ""
    return quantities.show(value, quantity, units=plant.profile.units, rounding="target").text
