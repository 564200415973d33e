"""Dissolving the base in methanol: heat, portions, solubility."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from generator.chemistry.heat import methanol_specific_heat_j_kgk
from generator.chemistry.ranges import positive, within
from generator.chemistry.species import BASE_KG_KMOL, WATER_KG_KMOL, Base

# Heat of solution in water, infinite dilution, 25 °C, J per mol: dry base and its monohydrate (CRC
# Handbook after Parker, NSRDS-NBS 2, 1965).
_SOLUTION_HEAT_J_MOL: Final[Mapping[Base, tuple[float, float]]] = {
    "KOH": (57_610.0, 14_640.0),
    "NaOH": (44_510.0, 21_410.0),
}
# Specific heat of the solid, J/kgK (from memory, handbook values 66 and 60 J/mol K).
_SOLID_SPECIFIC_HEAT_J_KGK: Final[Mapping[Base, float]] = {"KOH": 1180.0, "NaOH": 1490.0}
# Solubility in methanol, kg per kg, lower end of the values (from memory: CRC and Seidell; KOH 28, NaOH 20
# °C).
_SOLUBILITY_KG_KG: Final[Mapping[Base, float]] = {"KOH": 0.55, "NaOH": 0.24}

#: Largest single addition and highest temperature while dissolving (common practice, no source).
PORTION_SHARE: Final = 0.10
DISSOLVING_MOST_C: Final = 45.0


def solution_heat_j_kg(base: Base, purity_fraction: float) -> float:
    """Heat set free when a kilogram of flake dissolves; its water is taken as monohydrate.

    Equation: q = [(n_base - n_water) dH_dry + n_water dH_hydrate], n per kg of flake.
    Args:
        base: base dissolved [KOH or NaOH].
        purity_fraction: pure base in the flake [kg/kg], 0.80 to 1.
    Returns: heat per mass of flake [J/kg]. Values are for water: an upper estimate for methanol.
    Source: published; enthalpies of Parker, NSRDS-NBS 2 (1965), in the CRC Handbook. Split into hydrate
        derived.
    """
    within("purity_fraction", purity_fraction, 0.80, 1.0)
    dry, hydrate = _SOLUTION_HEAT_J_MOL[base]
    water_mol = 1000.0 * (1.0 - purity_fraction) / WATER_KG_KMOL
    base_mol = 1000.0 * purity_fraction / BASE_KG_KMOL[base]
    return (base_mol - water_mol) * dry + water_mol * hydrate


def dissolving_rise_k(
    base: Base, purity_fraction: float, catalyst_kg: float, methanol_kg: float, methanol_c: float
) -> float:
    """Temperature rise of methanol when all the flake dissolves and no heat escapes (vessel ignored).

    Equation: dT = m q / (m_MeOH cp + m cp_solid), cp of methanol at the mean of start and end.
    Args:
        base: base dissolved [KOH or NaOH].
        purity_fraction: pure base in the flake [kg/kg], 0.80 to 1.
        catalyst_kg: flake [kg], above 0.
        methanol_kg: methanol [kg], above 0.
        methanol_c: temperature of the methanol before [°C], 0 to 40.
    Returns: rise [K]; an upper estimate. Raises ``OutOfRange`` where the end passes 65 °C: it would boil.
    Source: derived; heat balance with published enthalpies for water.
    """
    positive(catalyst_kg=catalyst_kg, methanol_kg=methanol_kg)
    within("methanol_c", methanol_c, 0.0, 40.0)
    heat = catalyst_kg * solution_heat_j_kg(base, purity_fraction)
    solid = catalyst_kg * _SOLID_SPECIFIC_HEAT_J_KGK[base]
    rise = 0.0
    for _ in range(20):  # converges in three or four: cp changes by 0.2 % per kelvin
        mean = within("temperature while dissolving", methanol_c + rise / 2.0, 0.0, 65.0)
        rise = heat / (methanol_kg * methanol_specific_heat_j_kgk(mean) + solid)
    within("temperature after dissolving", methanol_c + rise, 0.0, 65.0)
    return rise


@dataclass(frozen=True)
class Portions:
    """How to divide the flake; ``before_pause`` says how many may follow each other before the mix must
    cool.
    """

    count: int
    each_kg: float
    rise_each_k: float
    before_pause: int


def portions(
    catalyst_kg: float, whole_rise_k: float, methanol_c: float, portion_share: float, highest_c: float
) -> Portions:
    """Portions in which the flake is added so that no addition is large and the mix stays below a limit.

    Equation: n = ceil(1 / s); before a pause floor((T_limit - T) / (dT / n)), at most n.
    Args:
        catalyst_kg: flake [kg], above 0.
        whole_rise_k: adiabatic rise of the whole charge [K], above 0.
        methanol_c: temperature of the methanol before [°C], 0 to highest_c.
        portion_share: largest share in one addition [fraction], 0.01 to 0.5; 0.10 is customary.
        highest_c: highest temperature while dissolving [°C], 20 to 50; 45 is customary.
    Returns: count, mass of each [kg], rise of each [K], additions before a pause [1].
    Source: common practice, no source; a tenth at a time, below 45 °C.
    """
    positive(catalyst_kg=catalyst_kg, whole_rise_k=whole_rise_k)
    within("portion_share", portion_share, 0.01, 0.5)
    within("highest_c", highest_c, 20.0, 50.0)
    within("methanol_c", methanol_c, 0.0, highest_c)
    count = math.ceil(1.0 / portion_share - 1e-9)
    rise = whole_rise_k / count
    return Portions(count, catalyst_kg / count, rise, min(count, math.floor((highest_c - methanol_c) / rise)))


def solubility_share(base: Base, purity_fraction: float, catalyst_kg: float, methanol_kg: float) -> float:
    """How far a charge uses up what methanol can dissolve at room temperature; above 1 it will not dissolve.

    Equation: (m p / m_MeOH) / s.
    Args:
        base: base dissolved [KOH or NaOH].
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1.
        catalyst_kg: flake [kg], above 0.
        methanol_kg: methanol [kg], above 0.
    Returns: share of the solubility [1].
    Source: from memory; CRC Handbook and Seidell, KOH 55 g per 100 g at 28 °C, NaOH 24 g per 100 g at 20 °C.
    """
    within("purity_fraction", purity_fraction, 0.5, 1.0)
    positive(catalyst_kg=catalyst_kg, methanol_kg=methanol_kg)
    return catalyst_kg * purity_fraction / methanol_kg / _SOLUBILITY_KG_KG[base]


def catalyst_that_dissolves_kg(base: Base, purity_fraction: float, methanol_kg: float) -> float:
    """Most flake that a mass of methanol dissolves at room temperature.

    Equation: m = s m_MeOH / p.
    Args:
        base: base dissolved [KOH or NaOH].
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1.
        methanol_kg: methanol [kg], above 0.
    Returns: flake [kg].
    Source: from memory; CRC Handbook and Seidell, KOH 55 g per 100 g at 28 °C, NaOH 24 g per 100 g at 20 °C.
    """
    within("purity_fraction", purity_fraction, 0.5, 1.0)
    positive(methanol_kg=methanol_kg)
    return _SOLUBILITY_KG_KG[base] * methanol_kg / purity_fraction
