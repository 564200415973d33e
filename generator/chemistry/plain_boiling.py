"""Driving methanol off by heat alone: how far it goes, and why it cannot reach the fuel limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.boiling import SEA_LEVEL_PRESSURE_PA
from generator.chemistry.ranges import within
from generator.chemistry.stripping import methanol_left_fraction

#: Methanol limit of the fuel (published: EN 14214:2012 and ASTM D6751-09, 0.20 % by mass).
FUEL_METHANOL_LIMIT_FRACTION: Final = 0.002
#: Top of the table of methanol left in ester.
HOTTEST_C: Final = 120.0
_COOLEST_C: Final = 70.0


@dataclass(frozen=True)
class BoilsTo:
    """Boiling at ``temperature_c`` leaves the wanted fraction."""

    temperature_c: float


@dataclass(frozen=True)
class CannotBoilTo:
    """Even at ``hottest_c`` boiling leaves ``left_fraction``, which is above what was wanted."""

    hottest_c: float
    left_fraction: float


def plain_boiling(target_fraction: float, pressure_pa: float) -> BoilsTo | CannotBoilTo:
    """Temperature at which ester boiling under the site's pressure holds no more than a methanol fraction.

    Equation: w(T, P) = w_target, the methanol's partial pressure being the whole pressure; by bisection.
    Args:
        target_fraction: methanol wanted in the ester [kg/kg], 0.0003 to 0.1; 0.002 is the fuel limit.
        pressure_pa: pressure in the vessel [Pa], 5000 to 101325.
    Returns: temperature [°C], at least 70, or what is left at 120 °C [kg/kg].
    Source: library-computed; modified UNIFAC (Dortmund), methanol with methyl oleate, within 30 % or worse.
    """
    within("target_fraction", target_fraction, 0.0003, 0.1)
    within("pressure_pa", pressure_pa, 5_000.0, SEA_LEVEL_PRESSURE_PA)
    left = methanol_left_fraction(HOTTEST_C, pressure_pa)
    if left > target_fraction:
        return CannotBoilTo(HOTTEST_C, left)
    low, high = _COOLEST_C, HOTTEST_C
    if methanol_left_fraction(low, pressure_pa) <= target_fraction:
        return BoilsTo(low)
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = methanol_left_fraction(middle, pressure_pa) > target_fraction
        low, high = (middle, high) if above else (low, middle)
    return BoilsTo(high)
