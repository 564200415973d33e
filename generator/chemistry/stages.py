"""Reactions in more than one stage: the base dose split in two, and acid esterification before the base."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.dose import SULFURIC_ACID_96_KG_M3
from generator.chemistry.ranges import fractions, not_negative, positive, within
from generator.chemistry.species import METHANOL_KG_KMOL, OLEIC_ACID_KG_KMOL

#: Share of methanol and base that goes into the first of two stages (common practice, no source).
FIRST_STAGE_SHARE: Final = 0.80
#: Acid strength sold as concentrated (common practice, no source).
ACID_STRENGTH_FRACTION: Final = 0.96
#: Free fatty acid below which the oil goes on to the base stage (published: Canakci and Van Gerpen 2001).
PRETREATED_FFA: Final = 0.01


@dataclass(frozen=True)
class StageDose:
    """Methanol and flake of one stage."""

    methanol_m3: float
    catalyst_kg: float


def two_stage_split(
    methanol_m3: float, catalyst_kg: float, first_share: float
) -> tuple[StageDose, StageDose]:
    """Methanol and flake shared out over two stages with the glycerin drained between them.

    Equation: first s V and s m, second the rest, so that the two add up to the whole dose.
    Args:
        methanol_m3: methanol of the whole batch [m3], above 0.
        catalyst_kg: flake of the whole batch, titration part counted [kg], above 0.
        first_share: share of both in the first stage [fraction], 0.5 to 0.95; 0.80 is customary.
    Returns: both stages [m3 and kg, in the field names].
    Source: common practice, no source; 80 % then 20 %.
    """
    positive(methanol_m3=methanol_m3, catalyst_kg=catalyst_kg)
    within("first_share", first_share, 0.5, 0.95)
    first = StageDose(first_share * methanol_m3, first_share * catalyst_kg)
    return first, StageDose(methanol_m3 - first.methanol_m3, catalyst_kg - first.catalyst_kg)


def sulfuric_acid_volume_m3(acid_pure_kg: float) -> float:
    """Volume of 96 % sulfuric acid at 20 °C that holds a mass of pure acid.

    Equation: V = m / (0.96 * 1836).
    Args:
        acid_pure_kg: pure sulfuric acid [kg], 0 or more.
    Returns: volume of the concentrated acid [m3].
    Source: from memory; density of 96 % sulfuric acid at 20 °C, handbook value.
    """
    not_negative(acid_pure_kg=acid_pure_kg)
    return acid_pure_kg / (ACID_STRENGTH_FRACTION * SULFURIC_ACID_96_KG_M3)


def methanol_to_acid_ratio(methanol_kg: float, ffa_mass_kg: float) -> float:
    """Moles of methanol per mole of free fatty acid in an acid pretreatment; about 20 is customary.

    Equation: r = (m_MeOH / M_MeOH) / (m_FFA / M_oleic).
    Args:
        methanol_kg: methanol [kg], 0 or more.
        ffa_mass_kg: free fatty acid as oleic [kg], above 0.
    Returns: molar ratio [mol/mol].
    Source: derived; amount of substance.
    """
    not_negative(methanol_kg=methanol_kg)
    positive(ffa_mass_kg=ffa_mass_kg)
    return (methanol_kg / METHANOL_KG_KMOL) / (ffa_mass_kg / OLEIC_ACID_KG_KMOL)


def acid_rounds(ffa: float, left_share: float, target_ffa: float) -> int:
    """How many acid pretreatments bring an oil below a free fatty acid content; water stops each one.

    Equation: least n with FFA s^n <= target.
    Args:
        ffa: free fatty acid at the start [kg/kg], 0 to 1.
        left_share: share of the acid left after one round [fraction], 0.01 to 0.9; found by titration.
        target_ffa: free fatty acid wanted [kg/kg], 0.001 to 0.05; 0.01 before a base stage.
    Returns: rounds [1]; titrate after each, this is only the plan.
    Source: derived; equal share each round. Two rounds published: Canakci and Van Gerpen 2001.
    """
    fractions(ffa=ffa)
    within("left_share", left_share, 0.01, 0.9)
    within("target_ffa", target_ffa, 0.001, 0.05)
    rounds = 0
    while ffa * left_share**rounds > target_ffa:
        rounds += 1
    return rounds
