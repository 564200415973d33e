"""Behaviour of doses, routes, stages, drying, headspace, runaway and preheat, whatever the numbers."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from generator.chemistry import (
    boiling,
    dose,
    drying,
    headspace,
    heating,
    limits,
    methoxide,
    plain_boiling,
    route,
    runaway,
    stages,
    stripping,
    ventilation,
)
from generator.chemistry.heating import NeverReaches, Reaches
from generator.chemistry.ranges import OutOfRange
from generator.chemistry.species import Base
from generator.chemistry.titration import Titrant

bases = st.sampled_from(["KOH", "NaOH"])
times = st.lists(st.floats(60.0, 1e5), min_size=1, max_size=6)


# --- doses and heat, whatever the recipe


@given(base=bases, same=st.booleans(), ml=st.floats(0.0, 9.0), purity=st.floats(0.6, 0.97))
def test_dose_rises_with_titration_and_falls_with_purity(
    base: Base, same: bool, ml: float, purity: float
) -> None:
    def grams(millilitres: float, pure: float) -> float:
        titrant = Titrant(base, pure if same else 1.0)
        return dose.catalyst_dose_from_titration_kg_per_m3(base, 0.01, 916.8, pure, millilitres, 1.0, titrant)

    assert grams(ml + 0.5, purity) > grams(ml, purity)
    assert grams(ml, purity + 0.02) < grams(ml, purity)


@given(
    capacity=st.floats(1e4, 1e6),
    power=st.floats(500.0, 9000.0),
    loss=st.floats(0.0, 60.0),
    ambient=st.floats(-10.0, 20.0),
    rise=st.floats(5.0, 40.0),
)
def test_heating_time_grows_with_volume_and_falls_with_power(
    capacity: float, power: float, loss: float, ambient: float, rise: float
) -> None:
    def time(c: float, p: float) -> Reaches | NeverReaches:
        return heating.heating_time(c, p, loss, ambient, 20.0, 20.0 + rise)

    here, more, stronger = time(capacity, power), time(1.5 * capacity, power), time(capacity, 1.2 * power)
    if power <= loss * (20.0 + rise - ambient):
        assert isinstance(here, NeverReaches) and here.limit_c <= 20.0 + rise + 1e-9
        return
    assert isinstance(here, Reaches) and isinstance(more, Reaches) and isinstance(stronger, Reaches)
    assert more.time_s == pytest.approx(1.5 * here.time_s)
    assert stronger.time_s < here.time_s


# --- route


@pytest.mark.parametrize(
    ("ffa", "acid_step", "chosen", "also", "over", "under"),
    [
        (0.004, True, "single_stage", (), None, "ffa_single"),
        (0.010, True, "single_stage", (), None, "ffa_single"),
        (0.011, True, "single_stage", ("two_stage_base",), "ffa_single", "ffa_direct_base"),
        (0.040, True, "two_stage_base", ("acid_first",), "ffa_direct_base", "ffa_base"),
        (0.040, False, "two_stage_base", (), "ffa_direct_base", "ffa_base"),
        (0.080, True, "acid_first", (), "ffa_base", "ffa_most"),
        (0.080, False, "reject", (), "ffa_base", None),
        (0.200, True, "reject", (), "ffa_most", None),
    ],
)
def test_route_and_the_threshold_that_decided(
    ffa: float, acid_step: bool, chosen: str, also: tuple[str, ...], over: str | None, under: str | None
) -> None:
    choice = route.route_choice(ffa, 0.0005, acid_step, route.LIMITS)
    assert (choice.route, choice.also, choice.dry_first) == (chosen, also, False)
    assert (choice.over and choice.over.name, choice.under and choice.under.name) == (over, under)
    for threshold in (choice.over, choice.under):
        assert threshold is None or (threshold.value == ffa and threshold.source)
    assert choice.best_case is (ffa < 0.005)


def test_wet_oil_is_dried_first_and_bad_oil_not_even_dried() -> None:
    wet = route.route_choice(0.08, 0.002, True, route.LIMITS)
    assert wet.steps == ("dry_first", "acid_first", "single_stage")
    assert wet.by_water.above and wet.by_water.limit == 0.001
    assert route.route_choice(0.5, 0.01, True, route.LIMITS).steps == ("reject",)
    assert not route.route_choice(0.02, 0.0010, True, route.LIMITS).dry_first


ROUTES = ("single_stage", "two_stage_base", "acid_first", "reject")


@given(low=st.floats(0.0, 0.3), more=st.floats(0.0, 0.3), acid_step=st.booleans())
def test_worse_oil_never_gets_an_easier_route(low: float, more: float, acid_step: bool) -> None:
    first, second = (route.route_choice(f, 0.0, acid_step, route.LIMITS).route for f in (low, low + more))
    assert ROUTES.index(first) <= ROUTES.index(second)


def test_a_plants_own_limits_must_be_in_order() -> None:
    assert route.route_choice(0.012, 0.0, True, route.RouteLimits(ffa_single=0.015)).over is None
    with pytest.raises(OutOfRange):
        route.RouteLimits(ffa_single=0.04)
    with pytest.raises(OutOfRange):
        route.RouteLimits(water_dry=0.01)


# --- stages


@given(volume=st.floats(1e-3, 1.0), flake=st.floats(0.1, 50.0), share=st.floats(0.5, 0.95))
def test_two_stages_add_up_to_the_dose(volume: float, flake: float, share: float) -> None:
    first, second = stages.two_stage_split(volume, flake, share)
    assert first.methanol_m3 + second.methanol_m3 == pytest.approx(volume, rel=1e-12)
    assert first.catalyst_kg + second.catalyst_kg == pytest.approx(flake, rel=1e-12)
    assert second.catalyst_kg > 0.0


@given(ffa=st.floats(0.0, 0.5), left=st.floats(0.01, 0.9))
def test_acid_rounds_are_just_enough(ffa: float, left: float) -> None:
    rounds = stages.acid_rounds(ffa, left, 0.01)
    assert ffa * left**rounds <= 0.01
    assert rounds == 0 or ffa * left ** (rounds - 1) > 0.01


# --- drying


@given(water=st.floats(0.01, 5.0), power=st.floats(0.0, 5000.0), loss=st.floats(0.0, 60.0))
def test_drying_uses_what_the_loss_leaves(water: float, power: float, loss: float) -> None:
    found = drying.drying_time(water, power, loss, 15.0, 90.0)
    spare = power - loss * 75.0
    assert isinstance(found, drying.NeverDries) is (spare <= 0.0)
    assert found.latent_j == pytest.approx(water * drying.water_latent_heat_j_kg(90.0))
    if isinstance(found, drying.Drying):
        assert found.time_s * found.spare_power_w == pytest.approx(found.latent_j)
    else:
        assert found.short_w == pytest.approx(-spare)


def test_dry_oil_needs_no_drying() -> None:
    assert drying.drying_time(0.0, 0.0, 10.0, 15.0, 90.0) == drying.Drying(0.0, 0.0, -750.0, 0.0)


@given(humidity=st.floats(0.05, 1.0), air=st.floats(5.0, 30.0), warmer=st.floats(0.5, 50.0))
def test_air_dries_better_the_warmer_the_fuel(humidity: float, air: float, warmer: float) -> None:
    cool = drying.humidity_in_fuel(humidity, air, air)
    assert cool == pytest.approx(humidity)
    assert drying.humidity_in_fuel(humidity, air, air + warmer) < cool
    fuel_c = min(35.0, air + warmer)
    allowed = drying.humidity_most(0.0005, fuel_c)
    assert drying.water_at_humidity_fraction(allowed, fuel_c) == pytest.approx(0.0005)


# --- headspace, methoxide, runaway, boiling


def test_a_methoxide_tank_at_room_temperature_is_inside_the_explosive_range() -> None:
    for temperature_c, explosive in ((4.0, False), (10.0, True), (25.0, True), (45.0, False)):
        y = headspace.saturated_vapour_fraction(temperature_c, 101_325.0)
        inside = ventilation.LOWER_EXPLOSIVE_FRACTION <= y <= ventilation.UPPER_EXPLOSIVE_FRACTION
        low_c, high_c = headspace.explosive_range_c(101_325.0)
        assert inside is explosive is (low_c <= temperature_c <= high_c)
    assert headspace.saturated_vapour_fraction(70.0, 101_325.0) == 1.0


@given(at_sea_c=st.floats(6.0, 80.0), altitude_m=st.floats(0.0, 3000.0))
def test_high_ground_brings_the_explosive_limit_down(at_sea_c: float, altitude_m: float) -> None:
    """Derived: over pure methanol the site's own range is the answer; nothing moves at sea level."""
    pressure_pa = boiling.site_pressure_pa(altitude_m)
    here_c = headspace.explosive_at_site_c(at_sea_c, pressure_pa)
    assert here_c <= at_sea_c + 1e-9
    assert headspace.explosive_at_site_c(at_sea_c, 101_325.0) == pytest.approx(at_sea_c, abs=1e-9)
    low_c, _ = headspace.explosive_range_c(101_325.0)
    assert headspace.explosive_at_site_c(low_c, pressure_pa) == pytest.approx(
        headspace.explosive_range_c(pressure_pa)[0], abs=1e-9
    )


@given(low=st.floats(0.002, 0.04), more=st.floats(0.0005, 0.01))
def test_more_methanol_brings_the_limit_down(low: float, more: float) -> None:
    first, second = (headspace.ester_headspace_explosive_c(w) for w in (low, low + more))
    assert second <= first
    high = low + 0.02
    assert headspace.glycerin_headspace_explosive_c(high + more) < headspace.glycerin_headspace_explosive_c(
        high
    )
    assert headspace.glycerin_boiling_c(high + more) < headspace.glycerin_boiling_c(high)


def test_warm_methoxide_needs_more_room() -> None:
    cold, warm = (headspace.methoxide_volume_m3(31.3, 2.5, t) for t in (20.0, 45.0))
    assert warm / cold == pytest.approx(1.030, abs=0.003)
    assert headspace.headspace_left_fraction(warm, 0.050) == pytest.approx(1.0 - warm / 0.050)
    assert headspace.headspace_left_fraction(0.060, 0.050) < 0.0


@given(base=bases, purity=st.floats(0.6, 1.0), methanol=st.floats(1.0, 100.0))
def test_solubility_turns_round(base: Base, purity: float, methanol: float) -> None:
    most = methoxide.catalyst_that_dissolves_kg(base, purity, methanol)
    assert methoxide.solubility_share(base, purity, most, methanol) == pytest.approx(1.0)


def test_runaway_that_the_loss_stops_is_reported() -> None:
    stuck = runaway.runaway(2e5, 500.0, 13.3, 15.0, 50.0, 64.5, 1.1e6)
    assert isinstance(stuck, NeverReaches) and stuck.limit_c < 64.5
    found = runaway.runaway(2e5, 2000.0, 13.3, 15.0, 50.0, 64.5, 1.1e6)
    assert isinstance(found, runaway.Runaway)
    assert found.vapour_kg_s * 1.1e6 == pytest.approx(2000.0)
    with pytest.raises(OutOfRange):
        runaway.runaway(2e5, 2000.0, 13.3, 15.0, 50.0, 75.0, 1.1e6)


@pytest.mark.parametrize("altitude_m", [0, 500, 1000, 1500, 2000])
def test_plain_boiling_never_reaches_the_fuel_limit(altitude_m: float) -> None:
    found = plain_boiling.plain_boiling(
        plain_boiling.FUEL_METHANOL_LIMIT_FRACTION, boiling.site_pressure_pa(altitude_m)
    )
    assert isinstance(found, plain_boiling.CannotBoilTo)
    assert found.left_fraction > 2.5 * plain_boiling.FUEL_METHANOL_LIMIT_FRACTION


@given(target=st.floats(0.0008, 0.02), pressure=st.floats(5_000.0, 100_000.0))
def test_boiling_temperature_leaves_the_target(target: float, pressure: float) -> None:
    assume(pressure < 79_000.0 or target < 0.02)
    found = plain_boiling.plain_boiling(target, pressure)
    if isinstance(found, plain_boiling.BoilsTo):
        left = stripping.methanol_left_fraction(found.temperature_c, pressure)
        assert left <= target * (1.0 + 1e-9)
        assert found.temperature_c == 70.0 or left == pytest.approx(target, rel=1e-6)
    else:
        assert found.left_fraction > target


# --- preheat


@given(mix=st.floats(30.0, 58.0), altitude=st.floats(0.0, 3000.0), methoxide_c=st.floats(5.0, 50.0))
def test_preheat_plan_keeps_the_ceiling_and_says_how_short_it_is(
    mix: float, altitude: float, methoxide_c: float
) -> None:
    ceiling = limits.temperature_ceiling_c(
        boiling.methanol_boiling_c(boiling.site_pressure_pa(altitude)), 5.0
    )
    assume(mix <= ceiling)
    plan = limits.preheat_plan(mix, ceiling, 183e3, 42e3, methoxide_c)
    assert plan.oil_c <= ceiling + 1e-9
    streams = [heating.Stream(183.0, 1000.0, plan.oil_c), heating.Stream(42.0, 1000.0, methoxide_c)]
    assert heating.mixed_temperature_c(streams) == pytest.approx(plan.mix_c)
    assert plan.mix_c + plan.short_k == pytest.approx(mix)
    assert plan.reaches is (plan.short_k == 0.0)
    if plan.methoxide_needed_c is not None:
        remedied = limits.preheat_plan(mix, ceiling, 183e3, 42e3, plan.methoxide_needed_c + 1e-9)
        assert remedied.short_k == pytest.approx(0.0, abs=1e-6)
