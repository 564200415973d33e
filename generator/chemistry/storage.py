"""How much of a liquid stands on a site, held against the thresholds of the rules for storing it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from generator.chemistry.density import methanol_density_kg_m3
from generator.chemistry.ranges import not_negative, positive

US_GALLON_M3: Final = 231.0 * 0.0254**3
POUND_KG: Final = 0.45359237

RuleId = Literal["oil_spill_plan", "oil_storage_england", "indoor_flammables", "process_safety"]


@dataclass(frozen=True)
class StorageRule:
    """A threshold: in m3 or, where the rule counts mass, in kg; of oil and fuel, or of flammable liquid.

    ``at_limit`` says whether the rule already bites at the threshold itself.
    """

    id: RuleId
    counts: Literal["oils", "flammables"]
    unit: Literal["m3", "kg"]
    threshold: float
    at_limit: bool
    source: str


STORAGE_RULES: Final = (
    StorageRule(
        "oil_spill_plan", "oils", "m3", 1320.0 * US_GALLON_M3, False, "published: 40 CFR 112.1, EPA SPCC 2013"
    ),
    StorageRule(
        "oil_storage_england",
        "oils",
        "m3",
        0.200,
        False,
        "published: Control of Pollution (Oil Storage) (England) Regulations 2001",
    ),
    StorageRule(
        "indoor_flammables",
        "flammables",
        "m3",
        120.0 * US_GALLON_M3,
        False,
        "published: 29 CFR 1910.106 and fire code Table 5003.1.1(1) as quoted in CEB-2022-52",
    ),
    StorageRule(
        "process_safety",
        "flammables",
        "kg",
        10_000.0 * POUND_KG,
        True,
        "published: 29 CFR 1910.119, OSHA interpretation letter of 26 September 2008",
    ),
)
#: Only containers of 55 US gallons and more count towards the oil spill plan (40 CFR 112.1).
OIL_SPILL_LEAST_CONTAINER_M3: Final = 55.0 * US_GALLON_M3


@dataclass(frozen=True)
class StorageStanding:
    """A rule, the amount on site in the rule's unit, and whether the rule applies."""

    rule: StorageRule
    amount: float
    applies: bool


def storage_standing(
    oils_m3: Sequence[float], flammables_m3: float, flammables_kg: float
) -> tuple[StorageStanding, ...]:
    """Every storage threshold with the site's amount beside it.

    Equation: amount against threshold; for the oil spill plan containers below 55 US gallons do not count.
    Args:
        oils_m3: capacity of each container of oil, fuel or fat [m3], each 0 or more.
        flammables_m3: methanol and other liquid of class I, the most held indoors [m3], 0 or more.
        flammables_kg: methanol and mixtures in one location, in process too [kg], 0 or more.
    Returns: standing against each rule [m3 or kg, as the rule says].
    Source: published; each rule names its own.
    """
    not_negative(flammables_m3=flammables_m3, flammables_kg=flammables_kg)
    for volume in oils_m3:
        not_negative(oils_m3=volume)
    large = math.fsum(v for v in oils_m3 if v >= OIL_SPILL_LEAST_CONTAINER_M3 * (1.0 - 1e-9))
    amounts = {
        "oil_spill_plan": large,
        "oil_storage_england": math.fsum(oils_m3),
        "indoor_flammables": flammables_m3,
        "process_safety": flammables_kg,
    }
    return tuple(_standing(rule, amounts[rule.id]) for rule in STORAGE_RULES)


def _standing(rule: StorageRule, amount: float) -> StorageStanding:
    applies = amount >= rule.threshold if rule.at_limit else amount > rule.threshold
    return StorageStanding(rule, amount, applies)


def methanol_at_process_safety_m3(temperature_c: float) -> float:
    """Volume of methanol at which the process safety rule begins.

    Equation: V = 10000 lb / rho(T).
    Args:
        temperature_c: temperature of the methanol [°C], 0 to 65.
    Returns: volume [m3].
    Source: published; 29 CFR 1910.119 (10 000 lb); density library-computed.
    """
    return 10_000.0 * POUND_KG / methanol_density_kg_m3(temperature_c)


def stored_mass_kg(volumes_m3: Sequence[float], density_kg_m3: float) -> float:
    """Mass of a liquid in all its containers.

    Equation: m = rho sum V.
    Args:
        volumes_m3: each container [m3], each 0 or more.
        density_kg_m3: density of the liquid [kg/m3], above 0.
    Returns: mass [kg].
    Source: published; way of counting of the OSHA interpretation letter of 7 September 1995.
    """
    positive(density_kg_m3=density_kg_m3)
    for volume in volumes_m3:
        not_negative(volumes_m3=volume)
    return density_kg_m3 * math.fsum(volumes_m3)
