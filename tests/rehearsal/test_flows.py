"""Where liquid goes, by hand: falls, siphons, check valves, stopped pumps, air, dead ends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.motion import Goal, advance
from generator.rehearsal.state import Contents, State
from tests.rehearsal.conftest import changed, demo


def holding(model: Model, **litres: float) -> State:
    state = model.start()
    full = {
        vessel: Contents((model.oil(volume / 1000.0),), model.ambient_c) for vessel, volume in litres.items()
    }
    return replace(state, contents={**state.contents, **full})


def opened(state: State, *valves: str) -> State:
    return replace(state, positions={**state.positions, **dict.fromkeys(valves, "open")})


def ends(model: Model, state: State) -> set[tuple[str, str, str]]:
    return {(f.source, f.destination, f.driver) for f in model.hydraulics.flows(state)}


def test_nothing_flows_in_a_plant_at_rest() -> None:
    for name in ("quillmere", "larkstead", "withyburn"):
        model = demo(name).model()
        state = model.start()
        full = {v: Contents((model.oil(0.5 * tank.limit_m3),), 20.0) for v, tank in model.plant.tanks.items()}
        assert ends(model, replace(state, contents=full)) == set(), name


def test_a_stopped_centrifugal_pump_is_an_open_pipe() -> None:
    model = demo("quillmere").model()
    state = opened(holding(model, reactor=150), "v03", "v02")
    assert ends(model, state) == {("reactor", "dryer", "gravity")}
    # The can stands over the suction header: it runs down through both of its valves.
    state = opened(holding(model, charge_can=30, reactor=50), "can_outlet", "v03")
    assert ("charge_can", "reactor", "gravity") in ends(model, state)


def test_a_check_valve_holds_back_what_a_siphon_would_bring() -> None:
    way = ("v12", "v13", "v10")
    for edits, runs_back in (({}, False), ({"lines.from_tower.valves": ["v13"]}, True)):
        model = changed("quillmere", edits).model()
        state = opened(holding(model, fuel_tank=550, finisher=1), *way)
        state = replace(state, positions={**state.positions, "v11": "closed"})
        assert ("fuel_tank", "finisher", "gravity") not in ends(model, state)  # the dip pipe stands empty
        full = replace(state, primed=frozenset({"finisher_out", "p2_in", "p2_out", "to_tower", "from_tower"}))
        assert (("fuel_tank", "finisher", "gravity") in ends(model, full)) is runs_back


def test_a_pump_lifts_gravity_does_not() -> None:
    model = demo("quillmere").model()
    state = opened(holding(model, reactor=200), "v03", "v07")
    assert ends(model, state) == set()
    running = replace(state, running=frozenset({"p1"}), positions={**state.positions, "v05": "closed"})
    assert ends(model, running) == {("reactor", "settler", "p1")}


def test_a_pump_tells_what_it_draws_and_where_it_delivers() -> None:
    model = demo("quillmere").model()
    state = opened(holding(model, reactor=200), "v03", "v06")
    (pump,) = model.hydraulics.pumps(replace(state, running=frozenset({"p1"})))
    assert [way.end for way in pump.sources] == ["reactor.drain"] and not pump.air
    assert {way.end for way in pump.receivers} == {"reactor.top", "dryer.top"}
    dry = opened(holding(model), "v03")
    (pump,) = model.hydraulics.pumps(replace(dry, running=frozenset({"p1"})))
    assert not pump.sources and [way.end for way in pump.air] == ["reactor.drain"]


def test_a_hose_that_hangs_open_spills_and_one_that_seals_does_not() -> None:
    model = demo("larkstead").model()
    assert ends(model, opened(holding(model, tank=100), "v7")) == {("tank", "drain_hose", "gravity")}
    model = demo("quillmere").model()
    state = opened(holding(model, settler=100), "v08")
    state = replace(state, positions={**state.positions, "layer_valve": "GLYCERIN"})
    assert ends(model, state) == {("settler", "glycerin_drum", "gravity")}
    off = replace(state, hoses={**state.hoses, "glycerin_hose": None})
    assert ends(model, off) == set()


def test_a_transfer_ends_at_its_goal_and_at_its_outlet() -> None:
    model = demo("quillmere").model()
    state = opened(holding(model, dryer=180), "v02", "v06")
    state = replace(state, positions={**state.positions, "v05": "closed"}, running=frozenset({"p1"}))
    moved = advance(model, state, 3600.0, Goal("taken", "dryer", "reactor", 0.050))
    assert moved.reached and moved.state.volume_m3("reactor") == pytest.approx(0.050, abs=1e-6)
    assert moved.state.time_s == pytest.approx(75.0, abs=1.0)  # 50 L at 40 L/min
    empty = advance(model, state, 3600.0, Goal("emptied", "dryer", "reactor"))
    heel = model.tank("dryer").heel_m3("suction")
    assert empty.state.volume_m3("dryer") == pytest.approx(heel, abs=2e-6)
    never = advance(model, state, 3600.0, Goal("taken", "dryer", "reactor", 0.300))
    assert not never.reached


def test_levels_that_run_together_stop_where_they_meet() -> None:
    """Reactor and dryer, joined at their bottoms, end at one height."""
    model = demo("quillmere").model()
    state = opened(holding(model, reactor=250), "v03", "v02")
    after = advance(model, state, 6 * 3600.0).state
    one, other = (model.hydraulics.surface_m(after, vessel) for vessel in ("reactor", "dryer"))
    assert one == pytest.approx(other, abs=0.03)


def test_a_vessel_that_overflows_loses_what_no_longer_fits() -> None:
    model = demo("larkstead").model()
    state = opened(holding(model, tank=250), "red_handle")
    after = advance(model, state, 3600.0).state
    assert after.volume_m3("tank") == pytest.approx(model.tank("tank").shape.capacity_m3(), rel=1e-9)
    assert after.away.total_kg > 400.0
    assert after.mass_kg() == pytest.approx(state.mass_kg(), rel=1e-9)
    assert after.away.has("water") and Mix().total_kg == 0.0
