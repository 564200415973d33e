"""Mass balance of one batch, from the charge to the two layers that settle out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from generator.chemistry.density import (
    glycerol_density_kg_m3,
    methanol_density_kg_m3,
    water_density_kg_m3,
)
from generator.chemistry.ranges import OutOfRange, fractions, positive, within
from generator.chemistry.species import (
    BASE_KG_KMOL,
    GLYCEROL_KG_KMOL,
    METHANOL_KG_KMOL,
    OLEIC_ACID_KG_KMOL,
    SOAP_KG_KMOL,
    WATER_KG_KMOL,
    Base,
    methyl_ester_molar_mass_kg_kmol,
)

# Densities at 20 °C for the volume of the glycerin phase, kg/m3. Soap and dissolved base have no liquid
# density of their own: values in common practice, no source.
_DENSITY: Final = {
    "glycerol": glycerol_density_kg_m3(20.0),
    "methanol": methanol_density_kg_m3(20.0),
    "soap": 1000.0,
    "base": 2040.0,
    "water": water_density_kg_m3(20.0),
}
# Shares that go to the glycerin layer (from memory: Zhou and Boocock, JAOCS 83 (2006); soap common practice).
SOAP_SHARE_IN_GLYCERIN: Final = 0.90
BASE_SHARE_IN_GLYCERIN: Final = 0.94
#: Share of the excess methanol that stays in the ester layer (from memory: Zhou and Boocock 2006; 0.25 to
#: 0.45).
METHANOL_SHARE_IN_ESTER: Final = 0.42
#: Conversion assumed for a batch that passes its test (common practice, no source; 0.90 to 0.995).
CONVERSION: Final = 0.98


@dataclass(frozen=True)
class Charge:
    """What goes into one batch. Water is water dissolved in the oil; the flake's own water comes from its
    purity.
    """

    oil_kg: float
    ffa: float
    water_fraction: float
    methanol_kg: float
    catalyst: Base
    catalyst_kg: float
    purity_fraction: float
    oil_molar_mass_kg_kmol: float


@dataclass(frozen=True)
class BatchBalance:
    """What a batch turns into: whole batch first, then the two layers."""

    charged_kg: float
    ester_kg: float
    glycerol_kg: float
    unreacted_oil_kg: float
    soap_least_kg: float
    soap_most_kg: float
    free_base_kg: float
    water_kg: float
    methanol_used_kg: float
    methanol_excess_kg: float
    methanol_in_ester_kg: float
    methanol_in_glycerin_kg: float
    ester_layer_kg: float
    methanol_fraction_of_ester_layer: float
    glycerin_layer_kg: float
    glycerin_layer_m3: float
    glycerol_fraction_of_glycerin_layer: float
    methanol_fraction_of_glycerin_layer: float

    @property
    def products_kg(self) -> float:
        """Sum of all products [kg]; equals ``charged_kg`` to rounding error."""
        return math.fsum(
            (
                self.ester_kg,
                self.glycerol_kg,
                self.unreacted_oil_kg,
                self.soap_least_kg,
                self.free_base_kg,
                self.water_kg,
                self.methanol_excess_kg,
            )
        )

    @property
    def glycerin_layer_density_kg_m3(self) -> float:
        """Density of the glycerin layer at 20 °C [kg/m3]."""
        return self.glycerin_layer_kg / self.glycerin_layer_m3


def batch_balance(charge: Charge, conversion: float, methanol_share_in_ester: float) -> BatchBalance:
    """Products of a base-catalysed batch and how they share out between the layers.

    Equation: n = (m_oil - m_FFA - m_water) / M_TAG; ester 3 n X M_FAME, glycerol n X M_gly, methanol used
    3 n X M_MeOH; soap (least) = m_FFA M_soap / M_oleic; soap (most) adds all free base as soap. The
    glycerin layer takes all glycerol and water, 90 % of the soap, 94 % of the free base and the rest of
    the excess methanol; its volume is the sum of m_i / rho_i at 20 °C.
    Args:
        charge: what goes in [kg and fractions, in the field names]; ffa 0 to 0.15, water 0 to 0.01.
        conversion: share of the triglyceride that reacts [fraction], 0.90 to 0.995.
        methanol_share_in_ester: share of the excess methanol that stays in the ester layer [fraction],
            0.25 to 0.45.
    Returns: the balance [kg, m3 and fractions, in the field names]. Losses to emulsion, drained ester and
        washing are not in it (2 to 8 % in common practice). Raises ``OutOfRange`` where the methanol or
        the base charged is less than the reaction itself uses.
    Source: derived; stoichiometry. Layer shares from memory, Zhou and Boocock, JAOCS 83 (2006).
    """
    _check(charge, conversion, methanol_share_in_ester)
    base_mass, soap_mass = BASE_KG_KMOL[charge.catalyst], SOAP_KG_KMOL[charge.catalyst]
    acid_kmol = charge.oil_kg * charge.ffa / OLEIC_ACID_KG_KMOL
    oil_water = charge.oil_kg * charge.water_fraction
    triglyceride = charge.oil_kg - acid_kmol * OLEIC_ACID_KG_KMOL - oil_water
    reacted_kmol = conversion * triglyceride / charge.oil_molar_mass_kg_kmol

    pure_base = charge.catalyst_kg * charge.purity_fraction
    free_base = _left("catalyst_kg", pure_base, acid_kmol * base_mass)
    used = 3.0 * reacted_kmol * METHANOL_KG_KMOL
    excess = _left("methanol_kg", charge.methanol_kg, used)
    soap = acid_kmol * soap_mass
    water = acid_kmol * WATER_KG_KMOL + (charge.catalyst_kg - pure_base) + oil_water
    ester = 3.0 * reacted_kmol * methyl_ester_molar_mass_kg_kmol(charge.oil_molar_mass_kg_kmol)
    glycerol = reacted_kmol * GLYCEROL_KG_KMOL
    unreacted = triglyceride - reacted_kmol * charge.oil_molar_mass_kg_kmol

    in_ester = methanol_share_in_ester * excess
    layer = {
        "glycerol": glycerol,
        "methanol": excess - in_ester,
        "soap": SOAP_SHARE_IN_GLYCERIN * soap,
        "base": BASE_SHARE_IN_GLYCERIN * free_base,
        "water": water,
    }
    glycerin_layer = math.fsum(layer.values())
    charged = charge.oil_kg + charge.methanol_kg + charge.catalyst_kg
    return BatchBalance(
        charged_kg=charged,
        ester_kg=ester,
        glycerol_kg=glycerol,
        unreacted_oil_kg=unreacted,
        soap_least_kg=soap,
        soap_most_kg=soap + free_base * soap_mass / base_mass,
        free_base_kg=free_base,
        water_kg=water,
        methanol_used_kg=used,
        methanol_excess_kg=excess,
        methanol_in_ester_kg=in_ester,
        methanol_in_glycerin_kg=excess - in_ester,
        ester_layer_kg=charged - glycerin_layer,
        methanol_fraction_of_ester_layer=in_ester / (charged - glycerin_layer),
        glycerin_layer_kg=glycerin_layer,
        glycerin_layer_m3=math.fsum(mass / _DENSITY[name] for name, mass in layer.items()),
        glycerol_fraction_of_glycerin_layer=glycerol / glycerin_layer,
        methanol_fraction_of_glycerin_layer=(excess - in_ester) / glycerin_layer,
    )


def _check(charge: Charge, conversion: float, methanol_share_in_ester: float) -> None:
    positive(oil_kg=charge.oil_kg, methanol_kg=charge.methanol_kg, catalyst_kg=charge.catalyst_kg)
    within("ffa", charge.ffa, 0.0, 0.15)
    within("water_fraction", charge.water_fraction, 0.0, 0.01)
    fractions(purity_fraction=charge.purity_fraction)
    within("conversion", conversion, 0.90, 0.995)
    within("methanol_share_in_ester", methanol_share_in_ester, 0.25, 0.45)


def _left(argument: str, charged_kg: float, used_kg: float) -> float:
    """What is left of a charge after the reaction took its part; a shortage is an error, not a negative
    mass.
    """
    if charged_kg < used_kg:
        raise OutOfRange(argument, charged_kg, used_kg, math.inf)
    return charged_kg - used_kg
