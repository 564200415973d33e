"""Temperatures of the batch: what methanol allows at this height, and what oil and methoxide mix to."""

from __future__ import annotations

from generator.chemistry import boiling, density, headspace, heat, heating, limits, mixing
from generator.figures.basis import (
    Basis,
    Given,
    Inputs,
    clamped_c,
    gauge_m3,
    oil_m3_at,
    plain,
    thermometer_k,
)
from generator.figures.record import Figure
from generator.figures.tanks import add_mark
from generator.plant.plant import Tank


def add_limits(basis: Basis) -> None:
    """Air pressure, methanol's boiling point, the limits that hang on it, the set points."""
    site, book, reaction = basis.site, basis.book, basis.recipe.reaction
    tank = basis.plant.with_role("react")
    if site.barometer_pa is not None:
        pressure = book.add(
            "site_pressure", site.barometer_pa, "pressure", {"P_b": (site.barometer_pa, "pressure")}
        )
    else:
        altitude = site.altitude_m or 0.0
        standard = boiling.site_pressure_pa(altitude)
        pressure = book.add("site_pressure", standard, "pressure", {"h": (altitude, "altitude")})
    boils = book.add(
        "methanol_boiling_point", boiling.methanol_boiling_c(pressure.value), "temperature", {"P": pressure}
    )
    step = thermometer_k(tank)
    stated = "margin_k" in reaction.model_fields_set
    kept = book.add("boiling_margin", reaction.margin_k, "temperature_difference", own=stated)
    ceiling = book.add(
        "ceiling",
        limits.temperature_ceiling_c(boils.value, kept.value),
        "temperature",
        {"T_b": boils, "ΔT": kept},
        resolution=step,
    )
    margin = basis.given("high_limit_margin")
    book.add(
        "high_limit",
        limits.high_limit_c(boils.value, margin.value),
        "temperature",
        {"T_b": boils, "ΔT": margin},
    )
    book.add(
        "reaction_set_point",
        min(reaction.set_point_c, ceiling.value),
        "temperature",
        {"T_profile": (reaction.set_point_c, "temperature"), "T_ceiling": ceiling},
        resolution=step,
    )
    drying = basis.recipe.drying
    book.add(
        "drying_set_point",
        drying.set_point_c,
        "temperature",
        resolution=thermometer_k(basis.plant.with_role("dry")),
    )
    book.add("drying_time", drying.time_s, "time")
    book.add("reaction_time", reaction.time_s, "time")


def oil_stream(basis: Basis, temperature_c: float) -> heating.Stream:
    """The batch's oil at a temperature."""
    specific = heat.oil_specific_heat_j_kgk(temperature_c)
    return heating.Stream(basis.value("oil_mass"), specific, temperature_c)


def methanol_stream(basis: Basis, temperature_c: float, mass: str = "methanol_mass") -> heating.Stream:
    """The batch's methanol, or another mass of it, at a temperature; catalyst left out."""
    specific = heat.methanol_specific_heat_j_kgk(clamped_c(temperature_c, 0.0, 65.0))
    return heating.Stream(basis.value(mass), specific, temperature_c)


def oil_capacity_j_k(basis: Basis, temperature_c: float) -> float:
    """Heat that warms the batch's oil by a kelvin, J/K."""
    return heating.heat_capacity_j_k((oil_stream(basis, temperature_c),))


def charge_capacity_j_k(basis: Basis, mass: str = "methanol_mass") -> float:
    """Heat that warms oil and methanol together by a kelvin at the reaction set point, J/K."""
    warm_c = basis.value("reaction_set_point")
    return heating.heat_capacity_j_k((oil_stream(basis, warm_c), methanol_stream(basis, warm_c, mass)))


def add_mixing(basis: Basis) -> None:
    """Oil temperature before injection, the temperature it mixes to, the volume that makes."""
    book, set_point = basis.book, basis.book["reaction_set_point"]
    methoxide_c = clamped_c(basis.site.ambient.usual_c, -10.0, 65.0)
    oil_part = oil_stream(basis, set_point.value)
    cold_part = methanol_stream(basis, 0.5 * (methoxide_c + set_point.value), "can_methanol_mass")
    oil, cold = (heating.heat_capacity_j_k((part,)) for part in (oil_part, cold_part))
    step = thermometer_k(basis.plant.with_role("react"))
    shared: Inputs = {
        "m_M": book["can_methanol_mass"],
        "m_oil": book["oil_mass"],
        "k": (cold_part.specific_heat_j_kgk / oil_part.specific_heat_j_kgk, "ratio"),
        "T_M": (methoxide_c, "temperature"),
    }
    ceiling = book["ceiling"]
    limit = book.add(
        "preheat_limit",
        limits.preheat_ceiling_c(ceiling.value, oil, cold, methoxide_c),
        "temperature",
        {"T_ceiling": ceiling, **shared},
        resolution=step,
    )
    plan = limits.preheat_plan(set_point.value, ceiling.value, oil, cold, methoxide_c)
    preheat = book.add(
        "preheat",
        plan.oil_c,
        "temperature",
        {"T_r": set_point, "T_limit": limit, **shared},
        resolution=step,
    )
    made_from: Inputs = {"T_oil": preheat, **shared}
    mixed = book.add("mix_temperature", plan.mix_c, "temperature", made_from, resolution=step)
    if not plan.reaches:
        short: Inputs = {"T_r": set_point, "T_mix": mixed}
        book.add("mix_short", plan.short_k, "temperature_difference", short)


def add_charge(basis: Basis) -> None:
    """Room that the whole charge takes at reaction temperature, and its level in the tanks that get it."""
    book, set_point = basis.book, basis.book["reaction_set_point"]
    oil, methanol, flake = book["oil_mass"], book["methanol_mass"], book["catalyst_highest"]
    rho_oil = density.oil_density_kg_m3(set_point.value, basis.value("oil_density_15"))
    rho_methanol = density.methanol_density_kg_m3(set_point.value)
    tanks = [basis.plant.tanks[tank_id] for tank_id in _tanks(basis, "react", "settle")]
    charge = book.add(
        "charge_volume",
        oil_m3_at(basis, set_point.value)
        + headspace.methoxide_volume_m3(methanol.value, flake.value, set_point.value),
        "volume",
        {
            "m_oil": oil,
            "ρ_oil": (rho_oil, "density"),
            "m_M": methanol,
            "ρ_M": (rho_methanol, "density"),
            "m_c": flake,
            "ρ_c": (headspace.SOLID_BASE_KG_M3, "density"),
            "T_r": set_point,
        },
        # One number for all vessels that it is read in: what the coarsest of their gauges shows.
        resolution=max((step for tank in tanks if (step := gauge_m3(tank))), default=None),
    )
    for tank in tanks:
        add_mark(basis, tank, "charge_mark_level", charge.value, charge)


def add_oil_marks(basis: Basis) -> None:
    """Level of the oil: as measured in where it is dried, as warm as methoxide goes in where it is reacted.

    A vessel for both has a mark for measured oil; where that stands when warm is a figure of its own.
    """
    for tank_id in _tanks(basis, "dry", "react"):
        tank = basis.plant.tanks[tank_id]
        dries, reacts = (role in tank.vessel.roles for role in ("dry", "react"))
        if dries:
            measured = basis.book["oil_volume"]
            add_mark(basis, tank, "oil_mark_level", measured.value, measured)
        if reacts:
            warm = _warm_oil(basis, tank)
            add_mark(basis, tank, "warm_oil_level" if dries else "oil_mark_level", warm.value, warm)


def _warm_oil(basis: Basis, tank: Tank) -> Figure:
    """Volume of the oil, preheated, as the vessel's gauge shows it."""
    book, warm_c = basis.book, clamped_c(basis.value("preheat"), 15.0, 110.0)
    rho = density.oil_density_kg_m3(warm_c, basis.value("oil_density_15"))
    made_from: Inputs = {"m_oil": book["oil_mass"], "ρ_oil": (rho, "density"), "T_p": book["preheat"]}
    volume = oil_m3_at(basis, warm_c)
    step = gauge_m3(tank)
    return book.add("warm_oil", volume, "volume", made_from, subject=tank.id, resolution=step)


def _tanks(basis: Basis, *roles: str) -> list[str]:
    """Ids of the vessels that play the roles, each once."""
    found = [basis.plant.with_role(role) for role in roles]
    return list(dict.fromkeys(tank.id for tank in found if tank is not None))


def add_injection_of(basis: Basis, methoxide: Given, dose: str | None = None) -> None:
    """Least time and largest flow of a dose's methoxide; nothing without a pump."""
    pump_flow, book = basis.flow_m3s(basis.react_pump), basis.book
    if pump_flow is None:
        return
    oil, share, least = book["oil_volume"], basis.given("injection_share"), basis.given("injection_least")
    volume = plain(methoxide)
    time = book.add(
        "injection_time",
        mixing.injection_time_least_s(volume, oil.value, pump_flow, share.value, least.value),
        "time",
        {"t_0": least, "V_oil": oil, "V_m": methoxide, "s": share, "Q": (pump_flow, "flow")},
        subject=dose,
    )
    book.add("injection_flow", volume / time.value, "flow", {"V_m": methoxide, "t_inj": time}, subject=dose)


def add_injection(basis: Basis) -> None:
    """How slowly methoxide is let in, and how often the charge passes the pump; nothing without a pump."""
    pump_flow, book = basis.flow_m3s(basis.react_pump), basis.book
    if pump_flow is None:
        return
    charge, flow = book["charge_volume"], (pump_flow, "flow")
    add_injection_of(basis, book["methoxide_volume"])
    rate = mixing.turnovers(pump_flow, 3600.0, charge.value)
    book.add("turnovers", rate, "rate_per_hour", {"Q": flow, "V": charge})
