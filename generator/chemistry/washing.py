"""Cleaning the ester: water washing, drying, ion-exchange resin."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry.ranges import not_negative, positive, within
from generator.chemistry.species import BASE_KG_KMOL, SOAP_KG_KMOL, Base

#: Resin volumes of fuel per volume of bed until the limit (published: Wall, Van Gerpen and Thompson 2011).
GLYCERIN_BED_VOLUMES: Final = 200.0
SOAP_BED_VOLUMES: Final = 550.0


def washed_share(washes: int, water_fraction: float, distribution: float) -> float:
    """Share of a water-soluble impurity left after a number of equal washes.

    Equation: c / c0 = 1 / (1 + D phi)^n.
    Args:
        washes: number of washes [1], 0 to 20.
        water_fraction: water per volume of fuel in each wash [m3/m3], 0.01 to 2.
        distribution: concentration in water over concentration in fuel, D [1], 1 to 1000; 10 or more for
            methanol.
    Returns: share left [fraction].
    Source: derived; equilibrium stages. D is common practice, no source.
    """
    within("washes", washes, 0, 20)
    within("water_fraction", water_fraction, 0.01, 2.0)
    within("distribution", distribution, 1.0, 1000.0)
    return float((1.0 + distribution * water_fraction) ** -washes)


def washes_needed(share_wanted: float, water_fraction: float, distribution: float) -> int:
    """Number of equal washes that bring a water-soluble impurity down to a share.

    Equation: n = ceil[ln(1 / s) / ln(1 + D phi)].
    Args:
        share_wanted: share that may be left [fraction], 1e-6 to 1.
        water_fraction: water per volume of fuel in each wash [m3/m3], 0.01 to 2.
        distribution: concentration in water over concentration in fuel, D [1], 1 to 1000.
    Returns: washes [1].
    Source: derived; equilibrium stages. D is common practice, no source.
    """
    within("share_wanted", share_wanted, 1e-6, 1.0)
    within("water_fraction", water_fraction, 0.01, 2.0)
    within("distribution", distribution, 1.0, 1000.0)
    return math.ceil(-math.log(share_wanted) / math.log1p(distribution * water_fraction) - 1e-9)


def wash_water_m3(fuel_m3: float, water_fraction: float, washes: int) -> float:
    """Water that all washes of a batch take.

    Equation: V = n phi V_fuel.
    Args:
        fuel_m3: fuel [m3], 0 or more.
        water_fraction: water per volume of fuel in each wash [m3/m3], 0.01 to 2.
        washes: number of washes [1], 0 to 20.
    Returns: water [m3]; it is waste and holds methanol and soap.
    Source: derived; definition.
    """
    not_negative(fuel_m3=fuel_m3)
    within("water_fraction", water_fraction, 0.01, 2.0)
    within("washes", washes, 0, 20)
    return washes * water_fraction * fuel_m3


def water_to_remove_kg(fuel_kg: float, start_fraction: float, end_fraction: float) -> float:
    """Water to be dried out of fuel.

    Equation: m = m_fuel (w1 - w2).
    Args:
        fuel_kg: fuel [kg], 0 or more.
        start_fraction: water at the start [kg/kg], end_fraction to 0.05.
        end_fraction: water wanted [kg/kg], 0 or more.
    Returns: water [kg].
    Source: derived; definition.
    """
    not_negative(fuel_kg=fuel_kg, end_fraction=end_fraction)
    within("start_fraction", start_fraction, end_fraction, 0.05)
    return fuel_kg * (start_fraction - end_fraction)


def bed_life_soap_m3(
    bed_m3: float,
    capacity_mol_l: float,
    soap: Base,
    fuel_density_kg_m3: float,
    inlet_fraction: float,
    outlet_fraction: float,
) -> float:
    """Fuel an ion-exchange bed can clean of soap before it is used up.

    Equation: V = V_bed cap M_soap / (rho (S_in - S_out)).
    Args:
        bed_m3: wet resin [m3], above 0.
        capacity_mol_l: capacity of the resin [mol/L of bed], 0.1 to 5.
        soap: the soap's base [KOH or NaOH].
        fuel_density_kg_m3: density of the fuel [kg/m3], 800 to 920.
        inlet_fraction: soap going in [kg/kg], above outlet_fraction to 0.01.
        outlet_fraction: soap coming out [kg/kg], 0 or more.
    Returns: fuel [m3]. Glycerin often ends the run sooner: see the life by glycerin.
    Source: derived; one mole of soap takes one site.
    """
    positive(bed_m3=bed_m3)
    not_negative(outlet_fraction=outlet_fraction)
    within("capacity_mol_l", capacity_mol_l, 0.1, 5.0)
    within("fuel_density_kg_m3", fuel_density_kg_m3, 800.0, 920.0)
    within("inlet_fraction", inlet_fraction, math.nextafter(outlet_fraction, 1.0), 0.01)
    soap_kg = bed_m3 * capacity_mol_l * SOAP_KG_KMOL[soap]
    return soap_kg / (fuel_density_kg_m3 * (inlet_fraction - outlet_fraction))


def bed_life_glycerin_m3(bed_m3: float) -> float:
    """Fuel a resin bed can clean of free glycerin from 0.08 to below 0.02 % before a methanol rinse.

    Equation: V = 200 V_bed.
    Args:
        bed_m3: wet resin [m3], above 0.
    Returns: fuel [m3].
    Source: published; Wall, Van Gerpen and Thompson, Trans. ASABE 54(2) (2011), 200 bed volumes.
    """
    positive(bed_m3=bed_m3)
    return GLYCERIN_BED_VOLUMES * bed_m3


def bed_flow_m3s(bed_m3: float, bed_volumes_per_hour: float) -> float:
    """Flow through a resin bed at a number of bed volumes an hour.

    Equation: Q = n V_bed / 3600.
    Args:
        bed_m3: wet resin [m3], above 0.
        bed_volumes_per_hour: bed volumes an hour [1/h], 1 to 10; 2 to 5 is customary.
    Returns: flow [m3/s].
    Source: common practice, no source; 2 to 5 bed volumes an hour.
    """
    positive(bed_m3=bed_m3)
    within("bed_volumes_per_hour", bed_volumes_per_hour, 1.0, 10.0)
    return bed_volumes_per_hour * bed_m3 / 3600.0


def acid_value_added_mg_g(soap: Base, soap_removed_fraction: float) -> float:
    """Acid value that a resin gives the fuel: each soap taken out leaves its fatty acid behind.

    Equation: dAV = 1000 S M_KOH / M_soap.
    Args:
        soap: the soap's base [KOH or NaOH].
        soap_removed_fraction: soap removed [kg/kg], 0 to 0.01.
    Returns: acid value added [mg KOH per g]; the limit for the fuel is 0.50.
    Source: derived; mole for mole. University of Idaho Biodiesel TechNote 10 (2010) states the effect.
    """
    within("soap_removed_fraction", soap_removed_fraction, 0.0, 0.01)
    return 1000.0 * soap_removed_fraction * BASE_KG_KMOL["KOH"] / SOAP_KG_KMOL[soap]
