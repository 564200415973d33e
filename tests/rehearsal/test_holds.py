"""Every demonstration rig stands every run, broken off at every step; each spoilt procedure is caught."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

import pytest

from generator.operations.steps import Step
from generator.rehearsal.campaign import broken_off, rehearse
from generator.rehearsal.checks import MASS_CLOSES
from tests.operations.test_variants import VARIANTS
from tests.rehearsal.conftest import (
    RIGS,
    Edit,
    batch_of,
    changed,
    demo,
    dropped,
    found,
    moved,
    with_steps,
)


@pytest.mark.parametrize("name", RIGS)
def test_a_sound_rig_holds_in_every_run_broken_off_at_every_step(name: str) -> None:
    rig = demo(name)
    report = rehearse(rig.plant, rig.figures, rig.procedures, every=1)
    assert report.violations == ()
    assert {"batch", "batches", "failed-conversion", "first-start"} <= set(report.runs)
    assert sum(run.startswith("break-") for run in report.runs) > 290


def test_a_batch_of_several_vessels_rehearses_in_under_a_second() -> None:
    demo("quillmere")
    start = time.process_time()
    run = batch_of(demo("quillmere"))
    assert time.process_time() - start < 1.0
    assert len(run.moments) > 300


@pytest.mark.parametrize("name", RIGS)
def test_mass_is_kept_over_a_whole_batch(name: str) -> None:
    run = batch_of(demo(name))
    first, last = run.moments[0].state, run.moments[-1].state
    assert abs(last.mass_kg() - first.mass_kg()) < MASS_CLOSES * last.brought.total_kg


@pytest.mark.parametrize("name", RIGS)
def test_the_model_comes_to_the_volumes_of_the_figures(name: str) -> None:
    """Independent of one another: figures balance a batch on paper, the model pumps it about (derived)."""
    rig = demo(name)
    run = batch_of(rig)
    fuel = run.state.contents[rig.plant.the("fuel").id]
    assert fuel.volume_m3 == pytest.approx(rig.figures["fuel_volume"].value, rel=0.06)
    assert fuel.mix["lye"] < 1e-3 and fuel.mix["glycerol"] < 1e-3
    glycerin = run.state.contents[rig.plant.the("glycerin").id].mix
    assert glycerin["glycerol"] == pytest.approx(rig.figures["balance_glycerol"].value, rel=0.03)


@pytest.mark.parametrize("name", VARIANTS)
def test_a_rig_that_lacks_or_has_other_things_holds(name: str) -> None:
    rig = changed(*VARIANTS[name])
    report = rehearse(rig.plant, rig.figures, rig.procedures, every=40)
    assert report.violations == ()
    if "acid" in name:
        assert "acid-step" in report.runs


#: Spoilt procedures: rig, procedure, what is done to it, the rule that must come up, the action of its step.
SPOILT: list[tuple[str, str, Edit, str, str]] = [
    # A valve is forgotten.
    ("quillmere", "charge-oil", dropped("open_valve", 1), "pump-dry", "start_pump"),
    ("quillmere", "preheat", dropped("open_valve"), "dead-head", "start_pump"),
    ("quillmere", "preheat", dropped("close_valve"), "two-paths", "start_pump"),
    ("quillmere", "settle", dropped("open_valve"), "dead-head", "start_pump"),
    ("quillmere", "charge-oil", dropped("close_valve", 1), "spill", "open_valve"),
    ("quillmere", "react", dropped("close_valve"), "end-valves", "reopen_valve"),
    ("quillmere", "drain-glycerin", dropped("turn_valve"), "no-flow", "watch_until"),
    ("larkstead", "drain-glycerin", dropped("open_valve"), "no-flow", "watch_until"),
    ("larkstead", "water-wash", dropped("open_valve"), "no-flow", "watch_until"),
    ("larkstead", "drain-glycerin", dropped("close_valve", 1), "spill", "disconnect_hose"),
    # A hose is forgotten, or comes too late.
    ("quillmere", "charge-oil", dropped("connect_hose"), "pump-dry", "start_pump"),
    ("larkstead", "drain-glycerin", dropped("connect_hose"), "spill", "open_valve"),
    ("larkstead", "drain-glycerin", dropped("disconnect_hose", 1), "end-valves", ""),
    ("larkstead", "drain-glycerin", moved("disconnect_hose", "close_port"), "", ""),
    ("quillmere", "methoxide", dropped("unpark_hose"), "hose-taken", "connect_hose"),
    # A pump runs on, or never starts.
    ("quillmere", "charge-oil", dropped("stop_pump"), "moved-running", "close_valve"),
    ("quillmere", "charge-oil", dropped("start_pump"), "no-flow", "watch_until"),
    ("quillmere", "react", dropped("stop_pump"), "end-pump", "reopen_valve"),
    ("quillmere", "preheat", dropped("start_circulation"), "end-circulation", "lock_heater"),
    ("quillmere", "charge-oil", moved("start_pump", "open_valve"), "moved-running", "open_valve"),
    # Heat.
    ("quillmere", "dry-oil", moved("switch_on", "unlock_heater"), "locked", "switch_on"),
    ("quillmere", "dry-oil", dropped("switch_on"), "never-hot", "heat_until"),
    ("quillmere", "react", dropped("lock_heater"), "end-heater", "reopen_valve"),
    ("quillmere", "strip", dropped("do"), "ceiling", "heat_until"),
    # Order of the liquids.
    ("quillmere", "settle", dropped("wait"), "glycerin-carried", "watch_until"),
    ("quillmere", "drain-glycerin", dropped("watch_until"), "glycerin-carried", "watch_until"),
    ("quillmere", "methoxide", moved("pour", "work_pump"), "lye-without-methanol", "pour"),
    ("quillmere", "inject", dropped("let_in_watch"), "unreacted", "watch_until"),
    ("quillmere", "charge-oil", dropped("watch_until"), "uncovered", "cover"),
]


@pytest.mark.parametrize(
    ("name", "procedure", "edit", "rule", "action"),
    SPOILT,
    ids=[f"{case[0]}-{case[1]}-{case[3]}-{number}" for number, case in enumerate(SPOILT)],
)
def test_a_spoilt_procedure_is_caught_at_its_step(
    name: str, procedure: str, edit: Edit, rule: str, action: str
) -> None:
    rig = demo(name)
    run = batch_of(rig, with_steps(rig.procedures, procedure, edit))
    actions = {step.number: step.action for p in rig.procedures for step in p.steps}
    if not rule:
        assert not run.violations
        return
    hits = [actions[step] for found_rule, step in found(run) if found_rule == rule]
    assert hits, "not found"
    assert not action or hits[0] == action


def _other_valve(label_of: str, instead: str) -> Edit:
    """A step that names one valve acts on another: two labels swapped on the rig."""

    def swapped(step: Step) -> Step:
        swap = {label_of: instead, instead: label_of}
        return replace(step, valves=tuple(swap.get(valve, valve) for valve in step.valves))

    return lambda steps: [swapped(step) for step in steps]


@pytest.mark.parametrize(
    ("name", "one", "other", "rules"),
    [
        ("quillmere", "v06", "v07", {"astray", "no-flow"}),
        ("quillmere", "v02", "v03", {"pump-dry", "astray"}),
        ("quillmere", "v01", "v03", {"pump-dry", "astray"}),
        ("quillmere", "can_outlet", "v03", {"pump-dry", "astray", "check"}),
        ("larkstead", "v1", "v2", {"pump-dry", "astray"}),
        ("larkstead", "v7", "v1", {"no-flow", "astray", "pump-dry"}),
    ],
)
def test_two_labels_swapped_are_caught(name: str, one: str, other: str, rules: set[str]) -> None:
    rig = demo(name)
    procedures = [replace(p, steps=tuple(_other_valve(one, other)(p.steps))) for p in rig.procedures]
    run = batch_of(rig, procedures)
    assert {rule for rule, _ in found(run)} & rules


@pytest.mark.parametrize(
    ("name", "edits", "rule", "procedure"),
    [
        # The recipe or the plant is wrong, the procedures go on as if it were right.
        ("quillmere", {"vessels.recovered_can.shape.height": "0.10 m"}, "fill", "strip"),
        ("quillmere", {"vessels.glycerin_drum.shape.height": "0.20 m"}, "room", "drain-glycerin"),
        ("quillmere", {"vessels.settler.shape.height": "0.30 m"}, "fill", "settle"),
        ("quillmere", {"vessels.reactor.ports.sample.height": "0.95 m"}, "", ""),
        ("quillmere", {"pumps.p2.max_temperature": "90 degC"}, "too-hot", "strip"),
        ("larkstead", {"vessels.tank.ports.sample.height": "40 in"}, "sample-dry", "dry-oil"),
        ("larkstead", {"vessels.glycerin_can.shape.height": "8 in"}, "room", "drain-glycerin"),
        ("larkstead", {"vessels.wash_drum.shape.height": "4 in"}, "room", "water-wash"),
        ("larkstead", {"vessels.tank.heaters.element.top_of_hot_part": "30 in"}, "uncovered", "dry-oil"),
    ],
)
def test_a_plant_that_cannot_do_it_is_caught(
    name: str, edits: dict[str, Any], rule: str, procedure: str
) -> None:
    rig = changed(name, edits)
    report = rehearse(rig.plant, rig.figures, rig.procedures, every=40)
    hits = [v for v in report.violations if v.rule == rule and v.procedure == procedure]
    assert bool(hits) is bool(rule), [(v.rule, v.procedure, v.step) for v in report.violations][:8]
    assert all(hit.place.file.startswith("content/procedures/") and hit.place.line for hit in hits)


def test_a_stop_that_leaves_a_heater_on_is_caught() -> None:
    rig = changed("quillmere", {"safety.emergency_stop.cuts": ["p1", "p2"]})
    moment = next(m for m in batch_of(rig).moments if m.step.action == "heat_until")
    run = broken_off(rig.model(), rig.procedures, moment, "emergency-stop")
    assert ("not-cut", "dryer.element") in [(v.rule, *v.equipment) for v in run.violations]
