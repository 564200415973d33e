"""What the mass balance leaves open: water and soap at their worst, fuel lost on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry.ranges import not_negative, within
from generator.chemistry.species import BASE_KG_KMOL, SOAP_KG_KMOL, WATER_KG_KMOL, Base

#: Fuel lost to emulsion, drained ester and washing (common practice, no source).
LEAST_LOSS_FRACTION: Final = 0.02
MOST_LOSS_FRACTION: Final = 0.08


@dataclass(frozen=True)
class WaterHarm:
    """The worst a mass of water can do: pure base it uses up, soap it makes."""

    base_pure_kg: float
    soap_kg: float


def water_harm(water_kg: float, base: Base) -> WaterHarm:
    """Base used up and soap made if all the water splits ester and the base neutralises the acid.

    Equation: n = m / M_water; base n M_base, soap n M_soap.
    Args:
        water_kg: water in the oil [kg], 0 or more.
        base: catalyst [KOH or NaOH].
    Returns: masses [kg, in the field names]; the worst case, more than is seen in practice.
    Source: derived; one mole of base and of soap per mole of water.
    """
    not_negative(water_kg=water_kg)
    kmol = water_kg / WATER_KG_KMOL
    return WaterHarm(kmol * BASE_KG_KMOL[base], kmol * SOAP_KG_KMOL[base])


def methoxide_water_kg(base_pure_kg: float, base: Base) -> float:
    """Water that a base makes when it turns into methoxide completely.

    Equation: m = m_base M_water / M_base.
    Args:
        base_pure_kg: pure base [kg], 0 or more.
        base: base dissolved [KOH or NaOH].
    Returns: water [kg], the most there can be: it is an equilibrium.
    Source: derived; MOH + CH3OH = CH3OM + H2O.
    """
    not_negative(base_pure_kg=base_pure_kg)
    return base_pure_kg * WATER_KG_KMOL / BASE_KG_KMOL[base]


def water_range_kg(balance_water_kg: float, free_base_kg: float, base: Base) -> tuple[float, float]:
    """Least and most water in a batch's products.

    Equation: from the balance; to that plus the free base's water as methoxide.
    Args:
        balance_water_kg: water of the mass balance [kg], 0 or more.
        free_base_kg: pure base not used up by acid [kg], 0 or more.
        base: catalyst [KOH or NaOH].
    Returns: least and most [kg].
    Source: derived; stoichiometry.
    """
    not_negative(balance_water_kg=balance_water_kg)
    return balance_water_kg, balance_water_kg + methoxide_water_kg(free_base_kg, base)


def expected_fuel_m3(fuel_m3: float, least_loss: float, most_loss: float) -> tuple[float, float]:
    """Fuel to be expected after losses that the mass balance does not know.

    Equation: V (1 - most loss) to V (1 - least loss).
    Args:
        fuel_m3: fuel by the mass balance [m3], 0 or more.
        least_loss: least share lost [fraction], 0 to most_loss; 0.02 is customary.
        most_loss: greatest share lost [fraction], least_loss to 0.5; 0.08 is customary.
    Returns: least and most fuel [m3].
    Source: common practice, no source; 2 to 8 % to emulsion, drained ester and washing.
    """
    not_negative(fuel_m3=fuel_m3)
    within("most_loss", most_loss, 0.0, 0.5)
    within("least_loss", least_loss, 0.0, most_loss)
    return fuel_m3 * (1.0 - most_loss), fuel_m3 * (1.0 - least_loss)
