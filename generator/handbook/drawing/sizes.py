"""How much room each fitting and block takes, in drawing units; columns are spaced by it."""

from __future__ import annotations

from dataclasses import dataclass

from generator.handbook.drawing import lettering
from generator.handbook.drawing.parts import Fitting, Item, Nozzle

# Along the pipe; a fitting with a label is at least as long as its label is high.
LONG = {
    "hose": 30.0,
    "coupling": 11.0,
    "restrictor": 16.0,
    "arrester": 14.0,
    "spout": 14.0,
    "vent_outdoors": 16.0,
    "vent_room": 12.0,
}
VALVE_LONG = 24.0
HALF = 10.0
LABEL_GAP = 3.0
BETWEEN = 5.0
# A column ends in a straight piece with its arrow.
ARROW = 14.0
BLOCKS = {
    "centrifugal": (30.0, 30.0),
    "gear": (30.0, 30.0),
    "diaphragm": (30.0, 30.0),
    "hand": (30.0, 30.0),
    "resin_tower": (28.0, 56.0),
    "adsorbent_tower": (28.0, 56.0),
    "filter": (30.0, 24.0),
    "strainer": (30.0, 24.0),
    "condenser": (30.0, 30.0),
    "vacuum_pump": (30.0, 30.0),
    "three_way": (24.0, 17.0),
    "spout": (14.0, 14.0),
}
CLOSED_BAR = 9.0


@dataclass(frozen=True)
class Extent:
    """Room left and right of a column's line."""

    left: float
    right: float


def long(fitting: Fitting) -> float:
    """Length of a fitting along its pipe, its label considered."""
    label = lettering.block(fitting.shown)
    if fitting.kind == "cut":
        return label.height or 8.0
    return max(LONG.get(fitting.kind, VALVE_LONG), label.height)


def column_long(nozzle: Nozzle) -> float:
    """Length of all fittings of a nozzle with what lies between them and the arrow."""
    arrow = ARROW if nozzle.net is not None else 0.0
    return BETWEEN + sum(long(fitting) + BETWEEN for fitting in nozzle.fittings) + arrow


def extent(nozzle: Nozzle) -> Extent:
    """Room beside a nozzle's column for symbols and labels."""
    left = right = 6.0
    for fitting in nozzle.fittings:
        label = lettering.block(fitting.shown)
        if fitting.kind == "cut":
            left, right = max(left, label.width / 2 + 1, 8), max(right, label.width / 2 + 1, 8)
        else:
            beside = LABEL_GAP + label.width if label.lines else 0.0
            left, right = max(left, HALF), max(right, HALF + beside)
    return Extent(left, right)


def block_size(item: Item) -> tuple[float, float]:
    """Width and height of a block's symbol, its label left out."""
    if item.kind in ("supply", "cut"):
        label = lettering.block(item.shown)
        return max(label.width, 14.0), max(label.height, 6.0)
    if item.kind == "joint":
        places = joint_places(item)
        return 2 * (places[-1] + joint_pitch(item) / 2), 2 * CLOSED_BAR
    return BLOCKS[item.kind]


def joint_pitch(item: Item) -> float:
    """How far apart the fittings of a joint stand, for their labels beside each other."""
    return BETWEEN + max(max(VALVE_LONG, lettering.block(fitting.shown).width) for fitting in item.fittings)


def joint_places(item: Item) -> list[float]:
    """Where the fittings of a joint stand, about its middle."""
    pitch = joint_pitch(item)
    return [pitch * (index - (len(item.fittings) - 1) / 2) for index in range(len(item.fittings))]


def block_label(item: Item) -> lettering.Block:
    """The label that stands beside a block's symbol; a supply's is its symbol."""
    if item.kind in ("supply", "cut"):
        return lettering.block("")
    if item.kind == "joint":
        labels = [lettering.block(fitting.shown) for fitting in item.fittings]
        return max(labels, key=lambda label: label.height)
    return lettering.block(item.shown)
