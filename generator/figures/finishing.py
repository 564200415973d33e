"""Finishing the fuel: methanol driven off behind a condenser, washing with water."""

from __future__ import annotations

from typing import Final

from generator.chemistry import boiling, density, heat, plain_boiling, stripping, washing
from generator.figures import tower
from generator.figures.basis import Basis, Given, Inputs, clamped_c, gauge_m3, thermometer_k
from generator.figures.heating import Duty, add_duty, ester_capacity_j_k
from generator.figures.products import fuel_kg
from generator.figures.record import Figure
from generator.profile.recipe import DryWash, Stripping, WaterWash

#: Temperature of the condensate (common practice, no source).
CONDENSATE_C: Final = 30.0
ROOM_C: Final = 20.0


def add(basis: Basis) -> None:
    """Figures of what this plant finishes its fuel with."""
    if basis.recipe.stripping is not None and basis.plant.with_role("strip") is not None:
        _strip(basis, basis.recipe.stripping)
    if isinstance(basis.recipe.washing, WaterWash):
        _wash(basis, basis.recipe.washing)
    if isinstance(basis.recipe.washing, DryWash):
        tower.add_soap(basis, basis.recipe.washing)
    found = tower.resin_tower(basis) or tower.adsorbent_tower(basis)
    if isinstance(basis.recipe.washing, DryWash) and found is not None:
        tower.add(basis, basis.recipe.washing, *found)


def _strip(basis: Basis, recipe: Stripping) -> None:
    book, tank = basis.book, basis.plant.the("strip")
    set_point = book.add("strip_set_point", recipe.set_point_c, "temperature", resolution=thermometer_k(tank))
    pressure = _pressure(basis, recipe)
    before = book["ester_methanol"]
    boiled_fraction = min(before.value, stripping.methanol_left_fraction(recipe.set_point_c, pressure.value))
    by_heat = book.add(
        "strip_left_by_heat", boiled_fraction, "mass_fraction", {"T": set_point, "P": pressure, "w_0": before}
    )
    left = by_heat
    if recipe.sweep is not None and recipe.target_share < boiled_fraction:
        left = _sweep(basis, recipe, recipe.sweep.flow_m3s, pressure.value)
    else:
        left = book.add("strip_left", boiled_fraction, "mass_fraction", {"w_h": by_heat})
    _recovered(basis, left)
    _strip_duty(basis, set_point, boiled_fraction)


def _pressure(basis: Basis, recipe: Stripping) -> Figure:
    """What the ester boils under: the vacuum's absolute pressure, else the site's (as far as the table)."""
    book = basis.book
    if recipe.vacuum is None:
        bounded = min(basis.value("site_pressure"), boiling.SEA_LEVEL_PRESSURE_PA)
        return book.add("strip_pressure", bounded, "pressure", {"P_a": book["site_pressure"]})
    stated: Given = (recipe.vacuum.pressure_pa, "pressure")
    pressure = book.add("strip_pressure", recipe.vacuum.pressure_pa, "pressure", {"P_v": stated})
    book.add("condensing_below", boiling.methanol_dew_point_c(pressure.value), "temperature", {"P": pressure})
    return pressure


def _sweep(basis: Basis, recipe: Stripping, flow_m3s: float, pressure_pa: float) -> Figure:
    """Sweep to the target, ideal best case, fresh gas. Gas is counted at 20 °C as a flow tube reads it."""
    book, by_heat = basis.book, basis.book["strip_left_by_heat"]
    answer = stripping.sweep_gas(
        fuel_kg(basis), recipe.set_point_c, pressure_pa, by_heat.value, recipe.target_share, 0.0
    )
    if isinstance(answer, stripping.SweepNeverReaches):
        return book.add("strip_left", answer.limit_fraction, "mass_fraction", {"w_h": by_heat})
    target: Given = (recipe.target_share, "mass_fraction")
    gas = book.add(
        "sweep_gas",
        answer.gas_normal_m3 * (ROOM_C + boiling.ICE_POINT_K) / boiling.ICE_POINT_K,
        "volume",
        {
            "m_E": (fuel_kg(basis), "mass"),
            "T": book["strip_set_point"],
            "P": (pressure_pa, "pressure"),
            "w_h": by_heat,
            "w_t": target,
        },
    )
    book.add("sweep_time", gas.value / flow_m3s, "time", {"V_N": gas, "Q_N": (flow_m3s, "flow")})
    return book.add("strip_left", recipe.target_share, "mass_fraction", {"w_t": target})


def _recovered(basis: Basis, left: Figure) -> None:
    """Most methanol the condenser can give back, and the water it takes to condense it."""
    book, before = basis.book, basis.book["balance_methanol_ester"]
    ester: Given = (fuel_kg(basis), "mass")
    mass = max(0.0, before.value - fuel_kg(basis) * left.value / (1.0 - left.value))
    rho = density.methanol_density_kg_m3(ROOM_C)
    volume = book.add(
        "recovered_methanol",
        mass / rho,
        "volume",
        {"m_ME": before, "m_E": ester, "w": left, "ρ_M": (rho, "density")},
        resolution=gauge_m3(basis.plant.with_role("recovered_methanol")),
    )
    boils = basis.value("methanol_boiling_point")
    latent = heat.methanol_latent_heat_j_kg(clamped_c(boils, 0.0, 65.0))
    energy = stripping.recovery_energy_j(mass, CONDENSATE_C, clamped_c(boils, 40.0, 65.0), latent)
    rise = basis.given("condenser_rise")
    water = stripping.condenser_water_kg(energy, rise.value)
    water_m3 = water / density.water_density_kg_m3(ROOM_C)
    inputs: Inputs = {"V_R": volume, "Q": (energy, "energy"), "ΔT": rise}
    book.add("condenser_water", water_m3, "volume", inputs)


def _strip_duty(basis: Basis, target: Figure, boiled_fraction: float) -> None:
    """Warming the settled ester; the methanol's latent heat is spread over the rise."""
    settled = basis.book["settled_temperature"]
    if settled.value >= target.value:
        return
    boils = clamped_c(basis.value("methanol_boiling_point"), 0.0, 65.0)
    gone = max(
        0.0,
        basis.value("balance_methanol_ester") - fuel_kg(basis) * boiled_fraction / (1.0 - boiled_fraction),
    )
    latent = gone * heat.methanol_latent_heat_j_kg(boils)
    layer = fuel_kg(basis) + basis.value("balance_methanol_ester")
    capacity = ester_capacity_j_k(layer, 0.5 * (settled.value + target.value))
    capacity += latent / (target.value - settled.value)
    add_duty(basis, Duty("heating_time_strip", "strip", capacity, settled, target))


def _wash(basis: Basis, recipe: WaterWash) -> None:
    book, fuel, tank = basis.book, basis.book["fuel_volume"], basis.plant.with_role("wash")
    book.add("washes", float(recipe.washes), "count")
    book.add("wash_temperature", recipe.temperature_c, "temperature", resolution=thermometer_k(tank))
    basis.given("wash_rest")
    share: Given = (recipe.share, "fraction")
    water = washing.wash_water_m3(fuel.value, recipe.share, 1)
    each = book.add("wash_water", water, "volume", {"φ": share, "V_F": fuel}, resolution=gauge_m3(tank))
    ratio = basis.given("wash_distribution")
    left = washing.washed_share(recipe.washes, recipe.share, ratio.value)
    count: Given = (float(recipe.washes), "count")
    over = book.add("wash_left", left, "fraction", {"D": ratio, "φ": share, "n": count})
    whole = washing.wash_water_m3(fuel.value, recipe.share, recipe.washes)
    book.add("wash_water_all", whole, "volume", {"V_W": each, "n": count})
    before = book["strip_left"] if "strip_left" in book else book["ester_methanol"]
    made_from: Inputs = {"w_0": before, "c": over}
    book.add("washed_methanol", before.value * left, "mass_fraction", made_from)
    _washes_needed(basis, recipe, ratio, before)
    book.add("fuel_drying_time", recipe.dry_time_s, "time")
    if tank is None or not tank.vessel.heaters:
        return  # air alone dries it: no temperature is set
    target = book.add(
        "fuel_drying_set_point", recipe.dry_set_point_c, "temperature", resolution=thermometer_k(tank)
    )
    start = basis.site.ambient.lowest_c
    capacity = ester_capacity_j_k(fuel_kg(basis), 0.5 * (start + target.value))
    add_duty(basis, Duty("heating_time_fuel", "wash", capacity, (start, "temperature"), target))


def _washes_needed(basis: Basis, recipe: WaterWash, ratio: Figure, held: Figure) -> None:
    """Washes that bring the methanol held before them down to the fuel limit."""
    limit = plain_boiling.FUEL_METHANOL_LIMIT_FRACTION
    needed = washing.washes_needed(min(1.0, limit / held.value), recipe.share, ratio.value)
    inputs: Inputs = {
        "w_0": held,
        "w_F": (limit, "mass_fraction"),
        "D": ratio,
        "φ": (recipe.share, "fraction"),
    }
    basis.book.add("washes_needed", float(needed), "count", inputs)
