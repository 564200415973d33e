"""Figures of the process: stages, route, own values, prices, air. Expected values derived, unless said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from generator.chemistry import heat, species
from generator.figures import values
from generator.figures.compute import compute
from generator.figures.feedstock import routes
from generator.figures.recipe import dose_rows
from generator.figures.record import FigureBook, kinds
from generator.plant.plant import Plant
from generator.profile.own_values import OwnValues
from generator.profile.recipe import FattyAcids
from tests.rigs import edited

BookOf = Callable[..., FigureBook]


def close(value: float, rel: float = 1e-4) -> object:
    return pytest.approx(value, rel=rel)


@pytest.mark.parametrize("share", [None, "70 %"])
@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_the_two_doses_add_up_to_the_whole(book_of: BookOf, rig: str, share: str | None) -> None:
    edits = {"recipe.stages": "2"} | ({"recipe.first_share": share} if share else {})
    book = book_of(rig, edits)
    first, second = book["first_methanol"].value, book["second_methanol"].value
    assert first + second == close(book["methanol_volume"].value, 1e-12)
    assert first == close((0.7 if share else 0.8) * book["methanol_volume"].value)
    for row in dose_rows(book):
        parts = [book[f"{row.mass.subject}.{name}_catalyst"].value for name in ("first", "second")]
        assert sum(parts) == close(row.mass.value, 1e-12)
    # What is printed adds up as well, to the scale's step.
    printed = [book[f"titration_20.{name}_catalyst"] for name in ("first", "second")]
    whole = book["titration_20.catalyst_mass"]
    assert sum(f.value for f in printed) == close(whole.value, 1e-12)


def test_the_can_gets_the_first_dose_only(book_of: BookOf) -> None:
    one, two = book_of("quillmere"), book_of("quillmere", {"recipe.stages": "2"})
    assert one["can_methanol"] is one["methanol_volume"]
    assert two["can_methanol"] is two["first_methanol"]
    assert two["methoxide_volume"].value == close(0.8 * one["methoxide_volume"].value)
    assert two["methoxide_rise"].value == close(one["methoxide_rise"].value)
    assert two["stage_settle"].value == close(2 * one["stage_settle"].value)
    # Less cold methoxide at once: the mix is warmer, and still not above the ceiling.
    assert one["mix_temperature"].value < two["mix_temperature"].value <= two["ceiling"].value


@pytest.mark.parametrize(
    ("titration", "water", "acid", "way", "dried"),
    [
        ("1.0 mL", "0.05 %", False, "single_stage", False),  # FFA 0.55 %
        ("3.0 mL", "0.05 %", False, "single_stage", False),  # 1.65 %: two stages do as well
        ("7.0 mL", "0.05 %", False, "two_stage_base", False),  # 3.8 %
        ("11.0 mL", "0.05 %", False, "reject", False),  # 6.0 %
        ("11.0 mL", "0.05 %", True, "acid_first", False),
        ("1.0 mL", "0.15 %", False, "single_stage", True),
        ("11.0 mL", "0.15 %", False, "reject", True),
    ],
)
def test_the_way_of_an_oil(
    book_of: BookOf, titration: str, water: str, acid: bool, way: str, dried: bool
) -> None:
    """Thresholds published: Canakci and Van Gerpen 2001, Kombe et al. 2013; 5 % and water from memory."""
    edits: dict[str, Any] = {
        "feedstock.usual_titration": "1.0 mL",
        "feedstock.highest_titration": titration,
        "feedstock.usual_water": water,
    }
    step = {"acid_strength": "96 %", "highest_ffa": "10 %", "left_share": "20 %", "set_point": "55 degC"}
    if acid:
        edits["recipe.acid_step"] = step
    profile = edited("quillmere", edits)
    worst = routes(profile, book_of("quillmere", edits))[-1].choice
    assert worst.route == way and worst.dry_first is dried


def test_a_plants_own_threshold_moves_the_way(book_of: BookOf) -> None:
    edits: dict[str, Any] = {"own_values": {"ffa_single": "2 %", "ffa_direct_base": "2.5 %"}}
    profile, book = edited("quillmere", edits), book_of("quillmere", edits)
    assert book["ffa_single"].own and book["ffa_single"].value == 0.02
    assert [oil.choice.route for oil in routes(profile, book)] == ["single_stage", "two_stage_base"]


@pytest.mark.parametrize(
    ("key", "text", "figure", "share"),
    [
        ("conversion", "95 %", "balance_fame", 0.95 / 0.98),
        ("methanol_share_in_ester", "30 %", "balance_methanol_ester", 0.30 / 0.42),
        ("portion_share", "5 %", "methoxide_portion", 0.5),
        ("bed_volumes", "2 /h", "tower_flow", 2.0 / 3.0),
        ("air_release", "0.2 kg/h", "air_exposure", 2.0),
        ("people_mixing", "10", "air_exposure", 2.0),
        ("pump_liquid", "4 L", "p1.dead_head", 0.5),
        ("condenser_rise", "20 K", "condenser_water", 0.5),
        ("layer_difference", "100 kg/m3", "drop_100_at_40.drop_time", 2.0),
        ("most_loss", "10 %", "fuel_least", 0.90 / 0.92),
        ("spill", "2 L", "spill_share", 2.0),
    ],
)
def test_an_own_value_is_used_and_marked(
    book_of: BookOf, key: str, text: str, figure: str, share: float
) -> None:
    usual, own = book_of("quillmere"), book_of("quillmere", {"own_values": {key: text}})
    assert own[figure].value == close(share * usual[figure].value, 1e-3)
    assert own[key].own and not usual[key].own
    assert own[figure].uses_own and not usual[figure].uses_own


def test_every_key_of_own_values_has_a_figure_with_words() -> None:
    keys = set(OwnValues.model_fields)
    assert keys - {"loss_bare", "loss_insulated"} == set(values.CUSTOMARY)
    assert keys <= set(kinds())


def test_an_own_value_cannot_be_less_careful_than_the_formula_allows() -> None:
    for wrong in (
        {"element_cover": "40 mm"},
        {"dissolving_most": "60 degC"},
        {"injection_share": "50 %"},
        {"fire_mixing": "1"},
        {"high_limit_margin": "1 K"},
        {"wash_distribution": "50"},
        {"wash_rest": "1 min"},
        {"injection_least": "2 min"},
        {"altitude": "0 m"},
    ):
        with pytest.raises(ValidationError):
            OwnValues.model_validate(wrong, context={"units": "metric"})


def test_fatty_acids_of_the_profile_are_those_of_the_formula() -> None:
    known = [field.alias for field in FattyAcids.model_fields.values()]
    for name in known:
        assert species.fatty_acid_molar_mass_kg_kmol({str(name): 1.0}) > 150.0
    assert len(known) == len(set(known)) == 11


def test_oil_by_its_analyses(book_of: BookOf) -> None:
    # Soybean 11/4/23/54/8: 872.15 kg/kmol, derived (mean of He and Pryor 2020).
    soy = {"16:0": "11 %", "18:0": "4 %", "18:1": "23 %", "18:2": "54 %", "18:3": "8 %"}
    book = book_of("quillmere", {"feedstock.analyses": {"fatty_acids": soy}})
    assert book["oil_molar_mass"].value == close(872.15)
    # 3 × 56 105.6 / (192 − 2) = 885.88; published: Rodenbush et al. 1999, Lund's relation, 0.92344 × 999.1.
    analyses = {"saponification_value": "192", "acid_value": "2", "iodine_value": "131"}
    book = book_of("quillmere", {"feedstock.analyses": analyses})
    assert book["oil_molar_mass"].value == close(3 * 56105.6 / 190, 1e-4)
    assert book["oil_density_15"].value == pytest.approx(0.92344 * 999.1, abs=0.02)
    # Without a stated acid value that of the usual titration counts.
    book = book_of("quillmere", {"feedstock.analyses": {"saponification_value": "192"}})
    assert book["oil_molar_mass"].value == close(3 * 56105.6 / (192 - book["acid_value_usual"].value))
    assert book_of("quillmere")["oil_molar_mass"].value == 873.6


def test_cost_of_a_batch(book_of: BookOf) -> None:
    """Sum of amounts times prices; the two worked rows themselves stand with the formula's own checks."""
    prices = {
        "currency": "crowns",
        "oil": "0.35 per L",
        "methanol": "1.20/L",
        "catalyst": "3.00 per kg",
        "electricity": "0.15 per kWh",
        "other_per_batch": "7.40",
    }
    book = book_of("quillmere", {"prices": prices})
    litres = {k: book[k].value * 1000 for k in ("oil_volume", "methanol_volume", "recovered_methanol")}
    whole = 0.35 * litres["oil_volume"]
    whole += 1.20 * (litres["methanol_volume"] - litres["recovered_methanol"])
    whole += 3.0 * book["catalyst_usual"].value + 0.15 * book["energy_batch"].value / 3.6e6 + 7.40
    assert book["cost_batch"].value == close(whole, 1e-9)
    assert book["cost_per_fuel"].value == close(whole / book["fuel_least"].value, 1e-9)
    assert "cost_batch" not in book_of("withyburn")
    # The same oil priced by the gallon of a US plant costs the same.
    gallons = prices | {"oil": f"{0.35 * 3.785411784:.9f} per US gal"}
    assert book_of("quillmere", {"prices": gallons})["cost_oil"].value == close(book["cost_oil"].value, 1e-6)


def test_a_us_plant_counts_costs_by_the_gallon_and_the_pound(book_of: BookOf) -> None:
    prices = {
        "currency": "USD",
        "oil": "0.50 per gal",
        "methanol": "3.00 per gal",
        "catalyst": "1.50 per lb",
        "electricity": "0.15 per kWh",
    }
    book = book_of("larkstead", {"prices": prices})
    kinds = ("cost_oil", "cost_catalyst", "cost_per_fuel", "catalyst_per_fuel", "energy_per_fuel")
    shown = {kind: (book[kind].text, *(i.shown("us") for i in book[kind].inputs)) for kind in kinds}
    assert "0.50/gal" in shown["cost_oil"] and "1.50/lb" in shown["cost_catalyst"]
    for kind in kinds[2:]:
        assert shown[kind][0].endswith("/gal"), shown[kind]
    gallons = book["fuel_least"].value / 3.785411784e-3
    assert book["cost_per_fuel"].value * 3.785411784e-3 == close(book["cost_batch"].value / gallons, 1e-9)
    assert book["catalyst_per_fuel"].value == close(
        book["catalyst_usual"].value / book["fuel_least"].value, 1e-9
    )


def test_air_for_a_stated_release(book_of: BookOf) -> None:
    """0.1 kg/h at 20 °C, sea level: 20 m3/h for 25 % of the limit at K 4, 1877 m3/h for 200 ppm at K 5."""
    edits = {"site.ambient": {"lowest": "4 degC", "usual": "15 degC", "highest": "20 degC"}}
    book = book_of("quillmere", edits | {"site.altitude": "0 m"})
    assert book["air_quarter_limit"].value * 3600 == close(20.0, 5e-3)
    assert book["air_tenth_limit"].value * 3600 == close(50.0, 5e-3)
    assert book["air_exposure"].value * 3600 == close(1877, 5e-3)
    # Library-computed: CoolProp, 6.58 and 40.57 °C; the Antoine equation here is within 0.1 °C.
    assert book["explosive_from"].value == pytest.approx(6.58, abs=0.1)
    assert book["explosive_to"].value == pytest.approx(40.57, abs=0.1)
    # 1 L in 66 m3: 0.594 m3 of vapour.
    assert book["spill_share"].value == close(0.594 / 66, 2e-3)


def test_on_high_ground_the_mix_falls_short_and_says_so(book_of: BookOf) -> None:
    high = book_of("quillmere", {"site.altitude": "2600 m", "recipe.reaction.set_point": "50 degC"})
    assert high["preheat"].value == high["ceiling"].value < 52.0
    assert high["mix_short"].value == close(50.0 - high["mix_temperature"].value)
    mild = book_of("quillmere", {"recipe.reaction.set_point": "48 degC"})
    assert "mix_short" not in mild


def test_plain_boiling_cannot_reach_the_fuel_limit(book_of: BookOf) -> None:
    for altitude in ("0 m", "2600 m", "4400 m"):
        book = book_of("quillmere", {"site.altitude": altitude, "recipe.reaction.set_point": "40 degC"})
        assert book["plain_boiling_left"].value > 0.002


#: Ends of the types of own values that state no bound of their own, inside unit.
TYPE_ENDS = {
    "heat_transfer": (0.1, 50.0),
    "density": (1.0, 500.0),
    "fraction": (0.0, 1.0),
    "mass_fraction": (0.0, 1.0),
    "mass_flow": (1e-9, 1.0),
    "time": (1.0, 30 * 86400.0),
    "volume": (1e-4, 50.0),
    "length": (0.0, 2.0),
    "temperature_difference": (0.0, 60.0),
}
#: Keys that are held against each other go together.
TOGETHER = [("ffa_single", "ffa_direct_base", "ffa_base"), ("least_loss", "most_loss")]


def ends(key: str) -> list[float]:
    """Lowest and highest value that a key of own_values may have, inside unit."""
    low, high = TYPE_ENDS.get(values.CUSTOMARY.get(key, ("heat_transfer", 0.0))[0], (0.0, 0.0))
    for bound in OwnValues.model_fields[key].metadata:
        low = float(getattr(bound, "ge", getattr(bound, "gt", low)))
        high = float(getattr(bound, "le", getattr(bound, "lt", high)))
    return [low if low > 0.0 else 1e-6, high]


@pytest.mark.parametrize("key", OwnValues.model_fields)
def test_every_own_value_that_the_profile_takes_is_one_that_the_formulas_take(key: str) -> None:
    group = next((keys for keys in TOGETHER if key in keys), (key,))
    for name in ("quillmere", "larkstead", "withyburn"):
        for end in ends(key):
            own = OwnValues.model_construct(None, **dict.fromkeys(group, end))
            made = Plant(edited(name, {}).model_copy(update={"own_values": own}))
            pump = next(iter(made.profile.pumps))
            assert len(compute(made, react_pump=pump, finish_pump=pump)) > 150


@pytest.mark.parametrize("water", ["0 %", "1 %"])
def test_all_water_that_the_profile_takes_can_be_computed(book_of: BookOf, water: str) -> None:
    for name in ("quillmere", "larkstead"):
        book = book_of(name, {"feedstock.usual_water": water})
        assert book["usual_water"].own and book["oil_water"].value >= 0.0
        assert ("drying_least" in book) is (water != "0 %")


def test_water_above_what_the_formulas_hold_for_is_refused_where_it_stands() -> None:
    for wrong in ({"feedstock.usual_water": "2 %"}, {"own_values": {"oil_density_15": "885 kg/m3"}}):
        with pytest.raises(ValidationError) as caught:
            edited("quillmere", wrong)
        assert {error["type"] for error in caught.value.errors()} <= {"less_than_equal", "greater_than_equal"}


def test_water_that_nobody_stated_is_among_the_customary_numbers(book_of: BookOf, remove: object) -> None:
    book = book_of("quillmere", {"feedstock.usual_water": remove})
    assert not book["usual_water"].own and book["usual_water"].words["check"]


@given(litres=st.integers(100, 190), more=st.integers(1, 40))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_larger_batch_takes_longer_to_heat(book_of: BookOf, litres: int, more: int) -> None:
    """Derived: the same heater, more to warm, more that cools the mix."""
    small, large = (book_of("quillmere", {"recipe.batch.oil": f"{n} L"}) for n in (litres, litres + more))
    times = [key.id for key in small if "heating_time" in key.kind and key.id in large]
    assert any(id_.endswith("heating_time_dry") for id_ in times)
    for id_ in times:
        assert small[id_].value < large[id_].value, id_


def test_a_stuck_thermostat_is_timed_from_where_it_should_end(book_of: BookOf) -> None:
    """Derived: C (T_b − T_set − differential) / P with oil and the first dose's methanol."""
    one, two = book_of("quillmere"), book_of("quillmere", {"recipe.stages": "2"})
    wide = book_of("quillmere", {"vessels.reactor.heaters.element.thermostat.differential": "4 K"})
    rise = one["methanol_boiling_point"].value - one["reaction_set_point"].value
    assert wide["runaway_time"].value == close(one["runaway_time"].value * (rise - 4.0) / (rise - 2.0))
    methanol = one["methanol_mass"].value * heat.methanol_specific_heat_j_kgk(54.0)
    power = one["reactor.element_power"].value
    less = 0.2 * methanol * (rise - 2.0) / power
    assert one["runaway_time"].value - two["runaway_time"].value == close(less, 1e-3)


def test_suction_head_is_that_of_the_hottest_the_reactor_gets(book_of: BookOf) -> None:
    cool = book_of("quillmere", {"recipe.reaction.set_point": "45 degC"})
    assert cool["p1.suction_head"].value == close(book_of("quillmere")["p1.suction_head"].value)
