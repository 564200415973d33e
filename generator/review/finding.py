"""A finding: what a rule says of this plant. Words live in ``content/wording/findings.yaml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

import yaml

from generator.problems import CONTENT, Place

Severity = Literal["stop", "warn", "note"]
Standing = Literal["stop", "warn", "note", "accepted"]


@dataclass(frozen=True)
class Accepted:
    """Who accepts a finding, why, and the last day (ISO 8601) for which it holds."""

    by: str
    reason: str
    until: str


@dataclass(frozen=True)
class Finding:
    """``rule`` is the id under which content words it; ``equipment`` the ids it concerns.

    ``jurisdiction`` is the plant's: where another's law is the source, it is called practice.
    """

    rule: str
    severity: Severity
    place: Place | None
    equipment: tuple[str, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)
    jurisdiction: str = "us"
    accepted: Accepted | None = None

    @property
    def stops(self) -> bool:
        """Whether nothing may be issued while it stands."""
        return self.severity == "stop" and self.accepted is None

    @property
    def standing(self) -> Standing:
        """Its severity, or that the owner has accepted it."""
        return "accepted" if self.accepted else self.severity

    def _word(self, part: str) -> str:
        return str(_wording()[self.rule][part]).format_map(dict(self.facts)).strip()

    @property
    def what(self) -> str:
        return self._word("what")

    @property
    def mend(self) -> str:
        return self._word("mend")

    @property
    def source(self) -> str:
        entry = _wording()[self.rule]
        return str(entry["source"] if self.jurisdiction == "us" else entry.get("elsewhere", entry["source"]))


def rule_ids() -> frozenset[str]:
    """Ids of all rules."""
    return frozenset(_wording())


def acceptable(rule: str) -> bool:
    """Whether an owner may accept what the rule finds; never where content does not say so."""
    return bool(_wording()[rule].get("acceptable", False))


@cache
def _wording() -> dict[str, dict[str, Any]]:
    loaded: dict[str, dict[str, Any]] = yaml.safe_load(
        (CONTENT / "wording" / "findings.yaml").read_text(encoding="utf-8")
    )
    return loaded
