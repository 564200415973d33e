"""Doses: catalyst, methanol, a second go at a batch that failed its test, acid pretreatment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.ranges import fractions, not_negative, positive, within
from generator.chemistry.species import (
    BASE_KG_KMOL,
    METHANOL_KG_KMOL,
    OLEIC_ACID_KG_KMOL,
    SULFURIC_ACID_KG_KMOL,
    WATER_KG_KMOL,
    Base,
)
from generator.chemistry.titration import Titrant

# Acid pretreatment, kg per kg of free fatty acid (from memory: NREL/SR-510-36244; the 2.25 is 19.8 mol/mol).
_METHANOL_PER_FFA: Final = 2.25
_ACID_PER_FFA: Final = 0.05
#: Sulfuric acid of 96 % at 20 °C (from memory, handbook value).
SULFURIC_ACID_96_KG_M3: Final = 1836.0


def catalyst_dose_kg_per_m3(
    base: Base, base_rate_fraction: float, oil_density_kg_m3: float, ffa: float, purity_fraction: float
) -> float:
    """Catalyst as weighed per volume of oil, from the oil's free fatty acid.

    Equation: c = (b rho + FFA rho M_base / M_oleic) / p.
    Args:
        base: catalyst [KOH or NaOH].
        base_rate_fraction: pure base for the reaction itself per mass of oil [kg/kg], 0.002 to 0.02.
        oil_density_kg_m3: density of the oil at the temperature its volume is measured [kg/m3], 830 to 970.
        ffa: free fatty acid as oleic [kg/kg], 0 to 0.15.
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1.
    Returns: flake per volume of oil [kg/m3], the same number in g/L.
    Source: derived; one mole of base per mole of acid on top of the base rate, which is published (1 % KOH
        at 6:1: Devaraj et al. 2020, Alarcón et al. 2017).
    """
    within("ffa", ffa, 0.0, 0.15)
    neutralising = ffa * oil_density_kg_m3 * BASE_KG_KMOL[base] / OLEIC_ACID_KG_KMOL
    return (_reaction_base(base_rate_fraction, oil_density_kg_m3) + neutralising) / _purity(purity_fraction)


def catalyst_dose_from_titration_kg_per_m3(
    catalyst: Base,
    base_rate_fraction: float,
    oil_density_kg_m3: float,
    purity_fraction: float,
    titration_ml: float,
    sample_ml: float,
    titrant: Titrant,
) -> float:
    """Catalyst as weighed per volume of oil, straight from the burette reading.

    Equation: c = (b rho + V g p_titrant / v_sample * M_catalyst / M_titrant) / p. With a titrant made from
    the batch's own flake p_titrant = p and the titration part becomes V, not V / p: dividing again would
    overdose.
    Args:
        catalyst: base put into the batch [KOH or NaOH].
        base_rate_fraction: pure base for the reaction itself per mass of oil [kg/kg], 0.002 to 0.02.
        oil_density_kg_m3: density of the oil at the temperature its volume is measured [kg/m3], 830 to 970.
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1.
        titration_ml: titrant used, blank taken off [mL], 0 to 50.
        sample_ml: oil titrated [mL], 0.1 to 100.
        titrant: what the burette holds [kg/kg and g/L, in the field names].
    Returns: flake per volume of oil [kg/m3], the same number in g/L.
    Source: derived; equal moles in the flask and in the batch.
    """
    within("titration_ml", titration_ml, 0.0, 50.0)
    within("sample_ml", sample_ml, 0.1, 100.0)
    pure_titrant = titration_ml * titrant.strength_g_per_l * titrant.purity_fraction / sample_ml
    neutralising = pure_titrant * BASE_KG_KMOL[catalyst] / BASE_KG_KMOL[titrant.base]
    return (_reaction_base(base_rate_fraction, oil_density_kg_m3) + neutralising) / _purity(purity_fraction)


def _reaction_base(base_rate_fraction: float, oil_density_kg_m3: float) -> float:
    within("base_rate_fraction", base_rate_fraction, 0.002, 0.02)
    within("oil_density_kg_m3", oil_density_kg_m3, 830.0, 970.0)
    return base_rate_fraction * oil_density_kg_m3


def _purity(purity_fraction: float) -> float:
    return within("purity_fraction", purity_fraction, 0.5, 1.0)


def methanol_molar_ratio(
    methanol_fraction: float,
    oil_density_kg_m3: float,
    methanol_density_kg_m3: float,
    oil_molar_mass_kg_kmol: float,
) -> float:
    """Moles of methanol per mole of triglyceride that a dose by volume amounts to; 3 is the bare minimum.

    Equation: r = x (rho_MeOH / M_MeOH) / (rho_oil / M_TAG).
    Args:
        methanol_fraction: volume of methanol per volume of oil [m3/m3], 0 to 1.
        oil_density_kg_m3: density of the oil at the temperature its volume is measured [kg/m3], above 0.
        methanol_density_kg_m3: density of methanol at the temperature its volume is measured [kg/m3],
            above 0.
        oil_molar_mass_kg_kmol: molar mass of the oil's triglyceride [kg/kmol], above 0.
    Returns: molar ratio [mol/mol].
    Source: derived; amount of substance.
    """
    fractions(methanol_fraction=methanol_fraction)
    moles = _methanol_moles(oil_density_kg_m3, methanol_density_kg_m3, oil_molar_mass_kg_kmol)
    return methanol_fraction * moles


def methanol_volume_fraction(
    molar_ratio: float,
    oil_density_kg_m3: float,
    methanol_density_kg_m3: float,
    oil_molar_mass_kg_kmol: float,
) -> float:
    """Volume of methanol per volume of oil that gives a molar ratio.

    Equation: x = r (M_MeOH / rho_MeOH) (rho_oil / M_TAG).
    Args:
        molar_ratio: moles of methanol per mole of triglyceride [mol/mol], 0 to 30.
        oil_density_kg_m3: density of the oil at the temperature its volume is measured [kg/m3], above 0.
        methanol_density_kg_m3: density of methanol at the temperature its volume is measured [kg/m3],
            above 0.
        oil_molar_mass_kg_kmol: molar mass of the oil's triglyceride [kg/kmol], above 0.
    Returns: methanol volume per oil volume [m3/m3].
    Source: derived; inverse of the molar ratio.
    """
    within("molar_ratio", molar_ratio, 0.0, 30.0)
    return molar_ratio / _methanol_moles(oil_density_kg_m3, methanol_density_kg_m3, oil_molar_mass_kg_kmol)


def _methanol_moles(
    oil_density_kg_m3: float, methanol_density_kg_m3: float, oil_molar_mass_kg_kmol: float
) -> float:
    positive(oil_density_kg_m3=oil_density_kg_m3, methanol_density_kg_m3=methanol_density_kg_m3)
    positive(oil_molar_mass_kg_kmol=oil_molar_mass_kg_kmol)
    return (methanol_density_kg_m3 / METHANOL_KG_KMOL) / (oil_density_kg_m3 / oil_molar_mass_kg_kmol)


@dataclass(frozen=True)
class SecondDose:
    """Methanol and flake for a second reaction of a batch that failed its test, glycerin drained first."""

    methanol_m3: float
    catalyst_kg: float


def second_dose(
    oil_volume_m3: float,
    oil_density_kg_m3: float,
    base_rate_fraction: float,
    purity_fraction: float,
    methanol_fraction: float,
    base_share: float,
) -> SecondDose:
    """Charge for reacting a batch again after its glycerin has been drained.

    Equation: V_MeOH = x V_oil; flake = s b rho V_oil / p. The acid is already neutralised, so no titration
    part.
    Args:
        oil_volume_m3: oil the batch began with [m3], above 0.
        oil_density_kg_m3: density of that oil [kg/m3], 830 to 970.
        base_rate_fraction: pure base of the first dose per mass of oil [kg/kg], 0.002 to 0.02.
        purity_fraction: pure base in the flake [kg/kg], 0.5 to 1.
        methanol_fraction: methanol per volume of oil [m3/m3], 0.05 to 0.10.
        base_share: share of the first reaction dose [fraction], 0.10 to 0.20.
    Returns: methanol and flake [m3 and kg, in the field names].
    Source: common practice, no source; 5 to 10 % methanol and 10 to 20 % of the base.
    """
    positive(oil_volume_m3=oil_volume_m3)
    within("methanol_fraction", methanol_fraction, 0.05, 0.10)
    within("base_share", base_share, 0.10, 0.20)
    pure = base_share * _reaction_base(base_rate_fraction, oil_density_kg_m3) * oil_volume_m3
    return SecondDose(methanol_fraction * oil_volume_m3, pure / _purity(purity_fraction))


@dataclass(frozen=True)
class AcidPretreatment:
    """Charge of an acid pretreatment, the water it makes, and the base that acid left behind would use up."""

    methanol_kg: float
    acid_pure_kg: float
    water_formed_kg: float
    extra_base_pure_kg: float


def acid_pretreatment(ffa_mass_kg: float, base: Base) -> AcidPretreatment:
    """Methanol and sulfuric acid that turn free fatty acid into ester before the base step.

    Equation: methanol 2.25 m_FFA, acid 0.05 m_FFA, water m_FFA M_water / M_oleic, base 2 mol per mol acid.
    Args:
        ffa_mass_kg: free fatty acid in the batch as oleic [kg], 0 or more.
        base: catalyst of the base step that follows [KOH or NaOH].
    Returns: masses [kg, in the field names]; the extra base is the worst case, all acid staying in the oil.
    Source: from memory; doses of NREL/SR-510-36244 (Van Gerpen et al. 2004); water and base derived.
    """
    not_negative(ffa_mass_kg=ffa_mass_kg)
    acid = _ACID_PER_FFA * ffa_mass_kg
    return AcidPretreatment(
        methanol_kg=_METHANOL_PER_FFA * ffa_mass_kg,
        acid_pure_kg=acid,
        water_formed_kg=ffa_mass_kg * WATER_KG_KMOL / OLEIC_ACID_KG_KMOL,
        extra_base_pure_kg=2.0 * acid * BASE_KG_KMOL[base] / SULFURIC_ACID_KG_KMOL,
    )
