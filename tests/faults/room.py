"""Room in the vessels, their shapes and labels, and what is done to the ester."""

from __future__ import annotations

from .rows import (
    CONDENSER,
    DRYER,
    FINISHER,
    FUEL,
    FUEL_DRUM,
    FUEL_TOTE,
    GLYCERIN,
    GLYCERIN_CAN,
    METHOXIDE_CAN,
    MIXING_CAN,
    REACTOR,
    RECOVERED,
    SETTLER,
    TANK,
    TOWER,
    WASH_DRUM,
    WATER_TOTE,
    Case,
    L,
    Q,
    W,
    swap,
)

DRAIN = "drain: {height: 0 m}"


def fills(rule: str, severity: str, rig: str, vessel: str, percent: int) -> Case:
    """A vessel that may be filled less."""
    anchor = f"\n  {vessel}:\n"
    more = f"closed: yes\n    max_fill: {percent} %"
    return Case(rule, severity, rig, ((anchor, "closed: yes", more),), (anchor, f"{vessel}:"))


VOLUMES = (
    swap("S26", "stop", Q, REACTOR, "max_fill: 85 %", "max_fill: 60 %", "reactor:"),
    swap("S26", "stop", L, "\n  tank:\n", "max_fill: 85 %", "max_fill: 60 %", "tank:"),
    fills("S26", "stop", Q, "settler", 50),
    fills("S26", "stop", Q, "finisher", 50),
    fills("S26", "stop", Q, "dryer", 60),
    swap("S26-limit", "warn", Q, REACTOR, "max_fill: 85 %", "max_fill: 91 %"),
    fills("volume-glycerin", "stop", Q, "glycerin_drum", 35),
    fills("volume-recovered", "stop", Q, "recovered_can", 20),
    fills("volume-methoxide", "stop", Q, "charge_can", 60),
    fills("volume-fuel", "stop", Q, "fuel_tank", 20),
    fills("volume-oil", "note", Q, "oil_drum", 50),
    fills("volume-wash", "stop", L, "wash_drum", 10),
    fills("volume-washes", "note", L, "wash_drum", 50),
    swap(
        "S37", "warn", Q, GLYCERIN, "    gauge: {kind: sight_tube, resolution: 1 L}\n", "", "glycerin_drum:"
    ),
    # A tank shrunk: what is in it stands higher, too, than the can that runs into it.
    swap(
        "S26", "stop", W, TANK, "diameter: 0.80 m", "diameter: 0.66 m", "tank:", also=("methoxide-backflow",)
    ),
    swap("S26", "stop", L, TANK, "diameter: 24 in", "diameter: 20 in", "tank:", also=("methoxide-backflow",)),
    swap("S26", "stop", Q, SETTLER, "diameter: 0.70 m", "diameter: 0.55 m", "settler:"),
    swap("S26", "stop", Q, DRYER, "diameter: 0.65 m", "diameter: 0.55 m", "dryer:"),
    swap("S26", "stop", Q, FINISHER, "diameter: 0.70 m", "diameter: 0.56 m", "finisher:"),
    swap(
        "port-above-top",
        "stop",
        L,
        TANK,
        "height: 48 in",
        "height: 30 in",
        "return:",
        also=("S26",),
        times=2,
    ),
    swap("S26-limit", "warn", W, TANK, "max_fill: 85 %", "max_fill: 93 %"),
    # The fill limit stands above a hole for gas: the whole height taken for a side, a hole further down.
    swap("S26-port", "stop", W, TANK, "height: 0.75 m", "height: 1.10 m", "top: {height"),
    swap("S26-port", "stop", L, TANK, "return: {height: 46 in", "return: {height: 40 in", "return: {height"),
    swap("S26-port", "stop", Q, GLYCERIN, "top: {height: 0.60 m", "top: {height: 0.50 m", "top: {height"),
    swap("S26-limit", "warn", L, METHOXIDE_CAN, "closed: yes", "closed: yes\n    max_fill: 98 %", "max_fill"),
    swap("volume-glycerin", "stop", L, GLYCERIN_CAN, "diameter: 16 in", "diameter: 10 in", "glycerin_can:"),
    swap("volume-glycerin", "stop", W, GLYCERIN, "diameter: 0.46 m", "diameter: 0.24 m", "glycerin_drum:"),
    swap("volume-recovered", "stop", W, RECOVERED, "diameter: 0.30 m", "diameter: 0.16 m", "recovered_can:"),
    swap(
        "volume-methoxide", "stop", L, METHOXIDE_CAN, "diameter: 15 in", "diameter: 10 in", "methoxide_can:"
    ),
    swap("volume-methoxide", "stop", W, MIXING_CAN, "diameter: 0.38 m", "diameter: 0.27 m", "mixing_can:"),
    swap("volume-fuel", "stop", W, FUEL_TOTE, "length: 1.10 m", "length: 0.20 m", "fuel_tote:"),
    swap("volume-fuel", "stop", L, FUEL_DRUM, "diameter: 22.5 in", "diameter: 18 in", "fuel_drum:"),
    swap("volume-wash", "stop", W, WATER_TOTE, "length: 1.10 m", "length: 0.05 m", "water_tote:"),
    Case(
        "S26",
        "stop",
        W,
        (("  batch:", "oil: 200 L", "oil: 300 L"),),
        (TANK, "tank:"),
        also=("volume-methoxide", "methoxide-backflow"),
    ),
    # Less oil than covers the element.
    Case(
        "S01",
        "stop",
        W,
        (("  batch:", "oil: 200 L", "oil: 90 L"),),
        (TANK, "top_of_hot"),
        also=("settles-cold",),
    ),
    Case(
        "S01",
        "stop",
        L,
        (("  batch:", "oil: 45 gal", "oil: 12 gal"),),
        (TANK, "top_of_hot"),
        also=("settles-cold",),
    ),
    swap(
        "S37", "warn", W, GLYCERIN, "    gauge: {kind: sight_tube, resolution: 1 L}\n", "", "glycerin_drum:"
    ),
    swap("S37", "warn", L, WASH_DRUM, "    gauge: {kind: sight_tube, resolution: 1 gal}\n", "", "wash_drum:"),
)

SHAPES = (
    Case(
        "no-drain",
        "warn",
        Q,
        (
            (FUEL, "drain: {height: 0.03 m}", "drain: {height: 0.12 m}"),
            (FUEL, ", dip_end: 0.05 m", ""),
        ),
        (FUEL, "ports:"),
    ),
    Case(
        "capacity",
        "warn",
        Q,
        ((REACTOR, "closed: yes", "closed: yes\n    capacity: 300 L"),),
        (REACTOR, "capacity: 300 L"),
    ),
    swap("port-above-top", "stop", Q, REACTOR, "again: {height: 1.02 m", "again: {height: 1.30 m"),
    swap("dip-pipe-up", "stop", Q, FUEL, "height: 0.70 m, dip_end", "height: 0.04 m, dip_end"),
    swap("heel-glycerin", "warn", Q, SETTLER, DRAIN, "drain: {height: 0.30 m}"),
    swap("heel-glycerin", "stop", Q, SETTLER, DRAIN, "drain: {height: 0.33 m}"),
    swap("heel-large", "note", Q, DRYER, "height: 0.05 m", "height: 0.25 m"),
    swap("label-twice", "stop", Q, "\nvalves:", "label: SR", "label: s1"),
    swap(
        "no-drain",
        "warn",
        L,
        METHOXIDE_CAN,
        "outlet: {height: 0 in}",
        "outlet: {height: 6 in}",
        "ports:",
        also=("heel-large",),
    ),
    swap(
        "no-drain",
        "warn",
        W,
        MIXING_CAN,
        "outlet: {height: 0 m}",
        "outlet: {height: 0.10 m}",
        "ports:",
        also=("heel-large",),
    ),
    swap("capacity", "warn", W, TANK, "closed: yes", "closed: yes\n    capacity: 520 L", "capacity"),
    swap("capacity", "warn", L, GLYCERIN_CAN, "closed: yes", "closed: yes\n    capacity: 30 gal", "capacity"),
    swap("port-above-top", "stop", W, TANK, "top: {height: 1.06 m", "top: {height: 1.40 m"),
    swap("port-above-top", "stop", L, TANK, "spray: {height: 47 in", "spray: {height: 60 in"),
    swap("dip-pipe-up", "stop", W, FUEL_TOTE, "dip_end: 0.05 m", "dip_end: 0.99 m"),
    # The outlet that drains glycerin moved up into the layer, and above the line between the layers.
    swap("heel-glycerin", "warn", L, TANK, "bottom: {height: 0 in}", "bottom: {height: 3.2 in}"),
    swap("heel-glycerin", "stop", L, TANK, "bottom: {height: 0 in}", "bottom: {height: 10 in}"),
    swap("heel-glycerin", "stop", W, TANK, "suction: {height: 0.06 m}", "suction: {height: 0.45 m}"),
    swap("label-twice", "stop", L, "\nvalves:", 'v2: {label: "2"', 'v2: {label: "P"'),
    Case(
        "label-twice",
        "stop",
        W,
        (("\nvalves:", 'v1: {label: "1"', 'v1: {label: "K"'),),
        (CONDENSER, "label: K"),
    ),
)

FINISH = (
    Case(
        "adsorbent-short",
        "warn",
        Q,
        (
            (TOWER, "kind: resin_tower", "kind: adsorbent_tower"),
            (TOWER, "capacity_eq_per_l: 1.8", "adsorbent: 4 kg\n    soap_uptake: 5 %"),
        ),
        (TOWER, "adsorbent: 4 kg"),
    ),
    swap("soap-to-tower", "warn", Q, "  washing:", "soap_in_ppm: 1400", "soap_in_ppm: 9000"),
    swap("washed-methanol", "warn", L, "  washing:", "washes: 4", "washes: 2", "method: water"),
    Case(
        "washed-methanol",
        "stop",
        L,
        (("  washing:", "washes: 4", "washes: 1"), ("  washing:", "share: 20 %", "share: 5 %")),
        ("  washing:", "method: water"),
    ),
    swap("methanol-scarce", "warn", Q, "  methanol: {", "percent: 22 %", "percent: 17 %", "methanol:"),
    swap("settling-short", "warn", Q, "  settling:", "time: 8 h", "time: 3 h"),
    swap("S03-thermostat", "warn", Q, REACTOR, "differential: 2 K", "differential: 6 K", "differential"),
    swap("S03-thermostat", "warn", L, TANK, "differential: 2 K", "differential: 4 K", "differential"),
    swap("differential-wide", "warn", Q, REACTOR, "differential: 2 K", "differential: 9 K", "differential"),
    Case(
        "own-value-idle",
        "note",
        Q,
        (("\nrecipe:", "recipe:", "own_values: {wash_rest: 2 h}\nrecipe:"),),
        ("\nown_values:", "wash_rest"),
    ),
    swap("settling-short", "warn", L, "  settling:", "time: 8 h", "time: 2 h"),
    swap("settling-short", "warn", W, "  settling:", "time: 8 h", "time: 3 h"),
    swap("methanol-scarce", "warn", L, "  methanol: {", "percent: 22 %", "percent: 15 %"),
    swap("methanol-scarce", "warn", W, "  methanol: {", "molar_ratio: 6", "molar_ratio: 4"),
)

ROOM = (*VOLUMES, *SHAPES, *FINISH)
