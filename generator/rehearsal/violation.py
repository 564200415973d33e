"""What went wrong in a rehearsal, as data; the review words it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from generator.problems import Place


@dataclass(frozen=True)
class Violation:
    """``rule`` is the id under which content words it, without the prefix ``rehearsal-``.

    ``run`` says which rehearsal it came up in; ``value`` and ``limit`` are SI (°C for temperatures) of the
    kind that ``quantity`` names, None where nothing was measured. ``equipment`` are ids of what it concerns.
    """

    rule: str
    run: str
    procedure: str
    step: str
    place: Place
    equipment: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None
    quantity: str = "count"
    severity: Literal["stop", "warn"] = "stop"


@dataclass(frozen=True)
class Fault:
    """A violation before it is known in which run and step: what the checks and actions find."""

    rule: str
    equipment: tuple[str, ...] = ()
    value: float | None = None
    limit: float | None = None
    quantity: str = "count"
