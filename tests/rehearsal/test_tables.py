"""Wrong valves, transfers at once, batches at once: rows checked by hand against the rigs' drawings."""

from __future__ import annotations

import pytest

from generator.rehearsal.stages import stage_pairs
from generator.rehearsal.together import Together, together
from generator.rehearsal.wrong_valve import HARMS, Harm, WrongValve, wrong_valves
from tests.rehearsal.conftest import RIGS, batch_of, changed, demo


def rows(name: str) -> dict[tuple[str, str, bool], WrongValve]:
    rig = demo(name)
    found = wrong_valves(rig.model(), rig.expanded.line_ups.values())
    return {(row.line_up, row.valve, row.running): row for row in found if row.position in ("open", "closed")}


def test_a_wrong_valve_says_where_the_liquid_goes() -> None:
    found = rows("quillmere")
    # Oil to the drying tank, valve 07 left open: part of it ends in the settling tank.
    astray = found["oil-drum-to-dryer", "v07", True]
    assert astray.goes == (("oil_drum", "settler"),) and astray.severity == "spoils"
    # The water drain of the receiver left open: it runs out on the floor, pump or no pump.
    spilt = found["oil-drum-to-dryer", "water_drain", True]
    assert ("dryer", "water_out") in spilt.goes and spilt.severity == "danger"
    # The methoxide valve left open: the pump takes the can's contents along into the oil.
    lye = found["oil-drum-to-dryer", "can_outlet", True]
    assert ("charge_can", "dryer") in lye.goes
    assert lye.severity == "danger" and Harm("methanol-astray", "charge_can", "dryer") in lye.harms
    # Oil on the floor is no methanol on the floor.
    assert spilt.harms == (Harm("out", "dryer", "water_out"),)
    sampled = found["reactor-to-settler", "sample_reactor", True]
    assert Harm("methanol-out", "reactor", "reactor_sample") in sampled.harms
    # Its own valve shut: nothing goes anywhere.
    assert found["oil-drum-to-dryer", "v01", True].severity == "stops"
    assert found["oil-drum-to-dryer", "v05", True].pump == "dead_head"


def test_water_let_into_the_tank_is_a_row_and_a_stopped_pump_is_an_open_pipe() -> None:
    found = rows("larkstead")
    assert ("water", "tank") in found["oil-barrel-to-tank", "red_handle", True].goes
    back = found["oil-barrel-to-tank", "v1", False]
    assert back.goes == (("tank", "oil_barrel"),)


@pytest.mark.parametrize("name", RIGS)
def test_every_row_changes_something_and_valves_out_of_the_way_have_none(name: str) -> None:
    for row in rows(name).values():
        assert row.goes or row.lost or row.pump
        assert (row.severity == "stops") is not bool(row.goes)
        assert {harm.rule for harm in row.harms} <= set(HARMS)
        assert {(harm.source, harm.destination) for harm in row.harms} <= set(row.goes)
    if name == "quillmere":
        assert ("oil-drum-to-dryer", "sample_settler", True) not in rows(name)


def pairs(name: str) -> dict[frozenset[str], Together]:
    rig = demo(name)
    return {
        frozenset((row.one, row.other)): row for row in together(rig.model(), rig.expanded.line_ups.values())
    }


def test_transfers_that_share_nothing_may_run_together() -> None:
    found = pairs("quillmere")
    assert found[frozenset(("oil-drum-to-dryer", "settler-to-finisher"))].allowed
    assert found[frozenset(("around-dryer", "around-finisher"))].allowed
    one = found[frozenset(("around-dryer", "around-reactor"))]
    assert (one.reason, one.parts) == ("pump", ("p1",))
    other = found[frozenset(("settler-to-glycerin-drum", "settler-to-finisher"))]
    assert (other.reason, other.parts) == ("vessel", ("settler",))


def test_a_valve_that_one_needs_open_and_the_other_shut_parts_them() -> None:
    rig = changed("quillmere", {})
    reasons = {row.reason for row in together(rig.model(), rig.expanded.line_ups.values())}
    assert {"", "pump", "vessel", "valve"} <= reasons


@pytest.mark.parametrize("name", ["quillmere", "highfold"])
def test_a_plant_of_several_tanks_takes_two_batches(name: str) -> None:
    rig = demo(name)
    found = {
        (pair.held, pair.run): pair
        for pair in stage_pairs(rig.model(), rig.procedures, batch_of(rig).moments)
    }
    assert {names for names, pair in found.items() if pair.allowed} == {
        ("settle", "dry"), ("finish", "dry"), ("settle", "react"),
    }  # fmt: skip
    # The pump is the reactor's while it reacts; making methoxide locks every heater, the finisher's too.
    assert found["react", "dry"].violations[0].rule == "pump-busy"
    assert found["finish", "react"].violations[0].equipment == ("finisher.element",)


@pytest.mark.parametrize("name", ["larkstead", "withyburn"])
def test_a_plant_of_one_tank_takes_one_batch(name: str) -> None:
    rig = demo(name)
    found = stage_pairs(rig.model(), rig.procedures, batch_of(rig).moments)
    assert found and all(pair.vessels == ("tank",) for pair in found)
