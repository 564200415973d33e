"""One test for each trap that is known to catch people who compute batches: it fails if somebody falls in."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from CoolProp.CoolProp import PropsSI

from generator import chemistry, quantities
from generator.chemistry import (
    boiling,
    density,
    dose,
    fuel_tests,
    headspace,
    limits,
    mixing,
    storage,
    titration,
    ventilation,
    verdicts,
)
from generator.chemistry.ranges import OutOfRange
from generator.chemistry.species import METHANOL_KG_KMOL
from generator.chemistry.titration import Titrant
from generator.problems import CONTENT, FillmarkError, Place
from generator.profile.load import load

RIG = CONTENT.parent / "equipment_profiles" / "quillmere.yaml"
US_GALLON_M3 = 3.785411784e-3


# --- a library's property data taken on trust


def test_oil_is_not_the_librarys_triolein() -> None:
    """Property libraries give triolein 1525 kg/m3: oil floats on water, and is close to 0.92."""
    for temperature_c in (15.0, 20.0, 55.0, 110.0):
        assert 840.0 < density.oil_density_kg_m3(temperature_c, 920.0) <= 920.0
    with pytest.raises(OutOfRange):
        density.oil_density_kg_m3(20.0, 1525.0)
    with pytest.raises(OutOfRange):
        dose.catalyst_dose_kg_per_m3("KOH", 0.01, 1525.0, 0.01, 0.9)


def test_chemistry_looks_nothing_up_in_a_property_library() -> None:
    for path in Path(chemistry.__path__[0]).glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            used = {name.split(".")[0] for name in names}
            assert not used & {"thermo", "chemicals", "fluids", "ht", "CoolProp", "molmass"}, path.name


def hot_antoine_pa(kelvin: float) -> float:
    """The NIST WebBook's other methanol constants, for 353 to 513 K (from memory)."""
    return float(1e5 * 10.0 ** (5.15853 - 1569.613 / (kelvin - 34.846)))


def test_antoine_constants_are_those_for_room_temperature() -> None:
    """The hot set gives 15.75 kPa at 25 °C and boils 1.8 K too high: the unsafe side."""
    assert hot_antoine_pa(298.15) == pytest.approx(15_750.0, rel=0.001)
    for temperature_c in (15.0, 25.0, 40.0, 55.0):
        ours = boiling.methanol_vapour_pressure_pa(temperature_c)
        assert ours == pytest.approx(PropsSI("P", "T", temperature_c + 273.15, "Q", 0, "Methanol"), rel=0.006)
        assert ours > 1.02 * hot_antoine_pa(temperature_c + 273.15)
    assert boiling.methanol_boiling_c(101_325.0) < 64.6
    assert hot_antoine_pa(273.15 + 66.3) == pytest.approx(101_325.0, rel=0.005)


# --- wrong unit, wrong temperature, wrong scale


def test_ten_thousand_pounds_is_1515_gallons() -> None:
    """The trade press prints 1250, 1500 and 1517."""
    gallons = storage.methanol_at_process_safety_m3(20.0) / US_GALLON_M3
    assert gallons == pytest.approx(1515.0, abs=1.0)
    assert all(abs(gallons - wrong) > 1.5 for wrong in (1250.0, 1500.0, 1517.0))
    below, at = (storage.storage_standing([], 0.0, kg)[-1] for kg in (4535.0, 4536.0))
    assert (below.applies, at.applies) == (False, True)


def test_volume_per_cent_goes_with_both_temperatures() -> None:
    """Oil measured at 55 °C is 2.4 % short of the same litres at 20 °C; so is warm methanol of cold."""
    cold, hot = (density.oil_density_kg_m3(t, 920.0) for t in (20.0, 55.0))
    cool_methanol, warm_methanol = (density.methanol_density_kg_m3(t) for t in (20.0, 45.0))
    assert density.volume_at_m3(0.100, hot, cold) == pytest.approx(0.0976, abs=0.00005)
    both_cold = dose.methanol_molar_ratio(0.20, cold, cool_methanol, 873.6)
    oil_hot = dose.methanol_molar_ratio(0.20, hot, cool_methanol, 873.6)
    methanol_warm = dose.methanol_molar_ratio(0.20, cold, warm_methanol, 873.6)
    assert oil_hot == pytest.approx(both_cold * 1.025, rel=0.002)
    assert methanol_warm == pytest.approx(both_cold * 0.970, rel=0.002)


def flake_g_l(catalyst: str, titrant: Titrant, millilitres: float, purity: float = 0.9) -> float:
    rate = 7.0 / 916.8
    return dose.catalyst_dose_from_titration_kg_per_m3(
        catalyst,
        rate,
        916.8,
        purity,
        millilitres,
        1.0,
        titrant,  # type: ignore[arg-type]
    )


def test_same_flake_in_burette_and_batch_is_not_divided_by_purity_twice() -> None:
    assert flake_g_l("KOH", Titrant("KOH", 0.9), 5.0) == pytest.approx(7.0 / 0.9 + 5.0, rel=1e-12)
    assert flake_g_l("KOH", Titrant("KOH", 1.0), 5.0) == pytest.approx((7.0 + 5.0) / 0.9, rel=1e-12)


def test_a_weak_titrant_reads_too_much_acid() -> None:
    """The acid value of an oil is that of the true titrant's strength, p / 56.1, not of 1 g/L."""
    true, weak = (titration.titrant_normality_mol_per_l(Titrant("KOH", p)) for p in (1.0, 0.9))
    assert titration.acid_value_mg_g(5.0, true, 0.917) == pytest.approx(5.453, rel=0.001)
    assert titration.acid_value_mg_g(5.0, weak, 0.917) == pytest.approx(4.907, rel=0.001)


def test_scales_of_the_two_bases_are_not_mixed() -> None:
    """2.5 mL of NaOH titrant are the acid of 3.5 mL of KOH titrant, and NaOH flake is not KOH flake."""
    koh, naoh = Titrant("KOH", 1.0), Titrant("NaOH", 1.0)
    ffa = titration.ffa_fraction(2.5, titration.titrant_normality_mol_per_l(naoh), 0.917)
    same = titration.titration_for_ffa_ml(ffa, titration.titrant_normality_mol_per_l(koh), 0.917)
    assert same == pytest.approx(3.507, abs=0.002)
    assert flake_g_l("KOH", naoh, 2.5) == pytest.approx(flake_g_l("KOH", koh, same), rel=1e-9)
    extra = flake_g_l("KOH", naoh, 2.5) - flake_g_l("KOH", naoh, 0.0)
    assert extra == pytest.approx(1.4027 * 2.5 / 0.9, rel=1e-4)
    other = flake_g_l("NaOH", koh, 2.5) - flake_g_l("NaOH", koh, 0.0)
    assert other == pytest.approx(0.7129 * 2.5 / 0.9, rel=1e-4)


def test_parts_per_million_are_by_mass_in_fuel_and_by_volume_in_air() -> None:
    """200 ppm of methanol in air are 260 mg/m3 (29 CFR 1910.1000), not 200 mg/kg; soap is mass in mass."""
    per_kg = ventilation.vapour_volume_m3(1.0, 25.0, 101_325.0)
    assert ventilation.EXPOSURE_LIMIT_FRACTION / per_kg * 1e6 == pytest.approx(262.0, abs=3.0)
    air_kg_m3 = 101_325.0 * 28.965 / (8314.46 * 298.15)
    by_mass = ventilation.EXPOSURE_LIMIT_FRACTION * METHANOL_KG_KMOL / 28.965
    assert by_mass * air_kg_m3 == pytest.approx(ventilation.EXPOSURE_LIMIT_FRACTION / per_kg, rel=1e-3)
    assert fuel_tests.soap_fraction("KOH", 1.0, 0.01, 10.0) == pytest.approx(320.6e-6, rel=1e-3)
    assert quantities.parse("500 mg/kg", "mass_fraction") == pytest.approx(5e-4)


# --- altitude and pressure


def test_altitude_reaches_everything_that_hangs_on_pressure() -> None:
    low, high = (boiling.site_pressure_pa(h) for h in (0.0, 2000.0))
    boils = [boiling.methanol_boiling_c(p) for p in (low, high)]
    assert boils[0] - boils[1] == pytest.approx(6.0, abs=0.3)
    head = [mixing.suction_head_available_m(p, 68_930.0, 757.8, 0.0, 0.0) for p in (low, high)]
    assert head == [pytest.approx(4.36, rel=0.01), pytest.approx(1.42, rel=0.01)]
    air = [ventilation.dilution_flow_m3s(1e-4, 0.015, 4.0, 20.0, p) for p in (low, high)]
    assert air[1] / air[0] == pytest.approx(low / high)
    ranges = [headspace.explosive_range_c(p) for p in (low, high)]
    assert ranges[1][0] < ranges[0][0] and ranges[1][1] < ranges[0][1]


@pytest.mark.parametrize(
    ("altitude_m", "lower_c", "upper_c"), [(0, 6.6, 40.6), (1500, 3.6, 36.7), (3000, 0.6, 32.9)]
)
def test_explosive_limit_is_a_percentage_at_any_altitude(
    altitude_m: float, lower_c: float, upper_c: float
) -> None:
    pressure = boiling.site_pressure_pa(altitude_m)
    found = headspace.explosive_range_c(pressure)
    assert found == (pytest.approx(lower_c, abs=0.1), pytest.approx(upper_c, abs=0.1))
    at_limit = headspace.saturated_vapour_fraction(found[0], pressure)
    assert at_limit == pytest.approx(ventilation.LOWER_EXPLOSIVE_FRACTION, rel=1e-9)


def test_a_closed_vessels_pressure_is_not_a_sites() -> None:
    """Every boiling point assumes an open vent: a vessel under pressure is refused, not computed."""
    for pressure_pa in (120_000.0, 200_000.0):
        with pytest.raises(OutOfRange):
            boiling.methanol_boiling_c(pressure_pa)
    with pytest.raises(OutOfRange):
        limits.temperature_ceiling_c(80.0, 5.0)


def test_a_profile_with_a_pressure_above_the_airs_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    text = RIG.read_text(encoding="utf-8").replace("altitude: 180 m", "barometer: 150 kPa")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FillmarkError) as caught:
        load(path)
    (problem,) = caught.value.problems
    assert problem.code == "absurd" and problem.place is not None
    assert "barometer" in text.splitlines()[problem.place.line - 1]


# --- rounding


@pytest.mark.parametrize(
    ("value", "quantity", "rounding", "shown"),
    [
        (58.96, "temperature", "maximum", "58"),
        (0.1099, "volume", "minimum", "110"),
        (0.18099, "volume", "maximum", "180"),
    ],
)
def test_limits_are_rounded_to_the_safe_side(value: float, quantity: str, rounding: str, shown: str) -> None:
    text = quantities.show(value, quantity, rounding=rounding).first.number
    assert text.startswith(shown)
    back = quantities.parse(quantities.show(value, quantity, rounding=rounding).first.text, quantity)
    assert back <= value if rounding == "maximum" else back >= value


SAFE_SIDES = {
    "maximum": (
        "ceiling",
        "high_limit",
        "preheat_limit",
        "fill_limit",
        "capacity",
        "tower_litres",
        "tower_batches",
    ),
    "minimum": ("ventilation_needed", "containment_needed", "cover_level", "cover_volume", "settle_time"),
}


@pytest.mark.parametrize(
    ("rounding", "kind"), [(r, kind) for r, kinds in SAFE_SIDES.items() for kind in kinds]
)
def test_every_limit_states_its_safe_side(rounding: str, kind: str) -> None:
    kinds = yaml.safe_load((CONTENT / "figures.yaml").read_text(encoding="utf-8"))
    assert kinds[kind]["rounding"] == rounding


# --- soap


def test_fifty_ppm_of_soap_is_too_much_where_it_holds_more_potassium_than_the_standards_allow() -> None:
    """5 mg/kg of potassium are 41 ppm of soap, of sodium 66: practice's 50 can fail the standards."""
    own, potassium, sodium = (
        verdicts.pass_limit("soap", where, base, 0.2)  # type: ignore[arg-type]
        for where, base in (("own_use", "NaOH"), ("standard", "KOH"), ("standard", "NaOH"))
    )
    assert own and potassium and sodium
    assert potassium.greatest < 45e-6 < min(own.greatest, sodium.greatest)
    assert own.greatest == 50e-6
    assert verdicts.own_use_soap_fraction("KOH") == potassium.greatest
    assert potassium.if_fails == "wash_again"
    assert potassium.greatest == pytest.approx(41.0e-6, rel=0.005)
    assert sodium.greatest == pytest.approx(66.2e-6, rel=0.005)


# --- missing data


def problems_of(folder: Path, change: Callable[[str], str]) -> list[tuple[str, Place]]:
    text = RIG.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text
    path = folder / "rig.yaml"
    path.write_text(changed, encoding="utf-8")
    with pytest.raises(FillmarkError) as caught:
        load(path)
    assert all(problem.what and problem.mend for problem in caught.value.problems)
    return [(p.code, p.place) for p in caught.value.problems if p.place is not None]


@pytest.mark.parametrize(
    "line",
    [
        "    purity: 90 %\n",
        "  altitude: 180 m\n",
        "        top_of_hot_part: 0.36 m\n",
        "        supply_voltage: 230 V\n",
        "  batch: {oil: 180 L, measured_at: 20 degC}\n",
        "  usual_titration: 2.0 mL\n",
    ],
    ids=lambda line: line.split(":")[0].strip(),
)
def test_missing_data_stops_with_its_place(line: str, tmp_path: Path) -> None:
    """Nothing safety-critical has a silent default: without it there is no handbook."""
    problems = problems_of(tmp_path, lambda text: text.replace(line, "", 1))
    assert problems
    assert all(place.file.endswith("rig.yaml") for _, place in problems)


def test_unknown_is_not_a_value(tmp_path: Path) -> None:
    for line, unknown in (("    purity: 90 %", "    purity:"), ("  altitude: 180 m", "  altitude: unknown")):
        assert problems_of(tmp_path, lambda text, a=line, b=unknown: text.replace(a, b))
