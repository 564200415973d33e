"""What must hold after every step, and at the end of every procedure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.operations.steps import Procedure, Step
from generator.rehearsal.acts import off_normal
from generator.rehearsal.flows import Flow
from generator.rehearsal.meeting import ROUNDING_K, holds_methanol, is_methoxide
from generator.rehearsal.model import Model
from generator.rehearsal.state import State
from generator.rehearsal.violation import Fault

#: All mass is accounted for to this, kg for each kg handled.
MASS_CLOSES: Final = 1e-9
#: Volumes of the model and of the figures agree to this: densities found by another road, each vessel as warm
#: as it is. A fill limit leaves five times as much free (derived from the demonstration rigs).
VOLUMES_AGREE: Final = 0.02
MOVES: Final = ("open_valve", "open_first", "open_flow", "reopen_valve", "close_valve", "turn_valve")
LETS_OUT: Final = ("watch_until", "let_in_watch")


def after_step(model: Model, before: State, state: State, step: Step) -> Iterator[Fault]:
    """Everything that is wrong with a state after a step."""
    flows = model.hydraulics.flows(state)
    yield from _levels(model, state)
    yield from _heat(model, state, flows)
    yield from _too_hot(model, state, flows)
    yield from _astray(state, flows)
    yield from _pumps(model, state)
    yield from _moved(model, before, step, flows)
    yield from _ventilation(before, state, step)
    if abs(state.mass_kg() - before.mass_kg()) > MASS_CLOSES * max(1.0, state.brought.total_kg):
        yield Fault("mass", (), state.mass_kg(), before.mass_kg(), "mass")


def before_methanol(
    model: Model, state: State, step: Step, locked_here: frozenset[str]
) -> Iterator[Fault]:
    """Whether heat is locked off and the fan runs when lye, acid or methoxide is handled.

    ``locked_here`` are heaters that this procedure has locked: what one before it did is not relied on.
    """
    acts = step.data.get("acts", {})
    if step.action != "let_in" and not ("pours_kg" in acts and acts["of"] in ("lye", "acid")):
        return
    unsure = set(model.heaters()) - locked_here
    if unsure:
        yield Fault("not-locked", tuple(sorted(unsure)))
    if model.plant.profile.safety.fan and "fan" not in state.flowing:
        yield Fault("no-fan", ("fan",))


def _levels(model: Model, state: State) -> Iterator[Fault]:
    for vessel, contents in state.contents.items():
        limit = model.limits_m3[vessel]
        if contents.volume_m3 > limit * (1.0 + VOLUMES_AGREE):
            yield Fault("fill", (vessel,), contents.volume_m3, limit, "volume")


def _heat(model: Model, state: State, flows: tuple[Flow, ...]) -> Iterator[Fault]:
    for heater in sorted(state.on):
        vessel = heater.partition(".")[0]
        least = model.value(f"{vessel}.cover_volume", 0.0)
        if state.volume_m3(vessel) < least:
            yield Fault("uncovered", (heater, vessel), state.volume_m3(vessel), least, "volume")
    if state.on and any(_is_methoxide(state, flow) for flow in flows):
        yield Fault("heat-with-methoxide", tuple(sorted(state.on)))
    for vessel, contents in state.contents.items():
        if contents.temperature_c > model.ceiling_c + ROUNDING_K and has_ceiling(model, state, vessel):
            yield Fault("ceiling", (vessel,), contents.temperature_c, model.ceiling_c, "temperature")


def _too_hot(model: Model, state: State, flows: tuple[Flow, ...]) -> Iterator[Fault]:
    """What is hotter than a vessel, a pump or a tower on its way is made for."""
    profile = model.plant.profile
    for vessel, contents in state.contents.items():
        most = model.tank(vessel).vessel.max_temperature_c
        if most is not None and contents.temperature_c > most + ROUNDING_K:
            yield Fault("too-hot", (vessel,), contents.temperature_c, most, "temperature")
    for flow in flows:
        if flow.source not in state.contents:
            continue
        parts = {part: profile.inline[part].max_temperature_c for part in flow.inline}
        if flow.driver in profile.pumps:
            parts[flow.driver] = profile.pumps[flow.driver].max_temperature_c
        warm_c = state.contents[flow.source].temperature_c
        for part, most in parts.items():
            if most is not None and warm_c > most + ROUNDING_K:
                yield Fault("too-hot", (part,), warm_c, most, "temperature")


def _is_methoxide(state: State, flow: Flow) -> bool:
    source = state.contents.get(flow.source)
    return source is not None and flow.source != flow.destination and is_methoxide(source.mix)


def has_ceiling(model: Model, state: State, vessel: str) -> bool:
    """Whether a vessel holds methanol that is not meant to boil off into a condenser."""
    described = model.tank(vessel).vessel
    return holds_methanol(state.contents[vessel].mix) and not (
        described.vent.to == "condenser" and "strip" in described.roles and "cooling" in state.flowing
    )


def _astray(state: State, flows: tuple[Flow, ...]) -> Iterator[Fault]:
    promised = state.wets or frozenset[str]()
    for flow in flows:
        for part in (flow.source, flow.destination):
            if part in promised or part in state.let_out:
                continue
            yield Fault("spill" if part not in state.contents else "astray", (part, flow.source))


def _pumps(model: Model, state: State) -> Iterator[Fault]:
    for pump in model.hydraulics.pumps(state):
        air = [way.end for way in pump.air if way.end.partition(".")[0] not in state.done]
        if air or (not pump.sources and not state.done):
            yield Fault("pump-dry", (pump.pump, *(end.partition(".")[0] for end in air)))
        if not pump.receivers:
            yield Fault("dead-head", (pump.pump,))
        ends = {way.end.partition(".")[0] for way in pump.receivers}
        if len(ends) > 1:
            yield Fault("two-paths", (pump.pump, *sorted(ends)))


def _moved(model: Model, before: State, step: Step, flows: tuple[Flow, ...]) -> Iterator[Fault]:
    """A valve on a running pump's way moves only where methoxide is let in, which is meant."""
    if step.action not in MOVES or step.operation == "inject" or not before.running:
        return
    both = (*flows, *model.hydraulics.flows(before))
    wet = {line for flow in both if flow.driver in before.running for line in flow.lines}
    for valve in step.valves:
        if any(valve in model.hydraulics.piping.valves_of(line) for line in wet):
            yield Fault("moved-running", (valve,))


def _ventilation(before: State, state: State, step: Step) -> Iterator[Fault]:
    gone = (before.flowing - state.flowing) & {"fan", "cooling"}
    if gone and step.operation == "scene":
        yield Fault("ventilation", tuple(sorted(gone)))


def after_procedure(
    model: Model, state: State, procedure: Procedure, beside: State | None = None
) -> Iterator[Fault]:
    """Whether the next procedure can begin: nothing runs, heats, flows or stands off its normal position.

    ``procedure.leaves`` names circulations that are handed on. ``beside`` is what another batch, held at one
    of its steps meanwhile, has running.
    """
    running = state.running - (beside.running if beside else frozenset())
    on = state.on if procedure.phase == "emergency_shutdown" else set(model.heaters()) - state.locked
    on = on - (beside.on if beside else frozenset())
    if on:
        yield Fault("end-heater", tuple(sorted(on)))
    flows = model.hydraulics.flows(state)
    if "air_shut" in state.flowing:
        yield Fault("vent-shut")
    if procedure.leaves:
        handed = {f.driver for f in flows if f.source == f.destination and f.source in procedure.leaves}
        if running - handed or not running & handed:
            yield Fault("end-circulation", (*procedure.leaves, *sorted(running - handed)))
        return
    if "vacuum" in state.flowing - (beside.flowing if beside else frozenset()):
        running |= {id_ for id_, part in model.plant.profile.condensers.items() if part.vacuum}
    if running:
        yield Fault("end-pump", tuple(sorted(running)))
    if beside is not None:
        return
    for flow in flows:
        yield Fault("runs-on", (flow.source, flow.destination))
    off = off_normal(model, state)
    if off and procedure.phase != "emergency_shutdown":
        yield Fault("end-valves", off)
