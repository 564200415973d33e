"""Oil, fuel and methanol that the plant can hold, beside the amounts at which the rules for storing begin."""

from __future__ import annotations

from typing import Final

from generator.chemistry import density, storage
from generator.figures.basis import Basis, Given, Inputs
from generator.figures.site_air import METHANOL_ROLES
from generator.plant.plant import Tank

#: Roles of vessels that hold oil, fat or fuel, and of those in which methanol only stands.
OIL_ROLES: Final = ("oil_supply", "dry", "react", "settle", "strip", "wash", "fuel", "glycerin")
STORING_ROLES: Final = ("methanol", "methoxide", "recovered_methanol")
#: Rules by the place they hold in.
RULES: Final = {
    "us": ("oil_spill_plan", "indoor_flammables", "process_safety"),
    "england": ("oil_storage_england",),
    "other": (),
}
WARMEST_RULE_C: Final = 20.0


def add(basis: Basis) -> None:
    """One figure for each rule of the place: all vessels counted full."""
    oils = [tank.capacity_m3 for tank in _with(basis, OIL_ROLES)]
    indoors = [tank.capacity_m3 for tank in _with(basis, STORING_ROLES)]
    rho = density.methanol_density_kg_m3(WARMEST_RULE_C)
    located_kg = storage.stored_mass_kg([tank.capacity_m3 for tank in _with(basis, METHANOL_ROLES)], rho)
    for standing in storage.storage_standing(oils, sum(indoors), located_kg):
        rule = standing.rule
        if rule.id not in RULES[basis.site.jurisdiction]:
            continue
        quantity = "volume" if rule.unit == "m3" else "mass"
        begins: Given = (rule.threshold, quantity)
        inputs: Inputs = {"L": begins}
        if rule.id == "process_safety":
            inputs["V_L"] = (storage.methanol_at_process_safety_m3(WARMEST_RULE_C), "volume")
        basis.book.add(f"stored_{rule.id}", standing.amount, quantity, inputs)


def _with(basis: Basis, roles: tuple[str, ...]) -> list[Tank]:
    return [tank for tank in basis.plant.tanks.values() if set(tank.vessel.roles) & set(roles)]
