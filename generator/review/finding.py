"""A finding: what a rule says of this plant. Words live in ``content/wording/findings.yaml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

import yaml

from generator.problems import CONTENT, Place

Severity = Literal["stop", "warn", "note"]


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


@cache
def _wording() -> dict[str, dict[str, str]]:
    loaded: dict[str, dict[str, str]] = yaml.safe_load(
        (CONTENT / "wording" / "findings.yaml").read_text(encoding="utf-8")
    )
    return loaded
