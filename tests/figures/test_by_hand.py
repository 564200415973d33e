"""Figures of both demo rigs against values worked out by hand from the formulas. All derived, unless said."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest

from generator.figures.recipe import dose_rows
from generator.figures.record import FigureBook

BookOf = Callable[..., FigureBook]
OIL_20_C = 920.0 - 0.64 * 5.0  # 916.8 kg/m3, oil at 20 °C
METHANOL_20_C = 809.99 - 0.9491 * 20.0  # 791.008 kg/m3


def close(value: float, rel: float = 1e-4) -> object:
    return pytest.approx(value, rel=rel)


def test_oil_mass(quillmere: FigureBook, larkstead: FigureBook) -> None:
    assert quillmere["oil_mass"].value == close(0.180 * OIL_20_C)
    assert larkstead["oil_mass"].value == close(45 * 3.785411784e-3 * OIL_20_C)


def test_dose_with_a_standardised_titrant(quillmere: FigureBook) -> None:
    # KOH 90 %: (0.010 × 916.8 + 2.0 mL × 1 g/L) / 0.90 = 12.409 g/L; × 180 L = 2233.6 g.
    assert quillmere["titration_20.catalyst_dose"].value == close((9.168 + 2.0) / 0.90)
    assert quillmere["catalyst_usual"].value == close(2.2336)
    assert quillmere["catalyst_highest"].value == close((9.168 + 5.0) / 0.90 * 0.180)


def test_dose_with_a_titrant_of_the_same_flake(larkstead: FigureBook, book_of: BookOf) -> None:
    # The millilitres already are grams of this flake: 4.584 / 0.98 + 1.5 = 6.1776 g/L, not + 1.5 / 0.98.
    assert larkstead["titration_15.catalyst_dose"].value == close(4.584 / 0.98 + 1.5)
    assert larkstead["catalyst_usual"].value == close(6.177551 * 45 * 3.785411784e-3)
    assert larkstead["dose_per_ml"].value == close(1.0)
    same = book_of("quillmere", {"recipe.catalyst.titrant.made_from": "same_flake"})
    assert same["titration_20.catalyst_dose"].value == close(9.168 / 0.90 + 2.0)
    # Its titrant is weaker too, so the same millilitres mean less acid.
    assert same["titrant_normality"].value == close(0.9 / 56.106, 1e-4)


def test_dose_with_the_other_base_in_the_titrant(book_of: BookOf) -> None:
    # 56.106 / 39.997 = 1.4027: a gram of NaOH neutralises what 1.403 g of KOH does.
    koh = book_of("quillmere", {"recipe.catalyst.titrant.base": "NaOH"})
    assert koh["dose_per_ml"].value == close(56.106 / 39.997 / 0.90)
    edits = {"recipe.catalyst.titrant": {"base": "KOH", "made_from": "standardised"}}
    naoh = book_of("larkstead", edits)
    assert naoh["dose_per_ml"].value == close(39.997 / 56.106 / 0.98)
    assert koh["ffa_usual"].value == close(2.0 / 39.997 * 282.46 / (1000 * 0.9168))


def test_dose_table_has_a_row_each_half_millilitre(quillmere: FigureBook, book_of: BookOf) -> None:
    rows = dose_rows(quillmere)
    assert [row.titration_ml for row in rows] == [n / 2 for n in range(11)]
    for row in rows:
        assert row.dose.value == close((9.168 + row.titration_ml) / 0.90)
        assert row.mass.value == close(row.dose.value * 0.180)
    between = book_of("quillmere", {"feedstock.usual_titration": "1.8 mL"})
    (row,) = [row for row in dose_rows(between) if row.titration_ml == 1.8]
    assert row.mass.text == between["catalyst_usual"].text  # the batch card's number stands in the table
    odd = dose_rows(book_of("quillmere", {"feedstock.highest_titration": "5.3 mL"}))
    assert [row.titration_ml for row in odd[-2:]] == [5.0, 5.3]


def test_free_acid(quillmere: FigureBook) -> None:
    # N = 1 / 56.106; FFA = 2.0 × 0.017824 × 282.46 / (1000 × 0.9168) = 1.098 %; AV = 1.9863 × 1.098.
    assert quillmere["ffa_usual"].value == close(0.010983)
    assert quillmere["acid_value_usual"].value == close(2.1815)
    assert quillmere["ffa_highest"].value == close(2.5 * 0.010983)


def test_methanol_volume_and_ratio(quillmere: FigureBook, book_of: BookOf) -> None:
    # 22 % of 180 L; r = 0.22 × (791.008 / 32.042) / (916.8 / 873.6) = 5.175.
    assert quillmere["methanol_volume"].value == close(0.0396)
    ratio = 0.22 * (METHANOL_20_C / 32.042) / (OIL_20_C / 873.6)
    assert quillmere["methanol_ratio"].value == close(ratio)
    six = book_of("quillmere", {"recipe.methanol": {"molar_ratio": "6:1"}})
    assert six["methanol_share"].value == close(0.22 * 6 / ratio)
    hot = book_of("quillmere", {"recipe.methanol.measured_at": "30 degC"})
    assert hot["methanol_mass"].value == close(0.0396 * (809.99 - 28.473))


def test_boiling_point_and_limits(quillmere: FigureBook, larkstead: FigureBook, book_of: BookOf) -> None:
    # 180 m: P = 101 325 × (1 − 0.0040604)^5.25588 = 99 181 Pa;
    # T = 1581.341 / (5.20409 + 0.003571) − 239.65 = 64.01 °C.
    assert quillmere["site_pressure"].value == close(99181)
    assert quillmere["methanol_boiling_point"].value == pytest.approx(64.007, abs=0.002)
    assert quillmere["ceiling"].value == pytest.approx(59.007, abs=0.002)
    assert quillmere["high_limit"].value == pytest.approx(62.007, abs=0.002)
    # 1450 ft = 441.96 m: 3.0 °C less for 1000 m (library-computed: CoolProp 64.48 °C at sea level).
    assert larkstead["methanol_boiling_point"].value == pytest.approx(64.48 - 3.02 * 0.44196, abs=0.1)
    # At 2000 m CoolProp gives 58.44 °C, so a set point of 54 °C is cut to the ceiling.
    high = book_of("quillmere", {"site.altitude": "2000 m"})
    assert high["ceiling"].value == pytest.approx(53.44, abs=0.1)
    assert high["reaction_set_point"].value == high["ceiling"].value
    assert quillmere["reaction_set_point"].value == 54.0


def test_cover_volume(quillmere: FigureBook, larkstead: FigureBook) -> None:
    # Cone 0.25 m deep, 0.65 m wide, level 0.30 + 0.075: π r² (h − 2c/3) = 0.331831 × 0.208333.
    assert quillmere["dryer.cover_level"].value == close(0.375)
    assert quillmere["dryer.cover_volume"].value == close(0.0691315)
    # Dished in: 9 in + 75 mm = 0.3036 m; π r² h less the cap π a (3r² + a²) / 6 with a = 0.0762, r = 0.3048.
    cap = math.pi * 0.0762 * (3 * 0.3048**2 + 0.0762**2) / 6
    assert larkstead["tank.cover_volume"].value == close(math.pi * 0.3048**2 * 0.3036 - cap)


def test_element_at_half_its_volts(larkstead: FigureBook) -> None:
    assert larkstead["tank.element_power"].value == close(4500 / 4)
    assert larkstead["tank.element_density"].value == close(55 / 4 / 0.0254**2)


def test_preheat_and_mix(quillmere: FigureBook, book_of: BookOf) -> None:
    # Oil at 54 °C 2049.76 J/kgK × 165.024 kg; methanol at 34.5 °C 2595.72 J/kgK × 31.324 kg: φ = 0.24037.
    phi = 31.3239 * 2595.72 / (165.024 * 2049.76)
    # Wanted 54 + φ × (54 − 15) = 63.4 °C is above the ceiling: the oil stays at 59.0, the mix falls short.
    assert quillmere["preheat"].value == quillmere["preheat_limit"].value == quillmere["ceiling"].value
    mix = (59.007 + phi * 15.0) / (1 + phi)
    assert quillmere["mix_temperature"].value == pytest.approx(mix, abs=0.01)
    # Set to 48 °C the ceiling does not bind: the mix lands on the set point and nothing is left to heat.
    mild = book_of("quillmere", {"recipe.reaction.set_point": "48 degC"})
    assert mild["mix_temperature"].value == pytest.approx(48.0, abs=1e-9)
    assert mild["preheat"].value == pytest.approx(48 + phi * 33, abs=0.1)
    assert "reactor.heating_time_react" not in mild


def test_one_number_stands_for_a_volume_in_all_vessels_that_it_is_read_in(book_of: BookOf) -> None:
    """Derived: 227.05 L is 230 L on gauges of 5 and 10 L, of which the coarser is read too."""
    book = book_of("quillmere", {"vessels.settler.gauge.resolution": "10 L"})
    assert book["charge_volume"].text == "230\u00a0L" and book["charge_volume"].resolution == 0.01
    # Warm oil is a figure of its own, as its vessel's gauge shows it: 180 L at 20 °C is 185 L at 59 °C.
    assert book["reactor.warm_oil"].text == "185\u00a0L"
    level = {given.symbol: given.figure for given in book["reactor.oil_mark_level"].inputs}
    assert level == {"V": "reactor.warm_oil"}


def test_oil_that_is_dried_and_reacted_in_one_vessel_stands_higher_when_warm(book_of: BookOf) -> None:
    """Derived: 200 L at 20 °C are 206 L at 59 °C, 11 mm more in a vessel of 0.80 m."""
    book = book_of("withyburn")
    warm, measured = book["tank.warm_oil_level"], book["tank.oil_mark_level"]
    assert {given.symbol: given.figure for given in warm.inputs} == {"V": "tank.warm_oil"}
    more_m3 = book["tank.warm_oil"].value - book["oil_volume"].value
    assert more_m3 > 0.004 and warm.value - measured.value == close(more_m3 / (math.pi * 0.40**2))


def test_room_for_fuel_is_rounded_up_and_what_is_expected_of_it_down(book_of: BookOf) -> None:
    """Derived: 185.7 L before losses, 170.8 to 182.0 L after 8 and 2 %; the fuel tank's gauge shows 10 L."""
    book = book_of("quillmere")
    texts = [book[kind].text for kind in ("fuel_volume", "fuel_least", "fuel_most")]
    assert texts == ["190\u00a0L", "170\u00a0L", "180\u00a0L"]
    # It stands in the finisher while that is heated: it is told as closely as the gauge there shows it.
    fine = book_of("quillmere", {"vessels.finisher.gauge.resolution": "1 L"})
    assert [fine[kind].text for kind in ("fuel_least", "fuel_most")] == ["170\u00a0L", "182\u00a0L"]


def test_what_warms_a_charge_by_one_degree_is_no_energy(quillmere: FigureBook) -> None:
    """Derived: 165 kg of oil at about 2.0 kJ/(kg·K) are some 92 Wh/K."""
    (capacity,) = [part for part in quillmere["cool_to_preheat_time"].inputs if part.symbol == "C"]
    assert re.fullmatch("9[0-9]\u00a0Wh/K", capacity.shown("metric"))


def test_charge_volume(quillmere: FigureBook) -> None:
    # At 54 °C: 165.024 / 895.04 + 31.3239 / 758.739 + 2.8336 / 2040 = 0.22705 m3.
    assert quillmere["charge_volume"].value == close(165.024 / 895.04 + 31.3239 / 758.739 + 2.8336 / 2040)
    # Reactor: cone 0.30 m, 0.70 m wide: level = V / π r² + 2c/3.
    level = quillmere["charge_volume"].value / (math.pi * 0.35**2) + 0.2
    assert quillmere["reactor.charge_mark_level"].value == close(level)


def test_glycerin_and_mass_balance(quillmere: FigureBook, larkstead: FigureBook) -> None:
    oil, methanol, flake, ffa = 165.024, 31.32392, 2.2336, 0.0109827
    n = 0.98 * oil * (1 - ffa - 0.0015) / 873.6
    soap, used = oil * ffa * 320.553 / 282.462, 3 * n * 32.042
    base = flake * 0.9 - oil * ffa * 56.1056 / 282.462
    water = oil * ffa * 18.0153 / 282.462 + flake * 0.1 + oil * 0.0015
    parts = [n * 92.094 / 1261.3, 0.58 * (methanol - used) / 791.1, 0.9 * soap / 1000, 0.94 * base / 2040]
    assert quillmere["glycerin_usual"].value == close(sum(parts) + water / 998.2, 1e-3)
    for book in (quillmere, larkstead):
        assert book["balance_in"].value == close(book["balance_out"].value, 1e-9)
        assert book["glycerin_highest"].value > book["glycerin_usual"].value


def test_heating_time(quillmere: FigureBook, book_of: BookOf) -> None:
    # Shell: cone 0.41865 + side 1.53153 + lid 0.33183 = 2.28201 m2, bare. Dull steel (0.6) at 85 °C:
    # radiation 0.6 × 5.670374e-8 × (358.15⁴ − 293.15⁴) / 65 = 4.7466, convection 5.6709 (ht, 0.5 m high)
    # W/m2K: UA = 23.773 W/K. C = 165.024 × 2040.26 J/K; 4 to 85 °C with 3 kW: 14 543 s.
    radiation = 0.6 * 5.670374e-8 * (358.15**4 - 293.15**4) / 65
    ua, capacity = (radiation + 5.6709) * 2.282007, 165.024 * 2040.255
    expected = capacity / ua * math.log(3000 / (3000 - ua * 81))
    assert quillmere["dryer.heating_time_dry"].value == close(expected)
    weak = book_of("quillmere", {"vessels.dryer.heaters.element.rated_power": "1 kW"})
    assert "dryer.heating_time_dry" not in weak
    assert weak["dryer.heating_reaches"].value == close(4 + 1000 / ua)


def test_warming_oil_to_the_mixing_temperature(quillmere: FigureBook, book_of: BookOf) -> None:
    # Reactor, insulated: the oil from the coldest air, 4 °C, to the oil temperature before injection.
    heat = {i.symbol: i.value for i in quillmere["reactor.heating_time_preheat"].inputs}
    middle = 0.5 * (4.0 + quillmere["preheat"].value)
    assert heat["C"] == close(165.024 * (1984.2 + 1.4733 * middle - 4.8008e-3 * middle**2))
    assert (heat["T_1"], heat["T_2"], heat["U"]) == (4.0, quillmere["preheat"].value, 2.0)
    # Warm oil comes from the dryer, so that only a rig that does not warm it there waits for this.
    assert "t_pre" not in [i.symbol for i in quillmere["stage_react"].inputs]
    cold = book_of("quillmere", {"vessels.dryer.heaters": {}})
    assert "t_pre" in [i.symbol for i in cold["stage_react"].inputs]
    energy = {i.symbol: i.value for i in cold["energy_batch"].inputs}
    assert energy["E_preheat"] > 0.0
    assert cold["energy_batch"].value == close(sum(energy.values()), 1e-9)


def test_half_the_volts_give_a_quarter_of_the_power(book_of: BookOf) -> None:
    half = book_of("quillmere", {"vessels.reactor.heaters.element.supply_voltage": "115 V"})
    whole = book_of("quillmere")
    assert half["reactor.element_power"].value == close(whole["reactor.element_power"].value / 4, 1e-2)


def test_numbers_that_go_with_the_lye(quillmere: FigureBook, larkstead: FigureBook) -> None:
    for book, soap, base, dissolves in ((quillmere, 320.55, 56.106, 0.55), (larkstead, 304.44, 39.997, 0.24)):
        water = book["oil_water"].value / 18.015
        assert book["water_soap"].value == close(water * soap)
        assert book["water_base"].value == close(water * base)
        purity = book["catalyst_purity"].value
        assert book["lye_dissolves"].value == close(dissolves * book["methanol_mass"].value / purity)


def test_vapour_over_the_layers_of_a_batch(quillmere: FigureBook, book_of: BookOf) -> None:
    # Room temperature is explosive over methanol, over settled ester and over the glycerin.
    assert 0.06 < quillmere["vapour_over_methanol"].value < 0.36
    ester = quillmere["ester_methanol"].value
    assert 0.03 < ester < 0.04 and 10.0 <= quillmere["ester_explosive_from"].value + 0.3 <= 11.3
    assert quillmere["glycerin_explosive_from"].value < 20.0 < quillmere["glycerin_boils"].value
    high = book_of("quillmere", {"site.altitude": "2000 m"})
    assert high["ester_explosive_from"].value < quillmere["ester_explosive_from"].value - 3.0


def test_what_is_stored_counts_for_the_rules_of_the_place(
    larkstead: FigureBook, quillmere: FigureBook
) -> None:
    kinds = {figure.kind for figure in larkstead if figure.kind.startswith("stored_")}
    assert kinds == {"stored_oil_spill_plan", "stored_indoor_flammables", "stored_process_safety"}
    assert not [figure for figure in quillmere if figure.kind.startswith("stored_")]
    limit = larkstead["stored_process_safety"].inputs[0].value
    assert limit == close(10_000 * 0.45359237) and larkstead["stored_process_safety"].value < limit


def test_stuck_thermostat_counts_no_loss(quillmere: FigureBook) -> None:
    # (165.024 × 2049.76 + 31.3239 × 2738.9) J/K × 8.007 K / 3 kW: the thermostat may overshoot by 2 K.
    capacity = 165.024 * 2049.76 + 31.3239 * (2400.764 + 4.56902 * 54 + 0.031359 * 54**2)
    assert quillmere["runaway_time"].value == close(capacity * 8.0067 / 3000, 1e-3)
    assert quillmere["runaway_time"].text == "18\u00a0min"


def test_injection(quillmere: FigureBook, book_of: BookOf) -> None:
    # 41 L at 40 L/min: one turnover 4.5 min, a fifth of the flow 5.1 min: ten minutes decide, 4.1 L/min.
    assert quillmere["injection_time"].value == 600.0
    assert quillmere["injection_flow"].value == close(quillmere["methoxide_volume"].value / 600)
    slow = book_of("quillmere", {"pumps.p1.flow": "10 L/min"})
    assert slow["injection_time"].value == close(slow["methoxide_volume"].value / (0.2 * 10 / 60000))
    assert slow["injection_flow"].value <= 0.2 * 10 / 60000 * (1 + 1e-9)
    assert quillmere["turnovers"].value == close(40 * 60 / (1000 * quillmere["charge_volume"].value))


def test_tower(quillmere: FigureBook, book_of: BookOf, remove: object) -> None:
    # 3 bed volumes of 25 L an hour are 75 L/h, as the restrictor; glycerin ends the run at 200 of them.
    assert quillmere["tower_flow"].value == close(75e-3 / 3600)
    assert quillmere["tower_litres"].value == close(5.0)
    assert quillmere["tower_batches"].value == 26
    tight = book_of("quillmere", {"lines.to_tower.restrictor.flow": "60 L/h"})
    assert tight["tower_flow"].value == close(60e-3 / 3600)
    free = book_of("quillmere", {"lines.to_tower.restrictor": remove})
    assert free["tower_flow"].value == close(75e-3 / 3600)
    # A resin that soap ends: 25 L × 0.5 mol/L × 320.55 g/mol / (879.4 g/L × 0.00135) = 3375 L.
    weak = book_of("quillmere", {"inline.tower.capacity_eq_per_l": "0.5"})
    assert weak["tower_litres"].value == close(25 * 0.5 * 320.553 / (879.4 * 0.00135) / 1000, 1e-3)


def test_soap_that_the_tower_may_get(quillmere: FigureBook, book_of: BookOf) -> None:
    """Derived: (0.50 − AV) mg KOH/g over 56.106 / 320.55 for each gram of soap; 2000 ppm common practice."""
    assert quillmere["soap_to_tower"].value == close(1400)
    soapy: dict[str, object] = {"recipe.washing.soap_in_ppm": "9000"}
    assert book_of("quillmere", soapy)["soap_to_tower"].value == close(0.25 * 320.553 / 56.106 * 1e3, 1e-4)
    assert book_of("quillmere", soapy)["acid_added_by_tower"].value == close(0.25, 1e-4)
    measured = soapy | {"own_values": {"fuel_acid_value": "0.40"}}
    assert book_of("quillmere", measured)["soap_to_tower"].value == close(0.10 * 320.553 / 56.106 * 1e3, 1e-4)
    clean = soapy | {"own_values": {"fuel_acid_value": "0.05"}}
    assert book_of("quillmere", clean)["soap_to_tower"].value == close(2000)
    # An adsorbent takes soap without turning it into acid: its supplier's number stands.
    adsorbent = soapy | {"inline.tower.kind": "adsorbent_tower"}
    assert book_of("quillmere", adsorbent)["soap_to_tower"].value == close(9000)


def test_adsorbent_in_the_tower(book_of: BookOf) -> None:
    """Derived: mass balance; uptake and filling invented, 9000 ppm of soap down to 50."""
    filled: dict[str, object] = {
        "recipe.washing.soap_in_ppm": "9000",
        "inline.tower.kind": "adsorbent_tower",
        "inline.tower.capacity_eq_per_l": None,
        "inline.tower.adsorbent": "12 kg",
        "inline.tower.soap_uptake": "10 %",
    }
    book = book_of("quillmere", filled)
    fuel_kg = next(part.value for part in book["adsorbent_per_batch"].inputs if part.symbol == "m_F")
    assert book["adsorbent_takes"].value == close(12 * 0.10 / fuel_kg * 1e6)
    assert book["adsorbent_per_batch"].value == close(fuel_kg * 8950e-6 / 0.10)
    batches = 12 / book["adsorbent_per_batch"].value
    assert book["adsorbent_litres"].value == close(batches * book["fuel_volume"].value)
    assert book["tower_flow"].value == close(75e-3 / 3600) and "acid_reading_tower" not in book
    soapless = filled | {"recipe.washing.soap_in_ppm": "40"}
    assert "adsorbent_litres" not in book_of("quillmere", soapless)


def test_capacity_of_resin_by_the_last_bed(book_of: BookOf) -> None:
    """Derived: 8000 L through 25 L, 1200 to 50 ppm of potassium oleate, 879.4 kg/m3."""
    run = {"fuel": "8000 L", "soap_in_ppm": "1200", "soap_out_ppm": "50"}
    edits: dict[str, object] = {"inline.tower.capacity_eq_per_l": None, "inline.tower.last_bed": run}
    book = book_of("quillmere", edits)
    took = 8000 / 25 * 879.4 * 1150e-6 / 320.553
    assert book["tower_capacity"].value == close(took, 1e-4)
    soapy = book_of("quillmere", edits | {"recipe.washing.glycerin_in": "0.02 %"})
    by_soap = 0.025 * took * 320.553 / (879.4 * 0.00135)
    assert soapy["tower_litres"].value == close(min(by_soap, 5.0), 1e-3)
    assert "tower_capacity" not in book_of("quillmere")


def test_acid_that_fuel_may_hold_before_the_resin(quillmere: FigureBook) -> None:
    """Derived: half of the 0.50 that finished fuel may have is half of its reading."""
    assert quillmere["acid_reading_tower"].value == close(0.5 * quillmere["acid_test_reading"].value)


def test_pressure_in_a_carbide_tester(book_of: BookOf) -> None:
    """Derived: 30 g, 300 mL, 20 °C; 500 ppm of water are 0.416 mmol of acetylene."""
    tester: dict[str, object] = {"feedstock.water_tester": {"sample": "30 g", "gas_space": "300 mL"}}
    book = book_of("larkstead", tester)
    assert book["carbide_rise_fuel"].value == close(0.015 / 36.03 * 8.314462618 * 293.15 / 300e-6, 1e-6)
    assert book["carbide_rise_oil"].value == close(2 * book["carbide_rise_fuel"].value)
    assert "carbide_rise_oil" not in book_of("larkstead")


def test_water_wash(larkstead: FigureBook) -> None:
    assert larkstead["wash_water"].value == close(0.2 * larkstead["fuel_volume"].value)
    assert larkstead["wash_left"].value == close(1 / 3**4)
    assert larkstead["washed_methanol"].value == close(larkstead["ester_methanol"].value / 3**4)


def test_methanol_left_by_the_vacuum_is_what_the_wash_starts_from(book_of: BookOf) -> None:
    book = book_of("withyburn")
    assert book["washed_methanol"].value == close(book["strip_left"].value * book["wash_left"].value)


def test_air_and_bund(quillmere: FigureBook, larkstead: FigureBook, book_of: BookOf) -> None:
    # 24 m2 × 18.3 m3/h; bund 7.2 × 0.18 m less what stands below the wall.
    assert quillmere["ventilation_needed"].value == close(24 * 18.288 / 3600)
    largest = math.pi * 0.35**2 * 1.6
    assert quillmere["containment_needed"].value == close(1.1 * largest)
    taken = math.pi * (0.20**2 * 0.18 + 0.15**2 * 0.08)  # glycerin drum on the floor, recovered can 0.10 m up
    assert quillmere["containment_there"].value == close(7.2 * 0.18 - taken)
    assert "ventilation_needed" not in larkstead and "containment_needed" not in larkstead
    outside = {"site.placement": "outdoors", "safety.containment.roofed": "no"}
    rained = book_of("quillmere", outside)
    assert rained["containment_needed"].value == close(largest + 7.2 * 0.115)
    assert "ventilation_needed" not in rained


def test_time_of_the_pump_for_the_oil(quillmere: FigureBook, larkstead: FigureBook, book_of: BookOf) -> None:
    """Derived: 180 L at 40 L/min, 45 gal at 6 gal/min."""
    assert quillmere["oil_in_time"].value == close(180 / 40 * 60)
    assert larkstead["oil_in_time"].value == close(45 / 6 * 60)
    assert "oil_in_time" not in book_of("quillmere", pumps=False)


def test_schedule(quillmere: FigureBook, larkstead: FigureBook) -> None:
    stages = ("stage_dry", "stage_react", "stage_settle", "stage_strip")
    assert quillmere["batch_interval"].value == max(quillmere[s].value for s in stages)
    own = ("stage_dry", "stage_react", "stage_settle", "stage_wash")
    assert larkstead["batch_interval"].value == close(sum(larkstead[s].value for s in own), 1e-9)
    # One vessel pumps nothing from stage to stage: injection, heating, reaction only.
    assert [i.symbol for i in larkstead["stage_react"].inputs] == ["t_inj", "t_heat", "t_hold"]


def test_readings_of_the_soap_titration_by_hand(book_of: BookOf) -> None:
    """Derived: 0.01 mol/L, oleates of 320.55 and 304.44 kg/kmol; 41.0 ppm hold 5 mg/kg of K."""
    for name, soap_ppm_g_per_ml, base_ppm_g_per_ml, limit_ppm in (
        ("quillmere", 3205.5, 561.06, 41.0),
        ("larkstead", 3044.4, 399.97, 50.0),
    ):
        book = book_of(name)
        assert book["soap_factor"].value == pytest.approx(soap_ppm_g_per_ml, rel=1e-4)
        assert book["free_base_factor"].value == pytest.approx(base_ppm_g_per_ml, rel=1e-4)
        assert book["soap_reading_fuel"].value == pytest.approx(limit_ppm * 20 / soap_ppm_g_per_ml, rel=5e-3)
        assert book["acid_per_ml"].value * book["acid_test_reading"].value == pytest.approx(0.50)
    assert "soap_reading_tower" not in book_of("larkstead")
    assert book_of("quillmere")["soap_reading_tower"].value == pytest.approx(1400 * 20.0 / 3205.5, rel=1e-3)
