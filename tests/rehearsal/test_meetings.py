"""What must not meet, wait or end: faults that take more than one slip, made in the model's state."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.rehearsal.actions import cooled
from generator.rehearsal.meeting import faults
from generator.rehearsal.mix import Mix
from generator.rehearsal.run import Rehearsal
from generator.rehearsal.state import Contents
from tests.rehearsal.conftest import batch_of, demo

METHOXIDE = Mix.of(methanol=30.0, lye=2.0)


@pytest.mark.parametrize(
    ("there", "comes", "comes_c", "rule"),
    [
        (METHOXIDE, Mix.of(water=5.0), 20.0, "water-in-methoxide"),
        (Mix.of(water=5.0), METHOXIDE, 20.0, "water-in-methoxide"),
        (METHOXIDE, Mix.of(acid=1.0, methanol=9.0), 20.0, "acid-meets-lye"),
        (Mix.of(glycerol=20.0), Mix.of(acid=1.0, methanol=9.0), 20.0, "acid-meets-lye"),
        (Mix.of(oil=150.0, water=1.0), METHOXIDE, 20.0, "wet-charge"),
        (Mix.of(oil=150.0, methanol=20.0), METHOXIDE, 20.0, ""),
        (Mix.of(ester=100.0, methanol=5.0), Mix.of(ester=10.0), 80.0, "hot-receiver"),
    ],
)
def test_what_must_not_meet(there: Mix, comes: Mix, comes_c: float, rule: str) -> None:
    found = {
        fault.rule
        for fault in faults(demo("quillmere").model(), "reactor", Contents((there,)), comes, comes_c)
    }
    assert found == ({rule} if rule else set())


def test_wet_oil_into_a_hot_vessel() -> None:
    model, wet = demo("quillmere").model(), Mix.of(oil=99.0, water=1.0)
    hot = Contents((Mix.of(oil=50.0),), 60.0)
    assert {fault.rule for fault in faults(model, "dryer", hot, wet, 20.0)} == {"wet-oil"}
    assert not list(faults(model, "dryer", Contents(hot.layers, 45.0), wet, 20.0))


def test_a_heater_that_is_on_while_methoxide_goes_in() -> None:
    rig = demo("quillmere")
    off = ("lock_heater", "switch_off")
    procedures = [
        replace(p, steps=tuple(s for s in p.steps if s.action not in off))
        if p.id in ("preheat", "inject")
        else p
        for p in rig.procedures
    ]
    hits = [v for v in batch_of(rig, procedures).violations if v.rule == "heat-with-methoxide"]
    assert hits and (hits[0].procedure, hits[0].equipment) == ("inject", ("reactor.element",))


def test_air_too_warm_to_cool_to() -> None:
    model = demo("quillmere").model()
    state = replace(
        model.start(), contents=model.start().with_contents(dryer=Contents((Mix.of(oil=100.0),), 80.0))
    )
    _, found = cooled(model, state, "dryer", model.ambient_c - 5.0)
    assert [fault.rule for fault in found] == ["never-cool"]


def test_an_emergency_stop_that_ends_the_fan() -> None:
    rig = demo("quillmere")
    stop = next(p for p in rig.procedures if p.id == "emergency-stop")
    press = next(n for n, step in enumerate(stop.steps) if step.operation == "scene")
    steps = list(stop.steps)
    acts = {**steps[press].data.get("acts", {}), "ends": "fan"}
    steps[press] = replace(steps[press], data={**steps[press].data, "acts": acts})
    procedures = [replace(stop, steps=tuple(steps)) if p is stop else p for p in rig.procedures]
    model = rig.model()
    run = Rehearsal(model, procedures, "break-1", replace(model.start(), flowing=frozenset({"fan"})))
    run.run(["emergency-stop"])
    assert [(v.rule, v.equipment) for v in run.violations] == [("ventilation", ("fan",))]
