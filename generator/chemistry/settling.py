"""Settling of glycerin drops through ester."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from generator.chemistry.ranges import positive, within

_GRAVITY_M_S2: Final = 9.80665
# Viscosity of methyl oleate, Pa s, at kelvin; ln(mu) is linear in 1/T between the points.
_VISCOSITY: Final = ((293.15, 6.45e-3), (313.15, 3.92e-3), (328.15, 2.88e-3))


def ester_viscosity_pa_s(temperature_c: float) -> float:
    """Viscosity of clean methyl ester.

    Equation: ln(mu) linear in 1/T between 6.45, 3.92 and 2.88 mPa s at 20, 40 and 55 °C.
    Args:
        temperature_c: temperature [°C], 20 to 55.
    Returns: dynamic viscosity [Pa s].
    Source: from memory; methyl oleate. Soap and unreacted oil make it thicker.
    """
    within("temperature_c", temperature_c, 20.0, 55.0)
    inverse = 1.0 / (temperature_c + 273.15)
    (t0, mu0), (t1, mu1) = _VISCOSITY[:2] if temperature_c <= 40.0 else _VISCOSITY[1:]
    part = (inverse - 1.0 / t0) / (1.0 / t1 - 1.0 / t0)
    return math.exp((1.0 - part) * math.log(mu0) + part * math.log(mu1))


def settling_speed_m_s(drop_m: float, density_difference_kg_m3: float, viscosity_pa_s: float) -> float:
    """Speed at which a drop of glycerin sinks through ester.

    Equation: v = g d^2 (rho_drop - rho_ester) / (18 mu), Stokes.
    Args:
        drop_m: drop diameter [m], 1e-6 to 5e-4 (Reynolds number well below 1).
        density_difference_kg_m3: drop less ester [kg/m3], above 0 to 500.
        viscosity_pa_s: viscosity of the ester [Pa s], above 0.
    Returns: speed [m/s]. Drop sizes are not known in practice; soap makes them smaller.
    Source: published; Stokes' law.
    """
    within("drop_m", drop_m, 1e-6, 5e-4)
    positive(viscosity_pa_s=viscosity_pa_s, density_difference_kg_m3=density_difference_kg_m3)
    within("density_difference_kg_m3", density_difference_kg_m3, 0.0, 500.0)
    return _GRAVITY_M_S2 * drop_m**2 * density_difference_kg_m3 / (18.0 * viscosity_pa_s)


@dataclass(frozen=True)
class SettlingRow:
    """One drop size at one temperature: its speed and the time it takes to fall the height asked for."""

    drop_m: float
    temperature_c: float
    speed_m_s: float
    time_s: float


def settling_table(
    drops_m: Sequence[float],
    temperatures_c: Sequence[float],
    density_difference_kg_m3: float,
    fall_m: float,
) -> tuple[SettlingRow, ...]:
    """Speeds and times for drops of several sizes at several temperatures, drops first.

    Equation: v of Stokes' law; t = H / v.
    Args:
        drops_m: drop diameters [m], each 1e-6 to 5e-4.
        temperatures_c: temperatures of the ester [°C], each 20 to 55.
        density_difference_kg_m3: drop less ester [kg/m3], above 0 to 500; 200 is usual.
        fall_m: height to fall [m], above 0.
    Returns: rows [m, °C, m/s and s, in the field names]; soapy batches can be many times slower.
    Source: published; Stokes' law, with the viscosity of methyl oleate.
    """
    positive(fall_m=fall_m)
    rows = []
    for drop in drops_m:
        for temperature in temperatures_c:
            speed = settling_speed_m_s(drop, density_difference_kg_m3, ester_viscosity_pa_s(temperature))
            rows.append(SettlingRow(drop, temperature, speed, fall_m / speed))
    return tuple(rows)
