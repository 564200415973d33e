"""Properties against independent libraries: CoolProp, chemicals, fluids, molmass. All library-computed."""

from __future__ import annotations

import math

import chemicals
import fluids
import molmass
import pytest
from CoolProp.CoolProp import PropsSI

from generator.chemistry import boiling, density, heat, species, ventilation

ALTITUDES_M = range(0, 3001, 250)
SOY = {
    "MethylPalmitate": 0.11,
    "MethylStearate": 0.04,
    "MethylOleate": 0.23,
    "MethylLinoleate": 0.54,
    "MethylLinolenate": 0.08,
}


def saturation_c(pressure_pa: float) -> float:
    return float(PropsSI("T", "P", pressure_pa, "Q", 0, "Methanol")) - 273.15


@pytest.mark.parametrize("altitude_m", ALTITUDES_M)
def test_methanol_boiling_point_against_coolprop(altitude_m: int) -> None:
    ours = boiling.methanol_boiling_c(boiling.site_pressure_pa(altitude_m))
    assert ours == pytest.approx(saturation_c(fluids.ATMOSPHERE_1976(altitude_m).P), abs=0.3)


@pytest.mark.parametrize("altitude_m", ALTITUDES_M)
def test_methanol_boiling_point_against_chemicals(altitude_m: int) -> None:
    """Wagner equation with the constants of McGarry, from chemicals' tables, solved by bisection."""
    row = chemicals.vapor_pressure.Psat_data_WagnerMcGarry.loc["67-56-1"]

    def pressure_pa(kelvin: float) -> float:
        return float(
            chemicals.Wagner_original(kelvin, row["Tc"], row["Pc"], row["A"], row["B"], row["C"], row["D"])
        )

    wanted = fluids.ATMOSPHERE_1976(altitude_m).P
    low, high = 300.0, 360.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if pressure_pa(middle) < wanted else (low, middle)
    ours = boiling.methanol_boiling_c(boiling.site_pressure_pa(altitude_m))
    assert ours == pytest.approx(low - 273.15, abs=0.3)


@pytest.mark.parametrize("altitude_m", ALTITUDES_M)
def test_site_pressure_against_fluids(altitude_m: int) -> None:
    assert boiling.site_pressure_pa(altitude_m) == pytest.approx(
        fluids.ATMOSPHERE_1976(altitude_m).P, abs=2.0
    )


@pytest.mark.parametrize("temperature_c", range(0, 66, 5))
class TestMethanol:
    def test_density(self, temperature_c: int) -> None:
        library = PropsSI("D", "T", temperature_c + 273.15, "P", 150e3, "Methanol")
        assert density.methanol_density_kg_m3(temperature_c) == pytest.approx(library, abs=0.4)

    def test_specific_heat(self, temperature_c: int) -> None:
        library = PropsSI("C", "T", temperature_c + 273.15, "P", 150e3, "Methanol")
        assert heat.methanol_specific_heat_j_kgk(temperature_c) == pytest.approx(library, rel=0.001)

    def test_vapour_pressure(self, temperature_c: int) -> None:
        library = PropsSI("P", "T", temperature_c + 273.15, "Q", 0, "Methanol")
        assert boiling.methanol_vapour_pressure_pa(temperature_c) == pytest.approx(library, rel=0.006)

    def test_latent_heat(self, temperature_c: int) -> None:
        vapour, liquid = (PropsSI("H", "T", temperature_c + 273.15, "Q", q, "Methanol") for q in (1, 0))
        assert heat.methanol_latent_heat_j_kg(temperature_c) == pytest.approx(vapour - liquid, rel=0.001)


@pytest.mark.parametrize("temperature_c", range(15, 71, 5))
class TestSoyEster:
    def test_density(self, temperature_c: int) -> None:
        library = 1.0 / math.fsum(
            share / PropsSI("D", "T", temperature_c + 273.15, "P", 101325, name)
            for name, share in SOY.items()
        )
        assert density.ester_density_kg_m3(temperature_c, 884.8) == pytest.approx(library, abs=0.5)

    def test_specific_heat(self, temperature_c: int) -> None:
        library = math.fsum(
            share * PropsSI("C", "T", temperature_c + 273.15, "P", 101325, name)
            for name, share in SOY.items()
        )
        assert heat.ester_specific_heat_j_kgk(temperature_c) == pytest.approx(library, rel=0.001)


@pytest.mark.parametrize("temperature_c", range(10, 81, 10))
def test_water(temperature_c: int) -> None:
    kelvin = temperature_c + 273.15
    library = PropsSI("D", "T", kelvin, "P", 150e3, "Water")
    assert density.water_density_kg_m3(temperature_c) == pytest.approx(library, abs=0.1)
    library = PropsSI("C", "T", kelvin, "P", 150e3, "Water")
    assert heat.water_specific_heat_j_kgk(temperature_c) == pytest.approx(library, rel=0.004)


@pytest.mark.parametrize(
    ("ours", "formula"),
    [
        (species.METHANOL, "CH4O"),
        (species.GLYCEROL, "C3H8O3"),
        (species.WATER, "H2O"),
        (species.OLEIC_ACID, "C18H34O2"),
        (species.TRIOLEIN, "C57H104O6"),
        (species.METHYL_OLEATE, "C19H36O2"),
        (species.SULFURIC_ACID, "H2SO4"),
        (species.BASE_MOLAR_MASS["KOH"], "KOH"),
        (species.BASE_MOLAR_MASS["NaOH"], "NaOH"),
        (species.SOAP_MOLAR_MASS["KOH"], "C18H33O2K"),
        (species.SOAP_MOLAR_MASS["NaOH"], "C18H33O2Na"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_molar_mass(ours: float, formula: str) -> None:
    assert ours == pytest.approx(molmass.Formula(formula).mass, rel=1e-6)


def test_esters_of_triolein_and_its_acid() -> None:
    assert species.methyl_ester_molar_mass_kg_kmol(species.TRIOLEIN) == pytest.approx(
        species.METHYL_OLEATE, rel=1e-9
    )
    assert species.triglyceride_molar_mass_kg_kmol(species.OLEIC_ACID) == pytest.approx(
        species.TRIOLEIN, rel=1e-9
    )


def test_explosive_limits() -> None:
    """IEC 60079-20-1:2010 as carried by the chemicals library."""
    assert chemicals.LFL(CASRN="67-56-1") == ventilation.LOWER_EXPLOSIVE_FRACTION
    assert chemicals.UFL(CASRN="67-56-1") == ventilation.UPPER_EXPLOSIVE_FRACTION
