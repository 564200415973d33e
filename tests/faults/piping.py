"""Pumps, lines, hoses and the line-ups that they make."""

from __future__ import annotations

from .rows import (
    CAN,
    GLYCERIN,
    GLYCERIN_CAN,
    HAND_PUMP,
    MEOH,
    METHOXIDE_CAN,
    MIXING_CAN,
    PUMP,
    RECOVERED,
    SETTLER,
    TANK,
    WASH_DRUM,
    Case,
    Edit,
    L,
    Q,
    W,
    swap,
)

#: Valves in the profiles, as they stand there.
VALVES = {
    (L, "v3"): '  v3: {label: "3", kind: ball, place: Under the can}\n',
    (Q, "v08"): '  v08: {label: "08", kind: ball}\n',
    (W, "v1"): '  v1: {label: "1", kind: ball, place: Under the tank}\n',
}
OPENED = "\n  %s:"
BALL_OPEN = ("kind: ball,", "kind: ball, normal: open,")


def line_out(rig: str, valve: str) -> Edit:
    """The edit that takes a valve's own line out."""
    return ("\nvalves:", VALVES[rig, valve], "")


def without_valve(
    rule: str,
    severity: str,
    rig: str,
    valve: str,
    line: str,
    fitted: str,
    at: str | None = None,
    also: tuple[str, ...] = (),
) -> Case:
    """A valve that is taken out of its line; the finding stands at that line, or at line ``at``."""
    edits = ((f"\n  {line}:", fitted, ""), line_out(rig, valve))
    return Case(rule, severity, rig, edits, ("\nlines:", f"  {at or line}:"), also)


HOSES = (
    swap("hose-off-runs", "stop", W, "\n  oil_hose:", "    normal: oil_tote.tap\n", "", "ends:"),
    swap("hose-off-runs", "stop", Q, "\n  oil_drum:\n", "height: 0.85 m, dip_end:", "height:", "ends: ["),
)

RELIEF = (
    swap("S51", "warn", Q, "\n  v05:", ", normal: open", "", "\n  dryer_out:"),
    swap("S51", "warn", Q, "\n  v13:", ", normal: open", "", "\n  to_tower:"),
    swap("S51", "warn", L, "\n  v5:", ", normal: open", "", "\n  tank_out:"),
    swap("S51", "warn", Q, "\n  can_throttle:", "normal: open, ", "", "\n  methoxide_in:"),
    swap("S51", "warn", W, "\n  v5:", ", normal: open", "", "\n  pump_out:"),
    swap("S51", "warn", W, "\n  v4:", ", normal: open", "", "\n  methoxide_in:"),
    swap("S51", "warn", L, "\n  v4:", ", normal: open", "", "\n  methoxide_in:"),
    Case("S51", "warn", W, (("\n  pump_in:", ", has_relief: yes", ""),), ("\nlines:", "  tank_out:")),
)

PUMPS = (
    swap("S39", "stop", Q, "\n  p2:\n", "kind: centrifugal", "kind: gear", "p2:"),
    swap("suction-head", "warn", Q, "\n  p1:\n", "elevation: 0.15 m", "elevation: 3.6 m"),
    swap("priming", "warn", Q, "\n  p2:\n", "elevation: 0.15 m", "elevation: 0.80 m", "p2:"),
    swap("S50", "stop", Q, "\n  tower:\n", "rated_pressure: 200 kPa", "rated_pressure: 110 kPa"),
    swap("S50-unknown", "warn", Q, "\n  tower:\n", "    rated_pressure: 200 kPa\n", "", "tower:"),
    swap("S50-unknown", "warn", Q, "\n  p2:\n", "    shut_off_pressure: 120 kPa\n", "", "p2:"),
    swap("tower-flow", "stop", Q, "\n  to_tower:", "flow: 75 L/h", "flow: 80 L/h"),
    swap("tower-unrestricted", "stop", Q, "\n  to_tower:", ", restrictor: {flow: 75 L/h}", "", "\n  tower:"),
    swap("S39", "stop", W, PUMP, "    has_relief: yes\n", "", "pump:"),
    swap("suction-head", "warn", W, PUMP, "elevation: 0.15 m", "elevation: 4.5 m"),
    swap("suction-head", "warn", L, PUMP, "elevation: 10 in", "elevation: 150 in"),
    swap("priming", "warn", L, PUMP, "    self_priming: yes\n", "", "pump:"),
    swap("priming", "warn", W, HAND_PUMP, "    self_priming: yes\n", "", "hand_pump:"),
    swap("turnovers-few", "warn", Q, "\n  p1:\n", "flow: 40 L/min", "flow: 8 L/min"),
    swap("turnovers-few", "warn", W, PUMP, "flow: 35 L/min", "flow: 8 L/min"),
    swap("turnovers-few", "warn", L, PUMP, "flow: 6 gpm", "flow: 1.2 gpm"),
    Case(
        "turnovers-few",
        "warn",
        L,
        (("  reaction:", "time: 90 min", "time: 20 min"),),
        (PUMP, "flow: 6 gpm"),
    ),
    Case(
        "S50",
        "stop",
        Q,
        (("\n  p2:\n", "shut_off_pressure: 120 kPa", "shut_off_pressure: 350 kPa"),),
        ("\n  tower:\n", "rated_pressure"),
    ),
    Case(
        "tower-flow",
        "stop",
        Q,
        (("\n  tower:\n", "bed_volume: 25 L", "bed_volume: 10 L"),),
        ("\nlines:", "  to_tower:"),
    ),
)

LINE_UPS = (
    Case(
        "route-unused",
        "note",
        Q,
        (
            (
                "\ncondensers:",
                "condensers:",
                "routes:\n  - {from: dryer, to: fuel_tank, via: [to_dryer]}\n\ncondensers:",
            ),
        ),
        ("\nroutes:", "- {from: dryer"),
    ),
    swap("methoxide-backflow", "stop", Q, CAN, "elevation: 1.50 m", "elevation: 1.30 m"),
    swap("methoxide-backflow", "stop", Q, CAN, "elevation: 1.50 m", "elevation: 0 m"),
    Case(
        "line-up-refused",
        "stop",
        L,
        (("\n  methanol_hose:", "[methoxide_can.fill, ", "[wash_drum.top, "),),
        ("\nvessels:", "methanol_drum:"),
    ),
    Case(
        "valve-unused",
        "note",
        Q,
        (
            (RECOVERED, "    ports:\n", "    ports:\n      tap: {height: 0 m}\n"),
            ("\nvalves:", "valves:\n", 'valves:\n  v16: {label: "16", kind: spring_return}\n'),
            ("\nlines:", "lines:\n", "lines:\n  tap: {from: recovered_can.tap, to: open, valves: [v16]}\n"),
        ),
        ("\nvalves:", "v16:"),
    ),
    Case(
        "normal-positions",
        "stop",
        Q,
        (
            ("\n  v02:", "kind: ball}", "kind: ball, normal: open}"),
            ("\n  v03:", "kind: ball}", "kind: ball, normal: open}"),
        ),
        ("\nlines:", "dryer_out:"),
    ),
    # Gravity asked to run uphill.
    Case(
        "line-up-refused",
        "stop",
        Q,
        ((GLYCERIN, "elevation: 0 m", "elevation: 1.20 m"),),
        (SETTLER, "settler:"),
    ),
    Case(
        "line-up-refused",
        "stop",
        L,
        ((GLYCERIN_CAN, "elevation: 0 ft", "elevation: 6 ft"),),
        (TANK, "tank:"),
    ),
    Case("line-up-refused", "stop", L, ((WASH_DRUM, "elevation: 0 ft", "elevation: 5 ft"),), (TANK, "tank:")),
    swap("line-up-refused", "stop", L, TANK, "elevation: 38 in", "elevation: 10 in", "tank:", times=2),
    swap("line-up-refused", "stop", Q, SETTLER, "elevation: 1.00 m", "elevation: 0.20 m", "settler:"),
    swap("methoxide-backflow", "stop", L, METHOXIDE_CAN, "elevation: 72 in", "elevation: 40 in"),
    swap("methoxide-backflow", "stop", W, MIXING_CAN, "elevation: 1.35 m", "elevation: 0.60 m"),
    # A hose to the wrong port.
    Case(
        "line-up-refused",
        "stop",
        L,
        (("\n  drain_hose:", "[glycerin_can.top, wash_drum.top]", "[fuel_drum.top, wash_drum.top]"),),
        (TANK, "tank:"),
        times=2,
    ),
    Case(
        "line-up-refused",
        "stop",
        W,
        (("\n  methanol_hose:", "[mixing_can.fill, ", "[fuel_tote.top, "),),
        (MEOH, "methanol_drum:"),
    ),
    Case(
        "line-up-refused",
        "stop",
        W,
        (("\n  delivery_hose:", "fixed: discharge", "fixed: suction"),),
        (TANK, "tank:"),
        times=3,
    ),
    Case(
        "line-up-refused",
        "stop",
        Q,
        (("\n  oil_hose:", "fixed: suction", "fixed: fuel_suction"),),
        ("\n  oil_drum:\n", "oil_drum:"),
        also=("priming",),
    ),
    Case(
        "line-up-refused",
        "stop",
        L,
        (("\n  oil_hose:", "[oil_barrel.dip]", "[methanol_drum.dip]"),),
        ("\n  oil_barrel:\n", "oil_barrel:"),
    ),
    Case(
        "line-up-refused",
        "stop",
        Q,
        (("\n  methanol_hose:", "[charge_can.fill,", "[reactor.again,"),),
        (MEOH, "methanol_drum:"),
    ),
    Case(
        "line-up-refused",
        "stop",
        L,
        (("\n  water_in:", "to: tank.spray", "to: methoxide_can.fill"),),
        ("\nsupplies:", "water:"),
    ),
    # A valve taken out: nothing shuts the vessel off, and at rest it may run on.
    without_valve("no-shut-off", "warn", W, "v1", "tank_out", "valves: [v1], "),
    without_valve(
        "normal-positions", "stop", Q, "v08", "settler_out", "valves: [v08], ", "p2_in", ("no-shut-off",)
    ),
    Case(
        "normal-positions",
        "stop",
        L,
        (("\n  methoxide_in:", "[v4, v3]", "[v4]"), line_out(L, "v3")),
        ("\nlines:", "  methoxide_in:"),
    ),
    # A valve that stands open at rest.
    Case("normal-positions", "stop", L, ((OPENED % "v7", *BALL_OPEN),), ("\nhoses:", "  drain_hose:")),
    Case("normal-positions", "stop", L, ((OPENED % "v3", *BALL_OPEN),), ("\nlines:", "  methoxide_in:")),
    Case(
        "normal-positions", "stop", Q, ((OPENED % "can_outlet", *BALL_OPEN),), ("\nlines:", "  methoxide_in:")
    ),
    Case(
        "normal-positions",
        "stop",
        W,
        (("\n  wheel:", "kind: globe,", "kind: globe, normal: open,"),),
        ("\nlines:", "  water_in:"),
    ),
)

PIPING = (*HOSES, *RELIEF, *PUMPS, *LINE_UPS)
