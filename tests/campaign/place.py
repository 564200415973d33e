"""The place and the recipe of a random rig, written into its tree."""

from __future__ import annotations

from typing import Any

from tests.campaign.choices import Choices

Tree = dict[str, Any]


def litres(value_m3: float) -> str:
    """A volume as a profile states it."""
    return f"{value_m3 * 1e3:.4g} L"


def add_site(tree: Tree, c: Choices, cuts: list[str]) -> None:
    """The place, and its safety equipment; ``cuts`` is what the emergency stop cuts."""
    indoors = c.pick("placement", ("open_shed", "indoors", "outdoors"))
    tree["site"] = {
        "altitude": f"{c.real('altitude', 0.0, 3000.0):.0f} m",
        "placement": indoors,
        "ambient": _ambient(c),
        "mains": {"voltage": "230 V", "circuit": "63 A", "residual_current_device": "yes"},
        "address": "Nowhere",
        "contacts": {
            "emergency_number": "112",
            "poison_centre": "555 0101",
            "fire_authority": "555 0102",
            "keeper": "Keeper, 555 0103",
            "muster_point": "Gate",
        },
        "works_alone": c.pick("alone", ("no", "yes")),
        "jurisdiction": c.pick("jurisdiction", ("other", "us", "england")),
    }
    tree["safety"] = {
        "emergency_stop": {
            "place": "Door",
            "latching": "yes",
            "stays_off_after_power_returns": "yes",
            "cuts": cuts,
        },
        "isolator_place": "Outside wall",
        "eyewash_place": "Door",
        "spill_kit_place": "Door",
        "extinguishers": [{"place": "Door", "kind": "alcohol_resistant_foam"}],
    }
    if indoors == "indoors":
        area_m2 = c.real("floor", 15.0, 40.0)
        tree["site"]["room"] = {
            "floor_area": f"{area_m2:.0f} m2",
            "volume": f"{2.6 * area_m2:.0f} m3",
            "exhaust": "1200 m3/h",
        }
        tree["safety"]["fan"] = {
            "label": "FAN",
            "switch_place": "Outside wall",
            "flow": "1200 m3/h",
            "draws_low_and_high": "yes",
        }


def _ambient(c: Choices) -> Tree:
    lowest_c = c.pick("cold", (5, 12, -5, -20))
    return {"lowest": f"{lowest_c} degC", "usual": f"{max(15, lowest_c)} degC", "highest": "30 degC"}


def add_recipe(tree: Tree, c: Choices, oil_m3: float, share: float, finish: tuple[bool, str]) -> None:
    """Oil and recipe; ``finish`` says whether the fuel is washed with water, and how it is stripped."""
    water_wash, strip = finish
    base = c.pick("base", ("KOH", "NaOH"))
    usual_ml = c.real("titration", 0.3, 4.0)
    reaction_c = c.real("reaction", 42.0, 53.0)
    tree["feedstock"] = {
        "oil": "Used frying oil",
        "usual_titration": f"{usual_ml:.1f} mL",
        "highest_titration": f"{usual_ml + c.real('titration_more', 0.5, 2.5):.1f} mL",
        "usual_water": f"{c.real('water', 0.02, 0.4):.2f} %",
    }
    methanol: Tree = {"percent": f"{100 * share:.0f} %"}
    if c.pick("by_ratio", (False, True)):
        methanol = {"molar_ratio": f"{share * 26.5:.1f}"}
    recipe: Tree = {
        "batch": {"oil": litres(oil_m3)},
        "catalyst": {
            "base": base,
            "purity": f"{c.real('purity', 82.0, 99.0):.0f} %",
            "titrant": {
                "base": base,
                "made_from": c.pick("titrant", ("same_flake", "standardised")),
            },
        },
        "methanol": methanol,
        "drying": {"set_point": f"{c.pick('drying', (80, 60, 90))} degC", "time": "3 h"},
        "reaction": {"set_point": f"{reaction_c:.0f} degC", "time": "75 min"},
        "stages": c.pick("stages", ("1", "2")),
        "washing": {"method": "tower", "soap_in_ppm": "1200"},
    }
    if water_wash:
        recipe["washing"] = {
            "method": "water",
            "washes": c.pick("washes", ("4", "3", "2")),
            "share": "25 %",
            "temperature": "40 degC",
            "dry_set_point": "48 degC",
            "dry_time": "4 h",
        }
    if strip == "sweep":
        sweep = {"gas": "nitrogen", "flow": "10 L/min"}
        recipe["stripping"] = {"set_point": "95 degC", "target_share": "0.15 %", "sweep": sweep}
    if strip == "vacuum":
        vacuum = {"pressure": c.pick("vacuum", ("20 kPa", "25 kPa", "30 kPa"))}
        recipe["stripping"] = {"set_point": "85 degC", "target_share": "0.4 %", "vacuum": vacuum}
    tree["recipe"] = recipe
