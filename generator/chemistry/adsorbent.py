"""Adsorbents worked backwards: from what a gram took up to what the fuel held."""

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


def start_fraction(removed_fraction: float, removed_share: float) -> float:
    """Impurity a fuel held, from what was removed and the share that this was.

    Equation: w0 = w_removed / s.
    Args:
        removed_fraction: impurity removed per mass of fuel [kg/kg], 0 to 1.
        removed_share: share of the impurity that this was [fraction], above 0 to 1.
    Returns: impurity at the start [kg/kg].
    Source: derived; mass balance.
    """
    within("removed_fraction", removed_fraction, 0.0, 1.0)
    within("removed_share", removed_share, math.ulp(0.0), 1.0)
    return removed_fraction / removed_share


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
