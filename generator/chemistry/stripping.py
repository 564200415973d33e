"""Taking methanol out of the ester: what stays dissolved, how much sweep gas removes it, heat and cooling
water.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from generator.chemistry.boiling import ICE_POINT_K, SEA_LEVEL_PRESSURE_PA
from generator.chemistry.heat import methanol_specific_heat_j_kgk, water_specific_heat_j_kgk
from generator.chemistry.ranges import not_negative, positive, within
from generator.chemistry.species import METHANOL_KG_KMOL

GAS_CONSTANT_J_KMOLK: Final = 8314.462618  # J/(kmol K)

# Methanol left in soap-free ester, mass fraction, at rising temperature and methanol partial pressure.
_TEMPERATURES: Final = (60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0)
_PRESSURES: Final = (5_000.0, 10_000.0, 20_000.0, 79_500.0, 101_325.0)
_LEFT_FRACTION: Final[tuple[tuple[float, ...], ...]] = (
    (0.0015, 0.0032, 0.0070, 0.105, math.nan),
    (0.0011, 0.0023, 0.0048, 0.033, 0.060),
    (0.0008, 0.0017, 0.0035, 0.019, 0.028),
    (0.0006, 0.0013, 0.0027, 0.013, 0.018),
    (0.0005, 0.0010, 0.0021, 0.0094, 0.0126),
    (0.0004, 0.0008, 0.0017, 0.0072, 0.0096),
    (0.0003, 0.0007, 0.0013, 0.0057, 0.0075),
)
_STEPS: Final = 400
#: Condenser water as it comes (common practice, no source).
CONDENSER_WATER_C: Final = 15.0


def _isotherm(temperature_c: float) -> list[tuple[float, float]]:
    """(ln p, ln w) at a temperature: ln w linear in temperature between the table's columns."""
    within("temperature_c", temperature_c, _TEMPERATURES[0], _TEMPERATURES[-1])
    low = min(bisect_right(_TEMPERATURES, temperature_c), len(_TEMPERATURES) - 1) - 1
    part = (temperature_c - _TEMPERATURES[low]) / (_TEMPERATURES[low + 1] - _TEMPERATURES[low])
    line = []
    for pressure, cool, warm in zip(_PRESSURES, _LEFT_FRACTION[low], _LEFT_FRACTION[low + 1], strict=True):
        value = math.log(cool) if part == 0.0 else (1.0 - part) * math.log(cool) + part * math.log(warm)
        if math.isfinite(value):
            line.append((math.log(pressure), value))
    return line


def _along(x: float, points: list[tuple[float, float]]) -> float:
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1 + 1e-12:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def methanol_left_fraction(temperature_c: float, partial_pressure_pa: float) -> float:
    """Methanol that stays in ester in equilibrium with gas of a methanol partial pressure.

    Equation: table, ln w linear in temperature and in ln p between the points.
    Args:
        temperature_c: temperature of the ester [°C], 60 to 120.
        partial_pressure_pa: methanol partial pressure [Pa], 5000 to 101325, up to 79500 below 70 °C.
    Returns: mass fraction of methanol in the ester [kg/kg], within 30 % or worse; soap-free.
    Source: library-computed; modified UNIFAC (Dortmund), methanol with methyl oleate, no experiment behind
        it.
    """
    line = _isotherm(temperature_c)
    within("partial_pressure_pa", partial_pressure_pa, _PRESSURES[0], round(math.exp(line[-1][0])))
    return math.exp(_along(math.log(partial_pressure_pa), line))


def methanol_partial_pressure_pa(temperature_c: float, fraction: float) -> float:
    """Methanol partial pressure over ester that holds a fraction of methanol: the table turned round.

    Equation: table, ln p linear in ln w.
    Args:
        temperature_c: temperature of the ester [°C], 60 to 120.
        fraction: mass fraction of methanol in the ester [kg/kg], within the table at that temperature.
    Returns: partial pressure [Pa].
    Source: library-computed; modified UNIFAC (Dortmund), methanol with methyl oleate.
    """
    line = [(w, p) for p, w in _isotherm(temperature_c)]
    least, most = math.exp(line[0][0]), math.exp(line[-1][0])
    within("fraction", fraction, least * (1.0 - 1e-9), most * (1.0 + 1e-9))
    return math.exp(_along(math.log(fraction), line))


@dataclass(frozen=True)
class Sweep:
    """Gas a sweep takes, at 0 °C and 101325 Pa; methanol it removes, and the part of that which boils off."""

    gas_normal_m3: float
    removed_kg: float
    boiled_off_kg: float


@dataclass(frozen=True)
class SweepNeverReaches:
    """The gas returns with so much methanol that the ester stops at ``limit_fraction``."""

    limit_fraction: float


def sweep_gas(
    ester_kg: float,
    temperature_c: float,
    pressure_pa: float,
    start_fraction: float,
    end_fraction: float,
    returned_methanol_pa: float,
) -> Sweep | SweepNeverReaches:
    """Gas that must be bubbled through warm ester to bring its methanol from one fraction to another.

    Equation: dn_MeOH = dn_gas [p / (P - p) - p_r / (P - p_r)], p(T, w) from the table, ideal gas leaving in
    equilibrium; summed in equal steps of ln w. Where p >= P the methanol boils off without gas.
    Args:
        ester_kg: ester without its methanol [kg], above 0.
        temperature_c: temperature held [°C], 60 to 120.
        pressure_pa: total pressure in the vessel [Pa], 50000 to 101325.
        start_fraction: methanol at the start, mass per mass of ester [kg/kg], above end_fraction and in the
            table, or so rich that it boils.
        end_fraction: methanol wanted at the end [kg/kg], above 0, in the table.
        returned_methanol_pa: methanol partial pressure of the gas coming in [Pa], 0 for fresh gas; for gas
            back from a condenser the vapour pressure at the condenser's temperature.
    Returns: gas [m3 at 0 °C and 101325 Pa] and methanol [kg], or the fraction it stops at [kg/kg].
    Source: derived; ideal best case, real bubbling takes more. Equilibrium library-computed (UNIFAC).
    """
    positive(ester_kg=ester_kg)
    within("pressure_pa", pressure_pa, 50_000.0, SEA_LEVEL_PRESSURE_PA)
    within("end_fraction", end_fraction, 0.0, start_fraction)
    within("returned_methanol_pa", returned_methanol_pa, 0.0, 0.9 * pressure_pa)
    end_p = methanol_partial_pressure_pa(temperature_c, end_fraction)
    if end_p <= returned_methanol_pa:
        return SweepNeverReaches(methanol_left_fraction(temperature_c, returned_methanol_pa))
    incoming = returned_methanol_pa / (pressure_pa - returned_methanol_pa)
    step = math.log(start_fraction / end_fraction) / _STEPS
    gas_kmol = boiled_kg = 0.0
    for i in range(_STEPS):
        high, low = (end_fraction * math.exp(step * (i + k)) for k in (1, 0))
        part_kg = ester_kg * (high - low)
        p = _pressure_or_boiling_pa(temperature_c, math.sqrt(high * low), pressure_pa)
        if p >= pressure_pa:
            boiled_kg += part_kg
        else:
            gas_kmol += part_kg / METHANOL_KG_KMOL / (p / (pressure_pa - p) - incoming)
    normal_m3 = gas_kmol * GAS_CONSTANT_J_KMOLK * ICE_POINT_K / SEA_LEVEL_PRESSURE_PA
    return Sweep(normal_m3, ester_kg * (start_fraction - end_fraction), boiled_kg)


def _pressure_or_boiling_pa(temperature_c: float, fraction: float, pressure_pa: float) -> float:
    """As the table says; richer than its top the ester boils, if the top lies above the pressure."""
    top_pressure, top_fraction = (math.exp(value) for value in _isotherm(temperature_c)[-1])
    if fraction > top_fraction and top_pressure >= pressure_pa * (1.0 - 1e-9):
        return pressure_pa
    return methanol_partial_pressure_pa(temperature_c, fraction)


def recovery_energy_j(mass_kg: float, start_c: float, boiling_c: float, latent_heat_j_kg: float) -> float:
    """Heat that warms methanol to its boiling point and evaporates it.

    Equation: E = m [cp (Tb - T) + dH], cp at the mean temperature.
    Args:
        mass_kg: methanol [kg], 0 or more.
        start_c: temperature at the start [°C], 0 to boiling_c.
        boiling_c: boiling point at the site [°C], 40 to 65.
        latent_heat_j_kg: latent heat at the boiling point [J/kg], above 0.
    Returns: energy [J], the ester's own warming not counted.
    Source: derived; heat balance.
    """
    not_negative(mass_kg=mass_kg)
    positive(latent_heat_j_kg=latent_heat_j_kg)
    within("boiling_c", boiling_c, 40.0, 65.0)
    within("start_c", start_c, 0.0, boiling_c)
    cp = methanol_specific_heat_j_kgk((start_c + boiling_c) / 2.0)
    return mass_kg * (cp * (boiling_c - start_c) + latent_heat_j_kg)


def condenser_water_kg(recovered_heat_j: float, water_rise_k: float) -> float:
    """Cooling water that carries away the heat of condensing and cooling methanol.

    Equation: m = E / (cp dT), cp 4182 J/kgK.
    Args:
        recovered_heat_j: heat given up in the condenser [J], 0 or more.
        water_rise_k: warming of the water [K], 1 to 40.
    Returns: water [kg].
    Source: derived; heat balance.
    """
    not_negative(recovered_heat_j=recovered_heat_j)
    within("water_rise_k", water_rise_k, 1.0, 40.0)
    return recovered_heat_j / (water_specific_heat_j_kgk(CONDENSER_WATER_C) * water_rise_k)
