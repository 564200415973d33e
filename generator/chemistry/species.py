"""Molar masses, and the mean molar masses of an oil and its methyl esters."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, Literal

from generator.chemistry.ranges import within

Base = Literal["KOH", "NaOH"]

# Standard atomic weights in kg/kmol (library-computed: molmass), kept to the digits the library gives so that
# masses close to rounding error when a reaction is balanced by atoms.
_ATOM_KG_KMOL: Final[Mapping[str, float]] = {
    "C": 12.01074,
    "H": 1.007941,
    "O": 15.999405,
    "K": 39.0983,
    "Na": 22.98976928,
    "S": 32.0648,
}


def _mass(**atoms: int) -> float:
    return math.fsum(_ATOM_KG_KMOL[symbol] * count for symbol, count in atoms.items())


METHANOL_KG_KMOL: Final = _mass(C=1, H=4, O=1)
GLYCEROL_KG_KMOL: Final = _mass(C=3, H=8, O=3)
WATER_KG_KMOL: Final = _mass(H=2, O=1)
OLEIC_ACID_KG_KMOL: Final = _mass(C=18, H=34, O=2)
TRIOLEIN_KG_KMOL: Final = _mass(C=57, H=104, O=6)
METHYL_OLEATE_KG_KMOL: Final = _mass(C=19, H=36, O=2)
SULFURIC_ACID_KG_KMOL: Final = _mass(H=2, S=1, O=4)
BASE_KG_KMOL: Final[Mapping[Base, float]] = {"KOH": _mass(K=1, O=1, H=1), "NaOH": _mass(Na=1, O=1, H=1)}
SOAP_KG_KMOL: Final[Mapping[Base, float]] = {
    "KOH": _mass(C=18, H=33, O=2, K=1),
    "NaOH": _mass(C=18, H=33, O=2, Na=1),
}

#: Used oil of unknown make-up: middle of the usual oils (derived; spread 847 to 885 kg/kmol).
UNKNOWN_OIL_KG_KMOL: Final = 873.6

#: Fatty acids by carbon atoms : double bonds, as (C, H) of the free acid; O is always 2.
_FATTY_ACIDS: Final[Mapping[str, tuple[int, int]]] = {
    "12:0": (12, 24),
    "14:0": (14, 28),
    "16:0": (16, 32),
    "16:1": (16, 30),
    "18:0": (18, 36),
    "18:1": (18, 34),
    "18:2": (18, 32),
    "18:3": (18, 30),
    "20:0": (20, 40),
    "20:1": (20, 38),
    "22:1": (22, 42),
}


def fatty_acid_molar_mass_kg_kmol(mass_fractions: Mapping[str, float]) -> float:
    """Mean molar mass of the fatty acids of an oil.

    Equation: M_FA = sum(C_i) / sum(C_i / M_i); the fractions need not add up to exactly 1.
    Args:
        mass_fractions: share of each acid by mass, keyed "16:0", "18:1" and so on [kg/kg], total 0.9 to 1.1.
    Returns: mean molar mass [kg/kmol].
    Source: published; He and Pryor, Biodiesel from Oils and Fats, in Introduction to Biosystems
        Engineering (2020).
    """
    unknown = sorted(set(mass_fractions) - set(_FATTY_ACIDS))
    if unknown:
        raise ValueError(f"fatty acids not in the table: {', '.join(unknown)}")
    for name, share in mass_fractions.items():
        within(f"mass_fractions[{name}]", share, 0.0, 1.0)
    total = within("sum of mass_fractions", math.fsum(mass_fractions.values()), 0.9, 1.1)
    moles = math.fsum(
        share / _mass(C=_FATTY_ACIDS[name][0], H=_FATTY_ACIDS[name][1], O=2)
        for name, share in mass_fractions.items()
    )
    return total / moles


def triglyceride_molar_mass_kg_kmol(fatty_acid_kg_kmol: float) -> float:
    """Molar mass of the triglyceride of a mean fatty acid.

    Equation: M_TAG = 3 M_FA + M_glycerol - 3 M_water.
    Args:
        fatty_acid_kg_kmol: mean molar mass of the fatty acids [kg/kmol], 190 to 345.
    Returns: molar mass of the triglyceride [kg/kmol].
    Source: derived; condensation of three acids with glycerol.
    """
    within("fatty_acid_kg_kmol", fatty_acid_kg_kmol, 190.0, 345.0)
    return 3.0 * fatty_acid_kg_kmol + GLYCEROL_KG_KMOL - 3.0 * WATER_KG_KMOL


def methyl_ester_molar_mass_kg_kmol(oil_molar_mass_kg_kmol: float) -> float:
    """Mean molar mass of the methyl esters an oil gives, exact by balance of the reaction.

    Equation: M_FAME = (M_TAG + 3 M_methanol - M_glycerol) / 3.
    Args:
        oil_molar_mass_kg_kmol: molar mass of the oil's triglyceride [kg/kmol], 600 to 1100.
    Returns: molar mass of the ester [kg/kmol].
    Source: derived; triglyceride + 3 methanol = 3 ester + glycerol.
    """
    within("oil_molar_mass_kg_kmol", oil_molar_mass_kg_kmol, 600.0, 1100.0)
    return (oil_molar_mass_kg_kmol + 3.0 * METHANOL_KG_KMOL - GLYCEROL_KG_KMOL) / 3.0


def oil_molar_mass_from_analyses_kg_kmol(saponification_mg_g: float, acid_value_mg_g: float) -> float:
    """Molar mass of an oil's triglyceride from two analyses, where no fatty-acid profile is known.

    Equation: M_TAG = 3 * 1000 * M_KOH / (SV - AV).
    Args:
        saponification_mg_g: saponification value [mg KOH per g], 160 to 265.
        acid_value_mg_g: acid value [mg KOH per g], 0 to 40.
    Returns: molar mass of the triglyceride [kg/kmol].
    Source: derived; three moles of base saponify one mole of triglyceride.
    """
    within("saponification_mg_g", saponification_mg_g, 160.0, 265.0)
    within("acid_value_mg_g", acid_value_mg_g, 0.0, 40.0)
    return 3.0 * 1000.0 * BASE_KG_KMOL["KOH"] / (saponification_mg_g - acid_value_mg_g)
