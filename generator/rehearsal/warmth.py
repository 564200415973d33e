"""Temperatures over a stretch of time: heaters on their thermostats, heat lost to the air, what boils off."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from generator.chemistry.heating import NeverReaches, Reaches, cooling_time, heating_time, temperature_after_c
from generator.figures.tanks import heater_power_w
from generator.rehearsal.liquids import NO_HEAT_J_K
from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.state import Contents, State

#: Hot liquid sprayed back dries to this share of water, kg/kg, above this temperature, °C (from memory).
DRIED_WATER: Final = 0.0005
DRIES_FROM_C: Final = 45.0


def power_w(model: Model, state: State, vessel: str) -> float:
    """Heat that a vessel's elements put in when they are on, W."""
    heaters = model.tank(vessel).vessel.heaters
    return sum(heater_power_w(part) for key, part in heaters.items() if f"{vessel}.{key}" in state.on)


def set_point_c(state: State, vessel: str) -> float:
    """Where the thermostats of a vessel's burning elements cut out, °C; none set is no limit."""
    on = [heater for heater in state.on if heater.partition(".")[0] == vessel]
    return max((state.set_points.get(heater, 400.0) for heater in on), default=400.0)


def time_to_reach(model: Model, state: State, vessel: str, target_c: float) -> Reaches | NeverReaches:
    """Time until a vessel has warmed or cooled to a temperature, as it stands."""
    contents = state.contents[vessel]
    capacity = max(contents.mix.heat_capacity_j_k(contents.temperature_c), 1.0)
    loss, now_c = model.loss_w_k(vessel), contents.temperature_c
    if target_c >= now_c:
        power = power_w(model, state, vessel)
        if power <= 0.0 and target_c > now_c + 0.5:
            return NeverReaches(now_c)
        if power <= 0.0:
            return Reaches(0.0, 0.0)
        return heating_time(capacity, power, loss, model.ambient_c, now_c, target_c)
    return cooling_time(capacity, loss, model.ambient_c, now_c, target_c)


def warmed(model: Model, state: State, time_s: float) -> State:
    """All temperatures after a time, the heaters as they are."""
    changed = {}
    for vessel, contents in state.contents.items():
        new_c = _after(model, state, vessel, contents, time_s)
        if new_c != contents.temperature_c:
            changed[vessel] = Contents(contents.layers, new_c)
    return replace(state, contents={**state.contents, **changed})


def _after(model: Model, state: State, vessel: str, contents: Contents, time_s: float) -> float:
    capacity = contents.mix.heat_capacity_j_k(contents.temperature_c)
    if capacity <= NO_HEAT_J_K:
        return model.ambient_c
    power, start_c = power_w(model, state, vessel), contents.temperature_c
    if power == 0.0 and start_c == model.ambient_c:
        return start_c
    after_c = temperature_after_c(capacity, power, model.loss_w_k(vessel), model.ambient_c, start_c, time_s)
    # A thermostat holds where it cuts out; what was hotter only cools.
    return min(after_c, max(start_c, set_point_c(state, vessel))) if power else after_c


def boiled(model: Model, state: State, vessel: str, time_s: float, circulates: bool) -> State:
    """What a hot vessel has given off in a time: methanol where it boils, water sprayed through air."""
    contents = state.contents[vessel]
    mix = contents.mix
    gone = Mix()
    if contents.temperature_c > boils_c(model, state, vessel) and mix["methanol"] > 0.0:
        left = _methanol_left(model, state, time_s)
        keeps = left / (1.0 - left) * (mix.total_kg - mix["methanol"])
        gone += Mix.of(methanol=max(0.0, mix["methanol"] - keeps))
    if circulates and contents.temperature_c > DRIES_FROM_C and time_s >= 3600.0:
        gone += Mix.of(water=max(0.0, mix["water"] - DRIED_WATER * mix.total_kg))
    if gone.total_kg == 0.0:
        return state
    changed = {vessel: Contents((mix - gone,), contents.temperature_c)}
    caught = _condensed_into(model, state, vessel)
    if caught is None:
        return replace(state, contents={**state.contents, **changed}, away=state.away + gone)
    methanol = Mix.of(methanol=gone["methanol"])
    there = state.contents[caught]
    changed[caught] = Contents((there.mix + methanol,), model.ambient_c)
    away = state.away + gone - methanol
    return replace(state, contents={**state.contents, **changed}, away=away)


def boils_c(model: Model, state: State, vessel: str) -> float:
    """Where methanol boils in a vessel, °C: lower behind a condenser that a vacuum pump draws on."""
    behind = model.tank(vessel).vessel.vent.to == "condenser" and {"vacuum", "air_shut"} <= state.flowing
    return model.value("condensing_below", model.boiling_c) if behind else model.boiling_c


def _condensed_into(model: Model, state: State, vessel: str) -> str | None:
    """The vessel that gets the condensate; None where nothing condenses."""
    vent = model.tank(vessel).vessel.vent
    if vent.to != "condenser" or vent.condenser is None or "cooling" not in state.flowing:
        return None
    return str(model.plant.profile.condensers[vent.condenser].drains_to)


def _methanol_left(model: Model, state: State, time_s: float) -> float:
    """Share of methanol that heat, and nitrogen for its time, leave in ester."""
    by_heat = model.value("strip_left_by_heat", model.value("plain_boiling_left", 0.012))
    swept = model.value("strip_left", by_heat)
    if "nitrogen" not in state.flowing:
        return by_heat
    done = min(1.0, time_s / max(model.value("sweep_time", time_s), 1.0))
    return float(by_heat * (swept / by_heat) ** done)
