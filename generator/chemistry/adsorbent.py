"""Adsorbents: what a mass of them takes out of a fuel, and the mass that it takes."""

from __future__ import annotations

import math

from generator.chemistry.ranges import not_negative, positive, within


def adsorbed_fraction(uptake_kg_kg: float, adsorbent_kg: float, fuel_kg: float) -> float:
    """Impurity that an adsorbent took out of a fuel.

    Equation: w = q m_ads / m_fuel.
    Args:
        uptake_kg_kg: impurity taken up per mass of adsorbent [kg/kg], 0 to 1.
        adsorbent_kg: adsorbent [kg], 0 or more.
        fuel_kg: fuel [kg], above 0.
    Returns: impurity removed [kg/kg].
    Source: derived; mass balance.
    """
    within("uptake_kg_kg", uptake_kg_kg, 0.0, 1.0)
    not_negative(adsorbent_kg=adsorbent_kg)
    positive(fuel_kg=fuel_kg)
    return uptake_kg_kg * adsorbent_kg / fuel_kg


def adsorbent_needed_kg(fuel_kg: float, removed_fraction: float, uptake_kg_kg: float) -> float:
    """Adsorbent that takes an impurity out of a fuel at a known uptake.

    Equation: m = w m_fuel / q.
    Args:
        fuel_kg: fuel [kg], 0 or more.
        removed_fraction: impurity to remove per mass of fuel [kg/kg], 0 to 1.
        uptake_kg_kg: impurity taken up per mass of adsorbent [kg/kg], above 0 to 1.
    Returns: adsorbent [kg]; uptake falls with the impurity left, so test after.
    Source: derived; mass balance. Uptakes: Assawasaengrat et al., Chem. Eng. Trans. 43 (2015) 1135.
    """
    not_negative(fuel_kg=fuel_kg)
    within("removed_fraction", removed_fraction, 0.0, 1.0)
    within("uptake_kg_kg", uptake_kg_kg, math.ulp(0.0), 1.0)
    return removed_fraction * fuel_kg / uptake_kg_kg
