"""Heater steps: lock off, heat to a set point with its limit, switch off, cool down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from generator.operations.acts import number
from generator.operations.maker import Maker

# Each duty has its own set point, high limit and computed time: one locked limit a duty.
DUTIES: dict[str, tuple[str, str, str]] = {
    "dry": ("drying_set_point", "drying_high_limit", "heating_time_dry"),
    "preheat": ("preheat", "high_limit", "heating_time_preheat"),
    "react": ("reaction_set_point", "high_limit", "heating_time_react"),
    "acid": ("acid_set_point", "high_limit", "heating_time_acid"),
    "strip": ("strip_set_point", "strip_high_limit", "heating_time_strip"),
    "fuel": ("fuel_drying_set_point", "high_limit", "heating_time_fuel"),
}


def lock_heaters(maker: Maker, given: str | Sequence[str], options: Mapping[str, Any]) -> None:
    """Lock off every heater of the named roles (``all`` for every one), before methanol comes near."""
    roles = [given] if isinstance(given, str) else list(given)
    for index, heater in enumerate(maker.heaters(roles)):
        extra = dict(options) if index == 0 else {k: v for k, v in options.items() if k != "messages"}
        maker.add("lock_heater", {"heater": heater}, equipment=(heater,), **extra)


def prove_cover(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """Each heated vessel filled to its cover volume, and its level compared with the mark."""
    by_vessel: dict[str, list[str]] = {}
    for heater in maker.heaters([given]):
        by_vessel.setdefault(heater.partition(".")[0], []).append(heater)
    for vessel, heaters in by_vessel.items():
        data = {"vessel": vessel, "heaters": heaters}
        maker.add("prove_fill", data, equipment=(vessel,), **options)
        maker.add("prove_level", data, equipment=(vessel, *heaters), **options)


def heater_off(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """Switch every heater of a vessel off."""
    for heater in maker.heaters([given]):
        maker.add("switch_off", {"heater": heater}, equipment=(heater,), **options)


def heat(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Bring a vessel to a duty's set point: cover, limit, thermostat, hold, on, wait."""
    role, duty = str(given["vessel"]), str(given["duty"])
    set_point, limit, time = DUTIES[duty]
    vessel = maker.plant.profile.vessels[maker.vessel(role)]
    for heater in maker.heaters([role]):
        part = vessel.heaters[heater.partition(".")[2]]
        data = {
            "heater": heater,
            "vessel": role,
            "set_point": maker.words.value(set_point),
            "limit": maker.words.value(limit),
            "set_point_c": number(maker, set_point),
        }
        maker.add("cover", data, equipment=(heater, role), messages=("element_must_be_covered",), **options)
        if part.high_limit is not None:
            maker.add("high_limit", {**data, "label": part.high_limit.label}, equipment=(heater,))
        maker.add("thermostat", {**data, "label": part.thermostat.label}, equipment=(heater,))
        maker.add("hold_heat", data, equipment=(heater,), hold=True, messages=given.get("messages", ()))
        maker.add("unlock_heater", data, equipment=(heater,))
        maker.add("switch_on", data, equipment=(heater,))
    _wait_for_heat(maker, role, set_point, time)


def _wait_for_heat(maker: Maker, role: str, set_point: str, time: str) -> None:
    heaters = maker.heaters([role])
    thermometer = maker.plant.profile.vessels[maker.vessel(role)].thermometer
    if not heaters or thermometer is None:
        return
    data = {
        "thermometer": thermometer.label,
        "set_point": maker.words.value(set_point),
        "heated": maker.vessel(role),
        "set_point_c": number(maker, set_point),
    }
    timed = maker.words.has(time, role)
    if timed:
        data["time"] = maker.words.value(time, role)
    maker.add("heat_until" if timed else "heat_until_reached", data, equipment=(role, *heaters))


def cool(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Wait until a vessel has cooled to a figure."""
    role = str(given["vessel"])
    thermometer = maker.plant.profile.vessels[maker.vessel(role)].thermometer
    label = thermometer.label if thermometer else maker.plant.label(maker.vessel(role))
    to = maker.words.fill(str(given["to"]))
    data = {
        "thermometer": label,
        "set_point": maker.words.value(to),
        "cooled": maker.vessel(role),
        "set_point_c": number(maker, to),
    }
    maker.add("cool_until", data, equipment=(role,), **options)
