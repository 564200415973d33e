"""Operator tests of the fuel: from readings to results. Readings stay in millilitres and grams."""

from __future__ import annotations

from generator.chemistry.ranges import not_negative, positive, within
from generator.chemistry.species import BASE_KG_KMOL, SOAP_KG_KMOL, Base

_ATOM_KG_KMOL = {"KOH": 39.0983, "NaOH": 22.98976928}


def soap_fraction(base: Base, acid_ml: float, acid_normality_mol_per_l: float, sample_g: float) -> float:
    """Soap in the fuel from a titration with hydrochloric acid to bromophenol blue's change.

    Equation: S = B N M_soap / (1000 m).
    Args:
        base: the soap's base [KOH or NaOH].
        acid_ml: acid used for the soap [mL], 0 or more.
        acid_normality_mol_per_l: strength of the acid [mol/L], above 0; 0.01 is usual.
        sample_g: fuel titrated [g], above 0.
    Returns: soap as oleate [kg/kg]; 1e-6 is one ppm.
    Source: from memory; AOCS Cc 17-79 / Cc 17-95 form, NREL/SR-510-36240.
    """
    not_negative(acid_ml=acid_ml)
    positive(acid_normality_mol_per_l=acid_normality_mol_per_l, sample_g=sample_g)
    result = acid_ml * acid_normality_mol_per_l * SOAP_KG_KMOL[base] / (1000.0 * sample_g)
    return within("soap_fraction", result, 0.0, 1.0)


def free_base_fraction(base: Base, acid_ml: float, acid_normality_mol_per_l: float, sample_g: float) -> float:
    """Free base in the fuel from the first part of the soap titration, to phenolphthalein's change.

    Equation: w = A N M_base / (1000 m).
    Args:
        base: the base [KOH or NaOH].
        acid_ml: acid used until colourless [mL], 0 or more.
        acid_normality_mol_per_l: strength of the acid [mol/L], above 0.
        sample_g: fuel titrated [g], above 0.
    Returns: free base [kg/kg]; nil after washing.
    Source: derived; mole for mole.
    """
    not_negative(acid_ml=acid_ml)
    positive(acid_normality_mol_per_l=acid_normality_mol_per_l, sample_g=sample_g)
    result = acid_ml * acid_normality_mol_per_l * BASE_KG_KMOL[base] / (1000.0 * sample_g)
    return within("free_base_fraction", result, 0.0, 1.0)


def soap_at_metal_limit_fraction(base: Base, metal_fraction: float) -> float:
    """Soap that amounts to a limit for sodium or potassium in the fuel.

    Equation: S = w M_soap / M_metal.
    Args:
        base: the soap's base [KOH or NaOH].
        metal_fraction: limit of the metal [kg/kg], 0 to 1e-3; 5e-6 in ASTM D6751 and EN 14214.
    Returns: soap as oleate [kg/kg].
    Source: derived; one metal atom per soap molecule.
    """
    within("metal_fraction", metal_fraction, 0.0, 1e-3)
    return metal_fraction * SOAP_KG_KMOL[base] / _ATOM_KG_KMOL[base]


def ester_density_at_15_kg_m3(measured_kg_m3: float, temperature_c: float) -> float:
    """Density of the fuel at 15 °C from a hydrometer reading at another temperature.

    Equation: rho15 = rho + 0.72 (T - 15).
    Args:
        measured_kg_m3: reading [kg/m3], 800 to 950.
        temperature_c: temperature of the sample [°C], 5 to 70.
    Returns: density at 15 °C [kg/m3]; 860 to 900 in EN 14214.
    Source: library-computed; CoolProp, slope of soy and canola esters.
    """
    within("measured_kg_m3", measured_kg_m3, 800.0, 950.0)
    within("temperature_c", temperature_c, 5.0, 70.0)
    return measured_kg_m3 + 0.72 * (temperature_c - 15.0)


def carbide_pressure_rise_pa(
    water_fraction: float, sample_g: float, gas_space_m3: float, temperature_c: float
) -> float:
    """Pressure rise in a carbide moisture tester: two molecules of water give one of acetylene.

    Equation: dP = w m R T / (2 M_water V).
    Args:
        water_fraction: water in the sample [kg/kg], 0 to 0.05.
        sample_g: sample [g], above 0.
        gas_space_m3: free gas volume of the tester [m3], above 0.
        temperature_c: temperature [°C], 5 to 50.
    Returns: pressure rise [Pa]; the maker's chart goes first.
    Source: derived; CaC2 + 2 H2O = Ca(OH)2 + C2H2, ideal gas.
    """
    within("water_fraction", water_fraction, 0.0, 0.05)
    positive(sample_g=sample_g, gas_space_m3=gas_space_m3)
    within("temperature_c", temperature_c, 5.0, 50.0)
    moles = water_fraction * sample_g / (2.0 * 18.015)
    return moles * 8.314462618 * (temperature_c + 273.15) / gas_space_m3
