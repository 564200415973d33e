"""What an expanded procedure is: numbered steps, each a typed action, its sentence made from its data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.problems import Place

# Marks inside a sentence, so that one text serves paper, screen and record: a painted label, a value.
LABEL_START, LABEL_END = "\ue000", "\ue001"
VALUE_START, VALUE_SPLIT, VALUE_END = "\ue002", "\ue003", "\ue004"


def plain(text: str) -> str:
    """The sentence without marks: labels in square brackets, values as printed."""
    out: list[str] = []
    skipping = False
    for char in text:
        if char == VALUE_START:
            skipping = True  # the figure's id follows, then the split, then what is printed
        elif char == VALUE_SPLIT:
            skipping = False
        elif char == LABEL_START:
            out.append("[")
        elif char == LABEL_END:
            out.append("]")
        elif char != VALUE_END and not skipping:
            out.append(char)
    return "".join(out)


def labels(text: str) -> list[str]:
    """The painted labels that a sentence names, in order, each once."""
    pieces = (piece.partition(LABEL_END)[0] for piece in text.split(LABEL_START)[1:])
    return list(dict.fromkeys(pieces))


@dataclass(frozen=True)
class Step:
    """One action. ``number`` is procedure.step; ``valves`` and ``equipment`` are ids of all that it names.

    ``text``, ``expected`` and ``otherwise`` may hold marks (see ``plain``). ``messages`` are keys of
    ``content/hazards/messages.yaml`` printed before the step. ``blank`` is what to write down, if anything.
    ``wets`` are the vessels and supplies that the step's operation promises to touch, and no others.
    """

    number: str
    action: str
    operation: str
    text: str
    source: Place
    equipment: tuple[str, ...] = ()
    valves: tuple[str, ...] = ()
    expected: str | None = None
    otherwise: str | None = None
    messages: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    blank: str | None = None
    hold: bool = False
    heading: str | None = None
    line_up: str | None = None
    wets: tuple[str, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Procedure:
    """One procedure as printed. ``unused`` says why a phase has no steps at this plant.

    ``leaves`` are vessels whose circulation still runs when it ends, for the next procedure to go on with.
    """

    id: str
    number: str
    title: str
    group: str
    phase: str
    purpose: str
    before: tuple[str, ...]
    ppe: tuple[str, ...]
    steps: tuple[Step, ...]
    ends: str
    unused: str | None = None
    substances: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()

    @property
    def line_ups(self) -> tuple[str, ...]:
        """Ids of the line-ups its steps set, in order, each once."""
        return tuple(dict.fromkeys(step.line_up for step in self.steps if step.line_up))
