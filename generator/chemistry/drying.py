"""Drying: heat and time to boil water off a warm oil, and what the air's humidity allows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from generator.chemistry.boiling import water_saturation_fraction
from generator.chemistry.ranges import fractions, not_negative, within

#: Water in fuel (published: EN 14214:2012, 500 mg/kg).
WATER_LIMIT_FRACTION: Final = 5e-4


def water_latent_heat_j_kg(temperature_c: float) -> float:
    """Heat that turns liquid water into vapour.

    Equation: dH = 2499420 - 2253.62 T - 1.79696 T^2.
    Args:
        temperature_c: temperature [°C], 5 to 120.
    Returns: latent heat [J/kg], within 0.05 % of the library.
    Source: library-computed; polynomial through CoolProp's Water.
    """
    t = within("temperature_c", temperature_c, 5.0, 120.0)
    return 2_499_420.23 - 2253.62240 * t - 1.79695886 * t**2


def water_vapour_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of water.

    Equation: p = 611.21 exp[(18.678 - T / 234.5) T / (257.14 + T)].
    Args:
        temperature_c: temperature [°C], 0 to 90.
    Returns: vapour pressure [Pa], within 0.1 % of CoolProp.
    Source: from memory; Buck's 1996 revision of his 1981 equation, checked against CoolProp.
    """
    t = within("temperature_c", temperature_c, 0.0, 90.0)
    return 611.21 * math.exp((18.678 - t / 234.5) * t / (257.14 + t))


@dataclass(frozen=True)
class Drying:
    """Water driven off, its latent heat, the power left for it after the loss, and the least time."""

    water_kg: float
    latent_j: float
    spare_power_w: float
    time_s: float


@dataclass(frozen=True)
class NeverDries:
    """The tank loses all the heat it is given: nothing is left to evaporate ``water_kg``."""

    water_kg: float
    latent_j: float
    short_w: float


def drying_time(
    water_kg: float, power_w: float, loss_w_k: float, ambient_c: float, temperature_c: float
) -> Drying | NeverDries:
    """Heat and least time to evaporate water from an oil held at its drying temperature.

    Equation: t = m dH / [P - UA (T - Ta)]; where P <= UA (T - Ta) and there is water it never dries.
    Args:
        water_kg: water to drive off [kg], 0 or more.
        power_w: heat put in [W], 0 or more.
        loss_w_k: loss coefficient times area, UA [W/K], 0 or more.
        ambient_c: temperature of the surroundings [°C], -40 to 60.
        temperature_c: temperature held [°C], ambient_c to 120, at least 5.
    Returns: energy, power left and time [J, W and s], or the power that is short [W]. The time is the best
        case: moving the vapour away may take longer.
    Source: derived; heat balance with the latent heat of water.
    """
    not_negative(water_kg=water_kg, power_w=power_w, loss_w_k=loss_w_k)
    within("ambient_c", ambient_c, -40.0, 60.0)
    within("temperature_c", temperature_c, max(ambient_c, 5.0), 120.0)
    latent = water_kg * water_latent_heat_j_kg(temperature_c)
    spare = power_w - loss_w_k * (temperature_c - ambient_c)
    if water_kg > 0.0 and spare <= 0.0:
        return NeverDries(water_kg, latent, -spare)
    return Drying(water_kg, latent, spare, latent / spare if latent else 0.0)


def humidity_in_fuel(humidity: float, air_c: float, fuel_c: float) -> float:
    """Relative humidity that room air has once it is as warm as the fuel it bubbles through.

    Equation: RH_fuel = RH p_sat(T_air) / p_sat(T_fuel), at most 1.
    Args:
        humidity: relative humidity of the room's air [fraction], 0 to 1.
        air_c: temperature of the air [°C], 0 to 90.
        fuel_c: temperature of the fuel [°C], 0 to 90.
    Returns: relative humidity in the fuel [fraction].
    Source: derived; the air keeps its water, ideal gas.
    """
    fractions(humidity=humidity)
    return min(1.0, humidity * water_vapour_pressure_pa(air_c) / water_vapour_pressure_pa(fuel_c))


def water_at_humidity_fraction(humidity: float, fuel_c: float) -> float:
    """Water a fuel ends up with when air of a relative humidity, taken at the fuel's temperature, dries it.

    Equation: w = RH w_sat(T).
    Args:
        humidity: relative humidity at the fuel's temperature [fraction], 0 to 1.
        fuel_c: temperature of the fuel [°C], 4 to 35.
    Returns: mass of water per mass of fuel [kg/kg].
    Source: derived; Henry's law with the published saturation of the University of Idaho moisture note.
    """
    fractions(humidity=humidity)
    return humidity * water_saturation_fraction(fuel_c)


def humidity_most(water_fraction: float, fuel_c: float) -> float:
    """Highest relative humidity, at the fuel's temperature, at which air still dries it to a water content.

    Equation: RH = w / w_sat(T), at most 1.
    Args:
        water_fraction: water wanted in the fuel [kg/kg], 0 to 0.01; 5e-4 in EN 14214.
        fuel_c: temperature of the fuel [°C], 4 to 35.
    Returns: relative humidity [fraction].
    Source: derived; Henry's law with the published saturation of the University of Idaho moisture note.
    """
    within("water_fraction", water_fraction, 0.0, 0.01)
    return min(1.0, water_fraction / water_saturation_fraction(fuel_c))
