"""What rules leave alone, what an owner may accept, and how findings stand to one another."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml

from generator.figures.record import FigureBook
from generator.plant.lineup import Want
from generator.plant.lineups import NoLineUp, line_up
from generator.plant.plant import Plant
from generator.problems import CONTENT, FillmarkError, Problem
from generator.profile.accepted import AcceptedDeviation
from generator.profile.load import load
from generator.review.acceptance import accept
from generator.review.context import Context
from generator.review.finding import Finding, acceptable
from generator.review.review import review
from tests.faults.acid import ACID_STEP
from tests.faults.owner import DENSE_ELEMENT, PLASTIC_CAN, accepts
from tests.faults.rows import CAN, GLYCERIN, Edit, edited

from .conftest import PROFILES, Reviewed, as_it_is, figures_of, line_ups_of

Change = Callable[[str, tuple[Edit, ...]], Reviewed]
WORDS = yaml.safe_load((CONTENT / "wording" / "findings.yaml").read_text("utf-8"))
ORDER = ["stop", "warn", "note"]


def keys(findings: tuple[Finding, ...]) -> Counter[tuple[str, str, tuple[str, ...]]]:
    return Counter((f.rule, f.severity, f.equipment) for f in findings)


@pytest.mark.parametrize("rig", ["quillmere", "larkstead", "highfold", "withyburn"])
def test_a_sound_rig_gives_nothing_but_notes(rig: str) -> None:
    assert [(f.severity, f.rule, str(f.place)) for f in as_it_is(rig) if f.severity != "note"] == []


@pytest.mark.parametrize(
    ("rig", "edit"),
    [
        ("quillmere", ("\n  reactor:\n", "top_of_hot_part: 0.36 m", "top_of_hot_part: 0.58 m")),
        ("quillmere", ("\n  reactor:\n", "height_above_ground: 4.0 m", "height_above_ground: 12 ft")),
        ("quillmere", ("\n  charge_can:\n", "dip_end: 0.05 m", "dip_end: 6 in")),
        ("quillmere", ("\n  to_tower:", "flow: 75 L/h", "flow: 1.25 L/min")),
        ("quillmere", ("\n  tower:\n", "rated_pressure: 200 kPa", "rated_pressure: 120 kPa")),
        ("quillmere", ("  reaction:", "set_point: 54 degC", "set_point: 57 degC")),
        ("quillmere", ("\n  reactor:\n", "closed: yes", "closed: yes\n    capacity: 330 L")),
        ("quillmere", ("\n  dryer:\n", "material: stainless", "material: aluminium")),
        ("quillmere", ("\n  hand_pump:\n", "kind: hand", "kind: diaphragm\n    has_relief: yes")),
        ("quillmere", ("\n  reactor:\n", "max_fill: 85 %", "max_fill: 90 %")),
        ("larkstead", ("\n  methanol_drum:\n", "diameter: 22.5 in", "diameter: 28 in")),
        ("larkstead", ("\n  tank:\n", "circuit: 15 A", "circuit: 12 A")),
    ],
)
def test_what_is_just_sound_is_left_alone(changed: Change, rig: str, edit: Edit) -> None:
    assert keys(changed(rig, (edit,))[1]) - keys(as_it_is(rig)) == Counter()


def test_a_sound_acid_step_gives_nothing_but_notes(changed: Change) -> None:
    new = keys(changed("quillmere", ACID_STEP)[1]) - keys(as_it_is("quillmere"))
    assert {severity for _, severity, _ in new} <= {"note"}, new


def test_every_rule_has_all_its_words() -> None:
    parts = {"what", "mend", "acceptable", "source"}
    assert {rule for rule, entry in WORDS.items() if set(entry) - {"elsewhere"} != parts} == set()
    assert all(isinstance(entry["acceptable"], bool) for entry in WORDS.values())


#: Never accepted, whoever answers for it: missing data, an uncovered element, a shut vent, too hot.
NEVER = (
    "figure-missing", "watt-density-unknown", "S06-height-unknown", "S50-unknown", "S01", "S01-cutout", "S04",
    "S04-independent", "S04-reset", "S07", "S06-none", "S41", "S03", "S03-acid", "S03-wash", "S03-dry",
    "S03-wall", "vessel-temperature", "pump-temperature",
)  # fmt: skip


def test_what_nobody_may_accept() -> None:
    assert {rule for rule in NEVER if acceptable(rule)} == set()
    assert acceptable("S11") and acceptable("watt-density")


@pytest.mark.parametrize(
    ("edits", "rule", "who"),
    [
        ((PLASTIC_CAN, accepts("S11", "charge_can")), "S11", "charge_can"),
        ((DENSE_ELEMENT, accepts("watt-density", "reactor.element")), "watt-density", "reactor.element"),
    ],
)
def test_what_the_owner_accepts_stops_nothing_and_is_still_said(
    changed: Change, edits: tuple[Edit, ...], rule: str, who: str
) -> None:
    findings = changed("quillmere", edits)[1]
    assert not any(f.stops or f.standing == "warn" for f in findings)
    (found,) = (f for f in findings if f.accepted)
    assert (found.rule, found.equipment, found.standing) == (rule, (who,), "accepted")
    assert found.accepted is not None and found.accepted.by == "Plant keeper"
    assert findings[0] is found


def test_an_acceptance_covers_only_what_it_names(changed: Change) -> None:
    edits = (PLASTIC_CAN, (GLYCERIN, "material: steel", "material: plastic"), accepts("S11", "charge_can"))
    assert [f.equipment for f in changed("quillmere", edits)[1] if f.stops] == [("glycerin_drum",)]


def test_an_acceptance_holds_through_its_last_day() -> None:
    loaded, last = load(PROFILES / "quillmere.yaml"), date(2031, 5, 24)
    plant = Plant(loaded.profile)
    line_ups = line_ups_of(plant)
    context = Context(loaded, plant, figures_of(plant, line_ups), line_ups)
    one = Finding("S11", "stop", None, ("charge_can",), {"vessel": "can"})
    entry = AcceptedDeviation(rule="S11", where="charge_can", reason="New", by="Keeper", until=last)
    profile = loaded.profile.model_copy(update={"accepted": [entry]})
    context = replace(context, loaded=replace(loaded, profile=profile))
    assert [f.stops for f in accept(context, [one], last)] == [False]
    assert [f.rule for f in accept(context, [one], last + timedelta(days=1)) if f.stops] == ["S11"]


def test_a_rule_of_us_law_is_called_practice_elsewhere(changed: Change) -> None:
    edit = ("\nsafety:", "  fan:", "  # fan:")
    (abroad,) = (f for f in changed("quillmere", (edit,))[1] if f.rule == "S23-fan")
    assert abroad.source.startswith("common practice after 29 CFR 1910.106, which is law in the US")
    at_home = (("\nsite:", "jurisdiction: other", "jurisdiction: us"), edit)
    (here,) = (f for f in changed("quillmere", at_home)[1] if f.rule == "S23-fan")
    assert here.source == "29 CFR 1910.106"


def test_a_pinned_route_that_cannot_be_is_told_where_it_is_pinned(tmp_path: Path) -> None:
    pin = "routes:\n  - {from: dryer, to: reactor, via: [to_settler]}\n\ncondensers:"
    text = edited((PROFILES / "quillmere.yaml").read_text("utf-8"), (("\ncondensers:", "condensers:", pin),))
    (tmp_path / "rig.yaml").write_text(text, "utf-8")
    loaded = load(tmp_path / "rig.yaml")
    plant, want = Plant(loaded.profile), Want("dryer", "reactor")
    with pytest.raises(NoLineUp) as refused:
        line_up(plant, want)
    line_ups = line_ups_of(plant)
    found = review(loaded, plant, figures_of(plant, line_ups), line_ups, ((want, refused.value.problem),))
    (stop,) = (f for f in found if f.severity == "stop")
    assert stop.rule == "line-up-refused" and stop.place is not None
    assert text.splitlines()[stop.place.line - 1].startswith("  - {from: dryer, to: reactor")


def test_fuel_hotter_than_the_tower_may_be_is_noted(changed: Change) -> None:
    found = [f for f in as_it_is("quillmere") if f.rule == "cool-before-tower"]
    assert [(f.severity, f.equipment) for f in found] == [("note", ("tower",))]
    edits = (("\n  tower:\n", "max_temperature: 60 degC", "max_temperature: 110 degC"),)
    assert "cool-before-tower" not in {f.rule for f in changed("quillmere", edits)[1]}


def test_a_wash_vessel_without_a_heater_dries_by_air_and_no_set_point_is_judged() -> None:
    loaded = load(PROFILES / "larkstead.yaml")
    profile = loaded.profile
    bare = profile.vessels["tank"].model_copy(update={"heaters": {}, "max_temperature_c": 50.0})
    plant = Plant(profile.model_copy(update={"vessels": {**profile.vessels, "tank": bare}}))
    line_ups = line_ups_of(plant)
    hot = replace(loaded, profile=plant.profile)
    found = review(hot, plant, figures_of(plant, line_ups), line_ups)
    assert [f.severity for f in found if f.rule == "dries-by-air"] == ["note"]
    judged = [f for f in found if f.rule == "vessel-temperature"]
    assert len(judged) == 3, "drying the oil, reacting and settling; no fuel is heated"
    assert "S03-dry" not in {f.rule for f in found}


def test_an_outlet_in_the_glycerin_is_noted(changed: Change) -> None:
    found = [f for f in as_it_is("larkstead") if f.rule == "side-outlet"]
    assert [(f.severity, f.facts["port"]) for f in found] == [("note", "suction")]
    above = ("\n  tank:\n", "suction: {height: 1 1/2 in}", "suction: {height: 6 in}")
    assert "side-outlet" not in {f.rule for f in changed("larkstead", (above,))[1]}


def test_a_pump_against_a_small_restrictor_is_noted(changed: Change) -> None:
    """75 L/h of 20 L/min are 6 %; of 12 L/min they are 10 %."""
    found = [f for f in as_it_is("quillmere") if f.rule == "S39-throttled"]
    assert [(f.severity, f.equipment) for f in found] == [("note", ("p2",))]
    small = ("\n  p2:\n", "flow: 20 L/min", "flow: 12 L/min")
    assert "S39-throttled" not in {f.rule for f in changed("quillmere", (small,))[1]}


def test_a_small_plastic_can_of_methanol_is_left_alone(changed: Change) -> None:
    """Up to 5 L plastic is no tank (NFPA 30 and 77)."""
    edits = (PLASTIC_CAN, (CAN, "diameter: 0.36 m, height: 0.60 m", "diameter: 0.09 m, height: 0.60 m"))
    assert "S11" not in {f.rule for f in changed("quillmere", edits)[1]}


def test_a_rule_that_lacks_its_figure_is_not_passed_over() -> None:
    loaded = load(PROFILES / "quillmere.yaml")
    plant = Plant(loaded.profile)
    found = review(loaded, plant, FigureBook("metric"), line_ups_of(plant))
    missing = {str(f.facts["figure"]) for f in found if (f.rule, f.severity) == ("figure-missing", "stop")}
    assert {"ceiling", "charge_volume", "ventilation_needed", "reactor.cover_level"} <= missing


def test_without_line_ups_every_transfer_is_missing() -> None:
    loaded = load(PROFILES / "larkstead.yaml")
    found = review(loaded, Plant(loaded.profile), FigureBook("us"), ())
    ends = [f.equipment for f in found if f.rule == "line-up-missing"]
    assert ends == [
        ("oil_barrel", "tank"),
        ("tank", "fuel_drum"),
        ("tank", "glycerin_can"),
        ("tank", "tank"),
        ("tank", "wash_drum"),
        ("methoxide_can", "tank"),
        ("methanol_drum", "methoxide_can"),
        ("water", "tank"),
    ]


def test_a_transfer_that_no_line_up_serves_says_why_once() -> None:
    loaded = load(PROFILES / "larkstead.yaml")
    plant = Plant(loaded.profile)
    want = Want("water", "tank")
    why = Problem("no_line_up_uphill", None, {})
    line_ups = tuple(found for found in line_ups_of(plant) if found.id != want.id)
    figures = figures_of(plant, line_ups)
    found = [f for f in review(loaded, plant, figures, line_ups, ((want, why),)) if f.severity == "stop"]
    (only,) = found
    assert (only.rule, only.equipment, only.what) == ("line-up-refused", ("water", "tank"), why.what)
    assert found[0].place == loaded.place("supplies", "water")


def test_a_three_way_valve_without_the_position_it_takes_is_told_at_its_positions() -> None:
    loaded = load(PROFILES / "quillmere.yaml")
    why = Problem("no_line_up_position", None, {"id": "layer_valve"})
    want = Want("settler", "glycerin_drum")
    line_ups = tuple(found for found in line_ups_of(Plant(loaded.profile)) if found.id != want.id)
    plant = Plant(loaded.profile)
    found = review(loaded, plant, figures_of(plant, line_ups), line_ups, ((want, why),))
    (told,) = (f for f in found if f.rule == "line-up-refused")
    assert told.place == loaded.place("valves", "layer_valve", "positions")


def test_a_figure_that_steps_ask_for_in_vain_stops() -> None:
    loaded = load(PROFILES / "larkstead.yaml")
    plant = Plant(loaded.profile)
    line_ups = line_ups_of(plant)
    found = review(loaded, plant, figures_of(plant, line_ups), line_ups, (), ("tank.no_such_figure",))
    assert [f.rule for f in found if f.severity == "stop"] == ["figure-missing"]


def test_what_is_missing_only_because_something_else_stops_is_not_told_too() -> None:
    """The level in a vessel that is wrong itself, the turnovers of a pump that no pipe reaches."""
    plant, lacking = Plant(load(PROFILES / "quillmere.yaml").profile), ("reactor.no_level", "no_turnovers")
    line_ups = line_ups_of(plant)
    figures = figures_of(plant, line_ups)

    def stops(*edits: tuple[str, str], refused: tuple[tuple[Want, Problem], ...] = ()) -> list[str]:
        loaded = load(PROFILES / "quillmere.yaml")
        text = loaded.profile.model_copy(update={"vessels": dict(loaded.profile.vessels)})
        for vessel, material in edits:
            part = text.vessels[vessel].model_copy(update={"material": material})
            text.vessels[vessel] = part
        spoilt = replace(loaded, profile=text)
        found = review(spoilt, Plant(text), figures, line_ups, refused, lacking)
        return [f"{f.rule} {f.facts.get('figure', '')}".strip() for f in found if f.severity == "stop"]

    assert stops() == ["figure-missing no_turnovers", "figure-missing reactor.no_level"]
    assert stops(("reactor", "aluminium")) == ["figure-missing no_turnovers", "S19"]
    why = Problem("no_line_up", None, {})
    twice = ((Want("reactor", "reactor"), why), (Want("reactor", "reactor", beside="charge_can"), why))
    assert stops(refused=twice) == ["line-up-refused"]


def test_the_worst_comes_first_then_the_order_of_the_file(changed: Change) -> None:
    edits = (
        ("\nsite:", "residual_current_device: yes", "residual_current_device: no"),
        ("\n  reactor:\n", "max_fill: 85 %", "max_fill: 91 %"),
        ("\n  reactor:\n", "low_level_cutout: yes", "low_level_cutout: no"),
    )
    findings = changed("quillmere", edits)[1]
    assert [f.rule for f in findings if f.severity != "note"] == ["S53", "S01-cutout", "S26-limit"]
    ranks = [(ORDER.index(f.severity), f.place) for f in findings]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    "edits",
    [
        (("\nsite:", "altitude: 180 m", "altitude: 4000 m"),),
        (("\nsite:", "altitude: 180 m", "altitude: -400 m"),),
        (("\nsite:", "lowest: 4 degC", "lowest: -35 degC"),),
        (("  batch:", "oil: 180 L", "oil: 2 L"),),
        (("  batch:", "oil: 180 L", "oil: 900 L"),),
        (("  batch:", "measured_at: 20 degC", "measured_at: 5 degC"),),
        (("  reaction:", "set_point: 54 degC", "set_point: 75 degC"),),
        (("  reaction:", "set_point: 54 degC", "set_point: 16 degC"),),
        (("\n  reactor:\n", "top_of_hot_part: 0.36 m", "top_of_hot_part: 3 m"),),
        (("\n  reactor:\n", "drain: {height: 0 m}", "drain: {height: 5 m}"),),
        (("\n  settler:\n", "drain: {height: 0 m}", "drain: {height: 5 m}"),),
        (("\n  settler:\n", "elevation: 1.00 m", "elevation: 29 m"),),
        (("\n  p1:\n", "elevation: 0.15 m", "elevation: 30 m"),),
        (("\n  dryer:\n", "diameter: 0.65 m", "diameter: 6 m"),),
        (("\n  dryer:\n", "supply_voltage: 230 V", "supply_voltage: 690 V"),),
    ],
)
def test_an_extreme_plant_gets_findings_or_a_refusal_but_no_traceback(
    changed: Change, edits: tuple[Edit, ...]
) -> None:
    try:
        findings = changed("quillmere", edits)[1]
    except FillmarkError:
        return
    assert all(finding.what and finding.mend for finding in findings)
    assert keys(findings) != Counter() and all(finding.place for finding in findings)


def test_a_check_valve_lets_the_methoxide_can_stand_lower(changed: Change) -> None:
    edits = (
        ("\n  charge_can:\n", "elevation: 1.50 m", "elevation: 1.00 m"),
        ("\n  methoxide_in:", "[can_throttle, can_outlet]", "[can_throttle, can_outlet, can_check]"),
        ("\nvalves:", "valves:\n", "valves:\n  can_check: {label: NRC, kind: check}\n"),
    )
    assert "methoxide-backflow" not in {f.rule for f in changed("quillmere", edits)[1]}


def test_the_wait_for_hot_oil_is_said_in_hours(changed: Change) -> None:
    found = changed("larkstead", (("  drying:", "set_point: 135 degF", "set_point: 190 degF"),))
    (note,) = (finding for finding in found[1] if finding.rule == "S05")
    assert re.search(r": \d+ h (\d+ min )?on the hottest day", note.what.replace("\u00a0", " ")), note.what
