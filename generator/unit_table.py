"""The closed table of unit spellings: what an operator may write, and what it is worth.

A unit's ``factor`` and ``offset`` turn its number into the inside value: ``number * factor + offset``.
Factors are exact fractions of the definitions in NIST SP 811 (2008), appendix B; the definitions used are the
international yard and pound, the US gallon of 231 cubic inches, the imperial gallon of 4.54609 L, standard
gravity 9.80665 m/s2, the International Table Btu (the calorie of 4.1868 J), mercury of 13.5951 kg/L and water
of 1 kg/L. Spellings are separated by ``|``; ``bare`` ones leave out which gallon: read in US plants only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Unit:
    """``name`` is what is printed; ``spellings`` and ``bare`` are what else is read."""

    name: str
    factor: Fraction
    spellings: tuple[str, ...] = ()
    bare: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


def _of(name: str, factor: Fraction | int | str, more: str = "", offset: Fraction | int = 0) -> Unit:
    spellings = (name, *more.split("|")) if more else (name,)
    return Unit(name, Fraction(factor), spellings, offset=Fraction(offset))


def _gallons(bare: str, us: Fraction, uk: Fraction) -> tuple[Unit, Unit]:
    """A unit that means two things: each bare spelling has a `US` form and a `UK` or `imp` one."""
    names = bare.split("|")
    return (
        Unit(
            _named(names[0], "US"),
            us,
            tuple(_named(n, c) for n in names for c in ("US", "U.S.")),
            tuple(names),
        ),
        Unit(
            _named(names[0], "UK"), uk, tuple(_named(n, c) for n in names for c in ("UK", "imp", "imperial"))
        ),
    )


def _named(bare: str, country: str) -> str:
    before, slash, measure = bare.rpartition("/")
    if slash and measure not in ("min", "h", "hr"):
        return f"{before}/{country} {measure}"
    return f"{country} {bare}"


IN = Fraction("0.0254")
FT = 12 * IN
LB = Fraction("0.45359237")
OZ = LB / 16
GRAVITY = Fraction("9.80665")
LITRE = Fraction(1, 1000)
US_GAL = 231 * IN**3
UK_GAL = Fraction("4.54609") * LITRE
BTU = Fraction("4186.8") * LB * Fraction(5, 9)
PSI = LB * GRAVITY / IN**2
HOUR = Fraction(3600)
F_DEGREE = Fraction(5, 9)

_TIMES = (
    _of("s", 1, "sec|secs|second|seconds"),
    _of("min", 60, "mins|minute|minutes"),
    _of("h", HOUR, "hr|hrs|hour|hours"),
    _of("days", 24 * HOUR, "day|d"),
    _of("weeks", 168 * HOUR, "week"),
)

FAMILIES: dict[str, tuple[Unit, ...]] = {
    "volume": (
        _of("mL", LITRE / 1000, "ml|cc|cm3|millilitre|millilitres|milliliter|milliliters"),
        _of("L", LITRE, "l|litre|litres|liter|liters|dm3"),
        _of("m³", 1, "cubic metre|cubic metres|cubic meter|cubic meters"),
        *_gallons("gal|gals|gallon|gallons", US_GAL, UK_GAL),
        *_gallons("qt|quart|quarts", US_GAL / 4, UK_GAL / 4),
        *_gallons("pt|pint|pints", US_GAL / 8, UK_GAL / 8),
        *_gallons("fl oz|fluid ounce|fluid ounces", US_GAL / 128, UK_GAL / 160),
        _of("ft³", FT**3, "cu ft|cubic foot|cubic feet"),
        _of("in³", IN**3, "cu in|cubic inch|cubic inches"),
    ),
    "titration_volume": (_of("mL", 1, "ml|cc|cm3|millilitre|millilitres|milliliter|milliliters"),),
    "mass": (
        _of("mg", "1e-6", "milligram|milligrams"),
        _of("g", "1e-3", "gram|grams|gramme|grammes"),
        _of("kg", 1, "kgs|Kg|KG|kilogram|kilograms|kilo|kilos"),
        _of("t", 1000, "tonne|tonnes"),
        _of("lb", LB, "lbs|pound|pounds"),
        _of("oz", OZ, "ounce|ounces"),
    ),
    "length": (
        _of("µm", "1e-6", "um|micron|microns|micrometre|micrometres|micrometer|micrometers"),
        _of("mm", "1e-3", "millimetre|millimetres|millimeter|millimeters"),
        _of("cm", "1e-2", "centimetre|centimetres|centimeter|centimeters"),
        _of("m", 1, "metre|metres|meter|meters"),
        _of("km", 1000, "kilometre|kilometres|kilometer|kilometers"),
        _of("in", IN, 'inch|inches|"'),
        _of("ft", FT, "foot|feet|'"),
        _of("yd", 3 * FT, "yard|yards"),
    ),
    "area": (
        _of("mm²", "1e-6", "sq mm"),
        _of("cm²", "1e-4", "sq cm"),
        _of("m²", 1, "sq m|square metre|square metres|square meter|square meters"),
        _of("in²", IN**2, "sq in|square inch|square inches"),
        _of("ft²", FT**2, "sq ft|square foot|square feet"),
    ),
    "temperature": (
        _of("°C", 1, "C|degC|deg C|degree C|degrees C|Celsius|degrees Celsius"),
        _of("°F", F_DEGREE, "F|degF|deg F|degree F|degrees F|Fahrenheit|degrees Fahrenheit", -32 * F_DEGREE),
    ),
    "temperature_difference": (
        _of("°C", 1, "degC|deg C|degrees C|K|kelvin|kelvins|degrees Celsius"),
        _of("°F", F_DEGREE, "degF|deg F|degrees F|degrees Fahrenheit"),
    ),
    "power": (
        _of("W", 1, "w|watt|watts"),
        _of("kW", 1000, "KW|kw|Kw|kilowatt|kilowatts"),
        _of("hp", 550 * FT * LB * GRAVITY, "HP|horsepower"),
        _of("Btu/h", BTU / HOUR, "Btu/hr|Btuh|Btu/hour"),
    ),
    "voltage": (_of("V", 1, "v|volt|volts|V AC|VAC|V DC|VDC"),),
    "current": (
        _of("A", 1, "a|amp|amps|ampere|amperes"),
        _of("mA", "1e-3", "milliamp|milliamps|milliampere|milliamperes"),
    ),
    "flow": (
        _of("mL/min", LITRE / 60000, "ml/min"),
        _of("L/min", LITRE / 60, "l/min|lpm|LPM|litres/minute|liters/minute|litres/min|liters/min"),
        _of("L/h", LITRE / HOUR, "l/h|L/hr|l/hr|lph|LPH|litres/hour|liters/hour"),
        _of("L/s", LITRE, "l/s|litres/second|liters/second"),
        _of("m³/h", 1 / HOUR, "m3/hr|m3/hour"),
        _of("m³/min", Fraction(1, 60)),
        _of("m³/s", 1),
        *_gallons("gpm|gal/min|gallons/minute", US_GAL / 60, UK_GAL / 60),
        *_gallons("gph|gal/h|gal/hr|gallons/hour", US_GAL / HOUR, UK_GAL / HOUR),
        _of("cfm", FT**3 / 60, "CFM|ft3/min|cu ft/min|cubic feet/minute"),
    ),
    "velocity": (
        _of("mm/s", "1e-3"),
        _of("cm/s", "1e-2"),
        _of("m/s", 1, "metres/second|meters/second"),
        _of("m/min", Fraction(1, 60)),
        _of("km/h", 1000 / HOUR, "kph"),
        _of("ft/s", FT, "fps|feet/second"),
        _of("ft/min", FT / 60, "fpm|feet/minute"),
        _of("mph", 5280 * FT / HOUR, "miles/hour"),
    ),
    "pressure": (
        _of("Pa", 1, "pascal|pascals"),
        _of("mbar", 100, "hPa|millibar|millibars"),
        _of("kPa", 1000, "KPa|kilopascal|kilopascals"),
        _of("bar", 100000, "bars"),
        _of("MPa", 1000000, "megapascal|megapascals"),
        _of("atm", 101325),
        _of("mmHg", Fraction("13.5951") * GRAVITY, "mm Hg"),
        _of("psi", PSI, "PSI|lb/in2|lbf/in2"),
        _of("inHg", Fraction("13595.1") * IN * GRAVITY, "in Hg|inches Hg|inches of mercury"),
        _of("inH₂O", 1000 * IN * GRAVITY, "in H2O|in WC|in WG|inches of water|inches water"),
    ),
    "time": _TIMES,
    "density": (
        _of("g/L", 1, "g/l"),
        _of("kg/m³", 1),
        _of("kg/L", 1000, "kg/l|g/mL|g/ml|g/cm3|g/cc"),
        *_gallons("lb/gal|lbs/gal|lb/gallon", LB / US_GAL, LB / UK_GAL),
        _of("lb/ft³", LB / FT**3, "lbs/ft3|lb/cu ft"),
    ),
    "energy": (
        _of("J", 1, "joule|joules"),
        _of("kJ", 1000, "kilojoule|kilojoules"),
        _of("MJ", 1000000, "megajoule|megajoules"),
        _of("Wh", HOUR, "W h|watt hours"),
        _of("kWh", 1000 * HOUR, "KWh|kW h|kilowatt hours"),
        _of("Btu", BTU, "BTU|BTUs"),
    ),
    "heat_capacity": (_of("J/K", 1), _of("kJ/K", 1000), _of("Wh/K", HOUR)),
    "dose": (
        _of("mg/L", "1e-3", "mg/l"),
        _of("g/L", 1, "g/l|grams/litre|grams/liter|mg/mL|mg/ml"),
        _of("kg/m³", 1),
        _of("mg/m³", "1e-6"),
        _of("g/mL", 1000, "g/ml|kg/L|kg/l"),
        *_gallons("g/gal|grams/gallon|g/gallon", Fraction("1e-3") / US_GAL, Fraction("1e-3") / UK_GAL),
        *_gallons("oz/gal|oz/gallon|ounces/gallon", OZ / US_GAL, OZ / UK_GAL),
        *_gallons("lb/gal|lbs/gal|lb/gallon|pounds/gallon", LB / US_GAL, LB / UK_GAL),
    ),
    "mass_flow": (
        _of("g/s", "1e-3"),
        _of("g/min", Fraction(1, 60000)),
        _of("g/h", Fraction("1e-3") / HOUR, "g/hr"),
        _of("kg/s", 1),
        _of("kg/min", Fraction(1, 60)),
        _of("kg/h", 1 / HOUR, "kg/hr|kg/hour"),
        _of("lb/min", LB / 60, "lbs/min"),
        _of("lb/h", LB / HOUR, "lb/hr|lbs/hr|lbs/h|lb/hour"),
    ),
    "fraction": (
        _of("%", "1e-2", "percent|per cent|% v/v|vol%|% by volume"),
        _of("ppm", "1e-6", "ppmv|parts/million"),
        _of("", 1),
    ),
    "mass_fraction": (
        _of("%", "1e-2", "percent|per cent|wt%|wt %|% w/w|mass%|mass %|% by mass|% by weight"),
        _of("g/kg", "1e-3"),
        _of("ppm", "1e-6", "mg/kg|ppmw|parts/million"),
    ),
    "parts_per_million": (
        _of("ppm", 1, "mg/kg|ppmw|parts/million"),
        _of("%", 10000, "percent|per cent|wt%|% by mass|% by weight"),
    ),
    "watt_density": (
        _of("W/m²", 1, "W/sq m"),
        _of("kW/m²", 1000),
        _of("W/cm²", 10000, "W/sq cm"),
        _of("W/in²", 1 / IN**2, "W/sq in|watts/square inch|WPSI"),
    ),
    "heat_transfer": (
        _of("W/(m²·K)", 1, "W/m2K|W/m2 K|W/m2/K|W/(m2K)|W/(m2 °C)|W/m2 °C"),
        _of("Btu/(h·ft²·°F)", BTU / HOUR / FT**2 / F_DEGREE, "Btu/h ft2 °F|Btu/(hr ft2 °F)|Btu/hr ft2 F"),
    ),
    "thermal_conductivity": (_of("W/(m·K)", 1, "W/mK|W/m K|W/m/K|W/(mK)|W/(m °C)"),),
    "molar_ratio": (_of(":1", 1, ": 1|to 1"), _of("", 1)),
    "count": (_of("", 1),),
    "ratio": (_of("", 1),),
    "molar_mass": (_of("g/mol", 1, "kg/kmol"),),
    "money": (_of("", 1),),
    "volume_price": (_of("/L", 1000), _of("/m³", 1), *_gallons("/gal", 1 / US_GAL, 1 / UK_GAL)),
    "mass_price": (_of("/kg", 1), _of("/lb", 1 / LB)),
    "energy_price": (_of("/kWh", 1 / (1000 * HOUR)),),
    "energy_content": (
        _of("Wh/L", 1000 * HOUR),
        _of("kWh/L", 1000000 * HOUR),
        *_gallons("Wh/gal", HOUR / US_GAL, HOUR / UK_GAL),
        *_gallons("kWh/gal", 1000 * HOUR / US_GAL, 1000 * HOUR / UK_GAL),
    ),
    "rate_per_hour": (
        _of("/h", 1, "/hr|/hour|times/hour|changes/hour|turnovers/hour"),
        _of("/min", 60, "/minute"),
        _of("/day", Fraction(1, 24), "/d|times/day"),
    ),
    "normality": (_of("N", 1, "normal|eq/L|eq/l"), _of("mN", "1e-3", "meq/L|meq/l")),
    "angle": (_of("°", 1, "deg|degree|degrees"),),
}

# Units that may follow one another in one quantity, largest first: `3 ft 6 in`, `1 h 30 min`.
CHAINS: dict[str, tuple[str, ...]] = {
    "length": ("ft", "in"),
    "mass": ("lb", "oz"),
    "time": ("weeks", "days", "h", "min", "s"),
}

_SAME = str.maketrans(
    {"²": "2", "³": "3", "₂": "2", "^": "", "·": " ", "⋅": " ", "*": " ", "μ": "µ", "º": "°", "˚": "°",
     "\u2032": "'", "\u2019": "'", "″": '"', "”": '"', "℃": "°C", "℉": "°F"}
)  # fmt: skip


def key(spelling: str) -> str:
    """One form for spellings that differ only in signs and blanks: `W/in²` and `W / in^2`."""
    text = " ".join(spelling.translate(_SAME).split())
    text = re.sub(r"(^| )per ", "/", text)
    text = re.sub(r"°\s+(?=[CF]\b)", "°", text)
    return re.sub(r"\s*([/()])\s*", r"\1", text)


def _spelled(unit: Unit) -> Iterator[tuple[str, Unit, bool]]:
    for spelling in unit.spellings:
        yield spelling, unit, False
    for spelling in unit.bare:
        yield spelling, unit, True


def _lookup(units: tuple[Unit, ...]) -> dict[str, tuple[Unit, bool]]:
    """Key to (unit, bare). Three signs or more are read in any case, but where a capital M means mega."""
    exact = {key(s): (unit, bare) for each in units for s, unit, bare in _spelled(each)}
    loose = {k.casefold(): found for k, found in exact.items() if len(k) > 2 and not k.startswith("M")}
    return {**loose, **exact}


LOOKUP: dict[str, dict[str, tuple[Unit, bool]]] = {
    family: _lookup(units) for family, units in FAMILIES.items()
}


def find(spelling: str, family: str) -> tuple[Unit, bool] | None:
    """The unit a spelling means in a family, and whether it left out which gallon; else None."""
    table = LOOKUP[family]
    wanted = key(spelling)
    return table.get(wanted) or (table.get(wanted.casefold()) if len(wanted) > 2 else None)
