"""Rules that others published, to hold the exact formulas against."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from generator.chemistry.ranges import within
from generator.chemistry.species import Base

# Neutralising factor per mass of free fatty acid, and the base rate, both per mass of oil.
_FACTOR: Final[Mapping[Base, float]] = {"KOH": 0.197, "NaOH": 0.144}
_BASE_RATE_FRACTION: Final = 0.01


def rule_dose_fraction(base: Base, ffa: float, purity_fraction: float) -> float:
    """Base per mass of oil by the rule; it divides only the neutralising part by the purity.

    Equation: KOH 0.01 + 0.197 FFA / p; NaOH 0.01 + 0.144 FFA / p.
    Args:
        base: catalyst [KOH or NaOH].
        ffa: free fatty acid as oleic [kg/kg], 0 to 0.05.
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1; the rule was printed for 86 % KOH.
    Returns: base per mass of oil [kg/kg]. The exact molar factors are 0.1986 and 0.1416.
    Source: from memory; Van Gerpen, Fuel Process. Technol. 86 (2005) 1097.
    """
    within("ffa", ffa, 0.0, 0.05)
    within("purity_fraction", purity_fraction, 0.5, 1.0)
    return _BASE_RATE_FRACTION + _FACTOR[base] * ffa / purity_fraction
