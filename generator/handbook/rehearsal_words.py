"""The words of the rehearsal's page and tables."""

from __future__ import annotations

from functools import cache
from typing import Any

import yaml

from generator.problems import CONTENT


@cache
def words() -> dict[str, Any]:
    """content/wording/rehearsal.yaml."""
    text = (CONTENT / "wording" / "rehearsal.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded
