"""What to expect of a batch beyond its balance: fuel after losses, water, methanol that heat leaves."""

from __future__ import annotations

from typing import Final

from generator.chemistry import boiling, drying, heat, methoxide, outcome, plain_boiling, stripping
from generator.chemistry.headspace import headspace_left_fraction, methoxide_volume_m3
from generator.figures.basis import Basis, Inputs, clamped_c, gauge_m3

#: Fuel through which air is bubbled, °C: as warm as the saturation formula goes.
WARM_FUEL_C: Final = 35.0


def add(basis: Basis) -> None:
    """All of them, where the plant has what they are about."""
    _fuel(basis)
    _water(basis)
    _methoxide(basis)
    _plain_boiling(basis)
    _recovery(basis)
    _dried_by_air(basis)


def _fuel(basis: Basis) -> None:
    least, most, fuel = basis.given("least_loss"), basis.given("most_loss"), basis.book["fuel_volume"]
    low, high = outcome.expected_fuel_m3(fuel.value, least.value, most.value)
    # It stands in the vessel that finishes it, and is compared there with the heater's cover mark.
    finishes = basis.plant.with_role("wash") or basis.plant.with_role("strip")
    step = gauge_m3(finishes) or fuel.resolution
    basis.book.add("fuel_least", low, "volume", {"V_F": fuel, "l": most}, resolution=step)
    basis.book.add("fuel_most", high, "volume", {"V_F": fuel, "l": least}, resolution=step)


def _water(basis: Basis) -> None:
    water, base = basis.book["balance_water"], basis.book["balance_base_left"]
    _, most = outcome.water_range_kg(water.value, base.value, basis.recipe.catalyst.base)
    basis.book.add("water_most", most, "mass", {"m_W": water, "m_B": base})


def _methoxide(basis: Basis) -> None:
    """How far the highest dose uses up what methanol dissolves, and the room left in the can."""
    catalyst, book = basis.recipe.catalyst, basis.book
    methanol, most = book["methanol_mass"], book["catalyst_highest"]
    share = methoxide.solubility_share(catalyst.base, catalyst.purity, most.value, methanol.value)
    inputs: Inputs = {"m_c": most, "p": (catalyst.purity, "mass_fraction"), "m_M": methanol}
    book.add("lye_solubility_used", share, "fraction", inputs)
    dissolves = methoxide.catalyst_that_dissolves_kg(catalyst.base, catalyst.purity, methanol.value)
    book.add("lye_dissolves", dissolves, "weighed_mass", {"p": inputs["p"], "m_M": methanol})
    tank = basis.plant.with_role("methoxide")
    if tank is not None:
        hottest, held, flake = (
            basis.given("dissolving_most"),
            book["can_methanol_mass"],
            book["can_catalyst_highest"],
        )
        warm = methoxide_volume_m3(held.value, flake.value, hottest.value)
        left = headspace_left_fraction(warm, tank.capacity_m3)
        if left >= 0.0:
            capacity = book[f"{tank.id}.capacity"]
            room: Inputs = {"V_h": (warm, "volume"), "T_diss": hottest, "V": capacity}
            book.add("methoxide_headspace", left, "fraction", room)


def _plain_boiling(basis: Basis) -> None:
    pressure = basis.book["site_pressure"]
    limited = min(pressure.value, boiling.SEA_LEVEL_PRESSURE_PA)
    answer = plain_boiling.plain_boiling(plain_boiling.FUEL_METHANOL_LIMIT_FRACTION, limited)
    if isinstance(answer, plain_boiling.CannotBoilTo):
        inputs: Inputs = {"T": (answer.hottest_c, "temperature"), "P": pressure}
        basis.book.add("plain_boiling_left", answer.left_fraction, "mass_fraction", inputs)


def _recovery(basis: Basis) -> None:
    """Heat that drives off the methanol of the ester and that the condenser takes up again."""
    before, boils = basis.book["balance_methanol_ester"], basis.book["methanol_boiling_point"]
    settled = basis.book.get("settled_temperature")
    if settled is None or "strip_left" not in basis.book:
        return
    bounded = clamped_c(boils.value, 40.0, 65.0)
    latent = heat.methanol_latent_heat_j_kg(bounded)
    start = clamped_c(settled.value, 0.0, bounded)
    energy = stripping.recovery_energy_j(before.value, start, bounded, latent)
    inputs: Inputs = {"m_ME": before, "T_0": settled, "T_b": boils}
    basis.book.add("recovery_energy", energy, "energy", inputs)


def _dried_by_air(basis: Basis) -> None:
    """Water the fuel holds when cold, and how dry air must be to dry it without heat."""
    air_c, cold_c = (
        clamped_c(c, 4.0, 35.0) for c in (basis.site.ambient.usual_c, basis.site.ambient.lowest_c)
    )
    cold: Inputs = {"T_c": (cold_c, "temperature")}
    basis.book.add("fuel_holds_water", boiling.water_saturation_fraction(cold_c), "mass_fraction", cold)
    limit = drying.WATER_LIMIT_FRACTION
    air: Inputs = {"T_a": (air_c, "temperature")}
    most = drying.humidity_most(limit, air_c)
    basis.book.add("air_humidity_most", most, "fraction", air | {"w_F": (limit, "mass_fraction")})
    humidity = drying.humidity_in_fuel(1.0, air_c, WARM_FUEL_C)
    left = drying.water_at_humidity_fraction(humidity, WARM_FUEL_C)
    basis.book.add("air_dried_water", left, "mass_fraction", air | {"T_F": (WARM_FUEL_C, "temperature")})
