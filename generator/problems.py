"""A problem is data (code, where, facts); one place words it; one base exception carries an exit code.

The sentences live in ``content/wording/problems.yaml``: each code has a ``what`` and a ``mend`` template that
may use the facts. Nothing here writes to the screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

CONTENT = Path(__file__).resolve().parent.parent / "content"


@dataclass(frozen=True, order=True)
class Place:
    """Where in a user's file: 1-based line and column; line 0 means the file as a whole."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


@dataclass(frozen=True)
class Problem:
    """One mistake or finding: a code that content can word, its place, and the facts the wording needs."""

    code: str
    place: Place | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    also: tuple[Place, ...] = ()

    @property
    def what(self) -> str:
        return _worded(self.code, "what", self.facts)

    @property
    def mend(self) -> str:
        return _worded(self.code, "mend", self.facts)


class FillmarkError(Exception):
    """A user's mistake: one or more problems, shown without a traceback; ``exit_code`` ends the command."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(f"{p.place}: {p.code}" for p in self.problems))


@cache
def _wording() -> dict[str, dict[str, str]]:
    text = (CONTENT / "wording" / "problems.yaml").read_text(encoding="utf-8")
    loaded: dict[str, dict[str, str]] = yaml.safe_load(text)
    return loaded


class _Facts(dict[str, Any]):
    def __missing__(self, key: str) -> str:
        return f"<{key}>"


def _worded(code: str, part: str, facts: Mapping[str, Any]) -> str:
    entry = _wording().get(code) or _wording()["unworded"]
    return entry[part].format_map(_Facts(facts, code=code)).strip()


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Sorted by file and line, duplicates dropped, as a person would work through the file."""
    seen: dict[tuple[Any, ...], Problem] = {}
    for problem in problems:
        seen.setdefault((problem.code, problem.place, str(problem.facts)), problem)
    return sorted(seen.values(), key=lambda p: (p.place or Place(""), p.code))
