"""Calls the functions that worked examples name: the program's own, and checks composed from them.

An example's ``function`` is ``module.function`` of generator.chemistry, ``check.name`` for one of the
functions below, or ``published_rules.name`` for a rule that the exact formulas are held against.
"""

from __future__ import annotations

import importlib
import math
from pathlib import Path
from typing import Any

import chemicals
import yaml
from CoolProp.CoolProp import PropsSI
from fluids import geometry as library

from generator.chemistry import storage, ventilation
from generator.chemistry.balance import BatchBalance, Charge, batch_balance
from generator.chemistry.cost import Materials, Prices
from generator.chemistry.heating import Stream
from generator.chemistry.species import METHANOL_KG_KMOL
from generator.chemistry.throughput import Stage
from generator.chemistry.titration import Titrant
from generator.plant import bottoms, geometry
from tests.reference import published_rules

HERE = Path(__file__).parent
INCH_M = 0.0254
FOOT_M = 0.3048
US_GALLON_M3 = 231 * INCH_M**3
METHANOL_CAS = "67-56-1"
SOY = {
    "MethylPalmitate": 0.11,
    "MethylStearate": 0.04,
    "MethylOleate": 0.23,
    "MethylLinoleate": 0.54,
    "MethylLinolenate": 0.08,
}
#: How an input becomes the type that the function takes.
READY = {
    "titrant": lambda given: Titrant(**given),
    "streams": lambda given: [Stream(**stream) for stream in given],
    "stages": lambda given: [Stage(**stage) for stage in given],
    "materials": lambda given: Materials(**given),
    "prices": lambda given: Prices(**given),
}


def examples() -> list[dict[str, Any]]:
    """Every worked example of the folder, file by file."""
    found: list[dict[str, Any]] = []
    for path in sorted((HERE / "examples").glob("*.yaml")):
        found += yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def call(name: str, inputs: dict[str, Any]) -> Any:
    """The result of a named function."""
    module, function = name.split(".")
    ready = {key: READY[key](value) if key in READY else value for key, value in inputs.items()}
    if module == "check":
        return globals()[function](**ready)
    if module == "published_rules":
        return getattr(published_rules, function)(**ready)
    return getattr(importlib.import_module(f"generator.chemistry.{module}"), function)(**ready)


def result_of(example: dict[str, Any]) -> float:
    """The number an example arrives at, in the example's unit."""
    inputs = dict(example["inputs"])
    for name, step in example.get("chain", {}).items():
        inputs[name] = call(step["function"], step["inputs"])
    result = call(example["function"], inputs)
    for field in (example.get("field"), example.get("then")):
        if field is not None:
            result = result[field] if isinstance(field, int) else getattr(result, field)
    return float(result) / float(example.get("divide_by", 1.0))


def constant(name: str, key: str | None = None) -> float:
    """A constant of record."""
    module, attribute = name.split(".")
    value = getattr(importlib.import_module(f"generator.chemistry.{module}"), attribute)
    return float(value[key] if key else value)


def gallons_in_cubic_feet(gallons: float) -> float:
    """US gallons in cubic feet by this program's own gallon."""
    return gallons * storage.US_GALLON_M3 / FOOT_M**3


def storage_threshold(rule: str) -> float:
    """A storage threshold in the rule's own unit."""
    return next(r.threshold for r in storage.STORAGE_RULES if r.id == rule)


def tank_gallons(
    diameter_in: float,
    bottom: str,
    level_in: float,
    measures: list[float] | None = None,
    ratios: list[float] | None = None,
) -> float:
    """An upright tank's contents in US gallons; ``measures`` of the bottom in inches, or ratios."""
    shape = getattr(bottoms, bottom)(*(ratios or [inches * INCH_M for inches in measures or []]))
    tank = geometry.VerticalCylinder(diameter_in * INCH_M, 60 * INCH_M, shape)
    return tank.volume_at(level_in * INCH_M) / US_GALLON_M3


def lying_tank_with_cone_ends_gallons(
    diameter_in: float, length_in: float, cone_in: float, level_in: float
) -> float:
    """Our lying cylinder with both of the library's cone ends."""
    ends_in3 = 2 * library.V_horiz_conical(diameter_in, length_in, cone_in, level_in, headonly=True)
    tank = geometry.HorizontalCylinder(diameter_in * INCH_M, length_in * INCH_M)
    return tank.volume_at(level_in * INCH_M) / US_GALLON_M3 + ends_in3 / 231


def lying_tank_litres(levels_m: list[float]) -> float:
    """Contents of a lying tank 0.6 m wide and 1.2 m long, summed over the levels."""
    tank = geometry.HorizontalCylinder(0.6, 1.2)
    return 1000.0 * math.fsum(tank.volume_at(level) for level in levels_m)


def dilution_constant() -> float:
    """Cubic feet of vapour of a pound-mole at 70 °F times the pounds of water in a US pint."""
    pound_mole_m3 = ventilation.vapour_volume_m3(
        storage.POUND_KG * METHANOL_KG_KMOL, (70.0 - 32.0) / 1.8, 101325.0
    )
    pint_lb = 62.29 * storage.US_GALLON_M3 / 8.0 / FOOT_M**3
    return pound_mole_m3 / FOOT_M**3 * pint_lb


class PerFullConversion:
    """A balance's masses scaled up to complete conversion."""

    def __init__(self, balance: BatchBalance, conversion: float) -> None:
        self._balance, self._conversion = balance, conversion

    def __getattr__(self, name: str) -> float:
        return float(getattr(self._balance, name)) / self._conversion


def triolein_per_100_kg() -> PerFullConversion:
    """Products of 100 kg of triolein, all of it reacted."""
    charge = Charge(100.0, 0.0, 0.0, 22.0, "KOH", 1.0, 1.0, 885.434474)
    return PerFullConversion(batch_balance(charge, 0.98, 0.42), 0.98)


def flash_point_k() -> float:
    """Closed-cup flash point of methanol by the library."""
    return float(chemicals.T_flash(CASRN=METHANOL_CAS))


def soy_ester_density_kg_m3(temperature_c: float) -> float:
    """Volume-additive mixture of soy esters by the library."""
    kelvin = temperature_c + 273.15
    return 1.0 / math.fsum(w / PropsSI("D", "T", kelvin, "P", 101325, name) for name, w in SOY.items())
