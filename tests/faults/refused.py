"""Faults with which a profile cannot be read: the severity is ``refused``, the rule is the problem's code."""

from __future__ import annotations

from .rows import DRYER, PUMP, REACTOR, TANK, Case, Edit, L, Q, W

GLYCERIN_HOSE, DRAIN_HOSE, DELIVERY_HOSE = "\n  glycerin_hose:", "\n  drain_hose:", "\n  delivery_hose:"
VENT = "    vent: {to: outdoors, bore: 1.5 in, height_above_ground: 13 ft, flame_arrester: yes}\n"
BEHIND_CONDENSER = "{to: condenser, condenser: condenser, bore: 50 mm}"


def refused(code: str, rig: str, edits: Edit | tuple[Edit, ...], at: tuple[str, str]) -> Case:
    """A profile that is refused at one line."""
    several = edits if isinstance(edits[0], tuple) else (edits,)
    return Case(code, "refused", rig, several, at)  # type: ignore[arg-type]


REFUSED = (
    # A valve is missing from its line, or from the list of valves.
    refused("valve_nowhere", W, ("\n  tank_low:", ", valves: [low_drain]", ""), ("\nvalves:", "low_drain:")),
    refused("valve_nowhere", Q, ("\n  dispense:", ", valves: [v15]", ""), ("\nvalves:", "v15:")),
    refused("valve_nowhere", L, ("\n  tank_out:", "valves: [v1], ", ""), ("\nvalves:", "v1:")),
    refused(
        "no_such_valve",
        Q,
        ("\nvalves:", '  v03: {label: "03", kind: ball}\n', ""),
        ("\nlines:", "reactor_out:"),
    ),
    refused(
        "no_such_valve",
        L,
        ("\nvalves:", '  v7: {label: "7", kind: ball, place: Lowest point of the tank}\n', ""),
        (DRAIN_HOSE, "valves: [v7]"),
    ),
    # Two parts under one label.
    refused("label_twice", Q, ("\nvalves:", 'v03: {label: "03"', 'v03: {label: "02"'), ("\nvalves:", "v03:")),
    refused("label_twice", W, ("\nvalves:", 'v2: {label: "2"', 'v2: {label: "1"'), ("\nvalves:", "v2:")),
    refused("label_twice", L, (PUMP, "label: P", "label: HP"), ("\n  hand_pump:\n", "label: HP")),
    # Hoses to ports that are not there, or taken.
    refused(
        "no_such_end", W, (DELIVERY_HOSE, "glycerin_drum.top", "glycerin_tote.top"), (DELIVERY_HOSE, "ends:")
    ),
    refused("no_such_end", L, (DRAIN_HOSE, "wash_drum.top", "wash_drum.side"), (DRAIN_HOSE, "ends:")),
    refused(
        "port_taken",
        L,
        (DRAIN_HOSE, "fixed: tank.bottom", "fixed: tank.sample"),
        ("\nlines:", "tank_sample:"),
    ),
    refused(
        "not_connected",
        Q,
        (GLYCERIN_HOSE, "fixed: layer_valve.to_drum", "fixed: fuel_discharge"),
        ("\n  layer_valve:", "positions:"),
    ),
    refused(
        "hose_normal",
        Q,
        (GLYCERIN_HOSE, "[glycerin_drum.top]", "[methanol_drum.bung]"),
        (GLYCERIN_HOSE, "normal:"),
    ),
    # What may not be left out.
    refused("missing_key", L, (TANK, VENT, ""), (TANK, "tank:")),
    refused("missing_key", W, (TANK, "        top_of_hot_part: 0.42 m\n", ""), (TANK, "element:")),
    refused("altitude_missing", Q, ("\nsite:", "  altitude: 180 m\n", ""), ("\nsite:", "site:")),
    refused(
        "missing_key",
        W,
        ("\nsafety:", "  eyewash_place: Tap post by the shed\n", ""),
        ("\nsafety:", "safety:"),
    ),
    refused("missing_key", L, ("  catalyst:", "    purity: 98 %\n", ""), ("\nrecipe:", "catalyst:")),
    refused("no_gauge", L, (TANK, "    gauge: {kind: sight_tube, resolution: 1 gal}\n", ""), (TANK, "tank:")),
    refused(
        "no_thermometer",
        Q,
        (DRYER, "    thermometer: {label: TI1, resolution: 1 K}\n", ""),
        (DRYER, "dryer:"),
    ),
    refused(
        "room_missing", W, ("\nsite:", "placement: open_shed", "placement: indoors"), ("\nsite:", "site:")
    ),
    refused("no_vacuum_pump", W, (TANK, BEHIND_CONDENSER, "{to: none}"), ("\n  stripping:", "vacuum:")),
    # What cannot be.
    refused("centrifugal_blocks", L, (PUMP, "when_stopped: passes", "when_stopped: blocks"), (PUMP, "pump:")),
    refused("role_twice", Q, (DRYER, "roles: [dry]", "roles: [dry, react]"), (REACTOR, "roles:")),
    refused("titrant_of_other_base", L, ("titrant:", "base: NaOH", "base: KOH"), ("\nrecipe:", "titrant:")),
    refused(
        "out_of_range",
        Q,
        ("  stripping:", "set_point: 100 degC", "set_point: 60 degC"),
        ("  stripping:", "set_point:"),
    ),
    refused(
        "out_of_range",
        W,
        ("  drying:", "set_point: 90 degC", "set_point: 118 degC"),
        ("\nrecipe:", "drying:"),
    ),
    refused(
        "not_one_of",
        W,
        (DELIVERY_HOSE, "fixed:", "material: string\n    fixed:"),
        (DELIVERY_HOSE, "material:"),
    ),
)
