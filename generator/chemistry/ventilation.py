"""Methanol vapour in air: volumes, breathing losses, boil-off, air needed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.boiling import ICE_POINT_K, methanol_vapour_pressure_pa
from generator.chemistry.ranges import not_negative, positive, within
from generator.chemistry.species import METHANOL_KG_KMOL
from generator.chemistry.stripping import GAS_CONSTANT_J_KMOLK

#: Lower and upper explosive limits by volume (published: IEC 60079-20-1:2010, carried by the chemicals
#: library).
LOWER_EXPLOSIVE_FRACTION: Final = 0.06
UPPER_EXPLOSIVE_FRACTION: Final = 0.36
QUARTER_FRACTION: Final = 0.25 * LOWER_EXPLOSIVE_FRACTION
TENTH_FRACTION: Final = 0.10 * LOWER_EXPLOSIVE_FRACTION
#: Eight-hour exposure limit by volume (published: 29 CFR 1910.1000, 200 ppm).
EXPOSURE_LIMIT_FRACTION: Final = 200e-6
#: Mixing factors: for fire, and for people (from memory: ACGIH Industrial Ventilation; 3 to 10).
FIRE_MIXING_FACTOR: Final = 4.0
PEOPLE_MIXING_FACTOR: Final = 5.0


def vapour_volume_m3(mass_kg: float, temperature_c: float, pressure_pa: float) -> float:
    """Volume of methanol vapour as an ideal gas.

    Equation: V = m R T / (M P).
    Args:
        mass_kg: methanol evaporated [kg], 0 or more.
        temperature_c: temperature of the air [°C], -20 to 120.
        pressure_pa: air pressure [Pa], 50000 to 110000.
    Returns: volume of pure vapour [m3].
    Source: derived; ideal gas.
    """
    not_negative(mass_kg=mass_kg)
    return mass_kg * _specific_volume(temperature_c, pressure_pa)


def _specific_volume(temperature_c: float, pressure_pa: float) -> float:
    within("temperature_c", temperature_c, -20.0, 120.0)
    within("pressure_pa", pressure_pa, 50_000.0, 110_000.0)
    return GAS_CONSTANT_J_KMOLK * (temperature_c + ICE_POINT_K) / (METHANOL_KG_KMOL * pressure_pa)


def dilution_flow_m3s(
    emission_kg_s: float,
    limit_fraction: float,
    mixing_factor: float,
    temperature_c: float,
    pressure_pa: float,
) -> float:
    """Fresh air that keeps methanol vapour in a room below a concentration.

    Equation: Q = K (G / M) (R T / P) / C.
    Args:
        emission_kg_s: methanol evaporating [kg/s], 0 or more.
        limit_fraction: concentration not to be passed, by volume [m3/m3], 1e-5 to 0.06.
        mixing_factor: how badly the air mixes, K [1], 1 to 10; 3 to 10 in practice.
        temperature_c: temperature of the air [°C], -20 to 120.
        pressure_pa: air pressure [Pa], 50000 to 110000.
    Returns: air flow [m3/s].
    Source: published; dilution ventilation formula of the ACGIH Industrial Ventilation manual as taught by
        the University of Toledo, here in SI.
    """
    not_negative(emission_kg_s=emission_kg_s)
    within("limit_fraction", limit_fraction, 1e-5, LOWER_EXPLOSIVE_FRACTION)
    within("mixing_factor", mixing_factor, 1.0, 10.0)
    return mixing_factor * emission_kg_s * _specific_volume(temperature_c, pressure_pa) / limit_fraction


def spill_fraction(mass_kg: float, room_m3: float, temperature_c: float, pressure_pa: float) -> float:
    """Concentration in a closed room after a spill has evaporated completely.

    Equation: C = V_vapour / V_room.
    Args:
        mass_kg: methanol evaporated [kg], 0 or more.
        room_m3: free volume of the room [m3], above 0.
        temperature_c: temperature of the air [°C], -20 to 120.
        pressure_pa: air pressure [Pa], 50000 to 110000.
    Returns: concentration by volume, even mixing [m3/m3]; may not pass 1. Compare with 0.06, the lower
        explosive limit.
    Source: derived; ideal gas, no air change.
    """
    positive(room_m3=room_m3)
    return within("spill_fraction", vapour_volume_m3(mass_kg, temperature_c, pressure_pa) / room_m3, 0.0, 1.0)


def displaced_methanol_kg(filled_m3: float, temperature_c: float) -> float:
    """Methanol pushed out of the vent when a vessel with saturated headspace is filled.

    Equation: m = V p_sat M / (R T).
    Args:
        filled_m3: liquid let in [m3], 0 or more.
        temperature_c: temperature of the headspace [°C], 0 to 64.
    Returns: methanol vented [kg].
    Source: derived; saturated ideal gas displaced by the liquid.
    """
    not_negative(filled_m3=filled_m3)
    within("temperature_c", temperature_c, 0.0, 64.0)
    pressure = methanol_vapour_pressure_pa(temperature_c)
    return filled_m3 * pressure * METHANOL_KG_KMOL / (GAS_CONSTANT_J_KMOLK * (temperature_c + ICE_POINT_K))


def boil_off_kg_s(power_w: float, latent_heat_j_kg: float) -> float:
    """Methanol a heater boils away once the vessel has reached the boiling point; its vent must pass this.

    Equation: G = P / dH.
    Args:
        power_w: heat going into boiling [W], 0 or more.
        latent_heat_j_kg: latent heat at the boiling point [J/kg], above 0.
    Returns: vapour [kg/s].
    Source: derived; heat balance without loss.
    """
    not_negative(power_w=power_w)
    positive(latent_heat_j_kg=latent_heat_j_kg)
    return power_w / latent_heat_j_kg


def dilution_air_m3(mass_kg: float, limit_fraction: float, temperature_c: float, pressure_pa: float) -> float:
    """Air that thins evaporated methanol to a concentration, evenly mixed.

    Equation: V = m R T / (M P C).
    Args:
        mass_kg: methanol evaporated [kg], 0 or more.
        limit_fraction: concentration by volume [m3/m3], 1e-5 to 0.06.
        temperature_c: temperature of the air [°C], -20 to 120.
        pressure_pa: air pressure [Pa], 50000 to 110000.
    Returns: air [m3].
    Source: derived; ideal gas.
    """
    within("limit_fraction", limit_fraction, 1e-5, LOWER_EXPLOSIVE_FRACTION)
    return vapour_volume_m3(mass_kg, temperature_c, pressure_pa) / limit_fraction


@dataclass(frozen=True)
class AirNeeds:
    """Air flows that keep below a quarter and a tenth of the explosive limit, and the exposure limit."""

    quarter_explosive_m3s: float
    tenth_explosive_m3s: float
    exposure_m3s: float


def air_needs(
    emission_kg_s: float,
    temperature_c: float,
    pressure_pa: float,
    fire_factor: float = FIRE_MIXING_FACTOR,
    people_factor: float = PEOPLE_MIXING_FACTOR,
) -> AirNeeds:
    """Fresh air for one emission held against three limits; exposure, not fire, asks for most.

    Equation: Q = K (G / M) (R T / P) / C with a K for fire and one for people.
    Args:
        emission_kg_s: methanol evaporating [kg/s], 0 or more.
        temperature_c: temperature of the air [°C], -20 to 120.
        pressure_pa: air pressure [Pa], 50000 to 110000.
        fire_factor: how badly the air mixes, against fire [1], 1 to 10.
        people_factor: how badly it mixes where people breathe [1], 1 to 10.
    Returns: air flows [m3/s, in the field names].
    Source: published; dilution ventilation formula of the ACGIH Industrial Ventilation manual as taught by
        the University of Toledo; mixing factors from memory.
    """
    limits = (
        (QUARTER_FRACTION, fire_factor),
        (TENTH_FRACTION, fire_factor),
        (EXPOSURE_LIMIT_FRACTION, people_factor),
    )
    flows = [dilution_flow_m3s(emission_kg_s, c, k, temperature_c, pressure_pa) for c, k in limits]
    return AirNeeds(*flows)


def floor_ventilation_m3s(floor_m2: float) -> float:
    """Least fresh air for a room in which methanol is handled.

    Equation: Q = A * 0.3048 / 60 (a cubic foot a minute for each square foot).
    Args:
        floor_m2: floor of the room [m2], above 0.
    Returns: air flow [m3/s].
    Source: published; 29 CFR 1910.106.
    """
    positive(floor_m2=floor_m2)
    return floor_m2 * 0.3048 / 60.0
