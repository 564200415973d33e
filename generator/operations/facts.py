"""Facts about a plant that decide which procedures, steps, sheets and messages it gets.

The names of content/hazards/facts.yaml, and a few more about which vessel does what.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from generator.chemistry.boiling import methanol_boiling_c, site_pressure_pa
from generator.chemistry.limits import temperature_ceiling_c
from generator.plant.plant import Plant

#: Reaction temperature of customary recipes, °C (common practice, no source).
CUSTOMARY_REACTION_C = 55.0

Facts = Mapping[str, Any]

#: A lid above this height is reached from steps (common practice, no source).
SHOULDER_M = 1.4


def facts(plant: Plant) -> dict[str, Any]:
    """Every fact by name; values are booleans or short words."""
    return {**_substances(plant), **_equipment(plant), **_vessels(plant)}


def _substances(plant: Plant) -> dict[str, Any]:
    recipe = plant.profile.recipe
    return {
        "always": True,
        "holds_methanol": plant.with_role("methanol") is not None,
        "makes_methoxide": plant.with_role("methoxide") is not None,
        "catalyst": recipe.catalyst.base.lower(),
        "titrant": recipe.catalyst.titrant.base.lower(),
        "same_flake": recipe.catalyst.titrant.made_from == "same_flake",
        "titrates": True,
        "carbide_tester": plant.profile.feedstock.water_tester is not None,
        "finish": "water_wash" if recipe.washing.method == "water" else "dry_wash",
        "nitrogen": bool(recipe.stripping and recipe.stripping.sweep),
        "vacuum": bool(recipe.stripping and recipe.stripping.vacuum),
        "stages": recipe.stages,
        "acid_step": recipe.acid_step is not None,
        "low_ceiling": _lies_high(plant),
        "strips": recipe.stripping is not None,
    }


def _lies_high(plant: Plant) -> bool:
    """Whether the ceiling lies below the customary reaction temperature, or cuts the recipe's set point."""
    site, reaction = plant.profile.site, plant.profile.recipe.reaction
    pressure = site.barometer_pa or site_pressure_pa(site.altitude_m or 0.0)
    ceiling = temperature_ceiling_c(methanol_boiling_c(pressure), reaction.margin_k)
    return ceiling < max(CUSTOMARY_REACTION_C, reaction.set_point_c)


def _equipment(plant: Plant) -> dict[str, Any]:
    profile = plant.profile
    can = plant.with_role("methoxide")
    agitator = can.vessel.agitator if can else None
    adsorbents = [part for part in profile.inline.values() if part.kind == "adsorbent_tower"]
    return {
        "heats": any(vessel.heaters for vessel in profile.vessels.values()),
        "resin_tower": any(part.kind == "resin_tower" for part in profile.inline.values()),
        "filters": any(part.kind in ("filter", "strainer") for part in profile.inline.values()),
        "adsorbent_tower": bool(adsorbents),
        "adsorbent_limit": any(part.max_temperature_c is not None for part in adsorbents),
        "gas_alarm": profile.safety.gas_alarm is not None,
        "fan": profile.safety.fan is not None,
        "shower": profile.safety.shower_place is not None,
        "contained": profile.safety.containment is not None,
        "indoors": profile.site.placement == "indoors",
        "works_alone": profile.site.works_alone,
        "three_way": any(valve.kind == "three_way" for valve in profile.valves.values()),
        "can_stirrer": agitator.kind if agitator else "none",
        "can_high": bool(can and can.vessel.elevation_m + can.shape.inside_height_m > SHOULDER_M),
        "can_thermometer": bool(can and can.vessel.thermometer),
    }


def _vessels(plant: Plant) -> dict[str, Any]:
    def same(one: str, other: str) -> bool:
        first, second = plant.with_role(one), plant.with_role(other)
        return first is not None and second is not None and first.id == second.id

    react, settle, wash = (plant.with_role(role) for role in ("react", "settle", "wash"))
    finish = "strip" if plant.profile.recipe.stripping else "wash"
    ester = "strip" if plant.profile.recipe.stripping else "settle"
    return {
        "overnight": plant.profile.recipe.settling.time_s >= 6 * 3600,
        "dry_spout": _drains_into_the_open(plant),
        "waste_water": plant.with_role("waste_water") is not None,
        "separate_dryer": not same("dry", "react"),
        "separate_settler": not same("react", "settle"),
        "separate_finisher": plant.with_role(finish) is not None and not same("settle", finish),
        "separate_washer": plant.with_role("wash") is not None and not same(ester, "wash"),
        "react_heats": bool(react and react.vessel.heaters),
        "wash_heats": bool(wash and wash.vessel.heaters),
        "settle_heats": bool(settle and settle.vessel.heaters),
        "sees_layers": _gauge(plant, "settle") == "sight_tube",
        "sees_wash": _gauge(plant, "wash") == "sight_tube",
        "settle_thermometer": _has_thermometer(plant, "settle"),
    }


def _gauge(plant: Plant, role: str) -> str:
    """How the contents of the vessel with a role are read; ``none`` where they are not."""
    tank = plant.with_role(role)
    return tank.vessel.gauge.kind if tank and tank.vessel.gauge else "none"


def _has_thermometer(plant: Plant, role: str) -> bool:
    tank = plant.with_role(role)
    return tank is not None and tank.vessel.thermometer is not None


def _drains_into_the_open(plant: Plant) -> bool:
    """True where free water can be let out of the drying vessel's lowest point into a bucket."""
    dryer = plant.the("dry")
    lowest = min((port.mouth_m for port in dryer.vessel.ports.values()), default=0.0)
    return any(
        line.from_.partition(".")[0] == dryer.id
        and line.to == "open"
        and dryer.vessel.ports[line.from_.partition(".")[2]].mouth_m <= lowest
        for line in plant.profile.lines.values()
    )


def holds(when: Iterable[Mapping[str, Any]] | None, known: Facts) -> bool:
    """True where ANY entry holds; an entry holds if ALL its facts do. No ``when`` at all holds.

    Raises KeyError for a fact that nobody knows, so that a misspelt one cannot hide a warning.
    """
    if not when:
        return True
    return any(all(known[name] == wanted for name, wanted in entry.items()) for entry in when)
