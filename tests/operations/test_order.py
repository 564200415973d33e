"""The order of steps, replayed action by action with nothing but the steps themselves.

The rules are those of safe practice for pumps and valves (pump off before a valve moves, receiver's end
first, pump stopped first when securing; common practice, no source) and of heat beside methanol (heaters
locked off before methanol is opened; derived from its boiling point and vapour pressure).
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.figures.record import FigureBook
from generator.operations.expand import Expanded
from generator.operations.steps import Procedure, Step
from generator.plant.plant import Plant

Demo = tuple[Plant, FigureBook, Expanded]

MOVES = ("open_valve", "close_valve", "turn_valve", "reopen_valve")
LETS_IN = ("let_in", "let_in_watch")


# These leave the reactor's circulation running for React, which begins with it.
HANDS_OVER = ("restart", "conversion-failed")


def _runs(demo: Demo) -> list[list[Procedure]]:
    """What is done one after the other: the batch; each other procedure, with what it hands over to."""
    procedures = demo[2].procedures
    react = next(p for p in procedures if p.id == "react")
    others = [p for p in procedures if p.group == "wrong"]
    batch = [p for p in procedures if p.group != "wrong"]
    return [batch, *([p, react] if p.id in HANDS_OVER else [p] for p in others)]


def _steps(demo: Demo) -> Iterator[tuple[Procedure, Step]]:
    for procedure in demo[2].procedures:
        for step in procedure.steps:
            yield procedure, step


def _steps_of(run: list[Procedure]) -> Iterator[tuple[Procedure, Step]]:
    for procedure in run:
        for step in procedure.steps:
            yield procedure, step


def _injects(procedure: Procedure) -> bool:
    return any(step.action in LETS_IN for step in procedure.steps)


def test_every_line_up_asked_for_exists(demo: Demo) -> None:
    assert demo[2].problems == ()
    assert len(demo[2].line_ups) >= 7


def test_no_valve_of_the_running_route_moves_while_its_pump_runs(demo: Demo) -> None:
    """Injection is the exception that is meant: the can's own valves move under running circulation."""
    for run in _runs(demo):
        running: set[str] = set()
        letting_in = False
        for procedure, step in _steps_of(run):
            if step.action in ("start_pump", "start_circulation", "work_pump"):
                running.add(step.data["pump"])
                letting_in = step.action == "start_circulation" and _injects(procedure)
            elif step.action in ("stop_pump", "stop_hand_pump"):
                running.discard(step.data["pump"])
            elif step.action in MOVES and running and not (letting_in or _injects(procedure)):
                raise AssertionError(f"{step.number}: {step.text} while {running} runs")
        assert not running


def test_every_batch_step_sequence_ends_with_valves_in_their_normal_positions(demo: Demo) -> None:
    """Replayed from the normal positions over all procedures; what a circulation opens, its end closes."""
    plant = demo[0]
    normal = {v: part.normal for v, part in plant.profile.valves.items() if part.kind != "check"}
    for run in _runs(demo):
        positions = dict(normal)
        for _, step in _steps_of(run):
            if step.action in ("open_valve", "reopen_valve", "let_in"):
                positions[step.valves[0]] = "open"
            elif step.action == "close_valve":
                positions[step.valves[0]] = "closed"
            elif step.action == "turn_valve":
                positions[step.valves[0]] = step.data["position"]
        assert positions == normal, run[0].id


def test_a_check_of_a_valve_finds_it_as_it_is_to_be(demo: Demo) -> None:
    plant = demo[0]
    for run in _runs(demo):
        positions = {v: part.normal for v, part in plant.profile.valves.items()}
        for _, step in _steps_of(run):
            if step.action in ("open_valve", "reopen_valve", "let_in"):
                positions[step.valves[0]] = "open"
            elif step.action in ("close_valve", "turn_valve"):
                positions[step.valves[0]] = step.data.get("position", "closed")
            elif step.action in ("check_closed", "check_guards"):
                wrong = [v for v in step.valves if positions[v] != "closed"]
                assert not wrong, f"{step.number}: {wrong}"
            elif step.action in ("check_open", "check_all_open"):
                wrong = [v for v in step.valves if positions[v] != "open"]
                assert not wrong, f"{step.number}: {wrong}"
            elif step.action == "check_turned":
                assert positions[step.valves[0]] == step.data["position"], step.number


def test_valves_open_from_the_receiver_and_close_from_the_source(demo: Demo) -> None:
    for found in demo[2].line_ups.values():
        steps = [
            s for _, s in _steps(demo) if s.line_up == found.id and s.action in ("open_valve", "close_valve")
        ]
        opened = [s.valves[0] for s in steps if s.action == "open_valve"]
        closed = [s.valves[0] for s in steps if s.action == "close_valve"]
        valves = demo[0].profile.valves
        moved = [v for v in found.open if valves[v].normal == "closed"]
        if len(found.streams) == 1 and moved:
            assert opened[: len(moved)] == moved
            closed = [v for v in closed if v in moved]
            assert closed[: len(moved)] == moved[::-1]


def test_heaters_are_locked_off_when_methanol_or_methoxide_moves(demo: Demo) -> None:
    plant = demo[0]
    heaters = {f"{v}.{h}" for v, vessel in plant.profile.vessels.items() for h in vessel.heaters}
    locked: set[str] = set()
    near = {plant.the(role).id for role in ("methanol", "methoxide")}
    for procedure, step in _steps(demo):
        heater = step.data.get("heater")
        if step.action == "lock_heater":
            locked.add(heater)
        elif step.action == "unlock_heater":
            locked.discard(heater)
        elif step.action == "work_pump":
            assert locked == heaters, step.number
        elif step.action in LETS_IN:
            react = plant.the("react").id
            assert {h for h in heaters if h.startswith(f"{react}.")} <= locked, step.number
        if procedure.phase == "normal" and near & set(step.equipment) and step.action == "watch_until":
            assert locked == heaters, step.number


def test_a_receiver_is_cool_and_locked_before_liquid_with_methanol_enters(demo: Demo) -> None:
    """Nothing with methanol is pumped into a vessel whose own heater is not locked off."""
    plant, _, made = demo
    holds_methanol = {plant.the(r).id for r in ("react", "settle")}
    locked: set[str] = set()
    for _, step in _steps(demo):
        if step.action == "lock_heater":
            locked.add(step.data["heater"])
        elif step.action == "unlock_heater":
            locked.discard(step.data["heater"])
        elif step.action == "watch_until" and step.line_up:
            stream = made.line_ups[step.line_up].streams[0]
            if stream.source in holds_methanol:
                heaters = plant.profile.vessels[stream.destination].heaters
                assert {f"{stream.destination}.{h}" for h in heaters} <= locked, step.number


def test_free_water_is_drained_before_heat_and_the_charged_oil_is_titrated(demo: Demo) -> None:
    order = [p.id for p in demo[2].procedures]
    assert (
        order.index("charge-oil") < order.index("dry-oil") < order.index("titrate") < order.index("methoxide")
    )
    dry = next(p for p in demo[2].procedures if p.id == "dry-oil")
    numbers = {step.action: index for index, step in reversed(list(enumerate(dry.steps)))}
    drained = next(i for i, s in enumerate(dry.steps) if s.blank and "water drained" in s.blank)
    assert drained < numbers["switch_on"]


def test_a_heater_goes_on_only_after_cover_limit_and_hold(demo: Demo) -> None:
    for procedure in demo[2].procedures:
        seen: list[str] = []
        for step in procedure.steps:
            seen.append(step.action)
            if step.action == "switch_on":
                last = seen[-7:]
                for needed in ("cover", "high_limit", "thermostat", "hold_heat", "unlock_heater"):
                    assert needed in last, f"{step.number}: no {needed}"


def test_restart_mixes_cold_and_never_heats_first(demo: Demo) -> None:
    restart = next(p for p in demo[2].procedures if p.phase == "restart")
    actions = [step.action for step in restart.steps]
    assert "switch_on" not in actions and "unlock_heater" not in actions
    assert actions.index("lock_heater") < actions.index("start_circulation")


def test_emergency_stop_touches_neither_fan_nor_vents(demo: Demo) -> None:
    plant = demo[0]
    assert all(cut.partition(".")[0] != "fan" for cut in plant.profile.safety.emergency_stop.cuts)
    stop = next(p for p in demo[2].procedures if p.id == "emergency-stop")
    texts = " ".join(step.text for step in stop.steps).lower()
    assert "every vent as" in texts
