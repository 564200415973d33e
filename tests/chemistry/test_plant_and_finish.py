"""Behaviour of bunds, timetables, cost, washing, resin, air and verdicts, whatever the numbers."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from generator.chemistry import (
    adsorbent,
    containment,
    cost,
    outcome,
    resin,
    settling,
    storage,
    throughput,
    ventilation,
    verdicts,
    washing,
)
from generator.chemistry.ranges import OutOfRange
from generator.chemistry.species import Base

bases = st.sampled_from(["KOH", "NaOH"])
times = st.lists(st.floats(60.0, 1e5), min_size=1, max_size=6)


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
