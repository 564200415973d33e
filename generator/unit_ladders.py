"""How each quantity is printed: steps that a gauge, tape, jug or kitchen scale can show.

A ladder is read left to right; the first rung whose limit the value does not reach is used. A rung is
``step unit to limit``, the limit in the rung's own unit; a step written as a fraction prints fractions
(``12 3/8 in``), as a US tape is marked. Steps are common practice, no source. US plants dose catalyst and
titrate in grams and millilitres and rate heaters in watts, as the trade does.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from generator.unit_table import FAMILIES, Unit


@dataclass(frozen=True)
class Rung:
    """``step`` and ``below`` are numbers in ``unit``; ``below`` is None on the last rung.

    Nothing at all is printed in the unit of the ``plain`` rung (marked by *), else of the first.
    """

    unit: Unit
    step: Fraction
    below: Fraction | None
    fractional: bool
    plain: bool


@dataclass(frozen=True)
class Quantity:
    """``family`` names the spellings; ``signed`` values may be negative, ``whole`` ones have no fraction.

    ``beside`` ones are printed in metric units in US plants too, the US ones beside: instruments bear those.
    ``places`` decimals are always printed.
    """

    family: str
    ladders: dict[str, tuple[Rung, ...]]
    signed: bool = False
    whole: bool = False
    beside: bool = False
    places: int = 0


def _rung(text: str, family: str) -> Rung:
    plain = text.strip().startswith("*")
    head, _, below = text.strip().removeprefix("*").partition(" to ")
    step, _, name = head.partition(" ")
    unit = next(u for u in FAMILIES[family] if u.name == name)
    return Rung(unit, Fraction(step), Fraction(below) if below else None, "/" in step, plain)


def _q(
    family: str,
    metric: str,
    us: str = "",
    *,
    signed: bool = False,
    whole: bool = False,
    beside: bool = False,
    places: int = 0,
) -> Quantity:
    texts = {"metric": metric, "us": us or metric}
    ladders = {
        system: tuple(_rung(part, family) for part in text.split("|")) for system, text in texts.items()
    }
    return Quantity(family, ladders, signed, whole, beside, places)


QUANTITIES: dict[str, Quantity] = {
    "volume": _q(
        "volume",
        "0.1 mL to 10 | 1 mL to 100 | 10 mL to 1000 | *0.1 L to 50 | 1 L to 10000 | 0.1 m³",
        "0.1 mL to 10 | 1 mL to 100 | 10 mL to 378 | *0.05 US gal to 5 | 0.1 US gal to 20 | 1 US gal",
    ),
    "titration_volume": _q("titration_volume", "0.1 mL"),
    # What is poured from a graduated cylinder is printed in millilitres throughout.
    "poured_volume": _q("volume", "0.1 mL to 10 | 1 mL to 100 | 10 mL to 10000 | 0.1 L"),
    # What is weighed by hand is printed in grams throughout: a scale does not change unit in mid-table.
    "weighed_mass": _q("mass", "0.1 g to 100 | 1 g to 1000 | 5 g to 20000 | 0.1 kg"),
    "mass": _q(
        "mass",
        "1 mg to 100 | 0.01 g to 10 | 0.1 g to 100 | 1 g to 1000 | *0.01 kg to 10 | 0.1 kg to 100 | "
        "1 kg to 10000 | 0.1 t",
        "1 mg to 100 | 0.01 g to 10 | 0.1 g to 100 | 1 g to 1000 | *0.01 lb to 20 | 0.1 lb to 200 | 1 lb",
    ),
    "length": _q(
        "length",
        "0.1 mm to 10 | 1 mm to 2000 | 0.01 m to 10 | 0.1 m to 100 | 1 m",
        "1/64 in to 1 | 1/16 in to 6 | 1/8 in to 120 | 0.1 ft to 100 | 1 ft",
    ),
    # What is read on a tube, a dipstick or a tape: no smaller step than a person can tell apart.
    "level": _q(
        "length",
        "1 mm to 2000 | 0.01 m to 10 | 0.1 m",
        "1/16 in to 6 | 1/8 in to 120 | 0.1 ft to 100 | 1 ft",
    ),
    "drop_size": _q("length", "1 µm to 1000 | *0.1 mm"),
    "altitude": _q("length", "1 m", "1 ft", signed=True),
    "area": _q(
        "area",
        "0.1 cm² to 100 | 1 cm² to 10000 | 0.01 m² to 10 | 0.1 m² to 100 | 1 m²",
        "0.1 in² to 144 | 0.1 ft² to 100 | 1 ft²",
    ),
    "temperature": _q("temperature", "1 °C", "1 °F", signed=True),
    "temperature_difference": _q(
        "temperature_difference", "0.5 °C to 10 | 1 °C", "1 °F", signed=True
    ),
    "power": _q("power", "1 W to 100 | 10 W to 1000 | 0.01 kW to 2 | 0.05 kW to 10 | 0.1 kW to 100 | 1 kW"),
    "voltage": _q("voltage", "0.1 V to 50 | 1 V"),
    "current": _q("current", "1 mA to 100 | 10 mA to 1000 | *0.1 A to 20 | 1 A"),
    "flow": _q(
        "flow",
        "1 mL/min to 100 | 10 mL/min to 1000 | *0.1 L/min to 20 | 1 L/min to 1000 | 1 m³/h",
        "1 mL/min to 100 | 10 mL/min to 1000 | *0.05 US gpm to 5 | 0.1 US gpm to 20 | 1 US gpm",
    ),
    "air_flow": _q("flow", "1 m³/h to 100 | 10 m³/h", "1 cfm to 100 | 5 cfm to 1000 | 10 cfm"),
    "velocity": _q("velocity", "0.01 m/s to 1 | 0.1 m/s", "0.01 ft/s to 1 | 0.1 ft/s to 20 | 1 ft/s"),
    "pressure": _q(
        "pressure",
        "1 Pa to 100 | 10 Pa to 1000 | 0.1 kPa to 200 | 0.1 bar to 20 | 1 bar",
        "0.1 inH₂O to 20 | 0.1 psi to 20 | 1 psi",
    ),
    "time": _q(
        "time", "1 s to 60 | 5 s to 300 | *1 min to 90 | 5 min to 300 | 0.5 h to 48 | 0.5 days to 14 | 1 days"
    ),
    "density": _q(
        "density",
        "0.1 kg/m³ to 100 | 1 kg/m³",
        "0.001 lb/US gal to 1 | 0.01 lb/US gal",
        beside=True,
    ),
    "energy": _q("energy", "1 J to 1000 | 1 Wh to 100 | 10 Wh to 1000 | *0.1 kWh to 20 | 1 kWh"),
    "heat_capacity": _q("heat_capacity", "0.1 Wh/K to 20 | 1 Wh/K to 500 | 10 Wh/K"),
    "dose": _q("dose", "1 mg/L to 100 | *0.01 g/L to 1 | 0.1 g/L to 100 | 1 g/L"),
    "mass_flow": _q(
        "mass_flow",
        "1 g/h to 100 | 10 g/h to 1000 | *0.1 kg/h to 20 | 1 kg/h",
        "1 g/h to 100 | *0.01 lb/h to 1 | 0.1 lb/h to 20 | 1 lb/h",
    ),
    "fraction": _q("fraction", "1 ppm to 1000 | *0.01 % to 1 | 0.1 % to 10 | 1 %"),
    "mass_fraction": _q("mass_fraction", "1 ppm to 100 | *0.01 % to 1 | 0.1 %"),
    "parts_per_million": _q("parts_per_million", "1 ppm to 100 | 10 ppm to 1000 | 50 ppm"),
    "watt_density": _q("watt_density", "0.01 W/cm² to 1 | 0.1 W/cm²", "0.1 W/in² to 10 | 1 W/in²"),
    "heat_transfer": _q(
        "heat_transfer",
        "0.1 W/(m²·K) to 10 | 1 W/(m²·K)",
        "0.01 Btu/(h·ft²·°F) to 1 | 0.1 Btu/(h·ft²·°F) to 20 | 1 Btu/(h·ft²·°F)",
    ),
    "thermal_conductivity": _q("thermal_conductivity", "0.001 W/(m·K) to 1 | 0.1 W/(m·K)"),
    "molar_ratio": _q("molar_ratio", "0.1 :1"),
    "count": _q("count", "1", whole=True),
    "ratio": _q("ratio", "0.001 to 1 | 0.01 to 100 | 1"),
    "rate_per_hour": _q("rate_per_hour", "0.1 /h to 20 | 1 /h"),
    "normality": _q("normality", "0.001 N"),
    "molar_mass": _q("molar_mass", "1 g/mol"),
    "turnovers": _q("ratio", "0.1 to 10 | 1"),
    # What is added up in one table is printed in one unit.
    "balance_mass": _q(
        "mass",
        "*0.001 kg to 1 | 0.01 kg to 10 | 0.1 kg",
        "*0.001 lb to 1 | 0.01 lb to 10 | 0.1 lb",
    ),
    "money": _q("money", "0.01", places=2),
    # What fuel comes to is money; what a price list states may have a third decimal.
    "fuel_price": _q("volume_price", "0.01 /L", "0.01 /US gal", places=2),
    "volume_price": _q(
        "volume_price", "0.001 /L to 1 | 0.01 /L", "0.001 /US gal to 1 | 0.01 /US gal", places=2
    ),
    "mass_price": _q("mass_price", "0.001 /kg to 1 | 0.01 /kg", "0.001 /lb to 1 | 0.01 /lb", places=2),
    "energy_price": _q("energy_price", "0.001 /kWh to 1 | 0.01 /kWh", places=2),
    "energy_content": _q(
        "energy_content",
        "1 Wh/L to 100 | 10 Wh/L to 1000 | 0.1 kWh/L",
        "10 Wh/US gal to 1000 | 0.1 kWh/US gal to 20 | 1 kWh/US gal",
    ),
    # Flake that a volume of fuel takes, for the books; what is weighed for a batch is a dose.
    "consumption": _q("dose", "0.1 g/L to 100 | 1 g/L", "0.1 g/US gal to 20 | 1 g/US gal"),
    "angle": _q("angle", "1 °"),
}
