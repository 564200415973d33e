"""Methanol vapour over liquids in closed vessels: when it is inside its explosive range."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry.boiling import (
    SEA_LEVEL_PRESSURE_PA,
    methanol_dew_point_c,
    methanol_vapour_pressure_pa,
)
from generator.chemistry.density import methanol_density_kg_m3
from generator.chemistry.ranges import interpolated, not_negative, positive, within
from generator.chemistry.ventilation import LOWER_EXPLOSIVE_FRACTION, UPPER_EXPLOSIVE_FRACTION

#: Least air pressure for which the lower limit stays within the vapour pressure's range.
LEAST_PRESSURE_PA: Final = 67_400.0
#: Solid base, kg/m3 (from memory, handbook value; taken to keep its volume when it dissolves).
SOLID_BASE_KG_M3: Final = 2040.0

# Temperature at which the headspace over a layer reaches 6 % methanol at 101325 Pa, by the layer's methanol.
_ESTER: Final = (
    (0.002, 58.0),
    (0.005, 36.0),
    (0.01, 23.0),
    (0.02, 15.0),
    (0.03, 11.0),
    (0.04, 10.0),
    (0.05, 9.0),
)
_GLYCERIN: Final = ((0.02, 76.0), (0.05, 53.0), (0.10, 39.0), (0.20, 26.0), (0.30, 19.0), (0.40, 15.0))
# Boiling point of glycerol with methanol at 101325 Pa, by methanol.
_GLYCERIN_BOILS: Final = (
    (0.02, 214.0),
    (0.05, 143.0),
    (0.10, 115.0),
    (0.20, 94.0),
    (0.30, 83.0),
    (0.40, 77.0),
)


def saturated_vapour_fraction(temperature_c: float, pressure_pa: float) -> float:
    """Methanol in the headspace over pure methanol or fresh methoxide once it has come to rest.

    Equation: y = p_sat(T) / P, at most 1.
    Args:
        temperature_c: temperature of the liquid [°C], 0 to 83.
        pressure_pa: air pressure at the site [Pa], 50000 to 110000.
    Returns: methanol by volume [m3/m3]; 1 where it boils.
    Source: derived; from the vapour pressure. Dissolved base lowers it a little: taken as pure, an upper
        estimate.
    """
    within("pressure_pa", pressure_pa, 50_000.0, 110_000.0)
    return min(1.0, methanol_vapour_pressure_pa(temperature_c) / pressure_pa)


def explosive_range_c(pressure_pa: float) -> tuple[float, float]:
    """Temperatures between which a closed headspace over methanol or methoxide can explode.

    Equation: p_sat(T) = 0.06 P and p_sat(T) = 0.36 P.
    Args:
        pressure_pa: air pressure at the site [Pa], 67400 to 110000.
    Returns: lower and upper temperature [°C]: room temperature lies between them.
    Source: derived; vapour pressure equation with the limits of IEC 60079-20-1:2010.
    """
    within("pressure_pa", pressure_pa, LEAST_PRESSURE_PA, 110_000.0)
    lower, upper = LOWER_EXPLOSIVE_FRACTION * pressure_pa, UPPER_EXPLOSIVE_FRACTION * pressure_pa
    return methanol_dew_point_c(lower), methanol_dew_point_c(upper)


def ester_headspace_explosive_c(methanol_fraction: float) -> float:
    """Temperature at which the closed headspace over ester reaches the lower explosive limit.

    Equation: table, linear in the logarithm of the fraction.
    Args:
        methanol_fraction: methanol in the ester [kg/kg], 0.002 to 0.05.
    Returns: temperature [°C] at sea level. A flash-point cup reads far higher: the table is the safe one.
    Source: library-computed; modified UNIFAC (Dortmund), methanol with methyl oleate, soap-free, within 30 %
        or worse.
    """
    return _by_log("methanol_fraction", methanol_fraction, _ESTER)


def glycerin_headspace_explosive_c(methanol_fraction: float) -> float:
    """Temperature at which the closed headspace over glycerin reaches the lower explosive limit.

    Equation: table, linear in the logarithm of the fraction.
    Args:
        methanol_fraction: methanol in the glycerin [kg/kg], 0.02 to 0.40.
    Returns: temperature [°C] at sea level.
    Source: library-computed; modified UNIFAC (Dortmund), methanol with glycerol, soap-free.
    """
    return _by_log("methanol_fraction", methanol_fraction, _GLYCERIN)


def explosive_at_site_c(at_sea_level_c: float, pressure_pa: float) -> float:
    """Temperature at which a headspace reaches the explosive limit at a site, from that at sea level.

    Equation: p_sat(T) = p_sat(T_0) P / 101325: the limit is a share of the air's pressure, and methanol's
    pressure over a mixture rises with temperature much as over itself.
    Args:
        at_sea_level_c: temperature at 101325 Pa [°C], 4 to 83.
        pressure_pa: air pressure at the site [Pa], 67400 to 110000.
    Returns: temperature [°C].
    Source: derived; vapour pressure equation, activity taken as constant over the few degrees.
    """
    within("pressure_pa", pressure_pa, LEAST_PRESSURE_PA, 110_000.0)
    partial_pa = methanol_vapour_pressure_pa(at_sea_level_c) * pressure_pa / SEA_LEVEL_PRESSURE_PA
    return methanol_dew_point_c(partial_pa)


def glycerin_boiling_c(methanol_fraction: float) -> float:
    """Temperature at which glycerin with methanol boils at sea level.

    Equation: table, linear in the logarithm of the fraction.
    Args:
        methanol_fraction: methanol in the glycerin [kg/kg], 0.02 to 0.40.
    Returns: boiling point [°C] at 101325 Pa.
    Source: library-computed; modified UNIFAC (Dortmund), methanol with glycerol, soap-free.
    """
    return _by_log("methanol_fraction", methanol_fraction, _GLYCERIN_BOILS)


def _by_log(argument: str, fraction: float, table: tuple[tuple[float, float], ...]) -> float:
    within(argument, fraction, table[0][0], table[-1][0])
    points = tuple((math.log(x), y) for x, y in table)
    inside = min(max(math.log(fraction), points[0][0]), points[-1][0])
    return interpolated(argument, inside, points)


def methoxide_volume_m3(methanol_kg: float, catalyst_kg: float, temperature_c: float) -> float:
    """Room that methanol with its dissolved base takes: an upper estimate, for the vessel's headspace.

    Equation: V = m_MeOH / rho(T) + m_c / 2040.
    Args:
        methanol_kg: methanol [kg], above 0.
        catalyst_kg: flake [kg], 0 or more.
        temperature_c: highest temperature it comes to while dissolving [°C], 0 to 65.
    Returns: volume [m3].
    Source: derived; the base taken to keep the volume of its solid (density from memory).
    """
    positive(methanol_kg=methanol_kg)
    not_negative(catalyst_kg=catalyst_kg)
    return methanol_kg / methanol_density_kg_m3(temperature_c) + catalyst_kg / SOLID_BASE_KG_M3


def headspace_left_fraction(volume_m3: float, capacity_m3: float) -> float:
    """Share of a vessel that stays empty; below 0.10 it is fuller than customary.

    Equation: 1 - V / V_vessel.
    Args:
        volume_m3: liquid at its warmest [m3], 0 or more.
        capacity_m3: volume of the vessel to the brim [m3], above 0.
    Returns: share [fraction], below 0 where it does not fit.
    Source: derived; definition. 10 % is common practice.
    """
    not_negative(volume_m3=volume_m3)
    positive(capacity_m3=capacity_m3)
    return 1.0 - volume_m3 / capacity_m3
