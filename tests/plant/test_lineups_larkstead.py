"""Line-ups of the one-vessel rig. Every answer was worked out by hand from the drawing of the profile.

By hand: the pump's suction tee carries 1 (tank), 4 then 3 (methoxide can) and the black hose with 2; its
discharge tee 5 (tank top) and the clear hose with 6. The tank's lowest port has the drain hose with 7, its
side the sampler S, its top the water pipe with the red handle. Labels, as painted.
"""

from __future__ import annotations

import pytest

from generator.plant.flood import resting_problems
from generator.plant.lineup import Want
from generator.plant.lineups import line_up
from generator.plant.plant import Plant
from tests.rigs import rig

PLANT = Plant(rig("larkstead"))
RED = "red handle"

# want, driver, open in order, touching, guard, hoses
BY_HAND = [
    (
        Want("oil_barrel", "tank"),
        "P",
        ["5", "2"],
        ["1", "3", "6"],
        ["7", RED, "S"],
        {"black hose": "oil_barrel.dip"},
    ),
    (Want("tank", "tank"), "P", ["5", "1"], ["2", "3", "6"], ["7", RED, "S"], {}),
    (Want("methanol_drum", "methoxide_can"), "HP", [], [], ["3"], {"braided hose": "methoxide_can.fill"}),
    (
        Want("tank", "tank", beside="methoxide_can"),
        "P",
        ["5", "1", "3", "4"],
        ["2", "6"],
        ["7", RED, "S"],
        {},
    ),
    (
        Want("tank", "glycerin_can"),
        "gravity",
        ["7"],
        [],
        ["1", "5", RED, "S"],
        {"drain hose": "glycerin_can.top"},
    ),
    (Want("tank", "wash_drum"), "gravity", ["7"], [], ["1", "5", RED, "S"], {"drain hose": "wash_drum.top"}),
    (Want("water", "tank"), "supply", [RED], [], ["1", "5", "7", "S"], {}),
    (
        Want("tank", "fuel_drum"),
        "P",
        ["6", "1"],
        ["2", "3", "5"],
        ["7", RED, "S"],
        {"clear hose": "fuel_drum.top"},
    ),
]


@pytest.mark.parametrize(
    ("want", "driver", "opened", "touching", "guard", "hoses"), BY_HAND, ids=[row[0].id for row in BY_HAND]
)
def test_line_up_is_the_one_worked_out_by_hand(want, driver, opened, touching, guard, hoses) -> None:
    made = line_up(PLANT, want)
    assert _labels(made.open) == opened
    assert sorted(_labels(made.touching)) == sorted(touching)
    assert sorted(_labels(made.guard)) == sorted(guard)
    assert {PLANT.label(end.hose): end.port for end in made.hoses} == hoses
    assert made.positions == {}
    drivers = {stream.driver for stream in made.streams}
    assert {d if d in ("gravity", "supply") else PLANT.label(d) for d in drivers} == {driver}
    assert made.wetted == {want.source, want.destination, want.beside} - {None, "water"}


def test_methoxide_is_set_by_the_needle_valve_which_opens_last() -> None:
    made = line_up(PLANT, Want("tank", "tank", beside="methoxide_can"))
    assert [stream.opening for stream in made.streams] == ["full", "throttled"]
    assert made.throttle == made.open[-1] == "v4"


def test_a_painted_label_is_kept_letter_for_letter() -> None:
    assert _labels(line_up(PLANT, Want("water", "tank")).open) == ["red handle"]


def test_nothing_flows_while_everything_is_in_its_normal_position() -> None:
    assert resting_problems(PLANT) == []


def _labels(valves) -> list[str]:
    return [PLANT.label(valve) for valve in valves]
