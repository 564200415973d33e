"""What is done to a sound rig, and what must be said of it: one row a fault."""

from __future__ import annotations

from dataclasses import dataclass

Q, L, W = "quillmere", "larkstead", "withyburn"
RIGS = (Q, L, W)
Edit = tuple[str, str, str]

# Where a part is described, as an anchor.
REACTOR, DRYER, SETTLER, CAN = "\n  reactor:\n", "\n  dryer:\n", "\n  settler:\n", "\n  charge_can:\n"
FUEL, GLYCERIN, FINISHER = "\n  fuel_tank:\n", "\n  glycerin_drum:\n", "\n  finisher:\n"
MEOH, RECOVERED, WATER_TOTE = "\n  methanol_drum:\n", "\n  recovered_can:\n", "\n  water_tote:\n"
TANK, PUMP, HAND_PUMP, CONDENSER = "\n  tank:\n", "\n  pump:\n", "\n  hand_pump:\n", "\n  condenser:\n"
MIXING_CAN, METHOXIDE_CAN, GLYCERIN_CAN = "\n  mixing_can:\n", "\n  methoxide_can:\n", "\n  glycerin_can:\n"
WASH_DRUM, FUEL_DRUM, FUEL_TOTE = "\n  wash_drum:\n", "\n  fuel_drum:\n", "\n  fuel_tote:\n"
TOWER = "\n  tower:\n"


@dataclass(frozen=True)
class Case:
    """Edits of a rig's profile, and the one finding they bring.

    An edit is (anchor, old, new): the first ``old`` behind the first ``anchor``. ``at`` is (anchor, text):
    the finding stands on the line of the first ``text`` behind ``anchor`` in the spoilt profile. ``also`` are
    rules that the fault breaks besides, ``times`` how often it breaks its own.
    """

    rule: str
    severity: str
    rig: str
    edits: tuple[Edit, ...]
    at: tuple[str, str]
    also: tuple[str, ...] = ()
    times: int = 1

    def __str__(self) -> str:
        return f"{self.rig}-{self.rule}-{self.severity}"


def swap(
    rule: str,
    severity: str,
    rig: str,
    anchor: str,
    old: str,
    new: str,
    at: str | None = None,
    *,
    also: tuple[str, ...] = (),
    times: int = 1,
) -> Case:
    """One replacement; the finding stands where the new text is, or at ``at`` behind the anchor."""
    return Case(rule, severity, rig, ((anchor, old, new),), (anchor, at or new), also, times)


def edited(text: str, edits: tuple[Edit, ...]) -> str:
    """The text with, for each edit, the first ``old`` behind ``anchor`` replaced."""
    for anchor, old, new in edits:
        at = text.index(old, text.index(anchor))
        text = text[:at] + new + text[at + len(old) :]
    return text


def line_of(text: str, at: tuple[str, str]) -> int:
    """Line, from 1, of the first marker behind an anchor."""
    anchor, marker = at
    return text.count("\n", 0, text.index(marker.strip("\n"), text.index(anchor))) + 1
