"""Life of an ion-exchange bed in fuel and batches, and the soap the fuel's acid value allows before it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from generator.chemistry.ranges import positive, within
from generator.chemistry.species import SOAP_KG_KMOL, Base
from generator.chemistry.washing import acid_value_added_mg_g, bed_life_glycerin_m3, bed_life_soap_m3

#: Free glycerin into and out of the bed whose life was published (Wall, Van Gerpen and Thompson 2011).
GLYCERIN_IN_FRACTION: Final = 0.0008
GLYCERIN_OUT_FRACTION: Final = 0.0002
#: Soap into resin that practice does not pass (common practice, no source).
SOAP_MOST_FRACTION: Final = 0.0020


@dataclass(frozen=True)
class BedLife:
    """Fuel until soap and until glycerin end the run, which comes first, and whole batches by then."""

    soap_m3: float
    glycerin_m3: float
    fuel_m3: float
    batches: int
    ended_by: Literal["soap", "glycerin"]


def bed_life(
    bed_m3: float,
    capacity_mol_l: float,
    soap: Base,
    fuel_density_kg_m3: float,
    soap_fractions: tuple[float, float],
    glycerin_in_fraction: float,
    batch_m3: float,
) -> BedLife:
    """Fuel and batches a bed cleans until soap or glycerin ends the run, whichever comes first.

    Equation: min of both lives; the published 200 bed volumes are shortened where more glycerin comes in than
    the 0.08 % of that work, never lengthened where less does; batches rounded down.
    Args:
        bed_m3: wet resin [m3], above 0.
        capacity_mol_l: capacity of the resin [mol/L of bed], 0.1 to 5.
        soap: the soap's base [KOH or NaOH].
        fuel_density_kg_m3: density of the fuel [kg/m3], 800 to 920.
        soap_fractions: soap going in and coming out [kg/kg], in above out, to 0.01.
        glycerin_in_fraction: free glycerin going in [kg/kg], 0 to 0.01.
        batch_m3: fuel of one batch [m3], above 0.
    Returns: lives, batches and what ended the run [m3 and 1, in the field names].
    Source: published; Wall, Van Gerpen and Thompson, Trans. ASABE 54(2) (2011), for glycerin; soap derived.
    """
    positive(batch_m3=batch_m3)
    within("glycerin_in_fraction", glycerin_in_fraction, 0.0, 0.01)
    by_soap = bed_life_soap_m3(bed_m3, capacity_mol_l, soap, fuel_density_kg_m3, *soap_fractions)
    usual = GLYCERIN_IN_FRACTION - GLYCERIN_OUT_FRACTION
    shortened = min(1.0, usual / max(glycerin_in_fraction - GLYCERIN_OUT_FRACTION, usual))
    by_glycerin = bed_life_glycerin_m3(bed_m3) * shortened
    fuel = min(by_soap, by_glycerin)
    batches = math.floor(fuel / batch_m3 * (1.0 + 1e-12))
    return BedLife(by_soap, by_glycerin, fuel, batches, "soap" if by_soap < by_glycerin else "glycerin")


def soap_allowed_fraction(acid_value_mg_g: float, limit_mg_g: float, soap: Base) -> float:
    """Most soap that may go into resin before the acid it leaves behind passes the fuel's acid value limit.

    Equation: S = (AV_limit - AV_0) M_soap / (1000 M_KOH), and at most what practice allows, 2000 ppm.
    Args:
        acid_value_mg_g: acid value of the fuel before the resin [mg KOH per g], 0 or more.
        limit_mg_g: limit of the fuel [mg KOH per g], above 0 to 5; 0.50 in EN 14214 and ASTM D6751.
        soap: the soap's base [KOH or NaOH].
    Returns: soap [kg/kg], 0 where the fuel is at its limit already.
    Source: derived; mole for mole. University of Idaho Biodiesel TechNote 10 (2010) states the effect.
    """
    within("limit_mg_g", limit_mg_g, math.ulp(0.0), 5.0)
    within("acid_value_mg_g", acid_value_mg_g, 0.0, 100.0)
    per_ppm = acid_value_added_mg_g(soap, 1e-6)
    return min(SOAP_MOST_FRACTION, max(0.0, limit_mg_g - acid_value_mg_g) / per_ppm * 1e-6)


def capacity_from_run_mol_l(
    bed_volumes: float, soap: Base, fuel_density_kg_m3: float, inlet_fraction: float, outlet_fraction: float
) -> float:
    """Capacity of a resin from how many bed volumes of fuel it cleaned.

    Equation: cap = n rho (S_in - S_out) / M_soap.
    Args:
        bed_volumes: fuel per wet resin [m3/m3], above 0.
        soap: the soap's base [KOH or NaOH].
        fuel_density_kg_m3: density of the fuel [kg/m3], 800 to 920.
        inlet_fraction: soap going in [kg/kg], outlet_fraction to 0.01.
        outlet_fraction: soap coming out [kg/kg], 0 or more.
    Returns: capacity [mol/L of bed].
    Source: derived; one mole of soap takes one site.
    """
    positive(bed_volumes=bed_volumes)
    within("fuel_density_kg_m3", fuel_density_kg_m3, 800.0, 920.0)
    within("outlet_fraction", outlet_fraction, 0.0, 0.01)
    within("inlet_fraction", inlet_fraction, outlet_fraction, 0.01)
    return bed_volumes * fuel_density_kg_m3 * (inlet_fraction - outlet_fraction) / SOAP_KG_KMOL[soap]
