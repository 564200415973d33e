"""Who lets a change into the plant, why, and until when where it is a temporary one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from generator.problems import FillmarkError, Problem


@dataclass(frozen=True)
class Approval:
    """``until`` is ISO 8601, '' for a change that stays."""

    by: str = ""
    reason: str = ""
    until: str = ""


NOBODY = Approval()


def check_until(until: str, day: str | None = None) -> None:
    """Raises FillmarkError where a temporary change would end on no day, or not after ``day`` (ISO 8601)."""
    if not until:
        return
    try:
        past = date.fromisoformat(until) <= date.fromisoformat(day or "0001-01-01")
    except ValueError:
        raise FillmarkError([Problem("not_a_day", facts={"text": until[:64]})]) from None
    if past:
        raise FillmarkError([Problem("day_past", facts={"text": until})])
