"""Titration: from the burette reading to acid value and free fatty acid.

Laboratory units stay here: millilitres, grams of sample, grams per litre and mol per litre, because
readings are taken in them.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.chemistry.ranges import fractions, not_negative, positive, within
from generator.chemistry.species import BASE_KG_KMOL, OLEIC_ACID_KG_KMOL, Base


@dataclass(frozen=True)
class Titrant:
    """What the burette holds: a base weighed into water.

    ``purity_fraction`` is that of what was weighed: 1 for a true standard solution, the flake's own purity
    for a titrant made from the batch's flake. ``strength_g_per_l`` 1.0 is the usual 0.1 % solution.
    """

    base: Base
    purity_fraction: float
    strength_g_per_l: float = 1.0

    def __post_init__(self) -> None:
        within("purity_fraction", self.purity_fraction, 0.5, 1.0)
        within("strength_g_per_l", self.strength_g_per_l, 0.1, 50.0)


def titrant_normality_mol_per_l(titrant: Titrant) -> float:
    """Strength of a titrant made by weighing a base into water.

    Equation: N = g p / M.
    Args:
        titrant: base, its purity and mass weighed per litre [kg/kg and g/L, in the field names].
    Returns: strength [mol/L].
    Source: derived; amount of substance.
    """
    return titrant.strength_g_per_l * titrant.purity_fraction / BASE_KG_KMOL[titrant.base]


def acid_value_mg_g(titration_ml: float, normality_mol_per_l: float, sample_g: float) -> float:
    """Acid value of an oil or fuel, always stated as potassium hydroxide whichever base was used.

    Equation: AV = V N M_KOH / m.
    Args:
        titration_ml: titrant used, blank taken off [mL], 0 or more.
        normality_mol_per_l: strength of the titrant [mol/L], above 0.
        sample_g: mass of the sample [g], above 0.
    Returns: acid value [mg KOH per g].
    Source: from memory; form of AOCS Cd 3d-63.
    """
    not_negative(titration_ml=titration_ml)
    positive(normality_mol_per_l=normality_mol_per_l, sample_g=sample_g)
    return titration_ml * normality_mol_per_l * BASE_KG_KMOL["KOH"] / sample_g


def ffa_fraction(titration_ml: float, normality_mol_per_l: float, sample_g: float) -> float:
    """Free fatty acid of an oil, as oleic acid.

    Equation: FFA = V N M_oleic / (1000 m).
    Args:
        titration_ml: titrant used, blank taken off [mL], 0 or more.
        normality_mol_per_l: strength of the titrant [mol/L], above 0.
        sample_g: mass of the sample [g], above 0.
    Returns: free fatty acid [kg/kg], at most 1.
    Source: from memory; form of AOCS Ca 5a-40 (which prints the factor as 28.2 for percent).
    """
    not_negative(titration_ml=titration_ml)
    positive(normality_mol_per_l=normality_mol_per_l, sample_g=sample_g)
    result = titration_ml * normality_mol_per_l * OLEIC_ACID_KG_KMOL / (1000.0 * sample_g)
    return within("ffa_fraction", result, 0.0, 1.0)


def acid_value_from_ffa_mg_g(ffa: float) -> float:
    """Acid value that a free fatty acid content amounts to.

    Equation: AV = 1000 FFA M_KOH / M_oleic = 1.986 per percent.
    Args:
        ffa: free fatty acid as oleic [kg/kg], 0 to 1.
    Returns: acid value [mg KOH per g].
    Source: derived; one mole of base per mole of acid (AOCS prints 1.99).
    """
    fractions(ffa=ffa)
    return 1000.0 * ffa * BASE_KG_KMOL["KOH"] / OLEIC_ACID_KG_KMOL


def ffa_from_acid_value(acid_value_mg_g: float) -> float:
    """Free fatty acid that an acid value amounts to.

    Equation: FFA = AV M_oleic / (1000 M_KOH) = 0.5034 percent per unit.
    Args:
        acid_value_mg_g: acid value [mg KOH per g], 0 to 198.
    Returns: free fatty acid as oleic [kg/kg].
    Source: derived; one mole of base per mole of acid.
    """
    within("acid_value", acid_value_mg_g, 0.0, 198.0)
    return acid_value_mg_g * OLEIC_ACID_KG_KMOL / (1000.0 * BASE_KG_KMOL["KOH"])


def titration_for_ffa_ml(ffa: float, normality_mol_per_l: float, sample_g: float) -> float:
    """Titrant an oil of known free fatty acid takes: the titration turned round, for dose tables.

    Equation: V = 1000 FFA m / (N M_oleic).
    Args:
        ffa: free fatty acid as oleic [kg/kg], 0 to 1.
        normality_mol_per_l: strength of the titrant [mol/L], above 0.
        sample_g: mass of the sample [g], above 0.
    Returns: titrant volume, blank taken off [mL].
    Source: derived; inverse of the free fatty acid equation.
    """
    fractions(ffa=ffa)
    positive(normality_mol_per_l=normality_mol_per_l, sample_g=sample_g)
    return 1000.0 * ffa * sample_g / (normality_mol_per_l * OLEIC_ACID_KG_KMOL)


def acid_check_ml(normality_mol_per_l: float, acid_normality_mol_per_l: float, acid_ml: float) -> float:
    """Titrant that a measured volume of acid of known strength should take: a check of the titrant's age.

    Equation: V = V_acid N_acid / N.
    Args:
        normality_mol_per_l: strength the titrant is believed to have [mol/L], above 0.
        acid_normality_mol_per_l: strength of the acid [mol/L], above 0.
        acid_ml: volume of the acid [mL], above 0.
    Returns: titrant expected [mL]; more means the titrant is weaker than believed.
    Source: derived; equal moles.
    """
    positive(
        normality_mol_per_l=normality_mol_per_l,
        acid_normality_mol_per_l=acid_normality_mol_per_l,
        acid_ml=acid_ml,
    )
    return acid_ml * acid_normality_mol_per_l / normality_mol_per_l
