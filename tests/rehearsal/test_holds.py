"""Every demonstration rig stands every run, broken off at every step; a plant that cannot is caught."""

from __future__ import annotations

import time
from typing import Any

import pytest

from generator.rehearsal.campaign import broken_off, rehearse
from generator.rehearsal.checks import MASS_CLOSES
from tests.operations.test_variants import VARIANTS
from tests.rehearsal.conftest import RIGS, batch_of, changed, demo, moved, with_steps


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


def test_an_order_that_harms_nothing_is_left_alone() -> None:
    rig = demo("larkstead")
    harmless = with_steps(rig.procedures, "drain-glycerin", moved("disconnect_hose", "close_port"))
    assert not batch_of(rig, harmless).violations


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
