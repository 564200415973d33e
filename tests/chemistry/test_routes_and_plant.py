"""Behaviour of routes, drying, bunds, timetables, cost, resin and verdicts, whatever the numbers."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from generator.chemistry import (
    adsorbent,
    boiling,
    containment,
    cost,
    dose,
    drying,
    headspace,
    heating,
    limits,
    methoxide,
    outcome,
    plain_boiling,
    resin,
    route,
    runaway,
    settling,
    stages,
    storage,
    stripping,
    throughput,
    ventilation,
    verdicts,
    washing,
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


# --- bunds and storage


@given(
    area=st.floats(0.5, 50.0),
    height=st.floats(0.05, 1.0),
    foot=st.floats(0.0, 0.4),
    bottom=st.floats(0.0, 2.0),
)
def test_vessels_take_room_only_where_they_are_wet(
    area: float, height: float, foot: float, bottom: float
) -> None:
    empty = containment.containment_there_m3(area, height, [])
    assert empty == pytest.approx(area * height)
    vessel = containment.Standing(foot, bottom, bottom + 1.0)
    taken = empty - containment.containment_there_m3(area, height, [vessel])
    assert taken == pytest.approx(min(empty, foot * max(0.0, height - bottom)), abs=1e-9)


@given(largest=st.floats(0.1, 5.0), area=st.floats(0.5, 50.0), rain=st.floats(0.0, 0.3))
def test_needed_room_is_never_below_a_tenth_more(largest: float, area: float, rain: float) -> None:
    needed = containment.containment_needed_m3(largest, area, rain)
    assert needed >= 1.10 * largest
    assert needed >= largest + area * rain
    assert containment.england_containment_m3([largest]) == pytest.approx(1.10 * largest)
    with pytest.raises(OutOfRange):
        containment.england_containment_m3([])


def test_small_containers_do_not_count_towards_the_oil_spill_plan() -> None:
    standing = storage.storage_standing([0.2] * 30, 0.455, 100.0)
    plan, england, indoors, process = standing
    assert (plan.amount, plan.applies) == (0.0, False)
    assert england.applies and indoors.applies and not process.applies
    assert storage.storage_standing([0.209] * 24, 0.454, 0.0)[0].applies
    assert not storage.storage_standing([], 0.454, 0.0)[2].applies
    assert all(found.rule.source.startswith("published:") for found in standing)


# --- timetable and cost


@given(durations=times, batches=st.integers(1, 12))
def test_one_vessel_each_agrees_with_the_closed_form(durations: list[float], batches: int) -> None:
    found = throughput.timetable([throughput.Stage(d) for d in durations], batches)
    closed = sum(durations) + (batches - 1) * max(durations)
    assert found.all_s == pytest.approx(closed, rel=1e-9)
    assert found.interval_s == max(durations) == durations[found.bottleneck]


@given(durations=times, vessels=st.integers(2, 3), batches=st.integers(1, 12))
def test_more_vessels_never_slow_a_plant(durations: list[float], vessels: int, batches: int) -> None:
    plain = [throughput.Stage(d) for d in durations]
    slowest = max(range(len(plain)), key=lambda i: plain[i].time_s)
    helped = [*plain[:slowest], throughput.Stage(plain[slowest].time_s, vessels), *plain[slowest + 1 :]]
    before, after = throughput.timetable(plain, batches), throughput.timetable(helped, batches)
    assert after.all_s <= before.all_s * (1.0 + 1e-9)
    assert after.interval_s <= before.interval_s
    assert after.all_s >= after.first_s * (1.0 - 1e-9)


def test_two_settling_tanks_in_the_long_run() -> None:
    line = [throughput.Stage(3.0), throughput.Stage(2.5), throughput.Stage(8.0, 2), throughput.Stage(2.0)]
    ends = [throughput.timetable(line, n).all_s for n in range(1, 41)]
    steps = [later - earlier for earlier, later in itertools.pairwise(ends)]
    assert sum(steps[-10:]) / 10 == pytest.approx(4.0)
    assert throughput.batches_in_time(line, ends[6]) == 7
    assert throughput.batches_in_time(line, 15.4) == 0
    with pytest.raises(OutOfRange):
        throughput.timetable([], 1)


def test_cost_is_the_sum_of_its_parts() -> None:
    materials = cost.Materials(0.4, 0.1, 0.035, 6.5, 6e7, 0.385)
    found = cost.batch_cost(materials, cost.Prices(350.0, 1200.0, 3.0, 4e-8, 7.4))
    assert found.batch_money == pytest.approx(140.0 + 78.0 + 19.5 + 2.4 + 7.4)
    assert found.money_per_fuel_m3 * 0.385 == pytest.approx(found.batch_money)
    each = cost.materials_per_fuel(materials)
    assert each.methanol_bought_m3_m3 == pytest.approx(0.065 / 0.385)
    assert each.catalyst_kg_m3 == pytest.approx(6.5 / 0.385)
    with pytest.raises(OutOfRange):
        cost.Materials(0.4, 0.1, 0.2, 6.5, 6e7, 0.385)
    with pytest.raises(OutOfRange):
        cost.Prices(350.0, -1.0, 3.0, 4e-8, 7.4)


# --- finishing


@given(share=st.floats(1e-5, 1.0), water=st.floats(0.05, 1.0), distribution=st.floats(1.0, 100.0))
def test_washes_are_just_enough(share: float, water: float, distribution: float) -> None:
    count = washing.washes_needed(share, water, distribution)
    assume(count <= 20)
    assert washing.washed_share(count, water, distribution) <= share * (1.0 + 1e-6)
    assert count == 0 or washing.washed_share(count - 1, water, distribution) > share * (1.0 - 1e-6)
    assert washing.wash_water_m3(0.1, water, count) == pytest.approx(0.1 * water * count)


def test_glycerin_not_soap_ends_a_run_and_dirty_fuel_ends_it_sooner() -> None:
    usual = resin.bed_life(0.025, 1.8, "KOH", 880.0, (0.0014, 50e-6), 0.0008, 0.19)
    assert (usual.ended_by, usual.batches) == ("glycerin", 26)
    assert usual.fuel_m3 == usual.glycerin_m3 == pytest.approx(5.0)
    dirty = resin.bed_life(0.025, 1.8, "KOH", 880.0, (0.0014, 50e-6), 0.0014, 0.19)
    assert dirty.glycerin_m3 == pytest.approx(2.5)
    clean = resin.bed_life(0.025, 1.8, "KOH", 880.0, (0.0014, 50e-6), 0.0001, 0.19)
    assert clean.glycerin_m3 == usual.glycerin_m3
    soapy = resin.bed_life(0.025, 1.8, "KOH", 880.0, (0.0090, 50e-6), 0.0008, 0.19)
    assert (soapy.ended_by, soapy.fuel_m3) == ("soap", soapy.soap_m3)


@given(acid=st.floats(0.0, 0.7), soap=bases)
def test_soap_let_into_resin_never_takes_the_acid_value_over_its_limit(acid: float, soap: Base) -> None:
    allowed = resin.soap_allowed_fraction(acid, 0.50, soap)
    assert 0.0 <= allowed <= resin.SOAP_MOST_FRACTION
    assert allowed == 0.0 or acid + washing.acid_value_added_mg_g(soap, allowed) <= 0.50 + 1e-9


def test_adsorbent_balance() -> None:
    removed = adsorbent.adsorbed_fraction(0.00137, 0.003, 0.150)
    assert adsorbent.adsorbent_needed_kg(0.150, removed, 0.00137) == pytest.approx(0.003)
    with pytest.raises(OutOfRange):
        adsorbent.adsorbent_needed_kg(0.150, removed, 0.0)


def test_settling_table_has_a_row_for_each_drop_and_temperature() -> None:
    rows = settling.settling_table([50e-6, 100e-6], [20.0, 40.0, 55.0], 200.0, 1.0)
    assert [(row.drop_m, row.temperature_c) for row in rows] == [
        (d, t) for d in (50e-6, 100e-6) for t in (20.0, 40.0, 55.0)
    ]
    hours = [row.time_s / 3600.0 for row in rows]
    assert hours == [pytest.approx(h, rel=0.02) for h in (6.6, 4.0, 2.9, 1.65, 1.0, 0.735)]
    assert all(row.speed_m_s * row.time_s == pytest.approx(1.0) for row in rows)


def test_air_needs_are_ruled_by_people_not_fire() -> None:
    needs = ventilation.air_needs(1e-4, 20.0, 101_325.0)
    assert needs.exposure_m3s > 70.0 * needs.quarter_explosive_m3s
    assert needs.tenth_explosive_m3s == pytest.approx(2.5 * needs.quarter_explosive_m3s)


@given(g=st.floats(1e-6, 1e-2), c=st.floats(2e-5, 0.05), k=st.floats(1.0, 9.0))
def test_air_goes_with_emission_and_mixing_and_against_the_limit(g: float, c: float, k: float) -> None:
    here = ventilation.dilution_flow_m3s(g, c, k, 20.0, 101_325.0)
    assert ventilation.dilution_flow_m3s(2.0 * g, c, k, 20.0, 101_325.0) == pytest.approx(2.0 * here)
    assert ventilation.dilution_flow_m3s(g, c / 2.0, k, 20.0, 101_325.0) == pytest.approx(2.0 * here)
    assert ventilation.dilution_flow_m3s(g, c, 1.1 * k, 20.0, 101_325.0) == pytest.approx(1.1 * here)
    assert ventilation.dilution_air_m3(g, c, 20.0, 101_325.0) * k == pytest.approx(here)


# --- outcome and verdicts


def test_water_and_fuel_ranges() -> None:
    least, most = outcome.water_range_kg(0.226, 0.9, "KOH")
    assert least == 0.226
    assert most == pytest.approx(0.226 + 0.9 * 0.3211, rel=1e-3)
    assert outcome.expected_fuel_m3(0.1, 0.02, 0.08) == (pytest.approx(0.092), pytest.approx(0.098))
    with pytest.raises(OutOfRange):
        outcome.expected_fuel_m3(0.1, 0.09, 0.08)


@pytest.mark.parametrize("destination", ["own_use", "tower", "standard"])
def test_every_destination_has_its_conversion_soap_and_base(destination: verdicts.Destination) -> None:
    for name in ("conversion", "soap", "free_base", "acid_value", "methanol"):
        limit = verdicts.pass_limit(name, destination, "KOH", 0.2)  # type: ignore[arg-type]
        assert limit is not None and limit.if_fails != "go_on" and limit.source
        assert limit.least <= limit.greatest


def test_a_failed_conversion_is_reacted_again_and_unready_fuel_settles() -> None:
    conversion = verdicts.pass_limit("conversion", "own_use", "KOH", 0.0)
    assert conversion and conversion.least == 1.0 and conversion.if_fails == "react_again"
    tower = verdicts.pass_limit("soap", "tower", "KOH", 0.45)
    assert tower and tower.greatest < 1400e-6 and tower.if_fails == "settle_again"
    assert verdicts.pass_limit("water", "tower", "KOH", 0.0) is None
