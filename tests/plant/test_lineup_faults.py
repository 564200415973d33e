"""Piping that makes a line-up impossible, doubtful or different. Every answer was worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.plant.flood import resting_problems
from generator.plant.lineup import Want
from generator.plant.lineups import NoLineUp, candidates, line_up
from generator.plant.plant import Plant
from generator.problems import Problem
from tests.rigs import changed, rig

AROUND_REACTOR = Want("reactor", "reactor")
AROUND_FINISHER = Want("finisher", "finisher")
AROUND_TANK = Want("tank", "tank")
BALL = {"kind": "ball"}


def _refusal(plant: Plant, want: Want) -> Problem:
    with pytest.raises(NoLineUp) as refused:
        line_up(plant, want)
    problem = refused.value.problem
    assert "<" not in problem.what + problem.mend, "a fact that the wording needs is missing"
    return problem


def _quillmere(**sections) -> Plant:
    return Plant(changed("quillmere", **sections))


def _larkstead(**sections) -> Plant:
    return Plant(changed("larkstead", **sections))


def _set(plant: Plant, valves) -> set[str]:
    return {plant.label(valve) for valve in valves}


# What is not shut off


def test_a_branch_without_a_valve_is_missing_isolation_and_named() -> None:
    plant = _quillmere(lines={"to_settler": {"valves": []}})
    problem = _refusal(plant, Want("dryer", "reactor"))
    assert problem.code == "no_line_up_isolation"
    assert "Settling tank (S1)" in problem.what


def test_an_open_spout_on_the_route_s_branch_is_missing_isolation() -> None:
    plant = _quillmere(lines={"purge": {"from": "discharge", "to": "open"}})
    problem = _refusal(plant, AROUND_REACTOR)
    assert (problem.code, problem.facts["parts"]) == ("no_line_up_isolation", "purge")


def test_an_unvalved_outlet_elsewhere_on_the_destination_is_missing_isolation() -> None:
    plant = _quillmere(lines={"dispense": {"valves": []}})
    problem = _refusal(plant, Want("finisher", "fuel_tank", via="tower"))
    assert (problem.code, problem.facts["parts"]) == ("no_line_up_isolation", "dispense")


def test_a_water_pipe_without_a_valve_would_run_into_the_batch() -> None:
    problem = _refusal(_larkstead(lines={"water_in": {"valves": []}}), AROUND_TANK)
    assert problem.code == "no_line_up_isolation"
    assert "Water pipe (W)" in problem.what


# What gravity can do


@pytest.mark.parametrize(
    "sections",
    [
        {"vessels": {"glycerin_can": {"elevation": "20 in"}}},  # mouth at 40 in, outlet at 38 in
        {"vessels": {"tank": {"elevation": "20 in"}}},  # mouth and outlet level: nothing flows
    ],
)
def test_gravity_does_not_run_uphill(sections) -> None:
    problem = _refusal(_larkstead(**sections), Want("tank", "glycerin_can"))
    assert problem.code == "no_line_up_uphill"
    assert "Glycerin can (GLY)" in problem.what


def test_a_refusal_of_gravity_gives_both_heights() -> None:
    raised = _larkstead(vessels={"glycerin_can": {"elevation": "20 in"}})
    problem = _refusal(raised, Want("tank", "glycerin_can"))
    heights = [str(problem.facts[name]).split() for name in ("height", "outlet")]
    assert heights == [["40", "in"], ["38", "in"]]
    assert all(str(problem.facts[name]) in problem.what for name in ("height", "outlet"))


def test_a_line_that_climbs_above_the_outlet_needs_a_siphon_and_is_refused() -> None:
    lines = {"drop": {"from": "settler.drain", "to": "glycerin_drum.top", "valves": ["v20"]}}
    parts = {"hoses": {"glycerin_hose": None}, "valves": {"v20": {"label": "20", **BALL}}}
    assert line_up(_quillmere(lines=lines, **parts), Want("settler", "glycerin_drum")).open == ("v20",)
    lines["drop"]["highest"] = "1.2 m"
    problem = _refusal(_quillmere(lines=lines, **parts), Want("settler", "glycerin_drum"))
    assert (problem.code, problem.facts["part"]) == ("no_line_up_uphill", "drop")


def test_a_dip_pipe_does_not_start_to_run_by_itself() -> None:
    ports = {"dip": {"height": "0.85 m", "dip_end": "0.03 m"}}
    vessels = {"oil_drum": {"elevation": "3 m", "ports": ports}}
    lines = {"drop": {"from": "oil_drum.dip", "to": "dryer.top", "valves": ["v20"]}}
    plant = _quillmere(vessels=vessels, lines=lines, valves={"v20": {"label": "20", **BALL}})
    assert _refusal(plant, Want("oil_drum", "dryer", driver="gravity")).code == "no_line_up_uphill"


def test_a_submerged_inlet_counts_as_high_as_its_vessel_may_be_full() -> None:
    # T1's outlet is 0.05 m above R1's: the levels would settle long before T1 is empty.
    problem = _refusal(Plant(rig("quillmere")), Want("dryer", "reactor", driver="gravity"))
    assert problem.code == "no_line_up_uphill"


# Which of several ways

SECOND_WAY = {
    "lines": {"short_cut": {"from": "discharge", "to": "reactor.again", "valves": ["v20"]}},
    "valves": {"v20": {"label": "twenty", "kind": "gate"}},
}


def test_two_ways_without_a_pin_are_both_shown_by_their_labels() -> None:
    problem = _refusal(_quillmere(**SECOND_WAY), Want("dryer", "reactor"))
    assert problem.code == "several_line_ups"
    assert "[02 06]" in problem.what
    assert "[02 twenty]" in problem.what
    assert "short_cut" in problem.what


def test_a_pin_settles_which_way() -> None:
    pin = {"from": "dryer", "to": "reactor", "via": ["short_cut"]}
    plant = _quillmere(**SECOND_WAY, routes=[pin])
    made = line_up(plant, Want("dryer", "reactor"))
    assert made.streams[0].path == ("dryer_out", "p1_in", "p1_out", "short_cut")
    assert plant.label(made.open[0]) == "twenty"
    assert "v06" in made.touching


def test_a_pin_that_fits_no_way_is_said() -> None:
    pin = {"from": "dryer", "to": "reactor", "via": ["to_settler"]}
    assert _refusal(_quillmere(routes=[pin]), Want("dryer", "reactor")).code == "pin_fits_nothing"


def test_pump_and_gravity_both_count_unless_the_driver_is_named() -> None:
    parts = {
        "lines": {"drop": {"from": "tank.suction", "to": "fuel_drum.side", "valves": ["v8"]}},
        "valves": {"v8": {"label": "8", **BALL}},
        "vessels": {
            "fuel_drum": {
                "ports": {
                    "top": {"height": "33.5 in", "dip_end": "2 in"},
                    "side": {"height": "33 in", "space": "gas"},
                }
            }
        },
    }
    want = Want("tank", "fuel_drum")
    plant = _larkstead(**parts)
    assert _refusal(plant, want).code == "several_line_ups"
    assert line_up(plant, replace(want, driver="gravity")).pump is None
    assert line_up(plant, replace(want, driver="pump")).pump == "pump"


def test_a_way_that_cannot_be_shut_off_does_not_make_a_good_one_doubtful() -> None:
    lines = {
        "short_cut": {"from": "discharge", "to": "cross"},
        "to_again": {"from": "cross", "to": "reactor.again", "valves": ["v20"]},
        "spill": {"from": "cross", "to": "open", "valves": ["v21"]},
        "to_dryer": {"from": "cross"},
    }
    valves = {"v20": {"label": "20", **BALL}, "v21": {"label": "21", **BALL}}
    plant = _quillmere(lines=lines, valves=valves, tees={"cross": {}})
    found = candidates(plant, Want("dryer", "reactor"))
    assert [c.problem for c in found] == [None, None]
    lines["spill"]["valves"] = []
    plant = _quillmere(lines=lines, valves=valves, tees={"cross": {}})
    assert {c.problem.code for c in candidates(plant, Want("dryer", "reactor")) if c.problem} == {
        "no_line_up_isolation"
    }


def test_an_outlet_can_be_named() -> None:
    ports = {"bottom": {"height": "0 in"}, "suction": {"height": "1 in"}}
    tank = {"ports": {**ports, "return": {"height": "46 in", "space": "gas"}, "low": {"height": "3 in"}}}
    parts = {
        "vessels": {"tank": tank},
        "lines": {
            "low_out": {"from": "tank.low", "to": "suction", "valves": ["v8"]},
            "water_in": None,
            "tank_sample": None,
        },
        "valves": {"v8": {"label": "8", **BALL}},
    }
    plant = _larkstead(**parts)
    assert _refusal(plant, Want("tank", "fuel_drum")).code == "several_line_ups"
    made = line_up(plant, Want("tank", "fuel_drum", outlet="low"))
    assert made.streams[0].outlet == "low"
    assert _set(plant, made.open) == {"8", "6"}
    assert "1" in _set(plant, made.touching)


# Three-way valves


def test_a_three_way_valve_without_a_closed_position_turns_away_where_nothing_else_shuts() -> None:
    plant = _quillmere(lines={"settler_out": {"valves": []}})
    made = line_up(plant, AROUND_FINISHER)
    assert made.positions == {"layer_valve": "GLYCERIN"}
    assert _set(plant, made.touching) == {"12", "14"}


def test_a_guard_is_looked_for_behind_a_three_way_valve_and_a_stopped_pump() -> None:
    # Without 08 the settling tank is held back only beyond A at FUEL, through P2, which passes when stopped.
    plant = _quillmere(lines={"settler_out": {"valves": []}})
    made = line_up(plant, Want("reactor", "settler"))
    assert made.positions == {"layer_valve": "FUEL"}
    assert _set(plant, made.guard) == {"10", "11", "12", "14", "SR", "SS"}


def test_a_three_way_valve_that_shuts_nothing_off_is_refused() -> None:
    both = {"positions": {"FUEL": ["inlet", "to_pump"]}, "normal": "FUEL"}
    plant = _quillmere(lines={"settler_out": {"valves": []}}, valves={"layer_valve": both})
    problem = _refusal(plant, AROUND_FINISHER)
    assert problem.code == "no_line_up_isolation"
    assert "Settling tank (S1)" in problem.what


def test_a_position_that_joins_all_ports_is_not_taken_where_a_tighter_one_serves() -> None:
    positions = {
        "ALL": ["inlet", "to_drum", "to_pump"],
        "GLYCERIN": ["inlet", "to_drum"],
        "FUEL": ["inlet", "to_pump"],
    }
    plant = _quillmere(valves={"layer_valve": {"positions": positions, "normal": "ALL"}})
    assert line_up(plant, Want("settler", "finisher")).positions == {"layer_valve": "FUEL"}
    only_all = {"positions": {"ALL": positions["ALL"]}, "normal": "ALL"}
    problem = _refusal(_quillmere(valves={"layer_valve": only_all}), Want("settler", "finisher"))
    assert "Glycerin drum (GLY)" in problem.what


# Check valves

CHECK = {"k1": {"label": "K", "kind": "check"}}


def test_a_check_valve_into_the_route_does_not_hold_back_what_stands_higher() -> None:
    # dryer_out runs from T1 to the suction header, so the check valve lets T1 in: 02 behind it must be shut.
    plant = _quillmere(lines={"dryer_out": {"valves": ["v02", "k1"]}}, valves=CHECK)
    assert "v02" in line_up(plant, AROUND_REACTOR).touching
    alone = _quillmere(lines={"dryer_out": {"valves": ["k1"]}}, valves=CHECK)
    problem = _refusal(alone, AROUND_REACTOR)
    assert problem.code == "no_line_up_isolation"
    assert "Drying tank (T1)" in problem.what


def test_a_check_valve_away_from_the_route_does_not_stop_what_flows_out() -> None:
    plant = _quillmere(lines={"to_settler": {"valves": ["k1"]}}, valves=CHECK)
    assert "Settling tank (S1)" in _refusal(plant, AROUND_REACTOR).what


def test_a_check_valve_into_the_route_needs_no_action_where_nothing_can_come_in() -> None:
    # The glycerin drum's only port is in its gas space.
    lines = {"odd": {"from": "glycerin_drum.top", "to": "discharge", "valves": ["k1"]}}
    plant = _quillmere(lines=lines, valves=CHECK)
    usual = line_up(Plant(rig("quillmere")), AROUND_REACTOR)
    assert line_up(plant, AROUND_REACTOR).touching == usual.touching


@pytest.mark.parametrize(("header", "elevation", "refused"), [
    ("discharge", "0.10 m", False),  # its top at 0.48 m stays below R1's outlet at 0.55 m
    ("discharge", "0.30 m", True),  # its top at 0.68 m does not
    ("suction", "0.10 m", True),  # the pump would draw from it
])  # fmt: skip
def test_a_lower_vessel_behind_a_check_valve_counts_only_where_it_could_run_in(
    header: str, elevation: str, refused: bool
) -> None:
    can = {"elevation": elevation, "ports": {"low": {"height": "0 m"}}}
    lines = {"odd": {"from": "recovered_can.low", "to": header, "valves": ["k1"]}}
    plant = _quillmere(vessels={"recovered_can": can}, lines=lines, valves=CHECK)
    if refused:
        assert "Recovered methanol can (RM)" in _refusal(plant, AROUND_REACTOR).what
    else:
        assert line_up(plant, AROUND_REACTOR).wetted == {"reactor"}


def test_a_check_valve_against_the_flow_leaves_no_way() -> None:
    forwards = _larkstead(lines={"pump_out": {"valves": ["k1"]}}, valves=CHECK)
    assert line_up(forwards, AROUND_TANK).open == ("v5", "v1")
    turned = {"from": "discharge", "to": "pump.out", "valves": ["k1"]}
    backwards = _larkstead(lines={"pump_out": turned}, valves=CHECK)
    assert _refusal(backwards, AROUND_TANK).code == "no_line_up_driver"


# Pumps that stand still


@pytest.mark.parametrize(
    ("kind", "when_stopped", "guards_6"), [("centrifugal", "passes", True), ("gear", "blocks", False)]
)
def test_a_stopped_centrifugal_pump_is_an_open_pipe(kind: str, when_stopped: str, guards_6: bool) -> None:
    # Without 1 the tank stands on the pump; only a pump that blocks keeps it from the fuel hose.
    plant = _larkstead(
        lines={"tank_out": {"valves": []}}, pumps={"pump": {"kind": kind, "when_stopped": when_stopped}}
    )
    guard = _set(plant, line_up(plant, Want("water", "tank")).guard)
    assert {"2", "3", "5", "7", "S"} <= guard
    assert ("6" in guard) is guards_6


# Hoses


def test_a_loose_open_hose_without_a_valve_is_missing_isolation_and_a_sealing_one_is_not() -> None:
    problem = _refusal(_larkstead(hoses={"fuel_hose": {"valves": []}}), AROUND_TANK)
    assert (problem.code, problem.facts["parts"]) == ("no_line_up_isolation", "Fuel hose (clear hose)")
    sealing = _larkstead(hoses={"fuel_hose": {"valves": [], "free_end": "self_sealing"}})
    assert _set(sealing, line_up(sealing, AROUND_TANK).touching) == {"2", "3"}


def test_a_hose_left_on_another_vessel_without_a_valve_is_missing_isolation() -> None:
    parts = {"valves": [], "free_end": "self_sealing", "normal": "fuel_drum.top"}
    problem = _refusal(_larkstead(hoses={"fuel_hose": parts}), AROUND_TANK)
    assert "Fuel drum (FUEL)" in problem.what


def test_one_hose_goes_to_the_vessel_that_is_asked_for() -> None:
    plant = Plant(rig("larkstead"))
    for vessel in ("glycerin_can", "wash_drum"):
        (end,) = line_up(plant, Want("tank", vessel)).hoses
        assert (end.hose, end.port) == ("drain_hose", f"{vessel}.top")


# Injection


def test_what_nothing_joins_to_the_suction_cannot_be_let_in() -> None:
    plant = _larkstead(lines={"methoxide_in": {"to": "discharge"}})
    problem = _refusal(plant, replace(AROUND_TANK, beside="methoxide_can"))
    assert problem.code == "no_line_up_beside"
    assert "Methoxide can (CAN)" in problem.what


def test_without_a_needle_valve_what_is_let_in_comes_in_full() -> None:
    plant = _larkstead(lines={"methoxide_in": {"valves": ["v3"]}})
    made = line_up(plant, replace(AROUND_TANK, beside="methoxide_can"))
    assert made.streams[1].opening == "full"
    assert made.throttle is None
    assert made.open == ("v5", "v1", "v3")


def test_a_pin_may_settle_the_way_of_what_is_let_in() -> None:
    second = {
        "lines": {"other": {"from": "methoxide_can.outlet", "to": "suction", "valves": ["v8"]}},
        "valves": {"v8": {"label": "8", "kind": "globe"}},
    }
    want = replace(AROUND_TANK, beside="methoxide_can")
    assert _refusal(_larkstead(**second), want).code == "several_line_ups"
    pin = {"from": "methoxide_can", "to": "tank", "via": ["other"]}
    made = line_up(_larkstead(**second, routes=[pin]), want)
    assert (made.throttle, made.streams[1].path) == ("v8", ("other",))
    # 4 is left at its setting: 3 behind it is what shuts that line, and nothing is trapped between them.
    assert "v3" in made.touching and "v4" not in made.touching


def test_a_position_without_the_port_where_liquid_comes_in_is_named() -> None:
    turned = {"positions": {"GLYCERIN": ["to_pump", "to_drum"], "FUEL": ["inlet", "to_pump"]}}
    problem = _refusal(_quillmere(valves={"layer_valve": turned}), Want("settler", "glycerin_drum"))
    assert problem.code == "no_line_up_position"
    assert (problem.facts["valve"], problem.facts["one"], problem.facts["other"]) == ("A", "inlet", "to_drum")


def test_a_chain_of_three_way_valves_is_not_tried_for_ever() -> None:
    # Twenty valves in a row, none with a closed position, a spout behind: 2 to the 20 choices, all leak.
    turn = {"kind": "three_way", "normal": "A", "positions": {"A": ["i", "a"], "B": ["i", "b"]}}
    valves = {f"x{n}": {"label": f"X{n}", **turn} for n in range(20)}
    lines = {"into": {"from": "discharge", "to": "x0.i"}}
    for n in range(20):
        lines[f"a{n}"] = {"from": f"x{n}.a", "to": f"x{n + 1}.i" if n < 19 else "open"}
        lines[f"b{n}"] = {"from": f"x{n}.b", "to": f"x{n + 1}.i" if n < 19 else "open"}
    problem = _refusal(_quillmere(valves=valves, lines=lines), AROUND_REACTOR)
    assert problem.code == "piping_too_tangled"


# At rest


def test_normal_positions_that_join_two_vessels_are_named_with_their_lines() -> None:
    plant = _quillmere(valves={"v02": {"normal": "open"}, "v03": {"normal": "open"}})
    (problem,) = resting_problems(plant)
    assert problem.code == "normal_positions_connect"
    assert problem.facts["vessels"] == "T1, R1"
    assert {"dryer_out", "reactor_out"} <= set(problem.facts["lines"].split(", "))


def test_a_spout_left_open_is_named() -> None:
    (problem,) = resting_problems(_larkstead(valves={"sampler": {"normal": "open"}}))
    assert problem.facts["lines"] == "tank_sample"
