"""Static, sparks, and ends that stand open."""

from __future__ import annotations

from .rows import (
    CAN,
    FUEL,
    FUEL_DRUM,
    GLYCERIN_CAN,
    HAND_PUMP,
    MEOH,
    METHOXIDE_CAN,
    MIXING_CAN,
    PUMP,
    REACTOR,
    RECOVERED,
    TANK,
    Case,
    L,
    Q,
    W,
    swap,
)

CRANK = "    agitator: {label: CRANK, kind: hand, rated_for_vapour: yes}\n"

IGNITION = (
    Case(
        "S13",
        "warn",
        Q,
        (("\n  methanol_hose:", "fixed:", "bore: 12 mm\n    fixed:"),),
        ("\n  hand_pump:\n", "flow: 10 L/min"),
    ),
    swap("S09", "stop", Q, CAN, "fill: {height: 0.60 m, dip_end: 0.05 m}", "fill: {height: 0.60 m}", "fill:"),
    swap("S10", "stop", Q, CAN, "earthed: yes", "earthed: no"),
    swap("S10", "warn", Q, FUEL, "earthed: yes", "earthed: no"),
    swap("S14", "warn", L, "\n  methoxide_can:\n", CRANK, "", "methoxide_can:"),
    Case(
        "S12",
        "stop",
        Q,
        (
            ("\n  hand_pump:\n", "kind: hand", "kind: diaphragm\n    has_relief: yes"),
            ("\n  hand_pump:\n", "rated_for_vapour: yes", "rated_for_vapour: no"),
        ),
        ("\n  hand_pump:\n", "rated_for_vapour: no"),
    ),
    swap("S22", "stop", Q, "\n  p1:\n", "rated_for_vapour: yes", "rated_for_vapour: no"),
    swap("S22", "stop", Q, REACTOR, "terminals_rated_for_vapour: yes", "terminals_rated_for_vapour: no"),
    swap("S22", "stop", Q, CAN, "kind: air, rated_for_vapour: yes", "kind: electric, rated_for_vapour: no"),
    swap("S29", "warn", Q, "\n  v15:", "kind: spring_return", "kind: ball", "\n  dispense:"),
    Case(
        "S29-no-valve",
        "stop",
        Q,
        (
            (RECOVERED, "    ports:\n", "    ports:\n      tap: {height: 0 m}\n"),
            ("\nlines:", "lines:\n", "lines:\n  tap: {from: recovered_can.tap, to: open}\n"),
        ),
        ("\nlines:", "  tap:"),
        also=("normal-positions",),
    ),
    swap("S09", "stop", W, MIXING_CAN, ", dip_end: 0.05 m", "", "fill:"),
    swap("S09", "stop", W, MEOH, "0.85 m, dip_end: 0.05 m", "0.85 m", "bung:"),
    swap("S09", "stop", L, METHOXIDE_CAN, "dip_end: 2 in", "dip_end: 8 in"),
    swap("S10", "stop", W, MIXING_CAN, "earthed: yes", "earthed: no"),
    swap("S10", "stop", W, RECOVERED, "    earthed: yes\n", "", "recovered_can:"),
    swap("S10", "stop", L, GLYCERIN_CAN, "earthed: yes", "earthed: no"),
    swap("S10", "warn", L, FUEL_DRUM, "earthed: yes", "earthed: no"),
    Case(
        "S13",
        "warn",
        L,
        (("\n  methanol_hose:", "fixed:", "bore: 0.4 in\n    fixed:"),),
        (HAND_PUMP, "flow: 2 gpm"),
    ),
    swap(
        "S14",
        "warn",
        W,
        MIXING_CAN,
        "    agitator: {label: M, kind: air, rated_for_vapour: yes}\n",
        "",
        "mixing_can:",
    ),
    Case(
        "S12",
        "stop",
        L,
        (
            (HAND_PUMP, "kind: hand", "kind: diaphragm\n    has_relief: yes"),
            (HAND_PUMP, "rated_for_vapour: yes", "rated_for_vapour: no"),
        ),
        (HAND_PUMP, "rated_for_vapour: no"),
    ),
    swap("S22", "stop", W, PUMP, "rated_for_vapour: yes", "rated_for_vapour: no"),
    swap("S22", "stop", L, PUMP, "rated_for_vapour: yes", "rated_for_vapour: no"),
    swap("S22", "stop", W, TANK, "terminals_rated_for_vapour: yes", "terminals_rated_for_vapour: no"),
    swap("S22", "stop", L, TANK, "terminals_rated_for_vapour: yes", "terminals_rated_for_vapour: no"),
    swap(
        "S22",
        "stop",
        L,
        METHOXIDE_CAN,
        "kind: hand, rated_for_vapour: yes",
        "kind: electric, rated_for_vapour: no",
    ),
    swap("S29", "warn", L, "\n  sampler:", "kind: spring_return", "kind: ball", "\n  tank_sample:"),
    # Two labels swapped: the valve that springs shut hangs where none is needed.
    Case(
        "S29",
        "warn",
        Q,
        (
            ("\n  v15:", 'label: "15", kind: spring_return', 'label: "12", kind: ball'),
            ("\n  v12:", 'label: "12", kind: ball', 'label: "15", kind: spring_return'),
        ),
        ("\nlines:", "  dispense:"),
    ),
    Case(
        "S29",
        "warn",
        W,
        (("\n  tank_low:", "[low_drain]", "[v6]"), ("\n  delivery_hose:", "[v6]", "[low_drain]")),
        ("\nlines:", "  tank_low:"),
    ),
)
