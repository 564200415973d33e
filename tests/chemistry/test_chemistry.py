"""Behaviour of the chemistry: what must rise, fall, close, turn round or be refused, whatever the recipe."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from generator.chemistry import (
    boiling,
    dose,
    heating,
    limits,
    methoxide,
    mixing,
    ranges,
    stripping,
    titration,
)
from generator.chemistry.balance import BatchBalance, Charge, batch_balance
from generator.chemistry.heating import NeverReaches, Reaches, Stream
from generator.chemistry.ranges import OutOfRange
from generator.chemistry.species import BASE_KG_KMOL, OLEIC_ACID_KG_KMOL, Base
from generator.chemistry.titration import Titrant

bases = st.sampled_from(["KOH", "NaOH"])
purities = st.floats(0.80, 1.0)
rates = st.floats(0.003, 0.02)
oil_densities = st.floats(850.0, 950.0)
methanol_densities = st.floats(755.0, 805.0)
oil_molar_masses = st.floats(840.0, 890.0)
altitudes = st.floats(0.0, 3000.0)


@st.composite
def charges(draw: st.DrawFn) -> Charge:
    base: Base = draw(bases)
    purity, ffa, oil = draw(purities), draw(st.floats(0.0, 0.08)), draw(st.floats(10.0, 1000.0))
    flake = oil * dose.catalyst_dose_kg_per_m3(base, draw(rates), 900.0, ffa, purity) / 900.0
    return Charge(
        oil_kg=oil,
        ffa=ffa,
        water_fraction=draw(st.floats(0.0, 0.005)),
        methanol_kg=oil * draw(st.floats(0.13, 0.35)),
        catalyst=base,
        catalyst_kg=flake,
        purity_fraction=purity,
        oil_molar_mass_kg_kmol=draw(oil_molar_masses),
    )


@given(charge=charges(), conversion=st.floats(0.90, 0.995), share=st.floats(0.25, 0.45))
def test_mass_closes_for_any_recipe(charge: Charge, conversion: float, share: float) -> None:
    result = batch_balance(charge, conversion, share)
    put_in = charge.oil_kg + charge.methanol_kg + charge.catalyst_kg
    assert result.charged_kg == pytest.approx(put_in, rel=1e-12)
    assert result.products_kg == pytest.approx(put_in, rel=1e-9)
    assert result.ester_layer_kg + result.glycerin_layer_kg == pytest.approx(put_in, rel=1e-9)
    assert all(value >= 0.0 for value in vars(result).values())


@given(charge=charges())
def test_atoms_of_methanol_close(charge: Charge) -> None:
    result = batch_balance(charge, 0.98, 0.42)
    out = result.methanol_used_kg + result.methanol_in_ester_kg + result.methanol_in_glycerin_kg
    assert out == pytest.approx(charge.methanol_kg, rel=1e-9)


def charge_100_kg() -> Charge:
    return Charge(100.0, 0.01, 0.0005, 19.0, "KOH", 1.33, 0.90, 873.6)


def test_more_conversion_makes_more_glycerol_and_leaves_less_methanol() -> None:
    low, high = (batch_balance(charge_100_kg(), x, 0.42) for x in (0.92, 0.98))
    assert high.glycerol_kg > low.glycerol_kg
    assert high.ester_kg > low.ester_kg
    assert high.methanol_excess_kg < low.methanol_excess_kg


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"methanol_kg": 8.0}, "methanol_kg"),
        ({"catalyst_kg": 0.1}, "catalyst_kg"),
        ({"ffa": 0.2}, "ffa"),
        ({"ffa": math.nan}, "ffa"),
        ({"water_fraction": 0.02}, "water_fraction"),
        ({"oil_kg": 0.0}, "oil_kg"),
    ],
    ids=["too_little_methanol", "too_little_base", "too_much_acid", "nan", "wet_oil", "no_oil"],
)
def test_a_charge_that_cannot_react_is_refused(change: dict[str, float], argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        batch_balance(dataclasses.replace(charge_100_kg(), **change), 0.98, 0.42)
    assert caught.value.argument == argument


@given(base=bases, rate=rates, rho=oil_densities, ffa=st.floats(0.0, 0.139), purity=st.floats(0.6, 0.989))
def test_dose_rises_with_acid_and_falls_with_purity(
    base: Base, rate: float, rho: float, ffa: float, purity: float
) -> None:
    here = dose.catalyst_dose_kg_per_m3(base, rate, rho, ffa, purity)
    assert dose.catalyst_dose_kg_per_m3(base, rate, rho, ffa + 0.01, purity) > here
    assert dose.catalyst_dose_kg_per_m3(base, rate, rho, ffa, purity + 0.01) < here


@given(
    catalyst=bases,
    titrant=bases,
    rate=rates,
    rho=oil_densities,
    ml=st.floats(0.0, 10.0),
    purity=purities,
    strength=st.floats(0.5, 10.0),
)
def test_both_ways_to_the_dose_agree(
    catalyst: Base, titrant: Base, rate: float, rho: float, ml: float, purity: float, strength: float
) -> None:
    """Burette to free fatty acid to dose, and burette to dose, are one calculation."""
    burette = Titrant(titrant, purity, strength)
    ffa = titration.ffa_fraction(ml, titration.titrant_normality_mol_per_l(burette), rho / 1000.0)
    assume(ffa <= 0.15)
    direct = dose.catalyst_dose_from_titration_kg_per_m3(catalyst, rate, rho, purity, ml, 1.0, burette)
    assert direct == pytest.approx(dose.catalyst_dose_kg_per_m3(catalyst, rate, rho, ffa, purity), rel=1e-9)


@given(rate=rates, rho=oil_densities, ml=st.floats(0.1, 10.0), purity=st.floats(0.8, 0.99))
def test_same_flake_titrant_adds_the_reading_itself(
    rate: float, rho: float, ml: float, purity: float
) -> None:
    def dosed(reading: float, titrant_purity: float) -> float:
        titrant = Titrant("KOH", titrant_purity)
        return dose.catalyst_dose_from_titration_kg_per_m3("KOH", rate, rho, purity, reading, 1.0, titrant)

    assert dosed(ml, purity) - dosed(0.0, purity) == pytest.approx(ml, rel=1e-6)
    assert dosed(ml, 1.0) - dosed(0.0, 1.0) == pytest.approx(ml / purity, rel=1e-6)
    assert dosed(ml, 1.0) > dosed(ml, purity)


@given(x=st.floats(0.05, 0.5), rho=oil_densities, rho_m=methanol_densities, molar=oil_molar_masses)
def test_ratio_and_volume_turn_round(x: float, rho: float, rho_m: float, molar: float) -> None:
    ratio = dose.methanol_molar_ratio(x, rho, rho_m, molar)
    assert dose.methanol_volume_fraction(ratio, rho, rho_m, molar) == pytest.approx(x, rel=1e-12)
    assert dose.methanol_molar_ratio(
        dose.methanol_volume_fraction(ratio, rho, rho_m, molar), rho, rho_m, molar
    ) == pytest.approx(ratio, rel=1e-12)


def test_second_dose_and_pretreatment_scale() -> None:
    second = dose.second_dose(0.2, 916.8, 0.01, 0.9, 0.10, 0.20)
    assert second.methanol_m3 == pytest.approx(0.020)
    assert second.catalyst_kg == pytest.approx(0.2 * 916.8 * 0.01 * 0.2 / 0.9)
    with pytest.raises(OutOfRange):
        dose.second_dose(0.2, 916.8, 0.01, 0.9, 0.30, 0.20)
    assert dose.acid_pretreatment(0.0, "KOH").methanol_kg == 0.0


@given(ffa=st.floats(0.0, 0.15), normality=st.floats(0.005, 0.2), sample=st.floats(0.5, 20.0))
def test_titration_turns_round(ffa: float, normality: float, sample: float) -> None:
    ml = titration.titration_for_ffa_ml(ffa, normality, sample)
    assert titration.ffa_fraction(ml, normality, sample) == pytest.approx(ffa, rel=1e-9, abs=1e-15)
    assert titration.ffa_from_acid_value(titration.acid_value_from_ffa_mg_g(ffa)) == pytest.approx(
        ffa, abs=1e-12
    )


def test_acid_value_per_percent_of_acid() -> None:
    assert titration.acid_value_from_ffa_mg_g(0.01) == pytest.approx(1.986, abs=0.0005)
    assert titration.acid_value_from_ffa_mg_g(0.01) == pytest.approx(
        10.0 * BASE_KG_KMOL["KOH"] / OLEIC_ACID_KG_KMOL
    )


@given(low=altitudes, step=st.floats(1.0, 500.0))
def test_boiling_point_and_ceiling_fall_with_altitude(low: float, step: float) -> None:
    here, higher = (boiling.methanol_boiling_c(boiling.site_pressure_pa(h)) for h in (low, low + step))
    assert higher < here
    assert limits.temperature_ceiling_c(higher, 5.0) < limits.temperature_ceiling_c(here, 5.0)
    assert limits.temperature_ceiling_c(here, 5.0) < limits.high_limit_c(here, 2.0) < here


@given(pressure=st.floats(50_000.0, 110_000.0))
def test_vapour_pressure_turns_round(pressure: float) -> None:
    assert boiling.methanol_vapour_pressure_pa(boiling.methanol_boiling_c(pressure)) == pytest.approx(
        pressure
    )


def test_the_margin_cannot_be_cut() -> None:
    with pytest.raises(OutOfRange):
        limits.temperature_ceiling_c(64.5, 4.0)


@given(
    capacity=st.floats(1e4, 1e7),
    power=st.floats(500.0, 9000.0),
    loss=st.floats(0.0, 60.0),
    ambient=st.floats(-10.0, 30.0),
    start=st.floats(10.0, 40.0),
    rise=st.floats(0.1, 40.0),
)
def test_heating_is_monotonic_and_agrees_with_the_temperature_reached(
    capacity: float, power: float, loss: float, ambient: float, start: float, rise: float
) -> None:
    result = heating.heating_time(capacity, power, loss, ambient, start, start + rise)
    if isinstance(result, NeverReaches):
        assert result.limit_c <= start + rise + 1e-9
        assert power <= loss * (start + rise - ambient) + 1e-9
        return
    assert result.time_s >= capacity * rise / power * (1.0 - 1e-9) or ambient > start
    further = heating.heating_time(capacity, power, loss, ambient, start, start + rise + 0.1)
    assert isinstance(further, NeverReaches) or further.time_s > result.time_s
    stronger = heating.heating_time(capacity, power * 1.1, loss, ambient, start, start + rise)
    assert isinstance(stronger, Reaches)
    assert stronger.time_s < result.time_s
    reached = heating.temperature_after_c(capacity, power, loss, ambient, start, result.time_s)
    assert reached == pytest.approx(start + rise, abs=1e-4)


def test_never_reached_is_reported_with_its_limit() -> None:
    assert heating.heating_time(2e5, 500.0, 13.3, 15.0, 15.0, 55.0) == NeverReaches(
        pytest.approx(52.594, abs=1e-3)
    )
    assert heating.heating_time(2e5, 0.0, 0.0, 15.0, 15.0, 55.0) == NeverReaches(15.0)
    assert heating.heating_time(2e5, 0.0, 0.0, 15.0, 55.0, 55.0) == Reaches(0.0, 0.0)


def test_small_loss_joins_no_loss() -> None:
    none, tiny = (heating.heating_time(2e5, 2000.0, loss, 15.0, 15.0, 55.0) for loss in (0.0, 1e-9))
    assert isinstance(none, Reaches)
    assert isinstance(tiny, Reaches)
    assert tiny.time_s == pytest.approx(none.time_s, rel=1e-9)


@given(loss=st.floats(1.0, 60.0), start=st.floats(30.0, 80.0), target=st.floats(21.0, 29.0))
def test_cooling_agrees_with_the_temperature_reached(loss: float, start: float, target: float) -> None:
    result = heating.cooling_time(2e5, loss, 20.0, start, target)
    assert isinstance(result, Reaches)
    reached = heating.temperature_after_c(2e5, 0.0, loss, 20.0, start, result.time_s)
    assert reached == pytest.approx(target, abs=1e-6)
    assert heating.cooling_time(2e5, loss, 20.0, start, 19.0) == NeverReaches(20.0)


@given(oil_c=st.floats(20.0, 60.0), methoxide_c=st.floats(5.0, 45.0), x=st.floats(0.15, 0.30))
def test_mix_lies_between_and_preheat_turns_it_round(oil_c: float, methoxide_c: float, x: float) -> None:
    oil, methoxide_part = Stream(90.0, 2050.0, oil_c), Stream(90.0 * x, 2600.0, methoxide_c)
    mix = heating.mixed_temperature_c([oil, methoxide_part])
    assert min(oil_c, methoxide_c) - 1e-9 <= mix <= max(oil_c, methoxide_c) + 1e-9
    capacities = (heating.heat_capacity_j_k([oil]), heating.heat_capacity_j_k([methoxide_part]))
    assert limits.preheat_for_mix_c(mix, *capacities, methoxide_c) == pytest.approx(oil_c, abs=1e-9)
    ceiling = limits.preheat_ceiling_c(59.5, *capacities, methoxide_c)
    assert ceiling <= 59.5
    highest = heating.mixed_temperature_c([dataclasses.replace(oil, temperature_c=ceiling), methoxide_part])
    assert highest <= 59.5 + 1e-9


def test_mixing_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange):
        heating.mixed_temperature_c([])


def test_portions_and_the_pause() -> None:
    cool = methoxide.portions(1.2, 15.0, 20.0, 0.10, 45.0)
    assert (cool.count, cool.before_pause) == (10, 10)
    warm = methoxide.portions(1.2, 30.0, 20.0, 0.10, 45.0)
    assert warm.before_pause == 8
    assert 20.0 + warm.before_pause * warm.rise_each_k <= 45.0
    assert warm.count * warm.each_kg == pytest.approx(1.2)


def test_dissolving_that_would_boil_is_refused() -> None:
    with pytest.raises(OutOfRange):
        methoxide.dissolving_rise_k("KOH", 1.0, 0.05, 0.16, 25.0)


def test_solubility() -> None:
    assert methoxide.solubility_share("KOH", 0.9, 1.2, 17.4) < 0.2
    assert methoxide.solubility_share("NaOH", 0.98, 5.0, 17.4) > 1.0


@given(
    oil=st.floats(0.05, 1.0), x=st.floats(0.15, 0.3), flow=st.floats(1e-4, 2e-3), share=st.floats(0.05, 0.3)
)
def test_injection_keeps_its_three_limits(oil: float, x: float, flow: float, share: float) -> None:
    time_s = mixing.injection_time_least_s(oil * x, oil, flow, share, 600.0)
    assert time_s >= 600.0
    assert mixing.turnovers(flow, time_s, oil) >= 1.0 - 1e-9
    assert oil * x / time_s <= mixing.injection_flow_most_m3s(flow, share) * (1.0 + 1e-9)
    assert mixing.circulation_time_s(mixing.turnovers(flow, time_s, oil), flow, oil) == pytest.approx(time_s)


@given(temperature=st.floats(60.0, 120.0), pressure=st.floats(5_000.0, 79_000.0))
def test_methanol_left_turns_round_and_moves_the_right_way(temperature: float, pressure: float) -> None:
    left = stripping.methanol_left_fraction(temperature, pressure)
    assert stripping.methanol_partial_pressure_pa(temperature, left) == pytest.approx(pressure, rel=1e-6)
    assert stripping.methanol_left_fraction(temperature, pressure * 1.005) > left
    if temperature < 119.0:
        assert stripping.methanol_left_fraction(temperature + 1.0, pressure) < left


@pytest.mark.parametrize(
    ("temperature_c", "pressure_pa"), [(59.0, 1e4), (121.0, 1e4), (80.0, 4e3), (80.0, 1.1e5), (65.0, 1e5)]
)
def test_outside_the_table_is_refused(temperature_c: float, pressure_pa: float) -> None:
    with pytest.raises(OutOfRange):
        stripping.methanol_left_fraction(temperature_c, pressure_pa)


def test_sweep_lies_between_the_two_constant_ratio_answers() -> None:
    """With p = k w and k constant the integral is closed: n = (m/M) [(P/k) ln(w0/w1) - (w0 - w1)]."""
    swept = stripping.sweep_gas(85.0, 80.0, 101_325.0, 0.0034, 0.002, 0.0)
    assert isinstance(swept, stripping.Sweep)

    def closed_m3(k: float) -> float:
        kmol = 85.0 / 32.0419 * (101_325.0 / k * math.log(0.0034 / 0.002) - (0.0034 - 0.002))
        return kmol * 22.414

    k0, k1 = (stripping.methanol_partial_pressure_pa(80.0, w) / w for w in (0.0034, 0.002))
    low, high = sorted((closed_m3(k0), closed_m3(k1)))
    assert low <= swept.gas_normal_m3 <= high
    assert swept.removed_kg == pytest.approx(85.0 * 0.0014)


def test_sweep_needs_less_gas_when_hotter_and_more_when_gas_returns_laden() -> None:
    def gas(temperature_c: float, returned_pa: float) -> float:
        swept = stripping.sweep_gas(85.0, temperature_c, 101_325.0, 0.03, 0.002, returned_pa)
        assert isinstance(swept, stripping.Sweep)
        return swept.gas_normal_m3

    assert gas(100.0, 0.0) < gas(80.0, 0.0) < gas(70.0, 0.0)
    assert gas(80.0, 6_000.0) > gas(80.0, 0.0)


def test_sweep_with_a_warm_condenser_never_gets_there() -> None:
    stuck = stripping.sweep_gas(85.0, 70.0, 101_325.0, 0.03, 0.002, 13_000.0)
    assert isinstance(stuck, stripping.SweepNeverReaches)
    assert 0.002 < stuck.limit_fraction < 0.005


def test_rich_hot_ester_boils_first() -> None:
    swept = stripping.sweep_gas(85.0, 90.0, 101_325.0, 0.04, 0.002, 0.0)
    assert isinstance(swept, stripping.Sweep)
    assert swept.boiled_off_kg == pytest.approx(85.0 * (0.04 - 0.018), rel=0.02)


def test_out_of_range_says_which_argument_and_its_limits() -> None:
    with pytest.raises(OutOfRange, match="temperature_c = 70 is outside 0 to 65") as caught:
        ranges.within("temperature_c", 70.0, 0.0, 65.0)
    error = caught.value
    assert (error.argument, error.value, error.lowest, error.highest) == ("temperature_c", 70.0, 0.0, 65.0)
    for value in (math.nan, math.inf, -math.inf):
        with pytest.raises(OutOfRange):
            ranges.within("x", value, -math.inf, math.inf)
    with pytest.raises(OutOfRange):
        ranges.positive(x=0.0)


def test_results_are_frozen() -> None:
    result: BatchBalance = batch_balance(charge_100_kg(), 0.98, 0.42)
    with pytest.raises(dataclasses.FrozenInstanceError):
        result.ester_kg = 0.0  # type: ignore[misc]
