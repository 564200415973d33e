"""Specific heats and the latent heat of methanol."""

from __future__ import annotations

from typing import Final

from generator.chemistry.ranges import within

#: Carbon and stainless steel, ordinary temperatures (from memory; handbooks give 460 to 500).
STEEL_SPECIFIC_HEAT_J_KGK: Final = 480.0


def oil_specific_heat_j_kgk(temperature_c: float) -> float:
    """Specific heat of vegetable oil or fat.

    Equation: cp = 1984.2 + 1.4733 T - 4.8008e-3 T^2.
    Args:
        temperature_c: temperature [°C], -40 to 150.
    Returns: specific heat [J/kgK].
    Source: published; Choi and Okos (1986), fat component.
    """
    t = within("temperature_c", temperature_c, -40.0, 150.0)
    return 1984.2 + 1.4733 * t - 4.8008e-3 * t**2


def ester_specific_heat_j_kgk(temperature_c: float) -> float:
    """Specific heat of methyl ester.

    Equation: cp = 2251.6 - 0.384260 T + 0.0115716 T^2.
    Args:
        temperature_c: temperature [°C], 15 to 70.
    Returns: specific heat [J/kgK]; calorimetry often gives 1900 to 2200, so take it as known to 10 %.
    Source: library-computed; CoolProp, mass-weighted soy esters.
    """
    t = within("temperature_c", temperature_c, 15.0, 70.0)
    return 2251.63401 - 0.384259702 * t + 0.0115715974 * t**2


def methanol_specific_heat_j_kgk(temperature_c: float) -> float:
    """Specific heat of liquid methanol.

    Equation: cp = 2400.76 + 4.56902 T + 0.0313590 T^2.
    Args:
        temperature_c: temperature [°C], 0 to 65.
    Returns: specific heat [J/kgK], within 0.3 J/kgK of the library.
    Source: library-computed; polynomial through CoolProp's Methanol.
    """
    t = within("temperature_c", temperature_c, 0.0, 65.0)
    return 2400.76369 + 4.56901772 * t + 0.0313589938 * t**2


def glycerol_specific_heat_j_kgk(temperature_c: float) -> float:
    """Specific heat of pure glycerol.

    Equation: cp = 2242.5 + 5.175 T.
    Args:
        temperature_c: temperature [°C], 15 to 70.
    Returns: specific heat [J/kgK], within 1 J/kgK of the library's values at 20, 40, 55 and 60 °C.
    Source: library-computed; straight line through the chemicals library's Zabransky correlation.
    """
    within("temperature_c", temperature_c, 15.0, 70.0)
    return 2242.5 + 5.175 * temperature_c


def water_specific_heat_j_kgk(temperature_c: float) -> float:
    """Specific heat of liquid water.

    Equation: cp = 4182, a constant.
    Args:
        temperature_c: temperature [°C], 10 to 80.
    Returns: specific heat [J/kgK], within 0.4 %.
    Source: library-computed; CoolProp's Water runs from 4178 to 4197 over the range.
    """
    within("temperature_c", temperature_c, 10.0, 80.0)
    return 4182.0


def methanol_latent_heat_j_kg(temperature_c: float) -> float:
    """Heat that turns liquid methanol into vapour.

    Equation: dH = 1204877 - 1319.710 T - 4.45655 T^2.
    Args:
        temperature_c: temperature [°C], 0 to 65.
    Returns: latent heat [J/kg], within 250 J/kg of the library.
    Source: library-computed; polynomial through CoolProp's Methanol.
    """
    t = within("temperature_c", temperature_c, 0.0, 65.0)
    return 1204876.72 - 1319.70952 * t - 4.45654621 * t**2
