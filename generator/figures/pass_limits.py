"""What passes the operator's own tests, as figures of record: each limit once, whatever prints it."""

from __future__ import annotations

from typing import Final

from generator.chemistry import fuel_tests, verdicts
from generator.chemistry.verdicts import Destination, Test
from generator.figures.basis import Basis, Inputs

#: Kind of figure, the test and destination it belongs to, quantity.
GREATEST: Final[tuple[tuple[str, Test, Destination, str], ...]] = (
    ("free_base_most", "free_base", "own_use", "parts_per_million"),
    ("methanol_in_fuel", "methanol", "own_use", "mass_fraction"),
    ("methanol_to_tower", "methanol", "tower", "mass_fraction"),
    ("water_in_fuel", "water", "own_use", "mass_fraction"),
    ("acid_in_fuel", "acid_value", "own_use", "ratio"),
    ("fuel_density_most", "density_15", "own_use", "density"),
)
LEAST: Final[tuple[tuple[str, Test, Destination, str], ...]] = (
    ("fuel_density_least", "density_15", "own_use", "density"),
    ("flash_least", "flash", "own_use", "temperature"),
    ("flash_for_standard", "flash", "standard", "temperature"),
)


def add(basis: Basis) -> None:
    """Soap by the base in use, then every limit that is the same at each plant."""
    _soap(basis)
    base, towered = basis.recipe.catalyst.base, basis.recipe.washing.method == "tower"
    for kind, test, place, quantity in GREATEST:
        limit = verdicts.pass_limit(test, place, base, 0.0)
        if limit is not None and (towered or place != "tower"):
            ppm = quantity == "parts_per_million"
            basis.book.add(kind, limit.greatest * (1e6 if ppm else 1.0), quantity)
    for kind, test, place, quantity in LEAST:
        limit = verdicts.pass_limit(test, place, base, 0.0)
        if limit is not None:
            basis.book.add(kind, limit.least, quantity)
    basis.book.add("flash_no_methanol", verdicts.FLASH_WITHOUT_METHANOL_C, "temperature")


def _soap(basis: Basis) -> None:
    """Soap of finished fuel: what practice allows, never more than the metal limit as soap of this base."""
    base, book = basis.recipe.catalyst.base, basis.book
    metal: Inputs = {"w_metal": (verdicts.METAL_LIMIT_FRACTION * 1e6, "parts_per_million")}
    most = fuel_tests.soap_at_metal_limit_fraction(base, verdicts.METAL_LIMIT_FRACTION)
    standard = book.add("soap_for_standard", most * 1e6, "parts_per_million", metal)
    own = verdicts.own_use_soap_fraction(base)
    custom: Inputs = {"S_own": (verdicts.OWN_USE_SOAP_FRACTION * 1e6, "parts_per_million"), "S_std": standard}
    book.add("soap_in_fuel", own * 1e6, "parts_per_million", custom)
