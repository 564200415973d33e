"""A thermostat that sticks: how long until methanol boils, and what then goes up the vent."""

from __future__ import annotations

from dataclasses import dataclass

from generator.chemistry.heating import NeverReaches, heating_time
from generator.chemistry.ranges import positive, within
from generator.chemistry.ventilation import boil_off_kg_s


@dataclass(frozen=True)
class Runaway:
    """Time from set point to boiling, and the most vapour the vent must then pass (no loss counted)."""

    time_s: float
    vapour_kg_s: float


def runaway(
    capacity_j_k: float,
    power_w: float,
    loss_w_k: float,
    ambient_c: float,
    start_c: float,
    boiling_c: float,
    latent_heat_j_kg: float,
) -> Runaway | NeverReaches:
    """Time a stuck heater takes from the set point to methanol's boiling point at the site.

    Equation: t = (C / UA) ln[(P - UA (T1 - Ta)) / (P - UA (Tb - Ta))]; then G = P / dH.
    Args:
        capacity_j_k: heat capacity of contents and steel [J/K], above 0.
        power_w: heat put in [W], 0 or more.
        loss_w_k: loss coefficient times area, UA [W/K], 0 or more.
        ambient_c: temperature of the surroundings [°C], -40 to 60; the warmest is the worst.
        start_c: temperature at which the thermostat should have cut out [°C], -40 to boiling_c.
        boiling_c: boiling point of methanol at the site [°C], 40 to 70.
        latent_heat_j_kg: latent heat at the boiling point [J/kg], above 0.
    Returns: time and vapour [s and kg/s], or the temperature at which it stays below boiling [°C].
    Source: derived; C dT/dt = P - UA (T - Ta).
    """
    within("boiling_c", boiling_c, 40.0, 70.0)
    positive(latent_heat_j_kg=latent_heat_j_kg)
    found = heating_time(capacity_j_k, power_w, loss_w_k, ambient_c, start_c, boiling_c)
    if isinstance(found, NeverReaches):
        return found
    return Runaway(found.time_s, boil_off_kg_s(power_w, latent_heat_j_kg))
