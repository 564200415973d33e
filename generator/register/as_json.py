"""What a check has found, as data for other programs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from generator.problems import Place, Problem
from generator.review.finding import Finding


def as_json(profile: Path, problems: Iterable[Problem], findings: Iterable[Finding]) -> dict[str, Any]:
    """Problems and findings for machines: what, where, how to mend."""

    def at(place: Place | None) -> dict[str, Any] | None:
        return {"file": place.file, "line": place.line, "column": place.column} if place else None

    return {
        "schema": 1,
        "profile": str(profile),
        "problems": [
            {
                "code": p.code,
                "what": p.what,
                "where": at(p.place),
                "also": [at(other) for other in p.also],
                "mend": p.mend,
            }
            for p in problems
        ],
        "findings": [
            {
                "rule": f.rule,
                "severity": f.severity,
                "accepted": asdict(f.accepted) if f.accepted else None,
                "what": f.what,
                "where": at(f.place),
                "mend": f.mend,
                "source": f.source,
            }
            for f in findings
        ],
    }
