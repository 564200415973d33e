"""Faults that no rule sees: they come up when the printed steps are executed on the model."""

from __future__ import annotations

from .rows import DRYER, PUMP, TANK, Case, L, Q, W, swap

V1 = '  v1: {label: "1", kind: ball, place: Tank outlet to the pump}\n'
V5 = '  v5: {label: "5", kind: ball, normal: open, place: Return to the tank top}\n'

REHEARSED = (
    # Covered when the oil is cold and measured, bare once some of it has gone.
    swap("rehearsal-uncovered", "stop", Q, DRYER, "top_of_hot_part: 0.30 m", "top_of_hot_part: 0.62 m"),
    swap(
        "rehearsal-sample-dry",
        "warn",
        Q,
        DRYER,
        "sample: {height: 0.45 m}",
        "sample: {height: 0.85 m}",
        "ports:",
    ),
    swap(
        "rehearsal-sample-dry",
        "warn",
        W,
        TANK,
        "sample: {height: 0.55 m}",
        "sample: {height: 1.00 m}",
        "ports:",
    ),
    swap(
        "rehearsal-sample-dry",
        "warn",
        L,
        TANK,
        "sample: {height: 20 in}",
        "sample: {height: 42 in}",
        "ports:",
    ),
    # An outlet so high that a batch leaves a heel the next one does not expect.
    swap(
        "rehearsal-not-empty",
        "stop",
        L,
        TANK,
        "suction: {height: 1 1/2 in}",
        "suction: {height: 11 in}",
        "ports:",
    ),
    swap(
        "rehearsal-not-empty",
        "stop",
        Q,
        DRYER,
        "suction: {height: 0.05 m}",
        "suction: {height: 0.30 m}",
        "ports:",
        also=("heel-large",),
    ),
    # No valve between the tank and the pump, which draws from the empty tank instead of the barrel.
    Case(
        "rehearsal-pump-dry",
        "stop",
        L,
        (("\n  tank_out:", "valves: [v1], ", ""), ("\nvalves:", V1, "")),
        (PUMP, "pump:"),
        also=("no-shut-off",),
    ),
    # No valve in the return: what is meant for the fuel drum goes round as well.
    Case(
        "rehearsal-two-paths",
        "stop",
        L,
        (("\n  tank_return:", "valves: [v5], ", ""), ("\nvalves:", V5, "")),
        (PUMP, "pump:"),
    ),
    # A tote that holds less than a batch.
    Case(
        "rehearsal-stalls",
        "stop",
        W,
        (("\n  oil_tote:\n", "length: 1.10 m", "length: 0.15 m"),),
        (TANK, "tank:"),
        also=("rehearsal-uncovered", "rehearsal-sample-dry", "volume-oil"),
    ),
)
