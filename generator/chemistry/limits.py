"""Temperature limits of vessels that hold methanol."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.heating import Stream, mixed_temperature_c
from generator.chemistry.ranges import positive, within

#: Sensor 2 K, thermostat differential 2 K, weather 1 K (common practice, no source).
BOILING_MARGIN_K: Final = 5.0
#: Independent manual-reset limit below boiling (common practice, no source).
HIGH_LIMIT_MARGIN_K: Final = 2.0


def temperature_ceiling_c(boiling_c: float, margin_k: float) -> float:
    """Highest temperature at which a vented vessel that holds methanol is run.

    Equation: T = Tb - margin.
    Args:
        boiling_c: boiling point of methanol at the site [°C], 40 to 70.
        margin_k: distance kept from boiling [K], 5 to 20.
    Returns: ceiling [°C].
    Source: common practice, no source; margin of 5 K for sensor, thermostat and weather.
    """
    within("boiling_c", boiling_c, 40.0, 70.0)
    within("margin_k", margin_k, 5.0, 20.0)
    return boiling_c - margin_k


def high_limit_c(boiling_c: float, margin_k: float) -> float:
    """Setting of the independent, manually reset high limit during reaction.

    Equation: T = Tb - margin.
    Args:
        boiling_c: boiling point of methanol at the site [°C], 40 to 70.
        margin_k: distance kept from boiling [K], 1 to 5.
    Returns: setting [°C].
    Source: common practice, no source; 2 K below boiling.
    """
    within("boiling_c", boiling_c, 40.0, 70.0)
    within("margin_k", margin_k, 1.0, 5.0)
    return boiling_c - margin_k


def preheat_for_mix_c(
    mix_c: float, oil_heat_capacity_j_k: float, methoxide_heat_capacity_j_k: float, methoxide_c: float
) -> float:
    """Oil temperature before injection that gives a wanted temperature after it.

    Equation: T_oil = T_mix + (C_methoxide / C_oil) (T_mix - T_methoxide).
    Args:
        mix_c: temperature wanted after mixing [°C], 0 to 70.
        oil_heat_capacity_j_k: mass times specific heat of the oil [J/K], above 0.
        methoxide_heat_capacity_j_k: mass times specific heat of the methoxide [J/K], above 0.
        methoxide_c: temperature of the methoxide [°C], -10 to 65.
    Returns: oil temperature [°C]; compare it with the preheat ceiling before using it.
    Source: derived; heat balance without loss.
    """
    within("mix_c", mix_c, 0.0, 70.0)
    within("methoxide_c", methoxide_c, -10.0, 65.0)
    positive(oil_heat_capacity_j_k=oil_heat_capacity_j_k)
    positive(methoxide_heat_capacity_j_k=methoxide_heat_capacity_j_k)
    return mix_c + methoxide_heat_capacity_j_k / oil_heat_capacity_j_k * (mix_c - methoxide_c)


def preheat_ceiling_c(
    ceiling_c: float, oil_heat_capacity_j_k: float, methoxide_heat_capacity_j_k: float, methoxide_c: float
) -> float:
    """Highest oil temperature at which methoxide may be let in: neither the oil nor the mix passes the
    ceiling.

    Equation: min(T_ceiling, oil temperature that mixes to T_ceiling).
    Args:
        ceiling_c: temperature ceiling of the vessel [°C], 0 to 70.
        oil_heat_capacity_j_k: mass times specific heat of the oil [J/K], above 0.
        methoxide_heat_capacity_j_k: mass times specific heat of the methoxide [J/K], above 0.
        methoxide_c: temperature of the methoxide [°C], -10 to 65.
    Returns: oil temperature [°C].
    Source: derived; heat balance without loss, and methanol flashing where it first meets the oil.
    """
    mix = preheat_for_mix_c(ceiling_c, oil_heat_capacity_j_k, methoxide_heat_capacity_j_k, methoxide_c)
    return min(ceiling_c, mix)


@dataclass(frozen=True)
class PreheatPlan:
    """Oil temperature to inject at, the mix it gives, how far that is short of the wanted one, and remedies.

    ``methoxide_needed_c`` is the methoxide temperature that would give the wanted mix with the oil at its
    ceiling; None where the plan reaches the wanted mix, or where no methoxide below the ceiling would do.
    """

    oil_c: float
    mix_c: float
    short_k: float
    methoxide_needed_c: float | None

    @property
    def reaches(self) -> bool:
        """Whether the mix lands on the wanted temperature."""
        return self.short_k == 0.0


def preheat_plan(
    mix_c: float,
    ceiling_c: float,
    oil_heat_capacity_j_k: float,
    methoxide_heat_capacity_j_k: float,
    methoxide_c: float,
) -> PreheatPlan:
    """Oil temperature that lands the mix on the wanted one, or the nearest there is under the ceiling.

    Equation: T_oil = min(T_ceiling, preheat for the mix); T_mix by heat balance; the methoxide that is needed
    T = T_mix - (C_oil / C_methoxide) (T_ceiling - T_mix).
    Args:
        mix_c: temperature wanted after mixing [°C], 0 to ceiling_c.
        ceiling_c: temperature ceiling of the vessel [°C], 0 to 70.
        oil_heat_capacity_j_k: mass times specific heat of the oil [J/K], above 0.
        methoxide_heat_capacity_j_k: mass times specific heat of the methoxide [J/K], above 0.
        methoxide_c: temperature of the methoxide [°C], -10 to 65.
    Returns: the plan [°C and K, in the field names]. On high sites the wanted mix is often out of reach:
        react cooler for longer, or let the methoxide keep its own heat of dissolving.
    Source: derived; heat balance without loss.
    """
    within("ceiling_c", ceiling_c, 0.0, 70.0)
    within("mix_c", mix_c, 0.0, ceiling_c)
    capacities = (oil_heat_capacity_j_k, methoxide_heat_capacity_j_k)
    wanted = preheat_for_mix_c(mix_c, *capacities, methoxide_c)
    oil = preheat_ceiling_c(ceiling_c, *capacities, methoxide_c)
    if wanted <= oil:
        return PreheatPlan(wanted, mix_c, 0.0, None)
    # Only mass times specific heat counts, so that product stands as the mass at a specific heat of 1.
    oil_stream = Stream(oil_heat_capacity_j_k, 1.0, oil)
    mix = mixed_temperature_c((oil_stream, Stream(methoxide_heat_capacity_j_k, 1.0, methoxide_c)))
    needed = mix_c - (ceiling_c - mix_c) * oil_heat_capacity_j_k / methoxide_heat_capacity_j_k
    return PreheatPlan(oil, mix, mix_c - mix, needed if methoxide_c < needed <= ceiling_c else None)
