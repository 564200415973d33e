"""Densities of the liquids against temperature."""

from __future__ import annotations

from typing import Final

from generator.chemistry.ranges import not_negative, within

#: Typical densities at 15 °C; the profile's own measured value goes first (published ranges, see functions).
OIL_DENSITY_15_KG_M3: Final = 920.0
ESTER_DENSITY_15_KG_M3: Final = 883.0

_OIL_SLOPE_KG_M3K: Final = 0.64
_ESTER_SLOPE_KG_M3K: Final = 0.72
_WATER_AT_15_C: Final = 999.10


def oil_density_kg_m3(temperature_c: float, density_15_kg_m3: float) -> float:
    """Density of a vegetable oil or liquid fat.

    Equation: rho = rho15 - 0.64 (T - 15).
    Args:
        temperature_c: temperature of the oil [°C], 15 to 110.
        density_15_kg_m3: density at 15 °C [kg/m3], 890 to 970; used frying oil is usually denser than fresh.
    Returns: density [kg/m3].
    Source: published; slope 0.00064 g/cm3 per K, Rodenbush et al., JAOCS 76 (1999) 1415; range measured by
        Noureddini et al., JAOCS 69 (1992).
    """
    within("temperature_c", temperature_c, 15.0, 110.0)
    within("density_15_kg_m3", density_15_kg_m3, 890.0, 970.0)
    return density_15_kg_m3 - _OIL_SLOPE_KG_M3K * (temperature_c - 15.0)


def oil_density_15_kg_m3(measured_kg_m3: float, temperature_c: float) -> float:
    """Density of an oil at 15 °C from a hydrometer reading at another temperature.

    Equation: rho15 = rho + 0.64 (T - 15).
    Args:
        measured_kg_m3: hydrometer reading [kg/m3], 830 to 970.
        temperature_c: temperature of the sample [°C], 15 to 110.
    Returns: density at 15 °C [kg/m3].
    Source: published; slope from Rodenbush et al., JAOCS 76 (1999) 1415.
    """
    within("measured_kg_m3", measured_kg_m3, 830.0, 970.0)
    within("temperature_c", temperature_c, 15.0, 110.0)
    return measured_kg_m3 + _OIL_SLOPE_KG_M3K * (temperature_c - 15.0)


def oil_density_15_from_analyses_kg_m3(saponification_mg_g: float, iodine_g_100g: float) -> float:
    """Density of a fresh oil at 15 °C from its analyses (Lund relation).

    Equation: rho15 = 999.10 (0.8475 + 0.00030 SV + 0.00014 IV).
    Args:
        saponification_mg_g: saponification value [mg KOH per g], 170 to 200.
        iodine_g_100g: iodine value [g iodine per 100 g], 50 to 200.
    Returns: density at 15 °C [kg/m3]. Fresh oils only.
    Source: published; Lund relation as given by Rodenbush et al., JAOCS 76 (1999) 1415, eq. 2. The range
        is from memory (usual liquid oils).
    """
    within("saponification_mg_g", saponification_mg_g, 170.0, 200.0)
    within("iodine_g_100g", iodine_g_100g, 50.0, 200.0)
    return _WATER_AT_15_C * (0.8475 + 0.00030 * saponification_mg_g + 0.00014 * iodine_g_100g)


def ester_density_kg_m3(temperature_c: float, density_15_kg_m3: float) -> float:
    """Density of methyl ester (biodiesel) free of methanol.

    Equation: rho = rho15 - 0.72 (T - 15).
    Args:
        temperature_c: temperature of the ester [°C], 15 to 70.
        density_15_kg_m3: density at 15 °C [kg/m3], 860 to 900 (EN 14214).
    Returns: density [kg/m3], within 0.5 kg/m3 of the mixtures.
    Source: library-computed; CoolProp, volume-additive mixtures of soy and canola esters, slopes 0.723 and
        0.720.
    """
    within("temperature_c", temperature_c, 15.0, 70.0)
    within("density_15_kg_m3", density_15_kg_m3, 860.0, 900.0)
    return density_15_kg_m3 - _ESTER_SLOPE_KG_M3K * (temperature_c - 15.0)


def methanol_density_kg_m3(temperature_c: float) -> float:
    """Density of liquid methanol.

    Equation: rho = 809.99 - 0.9491 T.
    Args:
        temperature_c: temperature [°C], 0 to 65.
    Returns: density [kg/m3], within 0.4 kg/m3.
    Source: library-computed; straight line through CoolProp's Methanol.
    """
    within("temperature_c", temperature_c, 0.0, 65.0)
    return 809.99 - 0.9491 * temperature_c


def glycerol_density_kg_m3(temperature_c: float) -> float:
    """Density of pure glycerol.

    Equation: rho = 1274.3 - 0.65 T.
    Args:
        temperature_c: temperature [°C], 15 to 70.
    Returns: density [kg/m3], within 0.2 kg/m3.
    Source: library-computed; straight line through the values of the chemicals library.
    """
    within("temperature_c", temperature_c, 15.0, 70.0)
    return 1274.3 - 0.65 * temperature_c


def water_density_kg_m3(temperature_c: float) -> float:
    """Density of liquid water.

    Equation: rho = 1000.4326 - 0.010917 T - 5.34103e-3 T^2 + 1.24978e-5 T^3.
    Args:
        temperature_c: temperature [°C], 10 to 100.
    Returns: density [kg/m3], within 0.1 kg/m3.
    Source: library-computed; polynomial through CoolProp's Water.
    """
    t = within("temperature_c", temperature_c, 10.0, 100.0)
    return 1000.43259 - 0.0109170707 * t - 5.34102612e-3 * t**2 + 1.24978361e-5 * t**3


def volume_at_m3(volume_m3: float, density_then_kg_m3: float, density_now_kg_m3: float) -> float:
    """Volume that a measured amount of liquid takes at another temperature: hot oil is more than it weighs.

    Equation: V_2 = V_1 rho_1 / rho_2.
    Args:
        volume_m3: volume measured [m3], 0 or more.
        density_then_kg_m3: density at the temperature it was measured [kg/m3], 600 to 1500.
        density_now_kg_m3: density at the temperature asked for [kg/m3], 600 to 1500.
    Returns: volume [m3].
    Source: derived; the mass stays.
    """
    not_negative(volume_m3=volume_m3)
    within("density_then_kg_m3", density_then_kg_m3, 600.0, 1500.0)
    within("density_now_kg_m3", density_now_kg_m3, 600.0, 1500.0)
    return volume_m3 * density_then_kg_m3 / density_now_kg_m3
