"""What a step written in its own words does: each act of ``generator.operations.acts``, on the model."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from generator.plant.network import normal_state
from generator.rehearsal.liquids import added
from generator.rehearsal.mix import NOTHING_KG, Mix
from generator.rehearsal.model import Model
from generator.rehearsal.motion import advance
from generator.rehearsal.state import Contents, State
from generator.rehearsal.violation import Fault

Acts = Mapping[str, Any]
Done = tuple[State, tuple[Fault, ...]]
#: A vessel with no more than this above its heel is empty, as share of its capacity: what wets its walls.
EMPTY_SHARE: Final = 0.01


def _set(state: State, valves: tuple[str, ...], position: str) -> State:
    return replace(
        state, positions={**state.positions, **dict.fromkeys(valves, position)}, kept=state.kept - set(valves)
    )


def _opens(model: Model, state: State, acts: Acts) -> Done:
    """Spouts opened on purpose: their vessel's liquid, and no other, may run out there."""
    valves, lines = set(acts["opens"]), model.plant.profile.lines
    out = {id_: line for id_, line in lines.items() if valves & set(line.valves)}
    owners = frozenset(line.from_.partition(".")[0] for line in out.values())
    after = _set(state, acts["opens"], "open")
    return replace(after, let_out=state.let_out | out.keys(), wets=owners | state.others), ()


def _closes(model: Model, state: State, acts: Acts) -> Done:
    lines = model.plant.profile.lines
    shut = {id_ for id_, line in lines.items() if set(acts["closes"]) & set(line.valves)}
    after = _set(state, acts["closes"], "closed")
    return replace(after, let_out=state.let_out - shut, kept=after.kept | set(acts["closes"])), ()


def _press(model: Model, state: State, acts: Acts) -> Done:
    """Cuts what the profile says it cuts; what a person works by hand stops with the person."""
    profile = model.plant.profile
    cuts = frozenset(profile.safety.emergency_stop.cuts)
    draws = {f"{id_}.vacuum" for id_, part in profile.condensers.items() if part.vacuum}
    after = replace(
        state,
        on=state.on - cuts,
        running=state.running - cuts - model.hand_pumps,
        flowing=state.flowing - {"vacuum"} if draws <= cuts else state.flowing,
        stopped=True,
    )
    left = tuple(sorted(after.on | after.running))
    return after, (Fault("not-cut", left),) if left else ()


def _release(model: Model, state: State, acts: Acts) -> Done:
    return replace(state, stopped=False), ()


def _stops(model: Model, state: State, acts: Acts) -> Done:
    on = frozenset[str]() if acts["stops"] == "all" else state.on
    return replace(state, running=frozenset(), on=on), ()


def _flows(model: Model, state: State, acts: Acts) -> Done:
    return replace(state, flowing=state.flowing | {acts["flows"]}), ()


def _ends(model: Model, state: State, acts: Acts) -> Done:
    return replace(state, flowing=state.flowing - {acts["ends"]}), ()


def _weighs(model: Model, state: State, acts: Acts) -> Done:
    """What is weighed stands ready in a closed bucket; what was left over from before is put back."""
    what = acts["of"]
    before = Mix.of(**{what: state.hand.get(what, 0.0)})
    hand = {**state.hand, what: acts["weighs_kg"]}
    brought = state.brought + Mix.of(**{what: acts["weighs_kg"]}) - before
    return replace(state, hand=hand, brought=brought), ()


def _pours(model: Model, state: State, acts: Acts) -> Done:
    """A portion of what was weighed, no more than is left; it warms the methanol as computed."""
    what, vessel = acts["of"], acts["into"]
    left = state.hand.get(what, 0.0)
    portion = min(acts["pours_kg"] / acts.get("times", 1.0), left)
    mix, there = Mix.of(**{what: portion}), state.contents[vessel]
    faults = [] if there.mix.has("methanol") or portion <= 0.0 else [Fault("lye-without-methanol", (vessel,))]
    new = added(there, mix, there.temperature_c, model.nature)
    whole = model.value("can_catalyst_usual", model.value("catalyst_usual", 0.0))
    if what == "lye" and whole > 0.0:
        rise = model.value("methoxide_rise", 0.0) * portion / whole
        new = Contents(new.layers, new.temperature_c + rise)
    hand = {**state.hand, what: left - portion}
    return replace(state, contents={**state.contents, vessel: new}, hand=hand), tuple(faults)


def _finds(model: Model, state: State, acts: Acts) -> Done:
    if acts["finds"] == "empty":
        vessel = acts["in"]
        most = model.heel_m3(vessel) + EMPTY_SHARE * model.tank(vessel).capacity_m3
        volume = state.volume_m3(vessel)
        return state, (Fault("not-empty", (vessel,), volume, most, "volume"),) if volume > most else ()
    off = off_normal(model, state)
    return state, (Fault("check", off),) if off else ()


def off_normal(model: Model, state: State) -> tuple[str, ...]:
    """Valves and hoses that do not stand as they do at rest, those left so on purpose aside."""
    positions, hoses = normal_state(model.plant.profile)
    valves = [v for v, normal in positions.items() if state.positions[v] != normal and v not in state.kept]
    loose = [hose for hose, normal in hoses.items() if state.hoses[hose] != normal]
    return (*valves, *loose)


def _puts_right(model: Model, state: State, acts: Acts) -> Done:
    positions, hoses = normal_state(model.plant.profile)
    if acts["puts_right"] == "hoses":
        return replace(state, hoses=hoses), ()
    return replace(state, positions=positions, kept=frozenset()), ()


def _secures(model: Model, state: State, acts: Acts) -> Done:
    """The valve nearest the source of whatever still flows is shut."""
    piping = model.hydraulics.piping
    shut: dict[str, str] = {}
    for flow in model.hydraulics.flows(state):
        for step in piping.network.steps_from(flow.outlet):
            able = [valve for valve in step.valves if valve in state.positions]
            if able and step.passage.id in flow.lines:
                shut[able[0]] = "closed"
    return replace(state, positions={**state.positions, **shut}, kept=state.kept - shut.keys()), ()


def _lasts(model: Model, state: State, acts: Acts) -> Done:
    moved = advance(model, state, acts["time_s"])
    return moved.state, moved.faults


#: In the order in which one step's acts are done. Where to go next is for whoever runs the procedure.
_ACTS: Final[Mapping[str, Callable[[Model, State, Acts], Done]]] = {
    "press": _press,
    "release": _release,
    "stops": _stops,
    "opens": _opens,
    "closes": _closes,
    "puts_right": _puts_right,
    "secures": _secures,
    "flows": _flows,
    "weighs_kg": _weighs,
    "pours_kg": _pours,
    "finds": _finds,
    "time_s": _lasts,
    "ends": _ends,
}
#: Keys of acts that say more about another act, or where to go next.
ASIDE: Final = frozenset(
    {"of", "into", "in", "times", "to_c", "cools"} | {"repeats", "until_poured", "goes_to", "stops_here_if"}
)


def acted(model: Model, state: State, acts: Acts) -> Done:
    """The state after all acts of a step. Raises KeyError for an act that the model does not know."""
    unknown = acts.keys() - _ACTS.keys() - ASIDE
    if unknown:
        raise KeyError(*unknown)
    faults: list[Fault] = []
    for name, act in _ACTS.items():
        if name in acts:
            state, wrong = act(model, state, acts)
            faults += wrong
    return state, tuple(faults)


def is_poured(state: State, what: str) -> bool:
    """Whether all that was weighed of a substance is in."""
    return state.hand.get(what, 0.0) <= NOTHING_KG
