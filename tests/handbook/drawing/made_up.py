"""Rigs made up for the drawings: any number of vessels and valves, joined at random but always the same."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from generator.plant.plant import Plant
from generator.profile.model import Profile
from tests.rigs import edited

BOTTOMS = ("flat", "cone", "ellipsoidal", "dished_in", "cap_out", "torispherical")
LABELS = ("{n:02}", "V-{n:03}", "red handle {n}", "{n}", "T{n} to header {n}", "left of the door {n}")
KINDS = ("ball", "gate", "needle", "globe", "spring_return", "solenoid")


@dataclass
class Rig:
    """Sections of a profile being filled; ``valves`` counts the ones to be placed."""

    chance: random.Random
    valves: int
    sections: dict[str, dict[str, Any]] = field(
        default_factory=lambda: {
            name: {}
            for name in ("vessels", "pumps", "valves", "tees", "lines", "hoses", "inline", "supplies")
        }
    )

    def valve(self) -> list[str]:
        """A new valve's id, or none when all are placed."""
        there = self.sections["valves"]
        if len(there) >= self.valves:
            return []
        n = len(there) + 1
        label = self.chance.choice(LABELS).format(n=n)
        normal = self.chance.choice(("open", "closed"))
        there[f"v{n}"] = {"label": label, "kind": self.chance.choice(KINDS), "normal": normal}
        return [f"v{n}"]

    def line(self, start: str, end: str, valves: int = 1) -> None:
        """A line with so many valves, as far as there are any left."""
        lines = self.sections["lines"]
        found = [valve for _ in range(valves) for valve in self.valve()]
        lines[f"l{len(lines) + 1}"] = {"from": start, "to": end, "valves": found}


def made_up(vessels: int, valves: int, seed: int = 0) -> Plant:
    """A plant of so many vessels and about so many valves, never more."""
    rig = Rig(random.Random(f"{vessels} {valves} {seed}"), valves)  # noqa: S311 - the same rig in every run
    pumps = max(1, vessels // 4)
    for n in range(pumps):
        rig.sections["pumps"][f"p{n}"] = _pump(n, rig.chance.choice(("centrifugal", "gear", "diaphragm")))
        rig.sections["tees"] |= {f"s{n}": {}, f"d{n}": {}}
        rig.line(f"s{n}", f"p{n}.in", 0)
        rig.line(f"p{n}.out", f"d{n}", 0)
    for n in range(vessels):
        _vessel(rig, n, pumps)
    _extras(rig, vessels, pumps)
    for n in range(vessels):  # what is left of the valves goes to sample points
        if len(rig.sections["valves"]) < valves:
            rig.line(f"t{n}.sample", "open")
    return Plant(_profile(rig.sections))


def _profile(sections: dict[str, dict[str, Any]]) -> Profile:
    return edited("larkstead", {**sections, "safety.emergency_stop.cuts": ["p0"]})


def _pump(n: int, kind: str) -> dict[str, Any]:
    stopped = "passes" if kind == "centrifugal" else "blocks"
    plain = {"name": "Pump", "flow": "20 L/min", "rated_for_vapour": "yes", "elevation": "0.1 m"}
    return {**plain, "label": f"P{n + 1}", "kind": kind, "when_stopped": stopped}


def _vessel(rig: Rig, n: int, pumps: int) -> None:
    chance = rig.chance
    tall = chance.choice((0.4, 0.8, 1.1, 1.5))
    kind = chance.choice((*BOTTOMS, *BOTTOMS, "lying", "box"))
    if kind == "lying":
        shape: dict[str, Any] = {"kind": "horizontal_cylinder", "diameter": f"{tall} m", "length": "1.8 m"}
    elif kind == "box":
        sizes = {"length": "1.2 m", "width": "1 m", "height": f"{tall} m", "floor_slope": "0.05 m"}
        shape = {"kind": "box", **sizes}
    else:
        sizes = {"diameter": f"{chance.choice((0.35, 0.6, 0.9))} m", "height": f"{tall} m", "bottom": kind}
        shape = {"kind": "vertical_cylinder", **sizes}
        if kind not in ("torispherical", "flat"):
            shape["bottom_depth"] = "0.15 m"
    heater = {
        "label": f"H{n}",
        "rated_power": "2 kW",
        "rated_voltage": "230 V",
        "supply_voltage": "230 V",
        "top_of_hot_part": "0.25 m",
        "thermostat": {"label": f"TS{n}", "differential": "2 K"},
        "low_level_cutout": "yes",
        "terminals_rated_for_vapour": "yes",
    }
    dip = chance.random() < 0.3
    rig.sections["vessels"][f"t{n}"] = {
        "label": chance.choice((f"T{n}", f"TANK {n}", f"Settling tank {n}")),
        "name": f"Vessel {n}",
        "roles": ["fuel"],
        "shape": shape,
        "elevation": "0.5 m",
        "material": "steel",
        "closed": "yes",
        "vent": {"to": chance.choice(("outdoors", "room")), "flame_arrester": chance.choice(("yes", "no"))},
        "ports": {
            "drain": {"height": "0 m"},
            "low": {"height": "0.1 m"},
            "sample": {"height": f"{0.4 * tall} m"},
            "high": {"height": f"{0.9 * tall} m", "space": "gas"},
            "top": {"height": f"{tall} m", "dip_end": "0.05 m"}
            if dip
            else {"height": f"{tall} m", "space": "gas"},
        },
        "heaters": {"element": heater} if chance.random() < 0.4 else {},
    }
    rig.line(
        f"t{n}.{chance.choice(('drain', 'low'))}", f"s{chance.randrange(pumps)}", chance.choice((1, 1, 2))
    )
    rig.line(f"d{chance.randrange(pumps)}", f"t{n}.{chance.choice(('high', 'top'))}")


def _extras(rig: Rig, vessels: int, pumps: int) -> None:
    """A tower, a three-way valve, a hose and a water pipe, as the rig is large enough for them."""
    if vessels >= 4:
        tower = {"label": "W1", "name": "Tower", "kind": "adsorbent_tower"}
        rig.sections["inline"]["w"] = tower
        rig.line("d0", "w.in")
        rig.line("w.out", "t1.top" if _free(rig, "t1.top") else "t1.high", 0)
        hose = {"label": "long grey hose", "name": "Hose", "fixed": f"s{pumps - 1}", "free_end": "open"}
        rig.sections["hoses"]["h"] = {**hose, "ends": ["t2.sample", "t3.sample"], "valves": rig.valve()}
    if vessels >= 6:
        positions = {"LEFT": ["inlet", "left"], "RIGHT": ["inlet", "right"]}
        three = {"label": "A", "kind": "three_way", "positions": positions, "normal": "LEFT"}
        rig.sections["valves"]["three"] = three
        rig.valves += 1
        rig.line("t4.sample", "three.inlet")
        rig.line("three.left", "s0", 0)
        rig.line("three.right", f"s{pumps - 1}", 0)
        rig.line("s0", f"s{pumps - 1}")
        rig.sections["supplies"]["water"] = {
            "label": "W",
            "name": "Water",
            "carries": "water",
            "flow": "10 L/min",
        }
        rig.line("water", "t5.top" if _free(rig, "t5.top") else "t5.high")


def _free(rig: Rig, end: str) -> bool:
    return all(end not in (line["from"], line["to"]) for line in rig.sections["lines"].values())
