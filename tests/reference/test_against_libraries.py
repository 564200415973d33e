"""Properties against independent libraries: CoolProp, chemicals, fluids, ht, molmass.

All library-computed; each test names the call. Where a tolerance is wider than half a per cent it says why.
"""

from __future__ import annotations

import math

import chemicals
import fluids
import ht
import molmass
import pytest
from CoolProp.CoolProp import PropsSI

from generator.chemistry import (
    boiling,
    density,
    drying,
    elements,
    headspace,
    heat,
    mixing,
    settling,
    shell_loss,
    species,
    ventilation,
)
from tests.reference.check import SOY

ALTITUDES_M = range(0, 3001, 250)
STEFAN = 5.670374419e-8


def saturation_c(pressure_pa: float) -> float:
    return float(PropsSI("T", "P", pressure_pa, "Q", 0, "Methanol")) - 273.15


@pytest.mark.parametrize("altitude_m", ALTITUDES_M)
def test_methanol_boiling_point_against_coolprop(altitude_m: int) -> None:
    ours = boiling.methanol_boiling_c(boiling.site_pressure_pa(altitude_m))
    assert ours == pytest.approx(saturation_c(fluids.ATMOSPHERE_1976(altitude_m).P), abs=0.1)


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
    assert ours == pytest.approx(low - 273.15, abs=0.1)


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
        (species.METHANOL_KG_KMOL, "CH4O"),
        (species.GLYCEROL_KG_KMOL, "C3H8O3"),
        (species.WATER_KG_KMOL, "H2O"),
        (species.OLEIC_ACID_KG_KMOL, "C18H34O2"),
        (species.TRIOLEIN_KG_KMOL, "C57H104O6"),
        (species.METHYL_OLEATE_KG_KMOL, "C19H36O2"),
        (species.SULFURIC_ACID_KG_KMOL, "H2SO4"),
        (species.BASE_KG_KMOL["KOH"], "KOH"),
        (species.BASE_KG_KMOL["NaOH"], "NaOH"),
        (species.SOAP_KG_KMOL["KOH"], "C18H33O2K"),
        (species.SOAP_KG_KMOL["NaOH"], "C18H33O2Na"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_molar_mass(ours: float, formula: str) -> None:
    assert ours == pytest.approx(molmass.Formula(formula).mass, rel=1e-6)


def test_esters_of_triolein_and_its_acid() -> None:
    assert species.methyl_ester_molar_mass_kg_kmol(species.TRIOLEIN_KG_KMOL) == pytest.approx(
        species.METHYL_OLEATE_KG_KMOL, rel=1e-9
    )
    assert species.triglyceride_molar_mass_kg_kmol(species.OLEIC_ACID_KG_KMOL) == pytest.approx(
        species.TRIOLEIN_KG_KMOL, rel=1e-9
    )


def test_explosive_limits() -> None:
    """IEC 60079-20-1:2010 as carried by the chemicals library."""
    assert chemicals.LFL(CASRN="67-56-1") == ventilation.LOWER_EXPLOSIVE_FRACTION
    assert chemicals.UFL(CASRN="67-56-1") == ventilation.UPPER_EXPLOSIVE_FRACTION


def air(film_c: float) -> tuple[float, float, float]:
    """Kinematic viscosity, conductivity and Prandtl number of air from CoolProp."""
    values = [PropsSI(name, "T", film_c + 273.15, "P", 101325, "Air") for name in ("V", "D", "L", "PRANDTL")]
    return values[0] / values[1], values[2], values[3]


def grashof(hot_c: float, cold_c: float, length_m: float) -> float:
    film_c = 0.5 * (hot_c + cold_c)
    return 9.80665 * (hot_c - cold_c) * length_m**3 / ((film_c + 273.15) * air(film_c)[0] ** 2)


@pytest.mark.parametrize("wall_c", [25, 38, 55, 70, 90, 105, 120])
@pytest.mark.parametrize(("ambient_c", "height_m"), [(5, 0.5), (15, 1.0), (20, 2.0)])
def test_wall_convection_against_ht(wall_c: int, ambient_c: int, height_m: float) -> None:
    """ht.Nu_vertical_plate_Churchill with CoolProp's air; emissivity 0 leaves convection alone."""
    _, conductivity, prandtl = air(0.5 * (wall_c + ambient_c))
    nusselt = ht.Nu_vertical_plate_Churchill(prandtl, grashof(wall_c, ambient_c, height_m))
    ours = shell_loss.bare_wall_loss_w_m2k(wall_c, ambient_c, height_m, 0.0)
    assert ours == pytest.approx(nusselt * conductivity / height_m, rel=0.001)


@pytest.mark.parametrize("wall_c", [38, 55, 80, 100, 120])
@pytest.mark.parametrize("finish", ["stainless", "metal", "other"])
def test_a_bare_vessel_loses_no_more_than_is_reckoned_with(finish: shell_loss.Finish, wall_c: int) -> None:
    """ht.Nu_vertical_plate_Churchill and Stefan-Boltzmann in a room of 20 °C: most and least enclose both."""
    hot_k, room_k = wall_c + 273.15, 293.15
    _, conductivity, prandtl = air(0.5 * (wall_c + 20.0))

    def loss_w_m2k(height_m: float, emissivity: float) -> float:
        nusselt = ht.Nu_vertical_plate_Churchill(prandtl, grashof(wall_c, 20.0, height_m))
        radiation = emissivity * STEFAN * (hot_k**4 - room_k**4) / (wall_c - 20.0)
        return float(nusselt * conductivity / height_m + radiation)

    least, most = shell_loss.EMISSIVITY[finish]
    table = shell_loss.shell_loss_w_m2k("sheltered", "bare")
    heated = shell_loss.bare_loss_most_w_m2k("sheltered", finish, wall_c)
    waited = shell_loss.bare_loss_least_w_m2k(finish, wall_c)
    assert heated == pytest.approx(max(table, loss_w_m2k(0.5, most)), rel=0.001)
    assert waited == pytest.approx(min(table, loss_w_m2k(2.0, least)), rel=0.001)
    for height_m in (0.6, 1.0, 2.0):
        for emissivity in (least, most):
            assert waited <= loss_w_m2k(height_m, emissivity) * 1.001 or waited == table
            assert loss_w_m2k(height_m, emissivity) <= heated * 1.001
    assert shell_loss.bare_loss_most_w_m2k("exposed", finish, wall_c) > heated


def test_the_published_table_is_too_kind_to_a_painted_tank_at_reaction_temperature() -> None:
    """Library-computed: ht and Stefan-Boltzmann, painted wall of 1 m at 55 °C in a room of 20 °C."""
    assert shell_loss.bare_wall_loss_w_m2k(55.0, 20.0, 1.0, 0.9) == pytest.approx(10.7, abs=0.05)
    assert shell_loss.shell_loss_w_m2k("sheltered", "bare") < 10.7
    assert shell_loss.bare_loss_most_w_m2k("sheltered", "other", 55.0) > 10.7


@pytest.mark.parametrize("w_in2", [5, 10, 15, 20, 30, 60])
def test_dry_sheath_against_ht(w_in2: int) -> None:
    """ht.Nu_horizontal_cylinder, 8.5 mm rod in air at 20 °C, emissivity 0.8: heat lost equals heat put in."""
    sheath_c, room_c, rod_m = elements.sheath_dry_c(w_in2 / 0.0254**2), 20.0, 0.0085
    _, conductivity, prandtl = air(0.5 * (sheath_c + room_c))
    nusselt = ht.Nu_horizontal_cylinder(prandtl, grashof(sheath_c, room_c, rod_m))
    convection = nusselt * conductivity / rod_m * (sheath_c - room_c)
    radiation = 0.8 * STEFAN * ((sheath_c + 273.15) ** 4 - (room_c + 273.15) ** 4)
    assert (convection + radiation) * 0.0254**2 == pytest.approx(w_in2, rel=0.005)


@pytest.mark.parametrize("temperature_c", range(5, 121, 5))
def test_latent_heat_of_water(temperature_c: int) -> None:
    vapour, liquid = (PropsSI("H", "T", temperature_c + 273.15, "Q", q, "Water") for q in (1, 0))
    assert drying.water_latent_heat_j_kg(temperature_c) == pytest.approx(vapour - liquid, rel=0.0005)


@pytest.mark.parametrize("temperature_c", range(1, 91, 5))
def test_vapour_pressure_of_water(temperature_c: int) -> None:
    library = PropsSI("P", "T", temperature_c + 273.15, "Q", 0, "Water")
    assert drying.water_vapour_pressure_pa(temperature_c) == pytest.approx(library, rel=0.001)


@pytest.mark.parametrize("temperature_c", [25, 45, 50, 55, 60])
@pytest.mark.parametrize("altitude_m", [0, 1000, 2000, 3000])
def test_suction_head_of_methanol(temperature_c: int, altitude_m: int) -> None:
    """Pressure term by CoolProp. It is a small difference of large ones where hot and high: 0.1 m besides."""
    pressure, kelvin = fluids.ATMOSPHERE_1976(altitude_m).P, temperature_c + 273.15
    vapour, rho = (PropsSI(name, "T", kelvin, "Q", 0, "Methanol") for name in ("P", "D"))
    ours = mixing.suction_head_available_m(
        boiling.site_pressure_pa(altitude_m),
        boiling.methanol_vapour_pressure_pa(temperature_c),
        density.methanol_density_kg_m3(temperature_c),
        0.0,
        0.0,
    )
    assert ours == pytest.approx((pressure - vapour) / (rho * 9.80665), rel=0.002, abs=0.1)


@pytest.mark.parametrize("altitude_m", ALTITUDES_M)
def test_explosive_range_of_a_closed_headspace(altitude_m: int) -> None:
    pressure = fluids.ATMOSPHERE_1976(altitude_m).P
    library = [
        PropsSI("T", "P", limit * pressure, "Q", 0, "Methanol") - 273.15
        for limit in (chemicals.LFL(CASRN="67-56-1"), chemicals.UFL(CASRN="67-56-1"))
    ]
    assert headspace.explosive_range_c(pressure) == (
        pytest.approx(library[0], abs=0.1),
        pytest.approx(library[1], abs=0.1),
    )


@pytest.mark.parametrize("temperature_c", range(20, 65, 10))
def test_vapour_volume(temperature_c: int) -> None:
    """CoolProp's real gas at a twentieth of the air's pressure, as dilute as it is in a room."""
    kelvin, partial_pa = temperature_c + 273.15, 5_000.0
    library = 1.0 / PropsSI("D", "T", kelvin, "P", partial_pa, "Methanol") * partial_pa / 101_325.0
    assert ventilation.vapour_volume_m3(1.0, temperature_c, 101_325.0) == pytest.approx(library, rel=0.01)


@pytest.mark.parametrize("temperature_c", range(20, 71, 10))
def test_glycerol_density(temperature_c: int) -> None:
    """chemicals' table VDI_PPDS_2. Data of pure glycerol scatter by half a per cent."""
    row = chemicals.volume.rho_data_VDI_PPDS_2.loc["56-81-5"]
    tau = 1.0 - (temperature_c + 273.15) / row["Tc"]
    powers = {"A": 0.35, "B": 2 / 3, "C": 1.0, "D": 4 / 3}
    library = row["rhoc"] + math.fsum(row[name] * tau**power for name, power in powers.items())
    assert density.glycerol_density_kg_m3(temperature_c) == pytest.approx(library, rel=0.005)


@pytest.mark.parametrize("drop_m", [20e-6, 50e-6, 100e-6])
@pytest.mark.parametrize("temperature_c", [20, 40, 55])
def test_settling_speed_against_fluids(drop_m: float, temperature_c: int) -> None:
    """fluids.v_terminal with its own drag law: Stokes' law holds within 1 % at these Reynolds numbers."""
    viscosity = settling.ester_viscosity_pa_s(temperature_c)
    library = fluids.v_terminal(D=drop_m, rhop=1080.0, rho=880.0, mu=viscosity)
    assert settling.settling_speed_m_s(drop_m, 200.0, viscosity) == pytest.approx(library, rel=0.01)


@pytest.mark.parametrize(
    ("profile", "fatty_acid", "oil"),
    [
        ({"16:0": 11, "18:0": 4, "18:1": 23, "18:2": 54, "18:3": 8}, 278.03, 872.15),
        ({"16:0": 4, "18:0": 2, "18:1": 62, "18:2": 22, "18:3": 10}, 280.51, 879.59),
        ({"16:0": 6, "18:0": 4, "18:1": 24, "18:2": 66}, 279.51, 876.59),
        ({"14:0": 1, "16:0": 44, "18:0": 4.5, "18:1": 40, "18:2": 10.5}, 269.66, 847.02),
        ({"14:0": 3, "16:0": 26, "16:1": 3, "18:0": 20, "18:1": 44, "18:2": 4}, 272.73, 856.24),
        ({"14:0": 2, "16:0": 23, "16:1": 4, "18:0": 13, "18:1": 44, "18:2": 13, "18:3": 1}, 273.53, 858.63),
    ],
    ids=["soybean", "canola", "sunflower", "palm", "tallow", "used_frying"],
)
def test_oils_by_profile(profile: dict[str, float], fatty_acid: float, oil: float) -> None:
    """molmass for each acid; profiles typical, from memory, within the Codex ranges (CXS 210-1999)."""
    formula = {"14:0": "C14H28O2", "16:0": "C16H32O2", "16:1": "C16H30O2", "18:0": "C18H36O2"}
    formula |= {"18:1": "C18H34O2", "18:2": "C18H32O2", "18:3": "C18H30O2"}
    total = sum(profile.values())
    library = total / sum(share / molmass.Formula(formula[acid]).mass for acid, share in profile.items())
    ours = species.fatty_acid_molar_mass_kg_kmol({acid: share / 100 for acid, share in profile.items()})
    assert ours == pytest.approx(library, rel=1e-6) == pytest.approx(fatty_acid, abs=0.01)
    assert species.triglyceride_molar_mass_kg_kmol(ours) == pytest.approx(oil, abs=0.03)
    saponification = 3 * 56105.6 / oil
    from_analyses = species.oil_molar_mass_from_analyses_kg_kmol(saponification, 0.0)
    assert from_analyses == pytest.approx(oil, rel=1e-5)
