"""Elements, their electricity, and temperatures."""

from __future__ import annotations

from .rows import CAN, CONDENSER, DRYER, FINISHER, PUMP, REACTOR, SETTLER, TANK, Case, L, Q, W, swap

LIMIT = "        high_limit: {label: HL2, manual_reset: yes, independent: yes}\n"
DENSITY = "        rated_watt_density: 2.0 W/cm2\n"

POWER = (
    swap("S01", "stop", Q, REACTOR, "top_of_hot_part: 0.36 m", "top_of_hot_part: 0.62 m"),
    swap("S01-cutout", "stop", Q, REACTOR, "low_level_cutout: yes", "low_level_cutout: no"),
    swap("S04", "stop", Q, REACTOR, LIMIT, "", "element:"),
    swap("S04-independent", "stop", Q, REACTOR, "independent: yes", "independent: no"),
    swap("S04-reset", "stop", Q, REACTOR, "manual_reset: yes", "manual_reset: no"),
    swap(
        "S04-setting",
        "stop",
        Q,
        REACTOR,
        "independent: yes}",
        "independent: yes, set_point: 63 degC}",
        "high_limit:",
    ),
    swap("S53-water", "warn", Q, "\ncondensers:", "    water_trip: yes\n", "", "k1:"),
    swap("watt-density", "warn", Q, REACTOR, "2.0 W/cm2", "2.4 W/cm2"),
    swap("watt-density-unknown", "note", Q, REACTOR, DENSITY, "", "element:"),
    swap("element-volts", "stop", Q, DRYER, "supply_voltage: 230 V", "supply_voltage: 240 V"),
    swap("circuit-unknown", "note", Q, REACTOR, "        circuit: 16 A\n", "", "element:"),
    swap("circuit-rating", "warn", L, "\n  tank:\n", "circuit: 15 A", "circuit: 11 A"),
    swap("circuit-rating", "note", W, TANK, "circuit: 25 A", "circuit: 20 A"),
    swap("circuit-overload", "stop", L, "\n  tank:\n", "circuit: 15 A", "circuit: 9 A"),
    swap("mains-load", "note", L, "mains:", "circuit: 20 A", "circuit: 12 A"),
    swap("mains-overload", "stop", L, "mains:", "circuit: 20 A", "circuit: 9 A"),
    swap("S53", "stop", Q, "mains:", "residual_current_device: yes", "residual_current_device: no"),
    swap("S53-earth", "stop", Q, DRYER, "earthed: yes", "earthed: no"),
    swap("S01", "stop", W, TANK, "top_of_hot_part: 0.42 m", "top_of_hot_part: 0.80 m"),
    swap("S01", "stop", L, TANK, "top_of_hot_part: 9 in", "top_of_hot_part: 32 in"),
    swap("S01", "stop", Q, FINISHER, "top_of_hot_part: 0.28 m", "top_of_hot_part: 0.58 m"),
    swap("S01-cutout", "stop", W, TANK, "low_level_cutout: yes", "low_level_cutout: no"),
    swap("S01-cutout", "stop", L, TANK, "low_level_cutout: yes", "low_level_cutout: no"),
    swap("S04", "stop", W, TANK, LIMIT.replace("HL2", "HL"), "", "element:"),
    swap("S04", "stop", L, TANK, LIMIT.replace("HL2", "LIMIT"), "", "element:"),
    swap("S04-independent", "stop", W, TANK, "independent: yes", "independent: no"),
    swap("S04-reset", "stop", L, TANK, "manual_reset: yes", "manual_reset: no"),
    swap("S04-setting", "stop", W, TANK, "independent: yes}", "independent: yes, set_point: 72 degC}"),
    swap("S04-setting", "stop", L, TANK, "independent: yes}", "independent: yes, set_point: 150 degF}"),
    swap("S53-water", "warn", W, CONDENSER, "    water_trip: yes\n", "", "condenser:"),
    swap("condenser-water", "warn", Q, "\ncondensers:", "water_flow: 4 L/min", "water_flow: 1 L/min"),
    swap("condenser-water", "warn", W, CONDENSER, "water_flow: 5 L/min", "water_flow: 3 L/min"),
    swap("watt-density", "warn", W, TANK, "1.9 W/cm2", "2.6 W/cm2"),
    swap("watt-density", "warn", L, TANK, "55 W/in2", "65 W/in2"),
    # Half the volts give a quarter of the power, all of them four times as much.
    swap(
        "circuit-overload",
        "stop",
        L,
        TANK,
        "supply_voltage: 120 V",
        "supply_voltage: 240 V",
        "circuit:",
        also=("watt-density", "mains-load"),
    ),
    swap(
        "element-volts",
        "stop",
        W,
        TANK,
        "supply_voltage: 230 V",
        "supply_voltage: 400 V",
        also=("circuit-overload", "mains-overload", "watt-density", "condenser-water"),
    ),
    swap(
        "element-volts",
        "stop",
        L,
        TANK,
        "rated_voltage: 240 V",
        "rated_voltage: 110 V",
        "supply_voltage",
        also=("circuit-overload", "mains-overload", "watt-density"),
    ),
    swap("circuit-overload", "stop", W, TANK, "circuit: 25 A", "circuit: 16 A"),
    swap(
        "circuit-overload",
        "stop",
        W,
        TANK,
        "rated_power: 4.5 kW",
        "rated_power: 6 kW",
        "circuit:",
        also=("condenser-water",),
    ),
    swap("circuit-overload", "stop", Q, FINISHER, "rated_power: 4 kW", "rated_power: 7 kW", "circuit:"),
    swap("mains-overload", "stop", W, "mains:", "circuit: 32 A", "circuit: 16 A"),
    swap("S53", "stop", W, "mains:", "residual_current_device: yes", "residual_current_device: no"),
    swap("S53", "stop", L, "mains:", "residual_current_device: yes", "residual_current_device: no"),
    swap("S53-earth", "stop", W, TANK, "earthed: yes", "earthed: no"),
    swap("S53-earth", "stop", L, TANK, "earthed: yes", "earthed: no"),
)

TEMPERATURES = (
    Case(
        "settles-cold", "warn", Q,
        (("  ambient:", "lowest: 4 degC", "lowest: -10 degC"),), ("  settling:", "settling:"),
    ),
    swap("S03", "stop", Q, "  reaction:", "set_point: 54 degC", "set_point: 60 degC"),
    swap("S03-wash", "stop", L, "  washing:", "temperature: 110 degF", "temperature: 138 degF"),
    swap("S03-dry", "warn", L, "  washing:", "dry_set_point: 130 degF", "dry_set_point: 150 degF"),
    swap("S05", "note", L, "  drying:", "set_point: 135 degF", "set_point: 150 degF"),
    Case(
        "vessel-temperature", "stop", Q,
        ((REACTOR, "max_temperature: 90 degC", "max_temperature: 53 degC"),),
        ("  reaction:", "set_point"),
    ),
    swap("pump-temperature", "stop", Q, "\n  p1:\n", "max_temperature: 110 degC", "max_temperature: 80 degC"),
    Case(
        "S03-wall", "warn", Q,
        ((DRYER, "earthed: yes", "earthed: yes\n    shares_wall_with: settler"),),
        ("  drying:", "set_point"),
    ),
    Case(
        "S03-wall", "warn", Q,
        ((CAN, "earthed: yes", "earthed: yes\n    shares_wall_with: finisher"),),
        ("  stripping:", "set_point"),
    ),
    Case(
        "never-reached", "stop", Q,
        ((DRYER, "rated_power: 3 kW", "rated_power: 1 kW"),), ("  drying:", "set_point"),
    ),
    Case(
        "never-reached-cold", "warn", Q,
        ((DRYER, "rated_power: 3 kW", "rated_power: 1.8 kW"),), ("  drying:", "set_point"),
    ),
    swap("S03", "stop", W, "  reaction:", "set_point: 54 degC", "set_point: 61 degC"),
    swap("S03", "stop", L, "  reaction:", "set_point: 130 degF", "set_point: 142 degF"),
    # The same recipe on higher ground: methanol boils cooler there.
    swap("S03", "stop", Q, "\nsite:", "altitude: 180 m", "altitude: 2600 m", "\n  reaction: {set_point"),
    swap(
        "S03", "stop", W, "\nsite:", "altitude: 420 m", "altitude: 1900 m", "\n  reaction: {set_point",
        also=("S03-dry",),
    ),
    swap(
        "S03", "stop", L, "\nsite:", "altitude: 1450 ft", "altitude: 7000 ft", "\n  reaction: {set_point",
        also=("S03-dry", "S05"),
    ),
    swap("S03-wash", "stop", W, "  washing:", "temperature: 45 degC", "temperature: 60 degC"),
    swap("S03-dry", "warn", W, "  washing:", "dry_set_point: 56 degC", "dry_set_point: 66 degC"),
    Case(
        "vessel-temperature", "stop", W, ((TANK, "max_temperature: 120 degC", "max_temperature: 88 degC"),),
        ("\nrecipe:", "drying:"),
    ),
    Case(
        "vessel-temperature", "stop", L, ((TANK, "max_temperature: 180 degF", "max_temperature: 132 degF"),),
        ("\nrecipe:", "drying:"),
    ),
    swap("pump-temperature", "stop", W, PUMP, "max_temperature: 120 degC", "max_temperature: 80 degC"),
    swap("pump-temperature", "stop", L, PUMP, "max_temperature: 200 degF", "max_temperature: 120 degF"),
    swap("settles-cold", "warn", W, "  ambient:", "lowest: 5 degC", "lowest: -20 degC", "settling:"),
    swap("settles-cold", "warn", L, "  ambient:", "lowest: 40 degF", "lowest: -10 degF", "settling:"),
    Case("settles-cold", "warn", Q, ((SETTLER, "    insulated: yes\n", ""),), ("\nrecipe:", "settling:")),
    Case(
        "never-reached", "stop", Q, ((FINISHER, "rated_power: 4 kW", "rated_power: 1.2 kW"),),
        ("  stripping:", "set_point"),
    ),
    Case(
        "never-reached-cold", "warn", L, ((TANK, "rated_power: 4.5 kW", "rated_power: 1.2 kW"),),
        ("\nrecipe:", "drying:"),
    ),
    swap("differential-wide", "warn", W, TANK, "differential: 2 K", "differential: 9 K"),
    swap("differential-wide", "warn", L, TANK, "differential: 2 K", "differential: 9 K"),
)  # fmt: skip

HEAT = (*POWER, *TEMPERATURES)
