"""Air and spill containment that the plant needs."""

from __future__ import annotations

from typing import Final

from generator.figures.basis import Basis, Inputs
from generator.figures.record import Figure
from generator.plant.plant import Tank
from generator.profile.site import Containment

#: 1 ft3/min for each square foot of floor, m/s (published: 29 CFR 1910.106).
AIR_M_S: Final = 0.3048 / 60.0
#: Room above the largest vessel's volume (published: EPA SPCC guidance, rule of thumb).
SPARE: Final = 1.10
#: Share of all that the bund holds (published: Oil Storage (England) Regulations 2001).
ENGLAND_SHARE: Final = 0.25
#: Rain of a day into a bund without a roof (common practice, no source).
RAIN_M: Final = 0.115


def add(basis: Basis) -> None:
    """Ventilation where the plant stands in a room; containment where it has a bund."""
    room = basis.site.room
    if basis.site.placement == "indoors" and room is not None:
        inputs: Inputs = {"A": (room.floor_area_m2, "area")}
        basis.book.add("ventilation_needed", AIR_M_S * room.floor_area_m2, "air_flow", inputs)
    bund = basis.profile.safety.containment
    if bund is not None:
        tanks = [basis.plant.tanks[name] for name in bund.holds if name in basis.plant.tanks]
        if tanks:
            largest = max(tanks, key=lambda tank: tank.capacity_m3)
            _needed(basis, bund, tanks, largest)
            _there(basis, bund, [tank for tank in tanks if tank is not largest])


def _needed(basis: Basis, bund: Containment, tanks: list[Tank], largest: Tank) -> Figure:
    capacity = basis.book[f"{largest.id}.capacity"]
    needs = [SPARE * capacity.value]
    inputs: Inputs = {"V_max": capacity}
    if not bund.roofed and basis.site.placement != "indoors":
        needs.append(capacity.value + bund.area_m2 * RAIN_M)
        inputs |= {"A": (bund.area_m2, "area"), "r": (RAIN_M, "length")}
    if basis.site.jurisdiction == "england":
        total = sum(tank.capacity_m3 for tank in tanks)
        needs.append(ENGLAND_SHARE * total)
        inputs["V_all"] = (total, "volume")
    return basis.book.add("containment_needed", max(needs), "volume", inputs)


def _there(basis: Basis, bund: Containment, others: list[Tank]) -> Figure:
    """What the bund holds beside the vessels that stand in it; the leaking one displaces nothing."""
    taken = sum(
        tank.shape.plan_area_m2() * max(0.0, bund.height_m - tank.vessel.elevation_m) for tank in others
    )
    inputs: Inputs = {
        "A": (bund.area_m2, "area"),
        "h": (bund.height_m, "length"),
        "V_tanks": (taken, "volume"),
    }
    there = max(0.0, bund.area_m2 * bund.height_m - taken)
    return basis.book.add("containment_there", there, "volume", inputs)
