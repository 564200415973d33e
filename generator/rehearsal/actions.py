"""What each kind of step does to the model. Whoever reads, checks or writes changes nothing, but may find."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, Final

from generator.chemistry.heating import NeverReaches
from generator.operations.steps import Step
from generator.rehearsal.acts import acted
from generator.rehearsal.liquids import added
from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.motion import Goal, advance, snapshot
from generator.rehearsal.state import Contents, State
from generator.rehearsal.supply import can_be_emptied, stocked
from generator.rehearsal.violation import Fault
from generator.rehearsal.warmth import time_to_reach

Faults = tuple[Fault, ...]
Done = tuple[State, Faults]
Action = Callable[[Model, State, Step], Done]

#: Longest that a person watches a transfer, s; if it is not over then, it never will be.
LONGEST_WATCH_S: Final = 24 * 3600.0
#: Model and printed number are the same if they differ by less than this: printed volumes are rounded.
ROUNDED: Final = 0.02
#: Oil or ester that may go out with glycerin or water, share of what is there (common practice, no source).
LOST_FAT: Final = 0.05
WASTE_ROLES: Final = {"glycerin", "waste_water", "acid_waste"}
#: Glycerol that goes on with the ester when the drain was left out, kg/kg: far above what stays dissolved.
CARRIED_GLYCEROL: Final = 0.01
#: Oil that may be left in what goes on as ester, as multiple of what the figures leave (from memory).
UNREACTED: Final = 2.5
#: Water in fuel that lies free in it, kg/kg: far above what dissolves (from memory).
FREE_WATER: Final = 0.01
#: Methanol that may be left in the fuel, as multiple of what the figures leave (from memory).
METHANOL_LEFT: Final = 3.0
#: Less than this a second dose after a failed test may leave, kg/kg; its tests decide then (derived).
METHANOL_MUCH: Final = 0.01
CLEAN_ROLES: Final = {"strip", "wash", "fuel"}
CRUDE_ROLES: Final = {"react", "settle"}


def _nothing(model: Model, state: State, step: Step) -> Done:
    return state, ()


def _set_valve(to: str | None) -> Action:
    def act(model: Model, state: State, step: Step) -> Done:
        (valve,) = step.valves
        position = to or step.data["position"]
        kept = state.kept - {valve}
        if step.data.get("stays"):
            kept |= {valve}
        return replace(state, positions={**state.positions, valve: position}, kept=kept), ()

    return act


def _let_in(model: Model, state: State, step: Step) -> Done:
    state, _ = _set_valve("open")(model, state, step)
    return replace(state, throttled=state.throttled | set(step.valves)), ()


def _let_in_watch(model: Model, state: State, step: Step) -> Done:
    return _watched(model, state, Goal("emptied", step.data["can"], step.data["vessel"]))


def _finds(wanted: str) -> Action:
    def act(model: Model, state: State, step: Step) -> Done:
        position = step.data.get("position", wanted)
        wrong = tuple(valve for valve in step.valves if state.positions[valve] != position)
        return state, (Fault("check", wrong),) if wrong else ()

    return act


def _pump_off(model: Model, state: State, step: Step) -> Done:
    pump = step.data["pump"]
    return state, (Fault("pump-busy", (pump,)),) if pump in state.running else ()


def _pump_runs(model: Model, state: State, step: Step) -> Done:
    pump = step.data["pump"]
    return state, () if pump in state.running else (Fault("check", (pump,)),)


def _start(model: Model, state: State, step: Step) -> Done:
    pump = step.data["pump"]
    if state.stopped and model.plant.profile.pumps[pump].kind != "hand":
        return state, (Fault("stop-pressed", (pump,)),)
    return replace(state, running=state.running | {pump}), ()


def _stop(model: Model, state: State, step: Step) -> Done:
    return replace(state, running=state.running - {step.data["pump"]}), ()


def _connect(model: Model, state: State, step: Step) -> Done:
    hose = step.data["hose"]
    there = state.hoses[hose]
    wrong: Faults = (Fault("hose-taken", (hose,)),) if there not in (None, step.data["port"]) else ()
    return replace(state, hoses={**state.hoses, hose: step.data["port"]}), wrong


def _disconnect(model: Model, state: State, step: Step) -> Done:
    hose = step.data["hose"]
    primed = state.primed - {hose}
    wrong: Faults = (Fault("check", (hose,)),) if state.hoses[hose] is None else ()
    return replace(state, hoses={**state.hoses, hose: None}, primed=primed), wrong


def _park(model: Model, state: State, step: Step) -> Done:
    hose = step.data["hose"]
    return replace(state, hoses={**state.hoses, hose: model.plant.profile.hoses[hose].normal}), ()


def _check_hose(model: Model, state: State, step: Step) -> Done:
    hose = step.data["hose"]
    return state, () if state.hoses[hose] == step.data["port"] else (Fault("check", (hose,)),)


def _lock(model: Model, state: State, step: Step) -> Done:
    heater = step.data["heater"]
    taken_away: Faults = (Fault("other-batch", (heater,)),) if heater in state.on & state.others else ()
    return replace(state, on=state.on - {heater}, locked=state.locked | {heater}), taken_away


def _unlock(model: Model, state: State, step: Step) -> Done:
    return replace(state, locked=state.locked - {step.data["heater"]}), ()


def _switch_off(model: Model, state: State, step: Step) -> Done:
    return replace(state, on=state.on - {step.data["heater"]}), ()


def _switch_on(model: Model, state: State, step: Step) -> Done:
    heater = step.data["heater"]
    if heater in state.locked:
        return state, (Fault("locked", (heater,)),)
    if state.stopped:
        return state, (Fault("stop-pressed", (heater,)),)
    return replace(state, on=state.on | {heater}), ()


def _thermostat(model: Model, state: State, step: Step) -> Done:
    points = {**state.set_points, step.data["heater"]: step.data["set_point_c"]}
    return replace(state, set_points=points), ()


def _cover(model: Model, state: State, step: Step) -> Done:
    heaters = step.data.get("heaters") or [step.data["heater"]]
    vessel = heaters[0].partition(".")[0]
    least = model.value(f"{vessel}.cover_volume", 0.0)
    volume = state.volume_m3(vessel)
    if volume >= least * (1.0 - 1e-9):
        return state, ()
    return state, (Fault("uncovered", (*heaters, vessel), volume, least, "volume"),)


def _prove_fill(model: Model, state: State, step: Step) -> Done:
    vessel = step.data["vessel"]
    oil = model.oil(model.value(f"{vessel}.cover_volume", 0.0))
    new = added(state.contents[vessel], oil, model.ambient_c, model.nature)
    return replace(state, contents={**state.contents, vessel: new}, brought=state.brought + oil), ()


def _can_under_hose(model: Model, state: State, step: Step) -> Done:
    """What stands in the pipes may run out of this hose, and no vessel's liquid with it."""
    return replace(state, let_out=state.let_out | {step.data["hose"]}, wets=state.others), ()


def _can_away(model: Model, state: State, step: Step) -> Done:
    return replace(state, let_out=state.let_out - {step.data["hose"]}), ()


def _room(model: Model, state: State, step: Step) -> Done:
    """Room for what is to come; a drum for what goes away is changed for an empty one, as the step says."""
    vessel, wanted = step.data["destination"], step.data.get("volume_m3")
    if wanted is None or _has_room(model, state, vessel, wanted):
        return state, ()
    if can_be_emptied(model, vessel):
        state = stocked(model, state, only=vessel)
        if _has_room(model, state, vessel, wanted):
            return state, ()
    room = max(model.limits_m3[vessel] - state.volume_m3(vessel), 0.0)
    return state, (Fault("room", (vessel,), wanted, room, "volume"),)


def _has_room(model: Model, state: State, vessel: str, wanted_m3: float) -> bool:
    # What is asked for counts as it is measured, cold; the model's own volumes may be hot.
    return model.limits_m3[vessel] - state.volume_m3(vessel) >= wanted_m3 * (1.0 - ROUNDED)


def _heat(model: Model, state: State, step: Step) -> Done:
    vessel, target = step.data["heated"], step.data["set_point_c"]
    answer = time_to_reach(model, state, vessel, target)
    if isinstance(answer, NeverReaches):
        return state, (Fault("never-hot", (vessel,), answer.limit_c, target, "temperature"),)
    moved = advance(model, state, answer.time_s)
    return _at(moved.state, vessel, target, upwards=True), moved.faults


def _cool(model: Model, state: State, step: Step) -> Done:
    return cooled(model, state, step.data["cooled"], step.data["set_point_c"])


def cooled(model: Model, state: State, vessel: str, target_c: float) -> Done:
    """Wait until a vessel is no warmer than that; air that is warmer itself stops it for good."""
    if state.contents[vessel].temperature_c <= target_c:
        return state, ()
    answer = time_to_reach(model, state, vessel, target_c)
    if isinstance(answer, NeverReaches):
        return state, (Fault("never-cool", (vessel,), answer.limit_c, target_c, "temperature"),)
    moved = advance(model, state, answer.time_s)
    return _at(moved.state, vessel, target_c, upwards=False), moved.faults


def _at(state: State, vessel: str, target_c: float, upwards: bool) -> State:
    """The vessel exactly at its target, which a computed time meets to rounding only."""
    held = state.contents[vessel]
    now_c = max(held.temperature_c, target_c) if upwards else min(held.temperature_c, target_c)
    return replace(state, contents={**state.contents, vessel: Contents(held.layers, now_c)})


def _watch(model: Model, state: State, step: Step) -> Done:
    given: Mapping[str, Any] = step.data["goal"]
    source, destination = step.data["source"], step.data["destination"]
    volume = given.get("volume_m3") or 0.0
    goal = Goal(given["kind"], source, destination, volume, bool(given.get("or_layer")))
    return _watched(model, state, goal)


def _watched(model: Model, state: State, goal: Goal) -> Done:
    flows = model.hydraulics.flows(state)
    if not any(f.source == goal.source and f.destination == goal.destination for f in flows):
        return state, (Fault("no-flow", (goal.source, goal.destination)),)
    before = state
    moved = advance(model, state, LONGEST_WATCH_S, goal)
    state = replace(moved.state, done=moved.state.done | {goal.source})
    faults = (*moved.faults, *wrong_product(model, before, state, goal))
    if moved.reached:
        return state, faults
    reached = state.volume_m3(goal.destination)
    return state, (*faults, Fault("stalls", (goal.destination,), reached, goal.volume_m3, "volume"))


def wrong_product(model: Model, before: State, state: State, goal: Goal) -> Faults:
    """Oil or ester gone out with what sinks, glycerin gone on with the ester, fuel that is not clean."""
    if goal.destination not in state.contents:
        return ()
    if goal.source not in before.contents:
        return _washed_too_early(model, before.contents[goal.destination], goal.destination)
    roles = set(model.tank(goal.destination).vessel.roles)
    there = state.contents[goal.destination].mix
    gained = there - before.contents[goal.destination].mix
    fat, all_fat = gained["oil"] + gained["ester"], before.contents[goal.source].mix
    most = LOST_FAT * (all_fat["oil"] + all_fat["ester"])
    if roles & WASTE_ROLES and fat > most:
        return (Fault("wrong-layer", (goal.source, goal.destination), fat, most, "mass"),)
    if roles & CLEAN_ROLES and not roles & CRUDE_ROLES and there.part("glycerol") > CARRIED_GLYCEROL:
        part = there.part("glycerol")
        return (Fault("glycerin-carried", (goal.destination,), part, CARRIED_GLYCEROL, "mass_fraction"),)
    most_oil = UNREACTED * (1.0 - model.nature.conversion)
    if roles & CLEAN_ROLES and not roles & CRUDE_ROLES and there.part("oil") > most_oil:
        return (Fault("unreacted", (goal.destination,), there.part("oil"), most_oil, "mass_fraction"),)
    return _unclean(model, there, goal.destination) if "fuel" in roles else ()


def _washed_too_early(model: Model, washed: Contents, vessel: str) -> Faults:
    """Water let in on glycerin that was not drained; what stays below the lowest outlet is the review's."""
    part, tank = washed.mix.part("glycerol"), model.tank(vessel)
    heel_m3 = min((tank.heel_m3(port) for port in tank.vessel.ports), default=0.0)
    below_m3 = Mix.of(glycerol=washed.mix["glycerol"]).volume_m3(washed.temperature_c)
    if part <= CARRIED_GLYCEROL or below_m3 <= heel_m3:
        return ()
    return (Fault("glycerin-carried", (vessel,), part, CARRIED_GLYCEROL, "mass_fraction"),)


def _unclean(model: Model, fuel: Mix, vessel: str) -> Faults:
    """Water that was not drained from the fuel, methanol that was not driven off or washed out."""
    if fuel.part("water") > FREE_WATER:
        return (Fault("water-carried", (vessel,), fuel.part("water"), FREE_WATER, "mass_fraction"),)
    figures = ("washed_methanol", "strip_left", "strip_left_by_heat")
    left = next((figure for figure in figures if figure in model.figures), None)
    if left is None:
        return ()
    most = max(METHANOL_LEFT * model.value(left, 0.0), METHANOL_MUCH)
    if fuel.part("methanol") <= most:
        return ()
    return (Fault("methanol-carried", (vessel,), fuel.part("methanol"), most, "mass_fraction"),)


def _sample(model: Model, state: State, step: Step) -> Done:
    (valve,) = step.valves
    vessel = step.data["vessel"]
    for line in model.plant.profile.lines.values():
        owner, _, port = line.from_.partition(".")
        if owner == vessel and valve in line.valves:
            mouth_m = model.tank(vessel).port_elevation_m(port)
            level_m = model.hydraulics.surface_m(state, vessel)
            if level_m <= mouth_m:
                return state, (Fault("sample-dry", (vessel, valve), level_m, mouth_m, "level"),)
    return state, ()


def _written(model: Model, state: State, step: Step) -> Done:
    """A step in the procedure's own words: what it does stands in its data."""
    acts = step.data.get("acts")
    if not acts:
        return state, ()
    waited: Faults = ()
    if "cools" in acts:
        state, waited = cooled(model, state, acts["cools"], acts["to_c"])
    state, faults = acted(model, state, acts)
    return state, (*waited, *faults)


#: Every action a step may have. One that is not here is a defect, and a test says so.
ACTIONS: Final[Mapping[str, Action]] = {
    **dict.fromkeys(("open_valve", "open_first", "open_flow", "reopen_valve"), _set_valve("open")),
    "close_valve": _set_valve("closed"),
    "turn_valve": _set_valve(None),
    "let_in": _let_in,
    "let_in_watch": _let_in_watch,
    **dict.fromkeys(("check_closed", "check_guards"), _finds("closed")),
    **dict.fromkeys(("check_open", "check_all_open", "check_turned"), _finds("open")),
    "check_pump_off": _pump_off,
    "check_runs": _pump_runs,
    "check_hose": _check_hose,
    **dict.fromkeys(("start_pump", "start_circulation", "work_pump"), _start),
    **dict.fromkeys(("stop_pump", "stop_hand_pump"), _stop),
    "connect_hose": _connect,
    **dict.fromkeys(("disconnect_hose", "disconnect_sealing", "unpark_hose"), _disconnect),
    "park_hose": _park,
    "lock_heater": _lock,
    "unlock_heater": _unlock,
    "switch_on": _switch_on,
    "switch_off": _switch_off,
    "thermostat": _thermostat,
    **dict.fromkeys(("cover", "prove_level"), _cover),
    "prove_fill": _prove_fill,
    "flush_can": _can_under_hose,
    "flush_keep": _can_away,
    "room": _room,
    **dict.fromkeys(("heat_until", "heat_until_reached"), _heat),
    "cool_until": _cool,
    "watch_until": _watch,
    "take_at": _sample,
    **dict.fromkeys(
        ("do", "check", "read", "weigh", "pour", "sample", "wait", "record", "test", "decide", "hold"),
        _written,
    ),
    "emergency": _written,
    # People, papers and things that hold no liquid.
    **dict.fromkeys(
        (
            *("bond", "high_limit", "hold_heat", "dress", "drain_hose", "close_port", "take_open"),
            *("flush_run", "flush_first", "flush_none", "tower_flow"),
        ),
        _nothing,
    ),
}


def taken(model: Model, state: State, step: Step) -> Done:
    """The state after one step, and what the step itself found wrong; KeyError for an unknown action."""
    action = ACTIONS[step.action]
    if step.wets:
        state = replace(state, wets=frozenset(step.wets) | state.others)
    if step.line_up != state.line_up:
        since = snapshot(state) if step.line_up else state.since
        state = replace(state, line_up=step.line_up, since=since)
    return action(model, replace(state, done=frozenset()), step)


def unknown(actions: Iterable[str]) -> list[str]:
    """Actions that the model does not know."""
    return sorted(set(actions) - set(ACTIONS))
