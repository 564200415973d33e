"""Air pressure at a site, methanol's vapour pressure and boiling point, water a fuel can dissolve."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry.ranges import within

SEA_LEVEL_PRESSURE_PA: Final = 101325.0
ICE_POINT_K: Final = 273.15
_EARTH_RADIUS_M: Final = 6_356_766.0  # of the standard atmosphere

# Antoine constants of methanol: log10(p/bar) = A - B / (T/K + C).
_ANTOINE_A: Final = 5.20409
_ANTOINE_B_K: Final = 1581.341
_ANTOINE_C_K: Final = -33.50
_LOWEST_C: Final = 0.0
_HIGHEST_C: Final = 83.0


def site_pressure_pa(altitude_m: float) -> float:
    """Mean air pressure at an altitude (standard atmosphere; a weather low costs methanol about 1 K more).

    Equation: P = 101325 (1 - 2.25577e-5 H)^5.25588, H = h r / (r + h), r = 6356766 m.
    Args:
        altitude_m: height above sea level [m], -430 to 5000.
    Returns: pressure [Pa].
    Source: published; U.S. Standard Atmosphere 1976, troposphere.
    """
    within("altitude_m", altitude_m, -430.0, 5000.0)
    geopotential_m = altitude_m * _EARTH_RADIUS_M / (_EARTH_RADIUS_M + altitude_m)
    return SEA_LEVEL_PRESSURE_PA * float((1.0 - 2.25577e-5 * geopotential_m) ** 5.25588)


def methanol_vapour_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of pure methanol.

    Equation: log10(p/bar) = 5.20409 - 1581.341 / (T/K - 33.50).
    Args:
        temperature_c: temperature [°C], 0 to 83; the constants' own range begins at 14.9 °C, below it they
            were compared with CoolProp (within 0.6 %).
    Returns: vapour pressure [Pa].
    Source: from memory; constants of Ambrose and Sprake (1970) as listed by the NIST Chemistry WebBook,
        checked against CoolProp within 0.6 % for 0 to 65 °C.
    """
    within("temperature_c", temperature_c, _LOWEST_C, _HIGHEST_C)
    return 1e5 * float(10.0 ** (_ANTOINE_A - _ANTOINE_B_K / (temperature_c + ICE_POINT_K + _ANTOINE_C_K)))


def methanol_boiling_c(pressure_pa: float) -> float:
    """Temperature at which pure methanol boils in an open, vented vessel.

    Equation: T/K = B / (A - log10(p/bar)) + 33.50, the vapour pressure turned round.
    Args:
        pressure_pa: air pressure at the site [Pa], 50000 to 110000.
    Returns: boiling point [°C].
    Source: derived; from the vapour pressure equation, within 0.1 K of CoolProp for 0 to 3000 m.
    """
    within("pressure_pa", pressure_pa, 50_000.0, 110_000.0)
    return _ANTOINE_B_K / (_ANTOINE_A - math.log10(pressure_pa / 1e5)) - _ANTOINE_C_K - ICE_POINT_K


def methanol_dew_point_c(partial_pressure_pa: float) -> float:
    """Temperature at which methanol vapour of a given partial pressure starts to condense.

    Equation: the vapour pressure turned round.
    Args:
        partial_pressure_pa: partial pressure of methanol [Pa], 4040 to 200000.
    Returns: temperature [°C].
    Source: derived; from the vapour pressure equation. A headspace closed over pure methanol reaches this
        partial pressure at the same temperature.
    """
    within("partial_pressure_pa", partial_pressure_pa, 4040.0, 200_000.0)
    return _ANTOINE_B_K / (_ANTOINE_A - math.log10(partial_pressure_pa / 1e5)) - _ANTOINE_C_K - ICE_POINT_K


def water_saturation_fraction(temperature_c: float) -> float:
    """Water that methyl ester can hold dissolved; above it the fuel turns cloudy.

    Equation: w = 1e-6 (1000 + 22.2 (T - 4)).
    Args:
        temperature_c: temperature of the ester [°C], 4 to 35.
    Returns: mass of water per mass of ester [kg/kg]. A second data set (Fregolente et al. 2012) lies up to
        370 mg/kg higher at 10 °C.
    Source: published; University of Idaho, National Biodiesel Education Program, moisture absorption note.
    """
    within("temperature_c", temperature_c, 4.0, 35.0)
    return 1e-6 * (1000.0 + 22.2 * (temperature_c - 4.0))
