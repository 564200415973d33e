"""Line-ups of the multi-vessel rig. Every answer was worked out by hand from the drawing of the profile.

By hand: suction header of P1 carries 02 (T1), 03 (R1), C then B (charge can) and the grey hose with 01; its
discharge header 05 (T1), 06 (R1), 07 (S1). Under tank S1 hangs 08, then the three-way A: GLYCERIN to the
brown hose, FUEL to the suction header of P2, which also carries 10 (F1). P2's discharge header: 11 (F1), 12,
tower, 13 (B1) and 14 (R1). Labels, as painted.
"""

from __future__ import annotations

import pytest

from generator.plant.flood import resting_problems
from generator.plant.lineup import Want
from generator.plant.lineups import NoLineUp, candidates, line_up
from generator.plant.plant import Plant
from tests.rigs import rig

PLANT = Plant(rig("quillmere"))

# want, driver, open in order, touching, guard, three-way positions, hoses
BY_HAND = [
    (Want("oil_drum", "dryer"), "P1", "05 01", "02 03 B 06 07", "D SD", {}, {"grey hose": "oil_drum.dip"}),
    (Want("dryer", "dryer"), "P1", "05 02", "01 03 B 06 07", "D SD", {}, {}),
    (Want("dryer", "reactor"), "P1", "06 02", "01 03 B 05 07", "D SD 14 SR", {}, {}),
    (Want("reactor", "reactor"), "P1", "06 03", "01 02 B 05 07", "14 SR", {}, {}),
    (Want("reactor", "reactor", beside="charge_can"), "P1", "06 03 B C", "01 02 05 07", "14 SR", {}, {}),
    (Want("methanol_drum", "charge_can"), "HP", "", "", "B", {}, {"steel hose": "charge_can.fill"}),
    (Want("reactor", "settler"), "P1", "07 03", "01 02 B 05 06", "14 SR 08 SS", {}, {}),
    (
        Want("settler", "glycerin_drum"),
        "gravity",
        "08",
        "",
        "07 SS",
        {"A": "GLYCERIN"},
        {"brown hose": "glycerin_drum.top"},
    ),
    (Want("settler", "finisher"), "P2", "11 08", "10 12 14", "07 SF SS", {"A": "FUEL"}, {}),
    # A has no closed position: it stays at FUEL, and 08 above it is what holds the settling tank back.
    (Want("finisher", "finisher"), "P2", "11 10", "08 12 14", "SF", {"A": "FUEL"}, {}),
    (Want("finisher", "fuel_tank", via="tower"), "P2", "13 12 10", "08 11 14", "SF 15", {"A": "FUEL"}, {}),
    (Want("settler", "reactor"), "P2", "14 08", "10 11 12", "07 03 06 SR SS", {"A": "FUEL"}, {}),
]


@pytest.mark.parametrize(
    ("want", "driver", "opened", "touching", "guard", "positions", "hoses"),
    BY_HAND,
    ids=[row[0].id for row in BY_HAND],
)
def test_line_up_is_the_one_worked_out_by_hand(
    want, driver, opened, touching, guard, positions, hoses
) -> None:
    made = line_up(PLANT, want)
    assert _labels(made.open) == opened.split()
    assert sorted(_labels(made.touching)) == sorted(touching.split())
    assert sorted(_labels(made.guard)) == sorted(guard.split())
    assert {PLANT.label(valve): position for valve, position in made.positions.items()} == positions
    assert {PLANT.label(end.hose): end.port for end in made.hoses} == hoses
    assert {_driver(stream.driver) for stream in made.streams} == {driver}
    assert made.wetted == {want.source, want.destination} | ({want.beside} if want.beside else set())


def test_injection_has_two_streams_and_opens_its_needle_valve_last() -> None:
    made = line_up(PLANT, Want("reactor", "reactor", beside="charge_can"))
    around, beside = made.streams
    assert around.path == ("reactor_out", "p1_in", "p1_out", "to_reactor")
    assert (around.outlet, around.inlet, around.opening) == ("drain", "top", "full")
    assert beside.path == ("methoxide_in",)
    assert (beside.source, beside.outlet, beside.opening) == ("charge_can", "outlet", "throttled")
    assert made.throttle == "can_throttle" == made.open[-1]


def test_the_tower_s_restrictor_sets_that_flow() -> None:
    made = line_up(PLANT, Want("finisher", "fuel_tank", via="tower"))
    assert [stream.opening for stream in made.streams] == ["restrictor"]
    assert made.streams[0].path == ("finisher_out", "p2_in", "p2_out", "to_tower", "from_tower")


def test_nothing_flows_while_everything_is_in_its_normal_position() -> None:
    assert resting_problems(PLANT) == []


@pytest.mark.parametrize(
    ("want", "code"),
    [
        (Want("finisher", "fuel_tank"), "no_line_up_tower"),
        (Want("dryer", "finisher"), "no_line_up_through_vessel"),
        (Want("dryer", "reactor", driver="gravity"), "no_line_up_uphill"),
        (Want("settler", "glycerin_drum", driver="pump"), "no_line_up_driver"),
        (Want("dryer", "recovered_can"), "no_line_up"),
    ],
)
def test_what_this_rig_cannot_do_is_refused_with_the_reason(want, code) -> None:
    with pytest.raises(NoLineUp) as refused:
        line_up(PLANT, want)
    assert refused.value.problem.code == code
    assert refused.value.problem.place is None
    assert "<" not in refused.value.problem.what + refused.value.problem.mend


def test_candidates_show_the_one_way_there_is() -> None:
    (only,) = candidates(PLANT, Want("reactor", "settler"))
    assert only.problem is None
    assert only.way.main.lines == ("reactor_out", "p1_in", "p1_out", "to_settler")


def _labels(valves) -> list[str]:
    return [PLANT.label(valve) for valve in valves]


def _driver(driver: str) -> str:
    return driver if driver in ("gravity", "supply") else PLANT.label(driver)
