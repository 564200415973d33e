"""Figures of each vessel by itself: what it holds, how far it may be filled, when its heater is covered."""

from __future__ import annotations

import math

from generator import quantities
from generator.chemistry import elements
from generator.figures.basis import Basis, Given, Inputs, gauge_m3
from generator.figures.record import Figure
from generator.plant.plant import Tank
from generator.profile.piping import Line
from generator.profile.vessels import Heater


def add(basis: Basis) -> None:
    """Capacity, fill limit, cover, element power and watt density, heel of each outlet."""
    for tank in basis.plant.tanks.values():
        _filling(basis, tank)
        if tank.vessel.heaters:
            _cover(basis, tank)
            _elements(basis, tank)
        _heels(basis, tank)


def add_mark(basis: Basis, tank: Tank, kind: str, volume_m3: float, of: Given) -> None:
    """Level that a volume reaches in a vessel; nothing where the vessel cannot hold it."""
    if volume_m3 > tank.capacity_m3:
        return
    level = tank.shape.level_at(volume_m3)
    basis.book.add(kind, level, "level", {"V": of}, subject=tank.id)


def _filling(basis: Basis, tank: Tank) -> None:
    book = basis.book
    capacity = book.add(
        "capacity",
        tank.capacity_m3,
        "volume",
        {"V_shape": (tank.shape.capacity_m3(), "volume")}
        | ({"V_stated": (tank.vessel.capacity_m3, "volume")} if tank.vessel.capacity_m3 is not None else {}),
        subject=tank.id,
    )
    limit = book.add(
        "fill_limit",
        tank.limit_m3,
        "volume",
        {"V": capacity, "f": (tank.vessel.max_fill, "fraction")},
        subject=tank.id,
        resolution=gauge_m3(tank),
    )
    level = tank.shape.level_at(tank.limit_m3)
    book.add("fill_limit_level", level, "level", {"V_limit": limit}, subject=tank.id)


def _cover(basis: Basis, tank: Tank) -> None:
    """Cover of the highest heater; no volume where the cover level lies above the vessel's top."""
    top = max(heater.top_of_hot_part_m for heater in tank.vessel.heaters.values())
    cover = basis.given("element_cover")
    level = basis.book.add(
        "cover_level",
        elements.cover_level_m(top, cover.value),
        "level",
        {"h_top": (top, "length"), "c": cover},
        subject=tank.id,
    )
    if level.value <= tank.shape.inside_height_m:
        volume = basis.book.add(
            "cover_volume",
            tank.shape.volume_at(level.value),
            "volume",
            {"h": level},
            subject=tank.id,
            resolution=gauge_m3(tank),
        )
        # What is poured to prove the shape is the printed volume, so the level looked for is that volume's. A
        # bare gallon of ours is a US gallon.
        printed_m3 = quantities.parse(volume.shown.first.text, "volume", units="us")
        poured_m3 = min(printed_m3, tank.shape.capacity_m3())
        poured = {"V_poured": (poured_m3, "volume")}
        basis.book.add("proof_level", tank.shape.level_at(poured_m3), "level", poured, subject=tank.id)


def _elements(basis: Basis, tank: Tank) -> None:
    heaters = list(tank.vessel.heaters.values())
    inputs: Inputs = {}
    for number, heater in enumerate(heaters, start=1):
        mark = str(number) if len(heaters) > 1 else ""
        inputs[f"P_r{mark}"] = (heater.rated_power_w, "power")
        inputs[f"E{mark}"] = (heater.supply_voltage_v, "voltage")
        inputs[f"E_r{mark}"] = (heater.rated_voltage_v, "voltage")
    power = math.fsum(heater_power_w(heater) for heater in heaters)
    basis.book.add("element_power", power, "power", inputs, subject=tank.id)
    known = [pair for heater in heaters if (pair := _density(heater)) is not None]
    if known:
        value, made_from = max(known, key=lambda pair: pair[0])
        density = basis.book.add("element_density", value, "watt_density", made_from, subject=tank.id)
        _sheath(basis, tank, density)


def _sheath(basis: Basis, tank: Tank, density: Figure) -> None:
    """How hot the hottest heater's sheath gets in oil, and dry; nothing outside the computed points."""
    if elements.LEAST_WATT_DENSITY_W_M2 <= density.value <= elements.MOST_WATT_DENSITY_W_M2:
        hot = {"sheath_in_oil": elements.sheath_in_oil_c, "sheath_dry": elements.sheath_dry_c}
        for kind, computed in hot.items():
            basis.book.add(kind, computed(density.value), "temperature", {"w": density}, subject=tank.id)


def heater_power_w(heater: Heater) -> float:
    """Power of a heater on the voltage it is run on, W."""
    return elements.element_power_w(heater.rated_power_w, heater.rated_voltage_v, heater.supply_voltage_v)


def _density(heater: Heater) -> tuple[float, Inputs] | None:
    """Watt density at the supply's voltage; None where neither it nor the sheath's size is known."""
    power = heater_power_w(heater)
    if heater.rated_watt_density_w_m2 is not None:
        rated = heater.rated_watt_density_w_m2
        return rated * power / heater.rated_power_w, {
            "w_r": (rated, "watt_density"),
            "E": (heater.supply_voltage_v, "voltage"),
            "E_r": (heater.rated_voltage_v, "voltage"),
        }
    if heater.sheath_diameter_m is None or heater.heated_length_m is None:
        return None
    value = elements.watt_density_w_m2(power, heater.sheath_diameter_m, heater.heated_length_m)
    return value, {
        "P": (power, "power"),
        "d": (heater.sheath_diameter_m, "length"),
        "l": (heater.heated_length_m, "length"),
    }


def outlets(basis: Basis, tank: Tank) -> list[str]:
    """Ports that liquid is drawn from: where a line begins or a hose is fixed, sample cocks left out.

    A hose's free end draws only from a drum of oil or methanol; elsewhere it fills.
    """
    profile, found = basis.profile, set[str]()
    for line in profile.lines.values():
        if not _samples(line, tank):
            found.add(line.from_)
    supplies = {"oil_supply", "methanol"} & set(tank.vessel.roles)
    for hose in profile.hoses.values():
        found.update((hose.fixed, *hose.ends) if supplies else (hose.fixed,))
    ports = tank.vessel.ports
    return [name for name, port in ports.items() if port.space == "liquid" and f"{tank.id}.{name}" in found]


def _samples(line: Line, tank: Tank) -> bool:
    """A spout into the open is a tap only on a fuel tank; elsewhere it draws samples or free water."""
    return line.to == "open" and "fuel" not in tank.vessel.roles


def _heels(basis: Basis, tank: Tank) -> None:
    for port in outlets(basis, tank):
        mouth = tank.vessel.ports[port].mouth_m
        if mouth <= tank.shape.inside_height_m:
            basis.book.add(
                "heel",
                tank.heel_m3(port),
                "volume",
                {"h_port": (mouth, "length")},
                subject=f"{tank.id}.{port}",
                resolution=gauge_m3(tank),
            )
