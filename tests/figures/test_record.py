"""What every figure must have: words, inputs its formula names and that give its value, safe rounding."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import ceil, exp, log, log10
from typing import Any

import pytest

from generator import quantities
from generator.figures.record import Figure, FigureBook, kinds
from generator.problems import FillmarkError

BookOf = Callable[..., FigureBook]
NEEDED = {"title", "symbol", "formula", "holds", "source", "mark", "rounding"}
MARKS = {"published", "library-computed", "derived", "common practice", "from memory", "stated"}


ADSORBENT: dict[str, Any] = {
    "inline.tower.kind": "adsorbent_tower",
    "inline.tower.adsorbent": "12 kg",
    "inline.tower.soap_uptake": "5 %",
}
OWN_LOG: dict[str, Any] = {
    "inline.tower.capacity_eq_per_l": None,
    "inline.tower.last_bed": {"fuel": "5000 L", "soap_in_ppm": "1200", "soap_out_ppm": "50"},
}
#: Two stages behind an acid step, analyses, prices, an own value and a bund in the rain.
EVERYTHING: dict[str, Any] = {
    "recipe.stages": "2",
    "recipe.acid_step": {
        "acid_strength": "96 %",
        "highest_ffa": "10 %",
        "left_share": "20 %",
        "set_point": "58 degC",
    },
    "prices": {
        "currency": "crowns",
        "oil": "0.35 per L",
        "methanol": "1.20 per L",
        "catalyst": "3.00 per kg",
        "electricity": "0.15 per kWh",
        "other_per_batch": "7.40",
    },
    "feedstock.analyses": {"saponification_value": "192", "acid_value": "2", "iodine_value": "115"},
    "own_values": {"conversion": "97 %", "loss_bare": "9 W/m2K"},
    "site.placement": "open_shed",
    "safety.containment.roofed": "no",
    "recipe.washing": {
        "method": "water",
        "washes": "3",
        "share": "20 %",
        "temperature": "45 degC",
        "dry_set_point": "54 degC",
        "dry_time": "4 h",
    },
}


@pytest.fixture(scope="module")
def books(book_of: BookOf) -> list[FigureBook]:
    weak = {
        "vessels.reactor.heaters.element.rated_power": "200 W",
        "site.barometer": "98 kPa",
        "vessels.settler.insulated": "no",
    }
    ratio = {
        "recipe.methanol": {"molar_ratio": "6:1"},
        "site.jurisdiction": "england",
    }
    return [
        book_of("quillmere"),
        book_of("larkstead"),
        book_of("quillmere", weak),
        book_of("quillmere", ratio, pumps=False),
        book_of("quillmere", EVERYTHING),
        book_of("withyburn"),
        book_of("quillmere", ADSORBENT),
        book_of("quillmere", OWN_LOG),
    ]


@pytest.fixture(scope="module")
def figures(books: list[FigureBook]) -> list[Figure]:
    return [figure for book in books for figure in book]


def names(formula: str, symbol: str) -> bool:
    """Whether a formula has a symbol; `E1`, `E2` of several heaters stand for its `E`."""
    forms = {symbol, symbol.rstrip("0123456789")}
    return any(re.search(rf"(?<!\w){re.escape(form)}(?!\w)", formula) for form in forms)


def test_every_kind_has_all_its_words() -> None:
    for kind, words in kinds().items():
        assert set(words) >= NEEDED, kind
        assert set(words) <= {*NEEDED, "note", "check"}, kind
        assert words["mark"] in MARKS, kind
        assert words["rounding"] in {"maximum", "minimum", "target", "exact"}, kind
        assert words.get("check", False) is (words["mark"] in {"common practice", "from memory"}), kind


def test_every_kind_is_computed_for_some_rig(figures: list[Figure]) -> None:
    assert sorted(set(kinds()) - {figure.kind for figure in figures}) == []


def test_formula_names_every_input(figures: list[Figure]) -> None:
    missing = {
        (figure.kind, given.symbol)
        for figure in figures
        for given in figure.inputs
        if not names(figure.formula, given.symbol)
    }
    assert missing == set()


def test_inputs_and_values_can_be_shown(figures: list[Figure]) -> None:
    for figure in figures:
        for units in ("metric", "us", "both"):
            assert replace(figure, units=units).text
            assert all(given.shown(units) for given in figure.inputs)


def test_linked_inputs_are_in_the_book_before(books: list[FigureBook]) -> None:
    for book in books:
        seen: set[str] = set()
        for figure in book:
            assert {i.figure for i in figure.inputs if i.figure} <= seen, figure.id
            seen.add(figure.id)


def shown_values(figures: list[Figure]) -> Iterator[tuple[Figure, float]]:
    for figure in figures:
        for units in ("metric", "us"):
            text = replace(figure, units=units).shown.first.text
            yield replace(figure, units=units), quantities.parse(text, figure.quantity, units=units)


def test_printed_values_stand_on_the_right_side(figures: list[Figure]) -> None:
    for figure, printed in shown_values(figures):
        slack = 1e-8 * max(abs(figure.value), 1.0)
        if figure.rounding == "maximum":
            assert printed <= figure.value + slack, figure
        elif figure.rounding == "minimum":
            assert printed >= figure.value - slack, figure
        elif figure.rounding == "exact":
            nearest = quantities.show(figure.value, figure.quantity, units=figure.units).first
            assert figure.shown.first == nearest or printed == pytest.approx(figure.value, rel=1e-9), figure


def test_printed_targets_are_near(figures: list[Figure]) -> None:
    for figure, printed in shown_values(figures):
        if figure.rounding == "target":
            reach = max(0.04 * abs(figure.value), figure.resolution or 0.0)
            assert abs(printed - figure.value) <= reach, figure


def test_a_fill_mark_can_be_read_on_the_gauge(books: list[FigureBook]) -> None:
    # The reactor's sight tube shows 5 L, its thermometer whole degrees.
    limit = books[0]["reactor.fill_limit"]
    assert round(quantities.parse(limit.text, "volume") * 1000) % 5 == 0
    assert books[1]["methanol_volume"].text == "10\u00a0gal"  # 9.9 gal on a sight tube of quarter gallons


Values = dict[str, float]
METHANOL_20 = 809.99 - 0.9491 * 20.0


def warming(v: Values) -> float:
    ua = v["U"] * v["A"]
    return v["C"] / ua * log((v["P"] - ua * (v["T_1"] - v["T_a"])) / (v["P"] - ua * (v["T_2"] - v["T_a"])))


def cooling(v: Values) -> float:
    return v["C"] / (v["U"] * v["A"]) * log((v["T_1"] - v["T_a"]) / (v["T_2"] - v["T_a"]))


# The formula once more, straight from the inputs; T in °C, everything else SI.
AGAIN: dict[str, Callable[[Values], float]] = {
    "fill_limit": lambda v: v["f"] * v["V"],
    "cover_level": lambda v: v["h_top"] + v["c"],
    "element_power": lambda v: v["P_r"] * (v["E"] / v["E_r"]) ** 2,
    "element_density": lambda v: v["w_r"] * (v["E"] / v["E_r"]) ** 2,
    "methanol_boiling_point": lambda v: 1581.341 / (5.20409 - log10(v["P"] / 1e5)) + 33.5 - 273.15,
    "ceiling": lambda v: v["T_b"] - v["ΔT"],
    "high_limit": lambda v: v["T_b"] - v["ΔT"],
    "reaction_set_point": lambda v: min(v["T_profile"], v["T_ceiling"]),
    "preheat": lambda v: min(v["T_r"] + v["m_M"] * v["k"] / v["m_oil"] * (v["T_r"] - v["T_M"]), v["T_limit"]),
    "mix_temperature": lambda v: (
        (v["T_oil"] + v["m_M"] * v["k"] / v["m_oil"] * v["T_M"]) / (1 + v["m_M"] * v["k"] / v["m_oil"])
    ),
    "warm_oil": lambda v: v["m_oil"] / v["ρ_oil"],
    "charge_volume": lambda v: v["m_oil"] / v["ρ_oil"] + v["m_M"] / v["ρ_M"] + v["m_c"] / v["ρ_c"],
    "injection_time": lambda v: max(v["t_0"], v["V_oil"] / v["Q"], v["V_m"] / (v["s"] * v["Q"])),
    "injection_flow": lambda v: v["V_m"] / v["t_inj"],
    "turnovers": lambda v: 3600 * v["Q"] / v["V"],
    "oil_mass": lambda v: v["V_oil"] * (v["ρ_15"] - 0.64 * (v["T_oil"] - 15)),
    "titrant_normality": lambda v: v["g"] * v["p_t"] / v["M_t"],
    "ffa_usual": lambda v: v["V_t"] * v["N"] * v["M_oleic"] / (1000 * 1000 * v["m_s"]),
    "acid_value_highest": lambda v: v["V_t"] * v["N"] * v["M_KOH"] / (1000 * v["m_s"]),
    "base_dose": lambda v: v["b"] * v["ρ_oil"] / v["p"],
    "dose_per_ml": lambda v: v["g"] / v["v_s"] * v["k"] * v["p_t"] / v["p"],
    "catalyst_dose": lambda v: v["c_0"] + v["e"] * v["V_t"],
    "catalyst_mass": lambda v: v["c"] * v["V_oil"],
    "catalyst_usual": lambda v: (v["c_0"] + v["e"] * v["V_t"]) * v["V_oil"],
    "methanol_volume": lambda v: v["x"] * v["V_oil"],
    "methanol_mass": lambda v: v["V_M"] * (809.99 - 0.9491 * v["T_M"]),
    "methoxide_volume": lambda v: v["V_M"] + v["m_c"] / v["ρ_c"],
    "methoxide_portion": lambda v: v["s"] * v["m_c"],
    "heating_time_dry": warming,
    "heating_time_react": warming,
    "heating_time_strip": warming,
    "heating_time_fuel": warming,
    "heating_reaches": lambda v: v["T_a"] + v["P"] / (v["U"] * v["A"]),
    "heat_loss": lambda v: v["U"] * v["A"] * (v["T"] - v["T_a"]),
    "runaway_time": lambda v: v["C"] * (v["T_b"] - v["T_r"] - v["ΔT_d"]) / v["P"],
    "cool_to_preheat_time": cooling,
    "cool_to_tower_time": cooling,
    "tower_feed": lambda v: v["T_max"] - v["ΔT_P"],
    "settled_temperature": lambda v: (
        v["T_a"] + (v["T_r"] - v["T_a"]) * exp(-v["U"] * v["A"] * v["t"] / v["C"])
    ),
    "glycerin_share": lambda v: v["V_g"] / v["V_oil"],
    "ester_volume": lambda v: (v["m_L"] - v["m_ME"]) / v["ρ_E"] + v["m_ME"] / v["ρ_M"],
    "ester_methanol": lambda v: v["m_ME"] / v["m_L"],
    "fuel_volume": lambda v: (v["m_L"] - v["m_ME"]) / v["ρ_15"],
    "balance_in": lambda v: sum(v.values()),
    "balance_out": lambda v: sum(v.values()),
    "balance_oil_left": lambda v: v["m_oil"] * (1 - v["FFA"] - v["w"]) * (1 - v["X"]),
    "sweep_time": lambda v: v["V_N"] / v["Q_N"],
    "recovered_methanol": lambda v: (v["m_ME"] - v["m_E"] * v["w"] / (1 - v["w"])) / v["ρ_M"],
    "condenser_water": lambda v: v["Q"] / (4182 * v["ΔT"] * 998.2),
    "tower_time": lambda v: v["V_F"] / v["Q"],
    "tower_batches": lambda v: v["V_tower"] // v["V_F"],
    "wash_water": lambda v: v["φ"] * v["V_F"],
    "wash_left": lambda v: (1 + v["D"] * v["φ"]) ** -v["n"],
    "containment_there": lambda v: v["A"] * v["h"] - v["V_tanks"],
    "stage_dry": lambda v: sum(v.values()),
    "stage_react": lambda v: sum(v.values()),
    "stage_settle": lambda v: sum(v.values()),
    "stage_strip": lambda v: sum(v.values()),
    "stage_wash": lambda v: sum(v.values()),
    "batch_interval": lambda v: sum(v.values()),
    "heating_time_second": warming,
    "heating_time_preheat": warming,
    "heating_time_acid": warming,
    "first_batch": lambda v: sum(v.values()),
    "some_batches": lambda v: v["t_1"] + (v["n"] - 1) * v["t_i"],
    "oil_water": lambda v: v["w"] * v["m_oil"],
    "drying_least": lambda v: v["E"] / (v["P"] - v["U"] * v["A"] * (v["T_dry"] - v["T_a"])),
    "methoxide_headspace": lambda v: 1 - v["V_h"] / v["V"],
    "titrant_check": lambda v: v["V_a"] * v["N_a"] / v["N"],
    "acid_value_single": lambda v: 1000 * v["F_1"] * 56.106 / 282.46,
    "ffa_by_analysis": lambda v: v["AV"] * 282.46 / 56106,
    "fuel_density_step": lambda v: 0.72 * (v["T"] - 15),
    "oil_density_step": lambda v: 0.64 * (v["T"] - 15),
    "fuel_holds_water": lambda v: 1e-6 * (1000 + 22.2 * (v["T_c"] - 4)),
    "air_humidity_most": lambda v: v["w_F"] / (1e-6 * (1000 + 22.2 * (v["T_a"] - 4))),
    "circulation_least": lambda v: v["N_3"] * v["V"] / v["Q"],
    "wash_water_all": lambda v: v["n"] * v["V_W"],
    "washes_needed": lambda v: ceil(log(v["w_0"] / v["w_F"]) / log(1 + v["D"] * v["φ"])),
    "batches_in_week": lambda v: (v["t_5"] - v["t_1"]) // v["t_i"] + 1,
    "heat_loss_wool": lambda v: v["A"] * (v["T"] - v["T_a"]) / (v["s"] / 0.040 + 1 / 8),
    "bund_wall": lambda v: v["V"] / v["A"],
    "acid_volume": lambda v: 0.05 * v["FFA"] * v["m_oil"] / (0.96 * 1836),
    "spill_air": lambda v: (
        v["V_s"] * METHANOL_20 * 8314.46 * (v["T_a"] + 273.15) / (32.042 * v["P"]) / v["C"]
    ),
    "vapour_over_methanol": lambda v: 1e5 * 10 ** (5.20409 - 1581.341 / (v["T_a"] + 273.15 - 33.5)) / v["P"],
    "mix_short": lambda v: v["T_r"] - v["T_mix"],
    "fuel_least": lambda v: v["V_F"] * (1 - v["l"]),
    "fuel_most": lambda v: v["V_F"] * (1 - v["l"]),
    "drop_time": lambda v: (
        v["H"]
        * 18
        * {20: 6.45e-3, 40: 3.92e-3, 55: 2.88e-3}[round(v["T"])]
        / (9.80665 * v["d"] ** 2 * v["Δρ"])
    ),
    "first_methanol": lambda v: v["s"] * v["V_M"],
    "second_methanol": lambda v: v["V_M"] - v["V_M1"],
    "first_catalyst": lambda v: v["s"] * v["m_c"],
    "second_catalyst": lambda v: v["m_c"] - v["m_c1"],
    "acid_methanol": lambda v: 2.25 * v["FFA"] * v["m_oil"] / v["ρ_M"],
    "acid_mass": lambda v: 0.05 * v["FFA"] * v["m_oil"] / v["p_a"],
    "acid_water": lambda v: v["FFA"] * v["m_oil"] * 18.015 / 282.46,
    "washed_methanol": lambda v: v["w_0"] * v["c"],
    "soap_to_tower": lambda v: min(
        v["S_p"],
        v.get("S_most", v["S_p"]),
        (v.get("AV_most", 99) - v.get("AV_0", 0)) * 320.553 / 56.106 * 1e3,
    ),
    "acid_mix_volume": lambda v: v["V_Ma"] + v["m_a"] / 998.2,
    "acid_waste_volume": lambda v: v["V_Ma"] + v["V_r"] + (v["m_a"] + v["m_Wa"]) / 998.2,
    "acid_charge_volume": lambda v: (
        v["m_oil"] / v["ρ_oil"] + (v["V_Ma"] + v["V_r"]) * v["ρ_M"] / v["ρ_h"] + v["m_a"] / 998.2
    ),
    "air_exposure": lambda v: v["K"] * v["G"] / 32.042 * 8314.46 * (v["T_a"] + 273.15) / v["P"] / v["C"],
    "passed_share": lambda v: 1 - exp(-v["N_r"]),
    "turnovers_reaction": lambda v: v["N"] * v["t_r"] / 3600,
    "suction_head": lambda v: (v["P"] - v["p_v"]) / (v["ρ"] * 9.80665) + v["z"] - v["h_f"],
    "energy_batch": lambda v: sum(v.values()),
    "energy_per_fuel": lambda v: v["E"] / v["V_F"],
    "oil_per_fuel": lambda v: v["V_oil"] / v["V_F"],
    "methanol_per_fuel": lambda v: (v["V_M"] - v.get("V_R", 0)) / v["V_F"],
    "catalyst_per_fuel": lambda v: v["m_c"] / v["V_F"],
    "cost_oil": lambda v: v["V_oil"] * v["c_o"],
    "cost_energy": lambda v: v["E"] * v["c_E"],
    "cost_batch": lambda v: sum(v.values()),
    "cost_per_fuel": lambda v: v["K"] / v["V_F"],
}


def test_inputs_give_the_value(figures: list[Figure]) -> None:
    done = set()
    for figure in figures:
        values = {given.symbol: given.value for given in figure.inputs}
        if figure.kind in AGAIN and values:
            assert AGAIN[figure.kind](values) == pytest.approx(figure.value, rel=1e-4), figure
            done.add(figure.kind)
    assert done == set(AGAIN)


def test_no_pump_leaves_out_what_hangs_on_its_flow(books: list[FigureBook]) -> None:
    assert "injection_time" not in books[3] and "turnovers" not in books[3]
    assert "stage_react" in books[3]


def test_each_rig_has_only_what_its_equipment_means(books: list[FigureBook]) -> None:
    several, one = books[0], books[1]
    assert "tower_flow" in several and "wash_water" not in several
    assert "wash_water" in one and "tower_flow" not in one and "strip_left" not in one
    assert "cool_to_preheat_time" in several and "cool_to_preheat_time" not in one
    assert "tank.suction.heel" in one and "reactor.sample.heel" not in several


@pytest.mark.parametrize(
    ("edits", "code", "facts"),
    [
        ({"recipe.catalyst.purity": "51 %"}, "formula_out_of_range", {"low": "0.8", "asked": 0.51}),
    ],
)
def test_a_value_no_formula_holds_for_is_a_problem(
    book_of: BookOf, edits: dict[str, Any], code: str, facts: dict[str, Any]
) -> None:
    with pytest.raises(FillmarkError) as caught:
        book_of("quillmere", edits)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert dict(problem.facts).items() >= facts.items()
