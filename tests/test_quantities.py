"""Text to numbers and back. Factors: library-computed (pint). The rest: derived."""

from __future__ import annotations

import math
import re
from typing import get_args

import pint
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from generator import quantities, unit_table
from generator.problems import CONTENT, Problem
from generator.quantities import QUANTITIES, QuantityError, parse, show
from generator.unit_table import FAMILIES, Unit

PINT = pint.UnitRegistry()
# The inside unit of each family in pint's words, and pint's names for printed units it spells otherwise.
INSIDE = {
    "volume": "m**3", "titration_volume": "mL", "mass": "kg", "length": "m", "area": "m**2",
    "temperature": "degC",
    "temperature_difference": "delta_degC", "power": "W", "voltage": "V", "current": "A", "flow": "m**3/s",
    "velocity": "m/s", "pressure": "Pa", "time": "s", "density": "kg/m**3", "energy": "J", "dose": "kg/m**3",
    "mass_flow": "kg/s", "watt_density": "W/m**2", "heat_transfer": "W/m**2/delta_degC",
    "thermal_conductivity": "W/m/K", "rate_per_hour": "1/h", "angle": "degree", "fraction": "",
    "mass_fraction": "", "heat_capacity": "J/K",
    "parts_per_million": "ppm", "normality": "mol/L", "molar_mass": "g/mol",
    "volume_price": "1/m**3", "mass_price": "1/kg", "energy_price": "1/J", "energy_content": "J/m**3",
}  # fmt: skip
UNKNOWN_TO_PINT = {"molar_ratio", "count", "ratio", "money"}  # plain numbers
RESPELLED = {
    "US gpm": "US_gal/min", "UK gpm": "UK_gal/min", "US gph": "US_gal/h", "UK gph": "UK_gal/h",
    "US fl oz": "US_fluid_ounce", "UK fl oz": "imperial_fluid_ounce", "US qt": "quart",
    "UK qt": "imperial_quart", "US pt": "pint", "UK pt": "imperial_pint", "cfm": "ft**3/min",
    "lb/ft³": "lb/ft**3", "hp": "hp", "t": "tonne", "Btu": "Btu_it", "Btu/h": "Btu_it/h",
    "Btu/(h·ft²·°F)": "Btu_it/h/ft**2/delta_degF", "W/(m²·K)": "W/m**2/K", "W/(m·K)": "W/m/K",
    "mph": "mile/hour",
    "inHg": "inch_Hg", "inH₂O": "inch_H2O_39F", "mmHg": "mmHg", "/h": "1/h", "/min": "1/min", "/day": "1/day",
    "N": "mol/L", "mN": "mmol/L", "°": "degree", "": "dimensionless", "%": "percent", "g/kg": "g/kg",
    "weeks": "week", "days": "day",
    "/L": "1/L", "/m³": "1/m**3", "/US gal": "1/US_gal", "/UK gal": "1/UK_gal", "/kg": "1/kg", "/lb": "1/lb",
    "/kWh": "1/kWh", "J/K": "J/K", "kJ/K": "kJ/K", "Wh/K": "Wh/K",
}  # fmt: skip

ALL_UNITS = [(family, unit) for family, units in FAMILIES.items() for unit in units]
ALL_SPELLINGS = [(f, u, s, s in u.bare) for f, u in ALL_UNITS for s in (*u.spellings, *u.bare) if s]


def pint_name(family: str, unit: Unit) -> str:
    if "temperature" in family:
        return {"°C": "degC", "°F": "degF"}[unit.name].replace(
            "deg", "delta_deg" if "diff" in family else "deg"
        )
    if unit.name == "inH₂O":
        return "inch * 1000 kg/m**3 * standard_gravity"  # water of 1 kg/L, which pint has no name for
    if unit.name in RESPELLED:
        return RESPELLED[unit.name]
    named = re.sub(r"(US|UK) gal", r"\1_gal", unit.name)
    return named.replace("UK_gal", "imperial_gallon").replace("US_gal", "US_liquid_gallon").translate(
        {ord("²"): "**2", ord("³"): "**3"}
    )  # fmt: skip


@pytest.mark.parametrize(
    ("family", "unit"),
    [x for x in ALL_UNITS if x[0] not in UNKNOWN_TO_PINT],
    ids=lambda x: getattr(x, "name", x),
)
def test_every_factor_is_pints(family: str, unit: Unit) -> None:
    name = pint_name(family, unit).replace("UK_gal", "imperial_gallon").replace("US_gal", "US_liquid_gallon")
    for number in (1.0, 7.25):
        expected = (
            PINT.Quantity(number, name)
            if family.startswith("temperature")
            else number * PINT.parse_expression(name)
        ).to(INSIDE[family])
        # every unit agrees with pint to rounding noise
        within = 1e-12
        assert float(number * unit.factor + unit.offset) == pytest.approx(expected.magnitude, rel=within)


@pytest.mark.parametrize(("family", "unit", "spelling", "bare"), ALL_SPELLINGS)
def test_every_spelling_is_read(family: str, unit: Unit, spelling: str, bare: bool) -> None:
    name = next(n for n, q in QUANTITIES.items() if q.family == family)
    expected = float(unit.factor * 2 + unit.offset)
    for text in (f"2 {spelling}", f"2{spelling}", f"2\u00a0{spelling}"):
        assert parse(text, name, units="us") == expected
        if not bare:
            assert parse(text, name) == expected
    if bare:
        with pytest.raises(QuantityError) as caught:
            parse(f"2 {spelling}", name, units="both")
        assert caught.value.code == "gallon_ambiguous"
        assert parse(caught.value.facts["as_us"], name) == expected
        assert parse(caught.value.facts["as_uk"], name) != expected


def test_no_spelling_starts_like_a_number() -> None:
    for _, _, spelling, _ in ALL_SPELLINGS:
        assert spelling[0] not in "0123456789.+-"


def test_no_spelling_means_two_things() -> None:
    for family, units in FAMILIES.items():
        taken: dict[str, str] = {}
        for unit in units:
            for spelling in (*unit.spellings, *unit.bare):
                for form in {unit_table.key(spelling), unit_table.key(spelling).casefold()}:
                    assert taken.setdefault(form, unit.name) == unit.name, (family, spelling)


@pytest.mark.parametrize(
    ("text", "quantity", "expected"),
    [
        ("208 L", "volume", 0.208), ("4.5 kW", "power", 4500.0), ("4500 W", "power", 4500.0),
        (".5 kW", "power", 500.0),
        ("140 degF", "temperature", 60.0), ("140 F", "temperature", 60.0), ("60 C", "temperature", 60.0),
        ("\u221240 °F", "temperature", -40.0), ("9 °F", "temperature_difference", 5.0),
        ("5 K", "temperature_difference", 5.0), ("6 in", "length", 0.1524), ("1 5/8 in", "length", 0.041275),
        ("1-5/8 in", "length", 0.041275), ("1½ in", "length", 0.0381), ("1/2 in", "length", 0.0127),
        ("3 ft 6 in", "length", 1.0668), ("3'6\"", "length", 1.0668), ("3 ft 6 1/2 in", "length", 1.0795),
        ("1 h 30 min", "time", 5400.0), ("2 lb 4 oz", "mass", 1.02058283), ("30 L/min", "flow", 0.0005),
        ("90 %", "fraction", 0.9), ("0.9", "fraction", 0.9), ("6:1", "molar_ratio", 6.0), ("3", "count", 3.0),
        ("6/h", "rate_per_hour", 6.0), ("2.5 mL", "titration_volume", 2.5), ("0.1 N", "normality", 0.1),
        ("7 g/L", "dose", 7.0), ("-200 m", "altitude", -200.0), ("500 ppm", "parts_per_million", 500.0),
    ],
)  # fmt: skip
def test_text_as_people_write_it(text: str, quantity: str, expected: float) -> None:
    assert parse(text, quantity) == pytest.approx(expected, rel=1e-8)


NASTY = [
    ("3,5 kW", "power", "decimal_comma"), ("1,450 ft", "length", "decimal_comma"),
    ("60 C", "power", "unit_wrong_kind"),
    ("5 kWh", "power", "unit_wrong_kind"), ("1:30", "time", "clock_time"),
    ("NaN kW", "power", "number_not_finite"),
    ("-inf kW", "power", "number_not_finite"), ("1e400 L", "volume", "number_not_finite"),
    ("1e99999999999 L", "volume", "number_not_finite"), ("1e308 km", "length", "number_not_finite"),
    ("", "power", "number_missing"), ("kW", "power", "number_missing"), ("5", "power", "unit_missing"),
    ("5 5", "power", "number_unreadable"), ("5-6 kW", "power", "number_unreadable"), ("1_000 L", "volume",
    "number_unreadable"), ("1.450.000 W", "power", "number_unreadable"),
    ("1 9/8 in", "length", "number_unreadable"),
    ("1/0 in", "length", "number_unreadable"), ("1:6", "molar_ratio", "number_unreadable"),
    ("~5 L", "volume", "number_unreadable"), ("55 gal", "volume", "gallon_ambiguous"),
    ("8 gpm", "flow", "gallon_ambiguous"), ("5 kx", "power", "unit_unknown"),
    ("5 mpa", "pressure", "unit_unknown"),
    ("5 kW now", "power", "trailing_text"), ("3 ft 6", "length", "trailing_text"),
    ("3 ft 18 in", "length", "chain_unreadable"), ("6 in 3 ft", "length", "chain_unreadable"),
    ("3.5 ft 6 in", "length", "chain_unreadable"), ("5 m 20 cm", "length", "chain_unreadable"),
    ("-3 kW", "power", "negative"), ("-300 °C", "temperature", "below_absolute_zero"),
    ("-460 °F", "temperature", "below_absolute_zero"), ("5 K", "temperature", "temperature_difference"),
    ("90", "fraction", "fraction_ambiguous"), ("1", "fraction", "fraction_ambiguous"),
    ("0.5", "mass_fraction", "unit_missing"), ("2.5", "count", "number_not_whole"),
    ("5" * 65 + " L", "volume", "quantity_too_long"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "quantity", "code"), NASTY)
def test_nasty_text_is_refused_and_worded(text: str, quantity: str, code: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, quantity)
    assert caught.value.code == code
    problem = Problem(code, facts=caught.value.facts)
    entry = yaml.safe_load((CONTENT / "wording" / "problems.yaml").read_text(encoding="utf-8"))[code]
    assert set(entry) == {"what", "mend"}
    for words in (problem.what, problem.mend):
        assert words
        assert not re.search(r"<\w+>", words), f"a fact is missing in {words}"


@given(st.text(max_size=80), st.sampled_from(sorted(QUANTITIES)))
def test_any_text_is_a_number_or_a_quantity_error(text: str, quantity: str) -> None:
    try:
        value = parse(text, quantity, units="us")
    except QuantityError:
        return
    assert math.isfinite(value)


def test_a_comma_shows_both_readings() -> None:
    with pytest.raises(QuantityError) as caught:
        parse("3,5 kW", "power")
    assert (caught.value.facts["as_point"], caught.value.facts["as_thousands"]) == ("3.5 kW", "35 kW")


VALUES = st.floats(min_value=1e-6, max_value=1e6)
SYSTEMS = st.sampled_from(["us", "metric", "both"])
NAMES = st.sampled_from(sorted(QUANTITIES))
RESOLUTIONS = st.none() | st.floats(min_value=1e-4, max_value=100.0)


def read_back(shown: quantities.Shown, quantity: str, units: str) -> list[float]:
    return [parse(part.text, quantity, units=units) for part in shown.parts]


@given(VALUES, NAMES, SYSTEMS, RESOLUTIONS)
def test_limits_round_to_the_safe_side(value: float, name: str, units: str, resolution: float | None) -> None:
    if QUANTITIES[name].family == "fraction":
        value = value / 1e6
    slack = 1e-9 * (abs(value) + 20.0 * (name == "temperature"))
    for rounding, sign in (("maximum", 1.0), ("minimum", -1.0)):
        shown = show(value, name, units=units, rounding=rounding, resolution=resolution)
        for printed in read_back(shown, name, units):
            # a billionth of a printed step is noise even where the value is far smaller than the step
            step_noise = 1e-9 * coarsest(name, units, value, resolution)
            assert sign * (printed - value) <= slack + step_noise, shown.text


@given(VALUES, NAMES, SYSTEMS, RESOLUTIONS)
def test_a_target_is_within_half_a_step(
    value: float, name: str, units: str, resolution: float | None
) -> None:
    shown = show(value, name, units=units, resolution=resolution)
    # A part that is made from the instrument's own number adds its half step to that one's.
    half = coarsest(name, units, value, resolution) / 2 * len(shown.parts)
    for printed in read_back(shown, name, units):
        assert abs(printed - value) <= half * (1 + 1e-6) + 1e-9 * (value + 20.0), shown.text


@given(st.floats(min_value=-200.0, max_value=400.0), SYSTEMS)
def test_cold_temperatures_round_to_the_safe_side(value: float, units: str) -> None:
    low = read_back(show(value, "temperature", units=units, rounding="maximum"), "temperature", units)
    high = read_back(show(value, "temperature", units=units, rounding="minimum"), "temperature", units)
    assert max(low) <= value + 1e-7
    assert min(high) >= value - 1e-7


@given(VALUES, NAMES, SYSTEMS)
def test_exact_reads_back_unless_it_is_too_long_to_read(value: float, name: str, units: str) -> None:
    if name == "count":
        value = float(round(value))
    shown = show(value, name, units=units, rounding="exact")
    nearest = show(value, name, units=units)
    for part, printed in zip(shown.parts, read_back(shown, name, units), strict=True):
        digits = len(re.sub(r"\D", "", part.number.split("/")[0]).strip("0"))
        reads_back = printed == pytest.approx(value, rel=1e-11, abs=1e-10 * (name == "temperature"))
        assert (reads_back and digits <= 6) or part in nearest.parts, shown.text


@pytest.mark.parametrize(
    ("value", "quantity", "units", "text"),
    [
        (0.17034353028, "volume", "both", "170 L (45 US gal)"),  # 45 US gal
        (0.17034353028, "volume", "metric", "170 L"),
        (0.18, "volume", "us", "48 gal"),
        (0.003785411784, "volume", "both", "3.8 L (1 US gal)"),
        (82.22222222222223, "temperature", "both", "82 °C (180 °F)"),  # 180 °F
        (0.5555555555555556, "temperature_difference", "both", "0.5 °C (1 °F)"),
        (0.00037854117840000003, "flow", "both", "23 L/min (6 US gpm)"),
    ],
)
def test_what_is_stated_in_the_other_system_is_not_printed_to_ten_digits(
    value: float, quantity: str, units: str, text: str
) -> None:
    assert show(value, quantity, units=units, rounding="exact").text.replace("\u00a0", " ") == text


def coarsest(name: str, units: str, value: float, resolution: float | None) -> float:
    """The widest step (inside unit) that any part printed for this value has."""
    if resolution is not None and QUANTITIES[name].whole:
        resolution = float(math.ceil(resolution))
    steps = []
    for system in {"us": ("us",), "metric": ("metric",), "both": ("metric", "us")}[units]:
        rung = quantities._rung(QUANTITIES[name].ladders[system], value, resolution)
        steps.append(float(quantities._step(rung, resolution) * rung.unit.factor))
    return max(steps)


@given(VALUES, NAMES, SYSTEMS, RESOLUTIONS)
def test_steps_are_no_finer_than_the_instrument(
    value: float, name: str, units: str, resolution: float | None
) -> None:
    for system in {"us": ("us",), "metric": ("metric",), "both": ("metric", "us")}[units]:
        rung = quantities._rung(QUANTITIES[name].ladders[system], value, resolution)
        step = float(quantities._step(rung, resolution) * rung.unit.factor)
        assert step >= (resolution or 0.0) * (1 - 1e-8)
        assert step >= float(rung.step * rung.unit.factor) * (1 - 1e-12)


@pytest.mark.parametrize(
    ("value", "quantity", "units", "rounding", "text"),
    [
        (0.208197648, "volume", "both", "target", "208 L (55 US gal)"),
        (0.208197648, "volume", "us", "target", "55 gal"),
        (0.3 / 0.1 * 1e-3, "volume", "metric", "maximum", "3 L"),
        (0.041275, "length", "us", "exact", "1 5/8 in"), (0.9, "length", "us", "maximum", "35 3/8 in"),
        (54.44444444444444, "temperature", "both", "maximum", "54 °C (130 °F)"),
        (-5.5, "temperature", "metric", "target", "\u22125 °C"),
        (-0.2, "temperature", "metric", "target", "0 °C"),
        (4500.0, "power", "both", "exact", "4.5 kW"), (6.0, "molar_ratio", "us", "target", "6:1"),
        (6.0, "rate_per_hour", "us", "target", "6/h"), (0.0025, "mass", "both", "target", "2.5 g"),
        (2.5, "titration_volume", "both", "target", "2.5 mL"), (0.9, "fraction", "metric", "target", "90 %"),
        (28800.0, "time", "metric", "target", "8 h"), (3.0, "count", "us", "target", "3"),
        (-430.0, "altitude", "metric", "exact", "\u2212430 m"), (50.0, "volume", "metric", "exact", "50 m³"),
    ],
)  # fmt: skip
def test_as_printed(value: float, quantity: str, units: str, rounding: str, text: str) -> None:
    shown = show(value, quantity, units=units, rounding=rounding)
    assert re.sub("\u00a0", " ", shown.text) == text
    assert shown.first == shown.parts[0]


def test_resolution_coarsens_the_step() -> None:
    assert show(0.2071, "volume", resolution=0.0025).first.number == "207.5"


GALLON, DEGREE_F = 0.003785411784, 5 / 9


@pytest.mark.parametrize(
    ("value", "quantity", "rounding", "resolution", "text"),
    [
        # A gauge in litres, 5 or 10 apart: gallons of what it shows, rounded on.
        (0.0113, "volume", "minimum", 0.005, "15 L (4 US gal)"),
        (0.0683, "volume", "minimum", 0.005, "70 L (18.5 US gal)"),
        (0.3021, "volume", "maximum", 0.005, "300 L (79 US gal)"),
        (0.0097, "volume", "minimum", 0.01, "10 L (2.65 US gal)"),
        # A gauge in gallons: litres of what it shows.
        (0.002664, "volume", "minimum", GALLON, "3.8 L (1 US gal)"),
        (0.292815, "volume", "maximum", GALLON, "291 L (77 US gal)"),
        # A thermometer in °C, one in °F: what is finer than the other's step is made from its number.
        (85.0, "temperature", "maximum", 1.0, "85 °C (185 °F)"),
        (59.9, "temperature", "maximum", 1.0, "59 °C (138 °F)"),
        (58.21679, "temperature", "maximum", DEGREE_F, "58 °C (136 °F)"),
    ],
)
def test_both_halves_are_one_number_of_the_instrument(
    value: float, quantity: str, rounding: str, resolution: float, text: str
) -> None:
    shown = show(value, quantity, units="both", rounding=rounding, resolution=resolution)
    assert shown.text.replace("\u00a0", " ") == text


@given(VALUES, SYSTEMS, RESOLUTIONS)
def test_a_level_is_never_printed_finer_than_a_tape_is_read(
    value: float, units: str, resolution: float | None
) -> None:
    shown = show(value / 1e3, "level", units=units, resolution=resolution)
    for part in shown.parts:
        assert not re.search(r"/(32|64)", part.number), shown.text
        assert part.unit != "mm" or part.number.isdigit(), shown.text


def test_what_is_not_finite_cannot_be_shown() -> None:
    with pytest.raises(QuantityError):
        show(math.nan, "volume")


def test_roundings_named_elsewhere_exist() -> None:
    record = pytest.importorskip("generator.figures.record")
    for rounding in get_args(record.Rounding):
        assert show(1.0, "volume", rounding=rounding).parts


def test_what_is_counted_stays_whole_whatever_shows_it() -> None:
    assert show(6879.4, "count", resolution=99.9).text == "6900"
