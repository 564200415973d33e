"""Random rigs: one to four tanks, pumped, washed or passed through a tower, low and high."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from typing import Any

from tests.campaign.choices import Choices
from tests.campaign.place import Tree, add_recipe, add_site

LABELS = (
    [str(number) for number in range(1, 17)],
    list("ABCDEFGHKLMNPRSV"),
    ["red handle", "blue wheel", "V-03", "left lever", "0X", "HV 101", "big one", "tap", *"ZYXWUTQJ"],
)
#: What the tanks of a rig do, from the first to the last.
LAYOUTS = (
    (("dry", "react", "settle", "finish"),),
    (("dry",), ("react", "settle", "finish")),
    (("dry",), ("react",), ("settle", "finish")),
    (("dry",), ("react",), ("settle",), ("finish",)),
    (("dry", "react"), ("settle", "finish")),
)


def metres(value_m: float) -> str:
    return f"{value_m * 1e3:.0f} mm"


class Rig:
    """Builds one profile; ``tree`` is what is written to the file."""

    def __init__(self, choices: Choices) -> None:
        self.c = choices
        self.oil_m3 = choices.real("oil", 60.0, 500.0) * 1e-3
        self.share = choices.real("methanol", 0.18, 0.26)
        self.water_wash = choices.pick("wash", ("water", "tower")) == "water"
        self.strip = choices.pick("strip", ("none", "sweep", "vacuum"))
        finishes = self.water_wash or self.strip != "none"
        self.layout = choices.pick("layout", [way for way in LAYOUTS if finishes or way[-1] != ("finish",)])
        self.labels = iter(choices.pick("labels", LABELS))
        self.tree: Tree = {
            "fillmark": "1",
            "name": "Random rig",
            "about": "Made up.",
            "paper": {"manual": "A4", "cards": "A4"},
            "units": choices.pick("units", ("metric", "us", "both")),
            "vessels": {},
            "pumps": {},
            "valves": {},
            "tees": {},
            "lines": {},
            "hoses": {},
        }
        self.heaters: list[str] = []
        self.surface_m = 0.0
        self._tanks()
        self._stores()
        self._piping()
        self._glycerin()
        self._finish()
        cuts = [*self.heaters, "p"] + (["k.vacuum"] if self.strip == "vacuum" else [])
        add_site(self.tree, choices, cuts)
        add_recipe(self.tree, choices, self.oil_m3, self.share, (self.water_wash, self.strip))

    # Vessels

    def _tanks(self) -> None:
        for number, duties in enumerate(self.layout):
            self._tank(f"t{number + 1}", duties, last=number == len(self.layout) - 1)

    def _tank(self, id_: str, duties: tuple[str, ...], *, last: bool) -> None:
        roles = [duty for duty in duties if duty != "finish"]
        if last:
            roles += ["strip"] if self.strip != "none" else []
            roles += ["wash"] if self.water_wash else []
        needs_m3 = self.oil_m3 * (1.30 if duties != ("dry",) else 1.08)
        volume_m3 = needs_m3 / 0.85 * self.c.real(f"{id_}.size", 0.98, 1.9)
        radius_m = (volume_m3 / (math.pi * self.c.real(f"{id_}.slim", 1.2, 3.4))) ** (1 / 3)
        bottom = self.c.pick(f"{id_}.bottom", ("cone", "ellipsoidal", "flat", "dished_in"))
        shape: Tree = {"kind": "vertical_cylinder", "diameter": metres(2 * radius_m), "bottom": bottom}
        depth_m = {"cone": 0.9 * radius_m, "ellipsoidal": 0.5 * radius_m, "flat": 0.0}.get(
            bottom, 0.12 * radius_m
        )
        below_m3 = {
            "cone": math.pi * radius_m**2 * depth_m / 3,
            "ellipsoidal": 2 / 3 * math.pi * radius_m**2 * depth_m,
        }.get(bottom, 0.0)
        straight_m = (volume_m3 - below_m3) / (math.pi * radius_m**2)
        shape["height"] = metres(straight_m)
        if bottom in ("cone", "dished_in"):
            shape["bottom_depth"] = metres(depth_m)
        below_m = depth_m if bottom in ("cone", "ellipsoidal") else 0.0
        inside_m = straight_m + below_m
        elevation_m = self.c.real(f"{id_}.elevation", 0.3, 1.1)
        if "react" in roles:
            charge_m3 = self.oil_m3 * (1.0 + self.share) * 1.06
            self.surface_m = elevation_m + below_m + (charge_m3 - below_m3) / (math.pi * radius_m**2)
        heated = bool({"dry", "react", "strip", "wash"} & set(roles))
        heated = heated and not (roles == ["react"] and self.c.pick("bare_reactor", (False, True)))
        vessel: Tree = {
            "label": id_.upper(),
            "name": f"Tank {id_[1:]}",
            "roles": roles,
            "shape": shape,
            "elevation": metres(elevation_m),
            "material": self.c.pick(f"{id_}.material", ("stainless", "steel")),
            "insulated": self.c.pick(f"{id_}.insulated", ("yes", "yes", "no")),
            "closed": "yes",
            "max_temperature": "130 degC",
            "max_fill": self.c.pick(f"{id_}.max_fill", ("90 %", "85 %")),
            "vent": {
                "to": "outdoors",
                "bore": "50 mm",
                "height_above_ground": "4 m",
                "flame_arrester": "yes",
            },
            "ports": {
                "out": {"height": self.c.pick(f"{id_}.outlet", ("0 mm", "25 mm", "60 mm"))},
                "top": {"height": metres(inside_m - 0.03), "space": "gas"},
                "again": {"height": metres(inside_m - 0.05), "space": "gas"},
                "spray": {"height": metres(inside_m - 0.02), "space": "gas"},
                "sample": {"height": metres(0.45 * inside_m)},
            },
            "gauge": {"kind": "sight_tube", "resolution": self.c.pick("gauge", ("5 L", "2 L", "1 US gal"))},
            "thermometer": {"label": f"TI-{id_}", "resolution": "1 K"},
            "earthed": "yes",
        }
        if "strip" in roles:
            vessel["vent"] = {"to": "condenser", "condenser": "k", "bore": "50 mm"}
            vessel["rated_for_vacuum"] = "yes"
        if heated:
            vessel["heaters"] = {
                "element": self._heater(id_, below_m, insulated=vessel["insulated"] == "yes")
            }
            self.heaters.append(f"{id_}.element")
        self.tree["vessels"][id_] = vessel

    def _heater(self, id_: str, below_m: float, *, insulated: bool) -> Tree:
        power_w = self.c.real(f"{id_}.power", 3000.0, 6500.0)
        half = insulated and self.c.pick(f"{id_}.half_volts", (False, False, True))
        top_m = below_m + self.c.real(f"{id_}.hot_part", 0.02, 0.10)
        return {
            "label": f"H-{id_}",
            "rated_power": f"{power_w:.0f} W",
            "rated_voltage": "230 V",
            "supply_voltage": "115 V" if half else "230 V",
            "top_of_hot_part": metres(top_m),
            "rated_watt_density": "2 W/cm2",
            "thermostat": {"label": f"TS-{id_}", "differential": "2 K"},
            "high_limit": {"label": f"HL-{id_}", "manual_reset": "yes", "independent": "yes"},
            "low_level_cutout": "yes",
            "terminals_rated_for_vapour": "yes",
            "circuit": f"{math.ceil(power_w / 230 / 0.75 / (2 if half else 1)) + 1} A",
        }

    def _drum(self, label: str, role: str, volume_m3: float, ports: Tree, **more: Any) -> Tree:
        radius_m = (volume_m3 / (math.pi * 3.0)) ** (1 / 3)
        height_m = 3.0 * radius_m
        for port in ports.values():
            port.setdefault("height", metres(height_m))
        return {
            "label": label,
            "name": f"Drum {label}",
            "roles": [role],
            "shape": {
                "kind": "vertical_cylinder",
                "diameter": metres(2 * radius_m),
                "height": metres(height_m),
                "bottom": "flat",
            },
            "elevation": "0 m",
            "material": "steel",
            "closed": "yes",
            "movable": "yes",
            "vent": {
                "to": "outdoors",
                "bore": "25 mm",
                "height_above_ground": "4 m",
                "flame_arrester": "yes",
            },
            "ports": ports,
            "gauge": {"kind": "sight_tube", "resolution": "0.5 L"},
            "earthed": "yes",
            **more,
        }

    def _stores(self) -> None:
        vessels, oil = self.tree["vessels"], self.oil_m3
        vessels["oil"] = self._drum("OIL", "oil_supply", oil * 1.3, {"dip": {"dip_end": "30 mm"}})
        meth_m3 = oil * self.share * self.c.real("can_size", 1.25, 2.2)
        vessels["can"] = self._drum(
            "CAN",
            "methoxide",
            meth_m3,
            {"outlet": {"height": "0 m"}, "fill": {"dip_end": "50 mm"}},
            elevation=metres(max(0.2, self.surface_m + self.c.real("can_above", 0.02, 0.5))),
            max_temperature="60 degC",
            movable="no",
            thermometer={"label": "TC", "resolution": "1 K"},
            agitator={
                "label": "MIX",
                "kind": self.c.pick("agitator", ("hand", "air")),
                "rated_for_vapour": "yes",
            },
        )
        vessels["meoh"] = self._drum(
            "MEOH",
            "methanol",
            max(0.2, 2.2 * meth_m3),
            {"dip": {"dip_end": "30 mm"}, "bung": {"dip_end": "50 mm"}},
        )
        vessels["gly"] = self._drum(
            "GLY",
            "glycerin",
            oil * self.c.real("glycerin_size", 0.24, 0.6),
            {"top": {"dip_end": "50 mm"}},
        )
        vessels["fuel"] = self._drum(
            "FUEL", "fuel", oil * self.c.real("fuel_size", 1.15, 2.0), {"top": {"dip_end": "50 mm"}}
        )
        if self.strip != "none":
            closed = {"to": "condenser", "condenser": "k", "bore": "25 mm"}
            vessels["rm"] = self._drum(
                "RM", "recovered_methanol", oil * 0.12, {"top": {"space": "gas"}}, rated_for_vacuum="yes"
            )
            if self.strip == "vacuum":
                vessels["rm"]["vent"] = closed
        if self.water_wash:
            vessels["ww"] = self._drum("WW", "waste_water", oil * 0.8, {"top": {"space": "gas"}})

    # Piping

    def _valve(self, id_: str, **more: Any) -> str:
        kind = self.c.pick(f"{id_}.kind", ("ball", "gate"))
        self.tree["valves"][id_] = {"label": next(self.labels), "kind": kind, **more}
        return id_

    def _line(self, id_: str, start: str, end: str, *valves: str, **more: Any) -> None:
        self.tree["lines"][id_] = {"from": start, "to": end, "valves": list(valves), "holds": "0.4 L", **more}

    def _piping(self) -> None:
        kind = self.c.pick("pump", ("centrifugal", "gear", "diaphragm"))
        flow = self.c.real("flow", 15.0, 60.0)
        pump: Tree = {
            "label": "PUMP",
            "name": "Pump",
            "kind": kind,
            "when_stopped": "passes" if kind == "centrifugal" else "blocks",
            "flow": f"{flow:.0f} L/min",
            "power": "400 W",
            "rated_for_vapour": "yes",
            "self_priming": "yes",
            "has_relief": "no" if kind == "centrifugal" else "yes",
            "elevation": "100 mm",
            "shut_off_pressure": "150 kPa",
            "max_temperature": "130 degC",
        }
        self.tree["pumps"]["p"] = pump
        self.tree["pumps"]["hp"] = {
            "label": "HP",
            "name": "Hand pump",
            "kind": "hand",
            "when_stopped": "blocks",
            "flow": "10 L/min",
            "rated_for_vapour": "yes",
            "self_priming": "yes",
            "elevation": "1 m",
        }
        self.tree["tees"] = {
            "suction": {"name": "Suction", "elevation": "150 mm"},
            "discharge": {"name": "Discharge", "elevation": "250 mm"},
        }
        self._line("p_in", "suction", "p.in")
        self._line("p_out", "p.out", "discharge")
        for number in range(len(self.layout)):
            id_ = f"t{number + 1}"
            self._line(f"{id_}_out", f"{id_}.out", "suction", self._valve(f"{id_}_o"))
            normal = {"normal": "open"} if number == 0 else {}
            self._line(f"{id_}_in", "discharge", f"{id_}.top", self._valve(f"{id_}_i", **normal))
            self.tree["valves"][f"{id_}_s"] = {"label": f"S{number + 1}", "kind": "spring_return"}
            self._line(f"{id_}_sample", f"{id_}.sample", "open", f"{id_}_s")
        self.tree["valves"]["throttle"] = {"label": "NV", "kind": "needle", "normal": "open"}
        self._line("can_out", "can.outlet", "suction", "throttle", self._valve("can_o"))
        tanks = [f"t{number + 1}" for number in range(len(self.layout))]
        # Two tanks on one suction header could also drain into each other by their own fall.
        self.tree["routes"] = [{"from": a, "to": b, "via": ["p_in"]} for a, b in pairwise(tanks)]
        # A batch that failed goes back the same way.
        self.tree["routes"] += [{"from": b, "to": a, "via": ["p_in"]} for a, b in pairwise(tanks[1:])]
        self._line("meoh_up", "meoh.dip", "hp.in")
        self.tree["hoses"] = {
            "oil_hose": self._hose("oil hose", "suction", ["oil.dip"], self._valve("oil_v")),
            "meoh_hose": {
                "label": "steel hose",
                "name": "Methanol hose",
                "fixed": "hp.out",
                "ends": ["can.fill", "meoh.bung"],
                "free_end": "self_sealing",
                "normal": "meoh.bung",
            },
        }

    def _hose(self, label: str, fixed: str, ends: list[str], *valves: str) -> Tree:
        return {
            "label": label,
            "name": label.capitalize(),
            "fixed": fixed,
            "ends": ends,
            "valves": list(valves),
            "free_end": self.c.pick(f"{label}.end", ("open", "self_sealing")),
        }

    def _glycerin(self) -> None:
        """By the pump through the delivery hose; the tank's own drain would need a fall."""
        ends = ["gly.top"]
        ends += ["ww.top"] if self.water_wash else []
        ends += ["fuel.top"] if self.water_wash else []
        self.tree["hoses"]["delivery"] = self._hose(
            "delivery hose", "discharge", ends, self._valve("delivery_v")
        )

    def _finish(self) -> None:
        last = f"t{len(self.layout)}"
        if self.water_wash:
            self.tree["supplies"] = {
                "water": {"label": "W", "name": "Water pipe", "carries": "water", "flow": "10 L/min"}
            }
            self.tree["valves"]["water_v"] = {"label": "WV", "kind": "globe"}
            self._line("water_in", "water", f"{last}.spray", "water_v")
        else:
            bed_l = self.c.real("bed", 15.0, 60.0)
            flow_l = 3.0 * bed_l * self.c.pick("restrictor", (0.9, 0.8, 0.7, 0.6, 0.5, 0.95, 0.85, 1.2))
            self.tree["inline"] = {
                "tower": {
                    "label": "TW",
                    "name": "Resin tower",
                    "kind": "resin_tower",
                    "bed_volume": f"{bed_l:.0f} L",
                    "capacity_eq_per_l": "1.8",
                    "max_temperature": "60 degC",
                    "rated_pressure": "200 kPa",
                    "elevation": "500 mm",
                }
            }
            restrictor = {"restrictor": {"flow": f"{flow_l:.0f} L/h"}}
            self._line("to_tower", "discharge", "tower.in", self._valve("tower_i"), **restrictor)
            self._line("from_tower", "tower.out", "fuel.top", self._valve("tower_o", normal="open"))
        if self.strip != "none":
            condenser: Tree = {
                "label": "COND",
                "name": "Condenser",
                "drains_to": "rm",
                "water_flow": "5 L/min",
                "water_valve": "CW",
            }
            if self.strip == "vacuum":
                condenser["vacuum"] = {
                    "label": "VP",
                    "name": "Vacuum pump",
                    "power": "500 W",
                    "rated_for_vapour": "yes",
                    "lowest_pressure": "8 kPa",
                    "gauge_label": "PI",
                    "air_valve": "AIR",
                }
            self.tree["condensers"] = {"k": condenser}


def profile_text(choices: Choices) -> str:
    """The text of a rig made from these choices; JSON, which YAML readers read, is written faster."""
    return json.dumps(Rig(choices).tree, indent=1)
