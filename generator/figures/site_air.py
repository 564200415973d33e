"""Air and spill containment that the plant needs."""

from __future__ import annotations

from generator.chemistry import containment, density, headspace, heat, ventilation
from generator.figures.basis import Basis, Inputs, clamped_c
from generator.plant.plant import Tank
from generator.profile.site import Containment

#: Roles of vessels that hold methanol at some time.
METHANOL_ROLES = ("methanol", "methoxide", "react", "settle", "strip", "glycerin", "recovered_methanol")


def add(basis: Basis) -> None:
    """Ventilation where the plant stands in a room; vapour wherever it stands; containment with a bund."""
    room = basis.site.room
    if basis.site.placement == "indoors" and room is not None:
        inputs: Inputs = {"A": (room.floor_area_m2, "area")}
        needed = ventilation.floor_ventilation_m3s(room.floor_area_m2)
        basis.book.add("ventilation_needed", needed, "air_flow", inputs)
        _spill(basis, room.volume_m3)
    _dilution(basis)
    _explosive(basis)
    _displaced(basis)
    _boil_off(basis)
    bund = basis.profile.safety.containment
    if bund is not None:
        tanks = [basis.plant.tanks[name] for name in bund.holds if name in basis.plant.tanks]
        if tanks:
            largest = max(tanks, key=lambda tank: tank.capacity_m3)
            _needed(basis, bund, tanks, largest)
            _there(basis, bund, [tank for tank in tanks if tank is not largest])


def _air_c(basis: Basis) -> float:
    """The hottest air of the place, within what the formulas hold for, °C."""
    return clamped_c(basis.site.ambient.highest_c, 0.0, 60.0)


def _spill(basis: Basis, room_m3: float) -> None:
    """The stated spill, evaporated, in the closed room."""
    spilled, air_c, pressure = basis.given("spill"), _air_c(basis), basis.book["site_pressure"]
    mass = spilled.value * density.methanol_density_kg_m3(20.0)
    most = ventilation.vapour_volume_m3(mass, air_c, pressure.value) / room_m3
    share = ventilation.spill_fraction(mass, room_m3, air_c, pressure.value) if most < 1.0 else 1.0
    inputs: Inputs = {
        "V_s": spilled,
        "V_room": (room_m3, "volume"),
        "T_a": (air_c, "temperature"),
        "P": pressure,
    }
    basis.book.add("spill_share", share, "fraction", inputs)
    limit = ventilation.QUARTER_FRACTION
    air_m3 = ventilation.dilution_air_m3(mass, limit, air_c, pressure.value)
    thinned = {symbol: inputs[symbol] for symbol in ("V_s", "T_a", "P")}
    basis.book.add("spill_air", air_m3, "volume", thinned | {"C": (limit, "fraction")})


def _dilution(basis: Basis) -> None:
    """Fresh air for the stated release, held against fire and against people's limit."""
    release, air_c, pressure = basis.given("air_release"), _air_c(basis), basis.book["site_pressure"]
    fire, people = basis.given("fire_mixing"), basis.given("people_mixing")
    needs = ventilation.air_needs(release.value, air_c, pressure.value, fire.value, people.value)
    for kind, flow, share, mixing in (
        ("air_quarter_limit", needs.quarter_explosive_m3s, ventilation.QUARTER_FRACTION, fire),
        ("air_tenth_limit", needs.tenth_explosive_m3s, ventilation.TENTH_FRACTION, fire),
        ("air_exposure", needs.exposure_m3s, ventilation.EXPOSURE_LIMIT_FRACTION, people),
    ):
        inputs: Inputs = {
            "K": mixing,
            "G": release,
            "C": (share, "fraction"),
            "T_a": (air_c, "temperature"),
            "P": pressure,
        }
        basis.book.add(kind, flow, "air_flow", inputs)


def _explosive(basis: Basis) -> None:
    """Temperatures between which the closed headspace over methanol or methoxide can explode."""
    pressure = basis.book["site_pressure"]
    if pressure.value < headspace.LEAST_PRESSURE_PA:
        return
    low, high = headspace.explosive_range_c(pressure.value)
    basis.book.add("explosive_from", low, "temperature", {"P": pressure})
    basis.book.add("explosive_to", high, "temperature", {"P": pressure})


def _displaced(basis: Basis) -> None:
    """Methanol that leaves the vent while the largest vessel that gets it is filled, at its warmest."""
    charge, ceiling = basis.book["charge_volume"], basis.book["ceiling"]
    mass = ventilation.displaced_methanol_kg(charge.value, clamped_c(ceiling.value, 0.0, 64.0))
    basis.book.add("displaced_methanol", mass, "mass", {"V": charge, "T": ceiling})


def _boil_off(basis: Basis) -> None:
    """Vapour that a heater makes once its vessel boils; the vent must let it pass."""
    boils = basis.book["methanol_boiling_point"]
    latent = heat.methanol_latent_heat_j_kg(clamped_c(boils.value, 0.0, 65.0))
    for tank in basis.plant.tanks.values():
        if tank.vessel.heaters and set(tank.vessel.roles) & set(METHANOL_ROLES):
            power = basis.book[f"{tank.id}.element_power"]
            flow = ventilation.boil_off_kg_s(power.value, latent)
            inputs: Inputs = {"P": power, "T_b": boils}
            basis.book.add("boil_off", flow, "mass_flow", inputs, subject=tank.id)


def _needed(basis: Basis, bund: Containment, tanks: list[Tank], largest: Tank) -> None:
    capacity, england = basis.book[f"{largest.id}.capacity"], basis.site.jurisdiction == "england"
    inputs: Inputs = {"V_max": capacity}
    rain_m = 0.0
    if not bund.roofed and basis.site.placement != "indoors":
        rain = basis.given("rain")
        rain_m = rain.value
        inputs |= {"A": (bund.area_m2, "area"), "r": rain}
    need = containment.containment_needed_m3(capacity.value, bund.area_m2, rain_m)
    if england:
        volumes = [tank.capacity_m3 for tank in tanks]
        need = max(need, containment.england_containment_m3(volumes))
        inputs["V_all"] = (sum(volumes), "volume")
    needed = basis.book.add("containment_needed", need, "volume", inputs)
    wall = containment.wall_height_m(need, bund.area_m2)
    basis.book.add("bund_wall", wall, "length", {"V": needed, "A": (bund.area_m2, "area")})


def _there(basis: Basis, bund: Containment, others: list[Tank]) -> None:
    """What the bund holds beside the vessels that stand in it; the leaking one displaces nothing."""
    standing = [
        containment.Standing(
            tank.shape.plan_area_m2(),
            tank.vessel.elevation_m,
            tank.vessel.elevation_m + tank.shape.inside_height_m,
        )
        for tank in others
    ]
    there = containment.containment_there_m3(bund.area_m2, bund.height_m, standing)
    inputs: Inputs = {
        "A": (bund.area_m2, "area"),
        "h": (bund.height_m, "length"),
        "V_tanks": (bund.area_m2 * bund.height_m - there, "volume"),
    }
    basis.book.add("containment_there", there, "volume", inputs)
