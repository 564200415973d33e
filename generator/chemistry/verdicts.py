"""Pass limits of the operator's tests by where the fuel goes, and what follows each result."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from generator.chemistry.fuel_tests import soap_at_metal_limit_fraction
from generator.chemistry.ranges import within
from generator.chemistry.resin import soap_allowed_fraction
from generator.chemistry.species import Base

Destination = Literal["own_use", "tower", "standard"]
Test = Literal[
    "conversion",
    "clarity",
    "shake",
    "free_base",
    "soap",
    "methanol",
    "flash",
    "water",
    "acid_value",
    "density_15",
]
Next = Literal[
    "go_on",
    "react_again",
    "wash_again",
    "dry_again",
    "strip_again",
    "hold_flammable",
    "measure_soap",
    "settle_again",
    "send_sample",
    "blend_or_reject",
]

#: Metals in the fuel (published: EN 14214:2012 and ASTM D6751-09, Na + K 5 mg/kg).
METAL_LIMIT_FRACTION: Final = 5e-6
#: Acid value of the fuel, mg KOH per g (published: EN 14214:2012 and ASTM D6751-09).
ACID_VALUE_LIMIT_MG_G: Final = 0.50
#: Soap in fuel for own use (common practice, no source), never more than the metal limit allows.
OWN_USE_SOAP_FRACTION: Final = 50e-6
#: Closed-cup flash point from which on methanol counts as within its limit (published: ASTM D6751-09).
FLASH_WITHOUT_METHANOL_C: Final = 130.0


@dataclass(frozen=True)
class PassLimit:
    """Least and greatest value that passes, in the test's unit, what to do outside it, and the source."""

    least: float
    greatest: float
    if_fails: Next
    source: str


_PUBLISHED: Final = "published: EN 14214:2012+A1:2014"
_PRACTICE: Final = "common practice, no source"
_DROP_OUT: Final = "published: secondary, laboratory paper describing the 3/27 test, authors not shown"
# conversion, clarity, shake: 1 passed, 0 failed. Fractions by mass; acid value in mg KOH/g; density in kg/m3;
# flash point, closed cup, in °C.
_FIXED: Final[Mapping[tuple[Test, Destination], PassLimit]] = {
    ("conversion", "own_use"): PassLimit(1.0, 1.0, "react_again", _DROP_OUT),
    ("conversion", "tower"): PassLimit(1.0, 1.0, "react_again", _DROP_OUT),
    ("conversion", "standard"): PassLimit(1.0, 1.0, "react_again", _DROP_OUT),
    ("shake", "own_use"): PassLimit(1.0, 1.0, "measure_soap", _PRACTICE),
    ("free_base", "own_use"): PassLimit(0.0, 0.0, "wash_again", _PRACTICE),
    ("free_base", "tower"): PassLimit(0.0, 0.0, "settle_again", _PRACTICE),
    ("free_base", "standard"): PassLimit(0.0, 0.0, "wash_again", _PRACTICE),
    ("water", "own_use"): PassLimit(0.0, 5e-4, "dry_again", _PUBLISHED),
    ("water", "standard"): PassLimit(0.0, 5e-4, "dry_again", _PUBLISHED),
    ("acid_value", "own_use"): PassLimit(0.0, ACID_VALUE_LIMIT_MG_G, "blend_or_reject", _PUBLISHED),
    ("acid_value", "tower"): PassLimit(0.0, ACID_VALUE_LIMIT_MG_G, "blend_or_reject", _PUBLISHED),
    ("acid_value", "standard"): PassLimit(0.0, ACID_VALUE_LIMIT_MG_G, "blend_or_reject", _PUBLISHED),
    ("density_15", "own_use"): PassLimit(860.0, 900.0, "send_sample", _PUBLISHED),
    ("density_15", "standard"): PassLimit(860.0, 900.0, "send_sample", _PUBLISHED),
    ("methanol", "own_use"): PassLimit(0.0, 0.002, "strip_again", _PUBLISHED),
    ("methanol", "tower"): PassLimit(0.0, 0.005, "strip_again", _PRACTICE),
    ("methanol", "standard"): PassLimit(0.0, 0.002, "strip_again", _PUBLISHED),
    ("flash", "own_use"): PassLimit(93.0, math.inf, "hold_flammable", "published: ASTM D6751-09"),
    ("flash", "standard"): PassLimit(101.0, math.inf, "hold_flammable", _PUBLISHED),
    ("clarity", "own_use"): PassLimit(1.0, 1.0, "dry_again", "published: ASTM D6751-09, clear and bright"),
    ("clarity", "tower"): PassLimit(1.0, 1.0, "settle_again", _PRACTICE),
    ("clarity", "standard"): PassLimit(1.0, 1.0, "dry_again", "published: ASTM D6751-09, clear and bright"),
}


def own_use_soap_fraction(base: Base) -> float:
    """Most soap in fuel for own use.

    Equation: S = min(S_own, S_metal).
    Args:
        base: the base whose soap is in the fuel [KOH or NaOH].
    Returns: soap as oleate [kg/kg].
    Source: common practice, no source; bounded by the metal limit of EN 14214:2012.
    """
    return min(OWN_USE_SOAP_FRACTION, soap_at_metal_limit_fraction(base, METAL_LIMIT_FRACTION))


def pass_limit(test: Test, destination: Destination, base: Base, acid_value_mg_g: float) -> PassLimit | None:
    """Limit of a test for fuel that goes to a destination, None where the test decides nothing there.

    Equation: table; soap for the standards from the metal limit, soap into resin from the room the acid value
    leaves.
    Args:
        test: which test [name].
        destination: own use, on to the tower, or held to a fuel standard [name].
        base: the base whose soap is in the fuel [KOH or NaOH].
        acid_value_mg_g: acid value of the fuel, used for soap into the tower only [mg KOH per g], 0 to 100.
    Returns: limits in the test's unit [kg/kg, kg/m3, mg KOH per g, °C, or 1 for passed]; infinity: no limit.
    Source: published; EN 14214:2012, ASTM D6751-09; each limit names its own, several are common practice.
    """
    within("acid_value_mg_g", acid_value_mg_g, 0.0, 100.0)
    if test == "soap" and destination == "standard":
        most = soap_at_metal_limit_fraction(base, METAL_LIMIT_FRACTION)
        return PassLimit(0.0, most, "wash_again", "derived: 5 mg/kg of metal, EN 14214:2012")
    if test == "soap" and destination == "own_use":
        return PassLimit(0.0, own_use_soap_fraction(base), "wash_again", _PRACTICE)
    if test == "soap" and destination == "tower":
        most = soap_allowed_fraction(acid_value_mg_g, ACID_VALUE_LIMIT_MG_G, base)
        return PassLimit(0.0, most, "settle_again", "derived: acid value that resin adds, EN 14214:2012")
    return _FIXED.get((test, destination))
