"""What the operator's own tests count with: densities, the titrant's age, acid values."""

from __future__ import annotations

from typing import Final

from generator.chemistry import density, fuel_tests, titration
from generator.figures.basis import Basis, Inputs

#: Acid of the titrant's check, mol/L and mL (common practice, no source).
ACID_MOL_L: Final = 0.01
CHECK_ML: Final = 10.0
#: 10 mL of fuel weigh this (derived from 883 kg/m3 at 15 °C, rounded down).
SAMPLE_G: Final = 8.8
#: Ten degrees above the 15 °C that densities are stated at.
WARMER_C: Final = 25.0
ROOM_C: Final = 20.0


def add(basis: Basis) -> None:
    """A check of the titrant, a hydrometer's corrections, free acid by analysis, water by carbide."""
    _hydrometer(basis)
    strength = basis.book["titrant_normality"]
    acid: Inputs = {"N": strength, "N_a": (ACID_MOL_L, "normality"), "V_a": (CHECK_ML, "titration_volume")}
    expected = titration.acid_check_ml(strength.value, ACID_MOL_L, CHECK_ML)
    basis.book.add("titrant_check", expected, "titration_volume", acid)
    _acid_values(basis)
    _carbide(basis)


def _carbide(basis: Basis) -> None:
    """Pressure in the plant's carbide tester that the limits of water amount to, in a room of 20 °C."""
    tester, book = basis.profile.feedstock.water_tester, basis.book
    if tester is None:
        return
    weight = book.add("carbide_sample", tester.sample_kg, "weighed_mass")
    for kind, limit in (("carbide_rise_oil", "water_dry"), ("carbide_rise_fuel", "water_in_fuel")):
        most = book[limit]
        rise_pa = fuel_tests.carbide_pressure_rise_pa(
            most.value, tester.sample_kg * 1000.0, tester.gas_space_m3, ROOM_C
        )
        inputs: Inputs = {"w": most, "m_s": weight, "V_g": (tester.gas_space_m3, "volume")}
        book.add(kind, rise_pa, "pressure", inputs | {"T": (ROOM_C, "temperature")})


def _hydrometer(basis: Basis) -> None:
    """What ten degrees above 15 °C take off a reading."""
    oil, ester = basis.value("oil_density_15"), density.ESTER_DENSITY_15_KG_M3
    warm: Inputs = {"T": (WARMER_C, "temperature")}
    for kind, read in (
        ("oil_density_step", density.oil_density_15_kg_m3(oil, WARMER_C) - oil),
        ("fuel_density_step", fuel_tests.ester_density_at_15_kg_m3(ester, WARMER_C) - ester),
    ):
        basis.book.add(kind, read, "density", warm)


def _acid_values(basis: Basis) -> None:
    """The single stage's limit as an acid value; free acid from a stated acid value."""
    limit = basis.given("ffa_single")
    most = titration.acid_value_from_ffa_mg_g(limit.value)
    basis.book.add("acid_value_single", most, "ratio", {"F_1": limit})
    stated = basis.profile.feedstock.analyses.acid_value
    if stated is not None:
        found = titration.ffa_from_acid_value(stated)
        basis.book.add("ffa_by_analysis", found, "mass_fraction", {"AV": (stated, "ratio")})
