"""record.json: every figure, line-up, step, finding and document, for machines. SI, temperatures in °C."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import PurePath
from typing import Any

from generator.figures.record import Figure
from generator.handbook import wiring
from generator.handbook.book import Book, Issue
from generator.handbook.document import Document
from generator.handbook.marks import clean
from generator.operations.steps import Procedure, Step, plain
from generator.plant.lineup import LineUp
from generator.problems import Place
from generator.rehearsal.campaign import Report
from generator.rehearsal.violation import Violation
from generator.review.finding import Finding

SCHEMA = 1


def record(book: Book, issue: Issue, documents: Sequence[Document]) -> dict[str, Any]:
    """The whole handbook as data; text is plain, labels in square brackets inside sentences."""
    return {
        "schema": SCHEMA,
        "plant": _plant(book),
        "issue": {"number": issue.number, "date": issue.date, "draft": issue.draft},
        "figures": {figure.id: _figure(figure) for figure in book.figures},
        "line_ups": [_line_up(book, line_up) for line_up in book.line_ups.values()],
        "procedures": [_procedure(procedure) for procedure in book.procedures],
        "findings": [_finding(finding) for finding in book.findings],
        "rehearsal": _rehearsal(book.report),
        "documents": [
            {"id": d.id, "kind": d.kind, "title": d.title, "file": d.file, "fingerprint": d.fingerprint}
            for d in documents
        ],
    }


def to_bytes(data: dict[str, Any]) -> bytes:
    """The record as UTF-8 JSON; the same record gives the same bytes."""
    return (json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def _plant(book: Book) -> dict[str, Any]:
    profile = book.profile
    return {
        "name": profile.name,
        "about": profile.about,
        "profile": book.loaded.path.name,
        "units": profile.units,
        "language": profile.language,
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "value": figure.value,
        "unit": _unit(figure.quantity),
        "shown": figure.text,
        "formula": figure.formula,
        "inputs": [
            {"symbol": part.symbol, "value": part.value, "unit": _unit(part.quantity), "figure": part.figure}
            for part in figure.inputs
        ],
        "source": figure.source,
        "own_value": figure.own,
    }


# The unit of each kind of quantity inside: SI, and those that the trade counts by.
_UNITS = {
    "volume": "m3", "poured_volume": "m3", "mass": "kg", "weighed_mass": "kg",
    "length": "m", "level": "m", "altitude": "m", "area": "m2", "temperature": "degC",
    "temperature_difference": "K", "power": "W", "voltage": "V", "current": "A", "flow": "m3/s",
    "air_flow": "m3/s", "velocity": "m/s", "pressure": "Pa", "time": "s", "density": "kg/m3", "energy": "J",
    "heat_capacity": "J/K",
    "dose": "kg/m3", "mass_flow": "kg/s", "fraction": "1", "mass_fraction": "1", "parts_per_million": "ppm",
    "watt_density": "W/m2", "heat_transfer": "W/(m2.K)", "thermal_conductivity": "W/(m.K)",
    "molar_ratio": "1", "count": "1", "ratio": "1", "rate_per_hour": "1/h", "normality": "eq/L",
    "drop_size": "m", "titration_volume": "mL", "angle": "deg", "money": "1", "molar_mass": "kg/kmol",
    "volume_price": "1/m3", "mass_price": "1/kg", "energy_price": "1/J", "energy_content": "J/m3",
    "consumption": "kg/m3", "balance_mass": "kg", "turnovers": "1", "fuel_price": "1/m3",
}  # fmt: skip


def _unit(quantity: str) -> str:
    return _UNITS[quantity]


def _line_up(book: Book, line_up: LineUp) -> dict[str, Any]:
    valves = book.profile.valves

    def labels(ids: Sequence[str]) -> list[str]:
        return [valves[valve].label for valve in ids]

    return {
        "id": line_up.id,
        "title": plain(wiring.title(book, line_up)),
        "streams": [
            {"from": s.source, "to": s.destination, "driver": s.driver, "opening": s.opening}
            for s in line_up.streams
        ],
        "open": labels(line_up.open),
        "touching": labels(line_up.touching),
        "guard": labels(line_up.guard),
        "positions": {valves[valve].label: position for valve, position in line_up.positions.items()},
        "hoses": [{"hose": book.profile.hoses[end.hose].label, "to": end.port} for end in line_up.hoses],
    }


def _procedure(procedure: Procedure) -> dict[str, Any]:
    return {
        "id": procedure.id,
        "title": clean(plain(procedure.title)),
        "steps": [_step(step) for step in procedure.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "number": step.number,
        "text": clean(plain(step.text)),
        "expected": clean(plain(step.expected or "")),
        "otherwise": clean(plain(step.otherwise or "")),
        "operation": step.operation,
        "equipment": list(step.equipment),
        "valves": list(step.valves),
    }


def _where(place: Place | None) -> str | None:
    """File name and line; which folder the profile stood in is nobody's business."""
    if place is None:
        return None
    return str(replace(place, file=PurePath(place.file).name))


def _rehearsal(report: Report | None) -> dict[str, Any] | None:
    """What was run and how much did not hold; None where nothing was run."""
    if report is None:
        return None
    return {"runs": list(report.runs), "violations": [_violation(one) for one in report.violations]}


def _violation(violation: Violation) -> dict[str, Any]:
    return {
        "rule": f"rehearsal-{violation.rule}",
        "severity": violation.severity,
        "run": violation.run,
        "procedure": violation.procedure,
        "step": violation.step,
        "equipment": list(violation.equipment),
        "value": violation.value,
        "limit": violation.limit,
        "unit": _unit(violation.quantity),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "accepted": asdict(finding.accepted) if finding.accepted else None,
        "what": finding.what,
        "where": _where(finding.place),
        "mend": finding.mend,
        "source": finding.source,
    }
