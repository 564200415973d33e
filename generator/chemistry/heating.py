"""Heating, cooling and mixing of tanks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.chemistry.ranges import not_negative, positive, within


@dataclass(frozen=True)
class Stream:
    """An amount of liquid (or steel) with its temperature, for heat capacities and mixing."""

    mass_kg: float
    specific_heat_j_kgk: float
    temperature_c: float


@dataclass(frozen=True)
class Reaches:
    """The target is reached after ``time_s``; ``loss_w`` is the heat lost to the room at the target."""

    time_s: float
    loss_w: float


@dataclass(frozen=True)
class NeverReaches:
    """The target is out of reach; the temperature creeps towards ``limit_c`` and stays there."""

    limit_c: float


def heat_capacity_j_k(streams: Sequence[Stream]) -> float:
    """Heat capacity of a tank's contents (add the steel as a stream of its own).

    Equation: C = sum(m cp).
    Args:
        streams: the contents [kg, J/kgK, °C, in the field names].
    Returns: heat capacity [J/K].
    Source: derived; sum over the parts.
    """
    for stream in streams:
        not_negative(mass_kg=stream.mass_kg)
        positive(specific_heat_j_kgk=stream.specific_heat_j_kgk)
    return math.fsum(s.mass_kg * s.specific_heat_j_kgk for s in streams)


def mixed_temperature_c(streams: Sequence[Stream]) -> float:
    """Temperature after mixing without loss or heat of reaction.

    Equation: T = sum(m cp T) / sum(m cp).
    Args:
        streams: what is mixed, at least one with mass above 0 [kg, J/kgK, °C, in the field names].
    Returns: temperature of the mix [°C]. The reaction's own heat is mild, 0 to +8 K, from memory.
    Source: derived; heat balance.
    """
    capacity = heat_capacity_j_k(streams)
    positive(heat_capacity_j_k=capacity)
    return math.fsum(s.mass_kg * s.specific_heat_j_kgk * s.temperature_c for s in streams) / capacity


def heat_loss_w(loss_w_m2k: float, area_m2: float, temperature_c: float, ambient_c: float) -> float:
    """Heat a warm tank loses to its surroundings.

    Equation: Q = U A (T - Ta).
    Args:
        loss_w_m2k: loss coefficient of the shell [W/m2K], 0 to 50.
        area_m2: shell area, wetted and dry [m2], 0 or more.
        temperature_c: temperature of the contents [°C], -40 to 200.
        ambient_c: temperature of the surroundings [°C], -40 to 60.
    Returns: loss, negative where the tank is colder than its surroundings [W].
    Source: published; form of Engineering ToolBox, Oil Filled Tanks - Heat Loss.
    """
    within("loss_w_m2k", loss_w_m2k, 0.0, 50.0)
    not_negative(area_m2=area_m2)
    within("temperature_c", temperature_c, -40.0, 200.0)
    within("ambient_c", ambient_c, -40.0, 60.0)
    return loss_w_m2k * area_m2 * (temperature_c - ambient_c)


def heating_time(
    capacity_j_k: float, power_w: float, loss_w_k: float, ambient_c: float, start_c: float, target_c: float
) -> Reaches | NeverReaches:
    """Time to heat a well-mixed tank with constant power and loss to the room.

    Equation: t = (C / UA) ln[(P - UA (T1 - Ta)) / (P - UA (T2 - Ta))]; with no loss t = C (T2 - T1) / P;
    where P <= UA (T2 - Ta) the target is never reached and the limit is Ta + P / UA.
    Args:
        capacity_j_k: heat capacity of contents and steel [J/K], above 0.
        power_w: heat put in [W], 0 or more.
        loss_w_k: loss coefficient times area, UA [W/K], 0 or more.
        ambient_c: temperature of the surroundings [°C], -40 to 60.
        start_c: temperature at the start [°C], -40 to 200.
        target_c: temperature wanted [°C], start_c to 200.
    Returns: time and loss at the target [s and W], or the limit where it is never reached [°C].
    Source: derived; C dT/dt = P - UA (T - Ta).
    """
    positive(capacity_j_k=capacity_j_k)
    not_negative(power_w=power_w, loss_w_k=loss_w_k)
    within("ambient_c", ambient_c, -40.0, 60.0)
    within("start_c", start_c, -40.0, 200.0)
    within("target_c", target_c, start_c, 200.0)
    loss = loss_w_k * (target_c - ambient_c)
    if target_c == start_c:
        return Reaches(0.0, loss)
    if power_w <= loss:
        return NeverReaches(start_c if loss_w_k == 0.0 else ambient_c + power_w / loss_w_k)
    # log1p keeps the small-loss end exact: the ratio differs from 1 by UA (T2 - T1) / (P - loss).
    relative = loss_w_k * (target_c - start_c) / (power_w - loss)
    if relative < 1e-12:
        return Reaches(capacity_j_k * (target_c - start_c) / power_w, loss)
    return Reaches(capacity_j_k / loss_w_k * math.log1p(relative), loss)


def cooling_time(
    capacity_j_k: float, loss_w_k: float, ambient_c: float, start_c: float, target_c: float
) -> Reaches | NeverReaches:
    """Time for a tank left to itself to cool to a temperature.

    Equation: t = (C / UA) ln[(T1 - Ta) / (T2 - Ta)]; at or below the room's temperature it is never reached.
    Args:
        capacity_j_k: heat capacity of contents and steel [J/K], above 0.
        loss_w_k: loss coefficient times area, UA [W/K], above 0.
        ambient_c: temperature of the surroundings [°C], -40 to 60.
        start_c: temperature at the start [°C], ambient_c to 200.
        target_c: temperature waited for [°C], -40 to start_c.
    Returns: time and loss at the target [s and W], or the limit where it is never reached [°C].
    Source: derived; C dT/dt = -UA (T - Ta).
    """
    positive(capacity_j_k=capacity_j_k, loss_w_k=loss_w_k)
    within("ambient_c", ambient_c, -40.0, 60.0)
    within("start_c", start_c, ambient_c, 200.0)
    within("target_c", target_c, -40.0, start_c)
    if target_c == start_c:
        return Reaches(0.0, loss_w_k * (target_c - ambient_c))
    if target_c <= ambient_c:
        return NeverReaches(ambient_c)
    ratio = (start_c - ambient_c) / (target_c - ambient_c)
    return Reaches(capacity_j_k / loss_w_k * math.log(ratio), loss_w_k * (target_c - ambient_c))


def temperature_after_c(
    capacity_j_k: float, power_w: float, loss_w_k: float, ambient_c: float, start_c: float, time_s: float
) -> float:
    """Temperature of a tank after a time, heated (power above 0) or left to cool (power 0).

    Equation: T = Te + (T1 - Te) exp(-UA t / C), Te = Ta + P / UA; with no loss T = T1 + P t / C.
    Args:
        capacity_j_k: heat capacity of contents and steel [J/K], above 0.
        power_w: heat put in [W], 0 or more.
        loss_w_k: loss coefficient times area, UA [W/K], 0 or more.
        ambient_c: temperature of the surroundings [°C], -40 to 60.
        start_c: temperature at the start [°C], -40 to 200.
        time_s: time [s], 0 or more.
    Returns: temperature [°C].
    Source: derived; C dT/dt = P - UA (T - Ta).
    """
    positive(capacity_j_k=capacity_j_k)
    not_negative(power_w=power_w, loss_w_k=loss_w_k, time_s=time_s)
    within("ambient_c", ambient_c, -40.0, 60.0)
    within("start_c", start_c, -40.0, 200.0)
    if loss_w_k * time_s < 1e-12 * capacity_j_k:
        return start_c + power_w * time_s / capacity_j_k
    end = ambient_c + power_w / loss_w_k
    return end + (start_c - end) * math.exp(-loss_w_k * time_s / capacity_j_k)
