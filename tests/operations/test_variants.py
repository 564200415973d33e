"""Rigs that lack or have other things get the procedure they need, not a hole and not a crash."""

from __future__ import annotations

from typing import Any

import pytest

from generator.figures.compute import compute
from generator.operations.expand import Expanded, expand, react_pump
from generator.operations.steps import plain
from generator.plant.plant import Plant
from tests.rigs import edited

VARIANTS: dict[str, tuple[str, dict[str, Any]]] = {
    "a site at 2600 m": ("quillmere", {"site.altitude": "2600 m"}),
    "barometer instead of altitude": ("quillmere", {"site.altitude": None, "site.barometer": "91 kPa"}),
    "outdoors without a fan": (
        "quillmere",
        {"site.placement": "outdoors", "site.room": None, "safety.fan": None},
    ),
    "no gas alarm": ("quillmere", {"safety.gas_alarm": None}),
    "no shower": ("quillmere", {"safety.shower_place": None}),
    "alone": ("quillmere", {"site.works_alone": "yes"}),
    "two people": ("larkstead", {"site.works_alone": "no"}),
    "the other lye": (
        "quillmere",
        {
            "recipe.catalyst.base": "NaOH",
            "recipe.catalyst.titrant": {"base": "KOH", "made_from": "standardised"},
        },
    ),
    "same flake": (
        "quillmere",
        {"recipe.catalyst.titrant": {"base": "KOH", "made_from": "same_flake"}},
    ),
    "methanol by molar ratio": ("quillmere", {"recipe.methanol": {"molar_ratio": "6:1"}}),
    "condenser without sweep": (
        "quillmere",
        {"recipe.stripping.sweep": None, "recipe.stripping.target_share": "1 %"},
    ),
    "tower but no stripping": (
        "quillmere",
        {
            "recipe.stripping": None,
            "vessels.finisher.roles": ["wash"],
            "routes": [],
        },
    ),
    "reactor without a heater": ("quillmere", {"vessels.reactor.heaters": None}),
    "a can without stirrer": ("larkstead", {"vessels.methoxide_can.agitator": None}),
    "a can stirred by a rated motor": (
        "larkstead",
        {"vessels.methoxide_can.agitator": {"label": "M", "kind": "electric", "rated_for_vapour": "yes"}},
    ),
    "a can without thermometer": ("larkstead", {"vessels.methoxide_can.thermometer": None}),
    "both units": ("quillmere", {"units": "both"}),
    "a label with words": ("quillmere", {"valves.v03.label": "red handle, left"}),
}


def _expanded(name: str, edits: dict[str, Any]) -> Expanded:
    plant = Plant(edited(name, edits))
    return expand(plant, compute(plant, react_pump=react_pump(plant), finish_pump=None))


@pytest.mark.parametrize(("name", "edits"), VARIANTS.values(), ids=VARIANTS.keys())
def test_every_variant_gets_whole_procedures(name: str, edits: dict[str, Any]) -> None:
    made = _expanded(name, edits)
    for procedure in made.procedures:
        assert bool(procedure.steps) != bool(procedure.unused)
        for step in procedure.steps:
            shown = plain(f"{step.text} {step.expected} {step.otherwise}")
            assert step.text and "{{" not in shown, step.number


def _text(made: Expanded, procedure_id: str) -> str:
    procedure = next(p for p in made.procedures if p.id == procedure_id)
    return plain(" ".join([procedure.purpose, *(s.text for s in procedure.steps)]))


def test_what_is_missing_is_replaced_and_not_only_left_out() -> None:
    assert "Switch fan" in _text(_expanded("quillmere", {}), "get-ready")
    outdoors = _expanded(*VARIANTS["outdoors without a fan"])
    assert "Switch fan" not in _text(outdoors, "get-ready")
    assert "feel the air" in plain(
        " ".join(
            s.text + (s.expected or "") for p in outdoors.procedures for s in p.steps if p.id == "get-ready"
        )
    )
    assert "crank" in _text(_expanded("larkstead", {}), "methoxide")
    assert "Rock the closed can" in _text(_expanded(*VARIANTS["a can without stirrer"]), "methoxide")
    assert "nitrogen" not in _text(_expanded(*VARIANTS["condenser without sweep"]), "strip").lower()
    bare = _text(_expanded(*VARIANTS["reactor without a heater"]), "react")
    assert "heater" not in bare.lower()


def test_a_second_person_becomes_a_repeat_from_zero_for_one_who_works_alone() -> None:
    two = _text(_expanded("quillmere", {}), "titrate")
    alone = _text(_expanded(*VARIANTS["alone"]), "titrate")
    assert "a second person" in two and "a second person" not in alone
    assert "again from zero" in alone
