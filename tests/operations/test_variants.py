"""Rigs that lack or have other things get the procedure they need, not a hole and not a crash."""

from __future__ import annotations

import re
from typing import Any

import pytest

from generator.figures.compute import compute
from generator.operations.expand import Expanded, expand, react_pump
from generator.operations.facts import facts
from generator.operations.steps import Step, plain
from generator.operations.wording import Words, safety_messages
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
    "a tower of adsorbent": (
        "quillmere",
        {
            "inline.tower.kind": "adsorbent_tower",
            "inline.tower.capacity_eq_per_l": None,
            "inline.tower.adsorbent": "12 kg",
            "inline.tower.soap_uptake": "5 %",
        },
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
    "two stages": ("quillmere", {"recipe.stages": "2"}),
    "two stages in one vessel": ("larkstead", {"recipe.stages": "2"}),
    "acid before the base": (
        "quillmere",
        {
            "recipe.acid_step": {
                "acid_strength": "96 %",
                "highest_ffa": "8 %",
                "left_share": "20 %",
                "set_point": "58 degC",
            },
            "vessels.acid_drum": {
                "label": "ACID",
                "name": "Acid layer drum",
                "roles": ["acid_waste"],
                "shape": {
                    "kind": "vertical_cylinder",
                    "diameter": "0.40 m",
                    "height": "0.50 m",
                    "bottom": "flat",
                },
                "elevation": "0 m",
                "material": "stainless",
                "closed": "yes",
                "movable": "yes",
                "vent": {"to": "outdoors", "bore": "25 mm", "height_above_ground": "4.0 m"},
                "ports": {"top": {"height": "0.50 m", "space": "gas"}},
                "gauge": {"kind": "dipstick", "resolution": "1 L"},
                "earthed": "yes",
            },
            "vessels.reactor.ports.lowest": {"height": "0 m"},
            "valves.v30": {"label": "30", "kind": "ball"},
            "lines.acid_out": {"from": "reactor.lowest", "to": "acid_drum.top", "valves": ["v30"]},
        },
    ),
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


def test_fuel_that_resin_would_sour_is_kept_out_of_it_and_adsorbent_asks_for_no_acid_value() -> None:
    resin = _text(_expanded("quillmere", {}), "dry-wash")
    order = ("Titrate 10 mL of it", "Read the bed", "Measure the soap again")
    assert [resin.index(text) for text in order] == sorted(resin.index(text) for text in order)
    adsorbent = _expanded(*VARIANTS["a tower of adsorbent"])
    assert not adsorbent.missing and "Titrate" not in _text(adsorbent, "dry-wash")
    assert "503 L" in _text(adsorbent, "dry-wash").replace("\xa0", " ")
    strip = next(p for p in adsorbent.procedures if p.id == "strip").steps
    assert "cool_until" in {step.action for step in strip}


def test_fuel_that_stays_below_the_outlet_is_told_before_the_next_oil() -> None:
    """larkstead's one vessel pumps its fuel off 1 1/2 in above its lowest point."""
    plant = Plant(edited("larkstead", {}))
    heel = compute(plant, react_pump=react_pump(plant), finish_pump=None)["tank.suction.heel"]
    check = next(s for s in _steps("larkstead", {}, "charge-oil") if "is empty" in s.text)
    assert "down to its outlet" in plain(check.text)
    assert plain(check.expected or "").startswith(f"{heel.text} of the last fuel")
    level = {"vessels.tank.ports.suction.height": "0 in", "vessels.tank.ports.bottom.height": "1 in"}
    low = next(s for s in _steps("larkstead", level, "charge-oil") if "is empty" in s.text)
    assert "outlet" not in low.text and not low.expected
    several = next(s for s in _steps("quillmere", {}, "charge-oil") if "is empty" in s.text)
    assert "outlet" not in several.text and not several.expected


SENT_TO_STAND_BY = re.compile(r"go to procedure \d+ Stand by\.")


def test_a_wait_longer_than_a_person_stays_says_how_to_leave_it() -> None:
    def leaves(name: str, edits: dict[str, Any], procedure_id: str) -> list[str]:
        steps = _steps(name, edits, procedure_id)
        return [s.action for s in steps if SENT_TO_STAND_BY.search(plain(f"{s.text} {s.otherwise}"))]

    assert leaves("quillmere", {}, "settle") == ["decide"] == leaves("larkstead", {}, "settle")
    assert leaves("quillmere", {}, "dry-oil") == ["cool_until"] == leaves("quillmere", {}, "strip")
    assert leaves("larkstead", {}, "dry-oil") == ["wait"] == leaves("larkstead", {}, "dry-fuel")
    quick = {"recipe.drying.time": "2 h", "recipe.settling": {"time": "5 h"}}
    assert leaves("larkstead", quick, "dry-oil") == [] == leaves("larkstead", quick, "settle")
    back = plain(" ".join(s.text for s in _steps("larkstead", {}, "restart")))
    assert back.index("Stand by and named where") < back.index("Settle or any later one")


def _steps(name: str, edits: dict[str, Any], procedure_id: str) -> tuple[Step, ...]:
    return next(p for p in _expanded(name, edits).procedures if p.id == procedure_id).steps


def test_water_is_measured_by_carbide_where_the_rig_has_the_tester() -> None:
    made = _expanded("withyburn", {})
    assert "carbide tester" in _text(made, "dry-oil") and "carbide tester" in _text(made, "final-tests")
    assert "30 g" in _text(made, "carbide-water").replace("\xa0", " ")
    without = _expanded("withyburn", {"feedstock.water_tester": None})
    assert "carbide-water" not in {procedure.id for procedure in without.procedures}
    assert "carbide" not in _text(without, "dry-oil")


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
    assert "hand stirrer [CRANK] of [CAN]" in _text(_expanded("larkstead", {}), "methoxide")
    assert "Rock the closed can" in _text(_expanded(*VARIANTS["a can without stirrer"]), "methoxide")
    assert "nitrogen" not in _text(_expanded(*VARIANTS["condenser without sweep"]), "strip").lower()
    bare = _text(_expanded(*VARIANTS["reactor without a heater"]), "react")
    assert "heater" not in bare.lower()


def test_fuel_in_a_vessel_without_a_heater_is_dried_by_air() -> None:
    edits: dict[str, Any] = {"vessels.tank.heaters": None}
    made = _expanded("larkstead", edits)
    drying = next(p for p in made.procedures if p.id == "dry-fuel")
    assert "Read the humidity of the air" in _text(made, "dry-fuel")
    assert "Heat" not in [step.heading for step in drying.steps]
    assert not any("heater" in plain(f"{s.text} {s.otherwise} {drying.ends}") for s in drying.steps)
    plant = Plant(edited("larkstead", edits))
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    assert "fuel_drying_set_point" not in figures
    warm = _expanded("larkstead", {})
    assert "humidity" not in _text(warm, "dry-fuel")


def test_two_stages_give_each_dose_by_its_own_amount() -> None:
    for name in ("two stages", "two stages in one vessel"):
        made = _expanded(*VARIANTS[name])
        ids = [procedure.id for procedure in made.procedures]
        assert ids.index("drain-glycerin") < ids.index("second-dose") < ids.index("conversion-test")
        plant = Plant(edited(*VARIANTS[name]))
        book = compute(plant, react_pump=react_pump(plant), finish_pump=None)
        assert f"holds {book['first_methanol'].text}" in _text(made, "methoxide")
        assert f"holds {book['second_methanol'].text}" in _text(made, "second-dose")
        assert book["second_portion"].text in _text(made, "second-dose")
    one = [procedure.id for procedure in _expanded("quillmere", {}).procedures]
    assert "second-dose" not in one and "acid-step" not in one


def test_acid_goes_into_methanol_and_its_layer_into_a_drum_of_its_own() -> None:
    made = _expanded(*VARIANTS["acid before the base"])
    assert not made.problems and not made.missing
    steps = next(p for p in made.procedures if p.id == "acid-step").steps
    texts = [plain(step.text) for step in steps]
    poured = next(n for n, text in enumerate(texts) if text.startswith("Pour a tenth"))
    assert any("Work hand pump" in text for text in texts[:poured]), "methanol is in before the acid"
    assert any("30" in text and text.startswith("Open") for text in texts)
    assert not any("GLY" in text for text in texts)
    let_in = next(step for step in steps if step.action == "let_in")
    assert let_in.messages == ("acid_contact",)
    weighed = next(step for step in steps if step.blank == "acid weighed")
    assert set(weighed.messages) == {"acid_contact", "acid_and_water"}
    assert any(step.action == "dress" and step.data["job"] == "acid" for step in steps[:poured])
    exposure = next(p for p in made.procedures if p.id == "exposure").steps
    assert "Sulfuric acid" in [step.heading for step in exposure]
    plain_rig = [step.heading for p in _expanded("quillmere", {}).procedures for step in p.steps]
    assert "Sulfuric acid" not in plain_rig


def test_high_ground_is_said_where_it_matters() -> None:
    assert "at this height no higher" in _text(_expanded(*VARIANTS["a site at 2600 m"]), "react")
    assert "at this height" not in _text(_expanded("quillmere", {}), "react")


def test_a_second_person_becomes_a_repeat_from_zero_for_one_who_works_alone() -> None:
    two = _text(_expanded("quillmere", {}), "titrate")
    alone = _text(_expanded(*VARIANTS["alone"]), "titrate")
    assert "a second person" in two and "a second person" not in alone
    assert "again from zero" in alone


def test_every_heated_vessel_proves_its_cover_mark_before_methanol_comes() -> None:
    for name in ("quillmere", "larkstead"):
        plant = Plant(edited(name, {}))
        steps = next(p for p in _expanded(name, {}).procedures if p.id == "first-start").steps
        heated = [v for v, vessel in plant.profile.vessels.items() if vessel.heaters]
        assert [s.data["vessel"] for s in steps if s.action == "prove_level"] == heated
        assert [s.data["vessel"] for s in steps if s.action == "prove_fill"] == heated


def test_a_batch_that_would_set_is_drained_before_it_does() -> None:
    """A settler without insulation: the rest ends by the computed time, not by the recipe's."""
    edits = {"vessels.settler.insulated": "no"}
    plant = Plant(edited("quillmere", edits))
    book = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    assert book["settled_temperature"].value < 35.0
    assert book["drain_by"].value < book["settle_time"].value
    text = _text(_expanded("quillmere", edits), "settle")
    assert f"by when it must be drained: {book['drain_by'].text}" in text
    assert "or longer" not in text and "every heater off" in text
    warm = _text(_expanded("quillmere", {}), "settle")
    assert "by when it must be drained" not in warm and "or longer. Touch nothing" in warm


def test_glycerin_is_drained_to_the_line_that_was_read_and_never_to_a_computed_volume_alone() -> None:
    for name in ("quillmere", "larkstead"):
        made = _expanded(name, {})
        drain = next(p for p in made.procedures if p.id == "drain-glycerin")
        watch = [plain(s.text) for s in drain.steps if s.action == "watch_until"]
        assert "until the line between the layers comes to its outlet" in watch[0]
        assert "by gravity" in plain(drain.purpose)
    blind = _expanded("quillmere", {"vessels.settler.gauge": {"kind": "dipstick", "resolution": "5 L"}})
    steps = next(p for p in blind.procedures if p.id == "drain-glycerin").steps
    assert not any("Read the line" in plain(s.text) for s in steps)
    assert any("turns pale and thin" in plain(s.text) for s in steps)


def test_one_who_works_alone_is_told_who_checks_and_counts_nobody() -> None:
    alone, two = _expanded(*VARIANTS["alone"]), _expanded("quillmere", {})
    for scene in ("fire", "spill", "power-alarm"):
        assert "Count the people" not in _text(alone, scene)
    assert "Call your contact from outside" in _text(alone, "fire")
    assert "Count the people" in _text(two, "fire") and "your contact" not in _text(two, "fire")
    assert "Call your contact: methanol is opened now" in _text(alone, "methoxide")


def test_the_end_of_an_emergency_stop_names_only_what_the_rig_has() -> None:
    bare = next(p for p in _expanded("larkstead", {}).procedures if p.id == "emergency-stop")
    assert not {"fan", "alarm", "cooling"} & set(plain(bare.ends).replace(",", "").split())
    full = next(p for p in _expanded("quillmere", {}).procedures if p.id == "emergency-stop")
    assert "fan" in plain(full.ends) and "gas alarm" in plain(full.ends)


def test_heaters_are_switched_off_before_the_power_can_return() -> None:
    # A room is left by its door; under a roof on posts people go upwind.
    for name, leave in (("quillmere", "Go outside"), ("larkstead", "Go upwind")):
        texts = _text(_expanded(name, {}), "power-alarm")
        assert texts.index("Press the emergency stop") < texts.index("Switch off every heater")
        assert texts.index("Switch off every heater") < texts.index(leave)


def test_pipes_that_the_batch_before_left_full_are_emptied_before_dry_oil_passes_them() -> None:
    """Derived: one pump moves the batch to the settler, then the next oil, through one header."""
    steps = next(p for p in _expanded("quillmere", {}).procedures if p.id == "charge-oil").steps
    actions = [step.action for step in steps]
    run = next(step for step in steps if step.action == "flush_run")
    assert "900 mL" in plain(run.expected or "").replace("\xa0", " ")  # pump inlet 0.4 L and outlet 0.5 L
    assert actions.index("flush_run") < actions.index("connect_hose")
    opened = [s.valves[0] for s in steps[: actions.index("flush_keep")] if s.action == "open_valve"]
    assert opened == ["v01"]
    # one vessel, whose last circulation is that of the washed fuel: nothing dirty stays in its pipes
    one_tank = [s.action for p in _expanded("larkstead", {}).procedures for s in p.steps]
    assert not any(action.startswith("flush") for action in one_tank)


def test_where_no_hose_lets_the_pipes_run_out_the_first_litres_go_to_the_reactor() -> None:
    sealed = {"hoses.oil_hose.free_end": "self_sealing"}
    made = _expanded("quillmere", sealed)
    steps = next(p for p in made.procedures if p.id == "charge-oil").steps
    first = next(n for n, s in enumerate(steps) if s.action == "flush_first")
    moved = next(s for s in steps[first:] if s.action == "watch_until")
    assert "[R1]" in plain(moved.text) and not made.problems
    # a vessel's liquid stands open to the header at rest: letting the header out would empty the vessel
    wet = {"vessels.dryer.ports.top": {"height": "0.30 m"}}
    steps = next(p for p in _expanded("quillmere", wet).procedures if p.id == "charge-oil").steps
    assert not any(s.action == "flush_run" for s in steps)


def test_messages_about_shut_in_liquid_name_the_valve_that_lets_it_out() -> None:
    def avoid(name: str, key: str) -> str:
        plant = Plant(edited(name, {}))
        book = compute(plant, react_pump=react_pump(plant), finish_pump=None)
        return plain(Words(plant, book, facts(plant)).fill(safety_messages()[key]["avoid"]))

    assert avoid("quillmere", "trapped_liquid").startswith("Open [05] [11] [13] again")
    assert avoid("larkstead", "gravity_runs_on").endswith("after the pump stops. Open [5] only after that.")


def test_a_pump_held_back_by_the_tower_is_watched_and_its_warming_counted() -> None:
    """Derived: all of 0.37 kW into 75 L/h of fuel at 50 °C (857.8 kg/m3, 2.26 kJ/kgK); bed limit 60 °C."""
    plant = Plant(edited("quillmere", {}))
    book = compute(plant, react_pump=react_pump(plant), finish_pump="p2")
    rise = 370.0 / (75e-3 / 3600.0 * 857.8 * 2262.0)
    assert book["tower_pump_rise"].value == pytest.approx(rise, rel=5e-3)
    assert book["tower_feed"].value == pytest.approx(60.0 - rise, abs=0.1)
    steps = {p.id: p.steps for p in expand(plant, book).procedures}
    watched = next(step for step in steps["dry-wash"] if step.action == "tower_flow")
    assert "[F1]" in plain(watched.text) and "6 min" in plain(watched.text).replace("\xa0", " ")
    assert "stop [P2] at once" in plain(watched.otherwise or "") and watched.messages == ("dead_head",)
    cooled = next(step for step in steps["strip"] if step.action == "cool_until")
    assert book["tower_feed"].text in plain(cooled.text)


def _all_words(made: Expanded) -> str:
    steps = [step for procedure in made.procedures for step in procedure.steps]
    said = [part for step in steps for part in (step.text, step.expected, step.otherwise) if part]
    for each in made.procedures:
        said += [each.title, each.purpose, each.ends, *each.before]
    known = {message for step in steps for message in step.messages}
    return plain("\n".join(said)) + "\n".join(sorted(known))


@pytest.mark.parametrize("placement", ["open_shed", "outdoors"])
def test_where_there_is_no_room_nobody_is_sent_to_its_doors_or_hears_its_alarm(placement: str) -> None:
    """A roof on posts has no doors and no inside; where no alarm is fitted none is heard."""
    changes = {"site.placement": placement, "site.room": None, "safety.fan": None, "safety.gas_alarm": None}
    plant = Plant(edited("quillmere", changes))
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    made = expand(plant, figures)
    said = _all_words(made)
    assert not re.findall(r".*(?:\bdoors\b|out of the room|\balarm\b).*", said)
    words = Words(plant, figures, facts(plant))
    asked = {m for procedure in made.procedures for step in procedure.steps for m in step.messages}
    for key in asked:
        assert "oors" not in words.fill(safety_messages()[key]["avoid"]).replace("outdoors", ""), key


def test_a_vessel_that_is_no_can_is_not_called_one() -> None:
    plant = Plant(edited("quillmere", {"vessels.charge_can.name": "Methoxide tank"}))
    made = expand(plant, compute(plant, react_pump=react_pump(plant), finish_pump=None))
    ends = plain("\n".join(f"{p.purpose}\n{p.ends}" for p in made.procedures))
    assert not re.findall(r".*(?:[Tt]he|its) (?:can|drum)\b.*", ends)
