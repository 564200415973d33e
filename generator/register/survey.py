"""From a profile to the book that is printed from it: everything short of files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from generator.figures.compute import compute
from generator.handbook.book import Book
from generator.operations.expand import expand, react_pump
from generator.operations.maker import LineUps
from generator.plant.lineup import Want
from generator.plant.plant import Plant
from generator.plant.routes import TOWERS
from generator.problems import FillmarkError, Place, Problem
from generator.profile.load import Loaded, load
from generator.profile.nodes import Trail
from generator.rehearsal.campaign import rehearse
from generator.review import rehearsed
from generator.review.review import ranked, review

#: A survey breaks the batch off at every so-manieth step; the tests of the demonstration rigs at every one.
BREAK_EVERY = 23


@dataclass(frozen=True)
class Survey:
    """A book as reviewed. Nothing is issued where a finding stops."""

    book: Book

    @property
    def stops(self) -> int:
        """How many findings stop an issue."""
        return sum(finding.stops for finding in self.book.findings)


def survey(path: Path, today: date | None = None, breaks: int | None = BREAK_EVERY) -> Survey:
    """Loads, computes, expands, reviews and rehearses, the batch broken off at every ``breaks``-th step;
    with None one batch is all that is rehearsed.

    Raises FillmarkError where the profile cannot be used at all.
    """
    loaded = load(path)
    plant = Plant(loaded.profile)
    try:
        figures = compute(plant, react_pump=react_pump(plant), finish_pump=finish_pump(plant))
    except FillmarkError as error:
        raise FillmarkError(_placed(error.problems, loaded)) from error
    expanded = expand(plant, figures)
    findings = review(
        loaded, plant, figures, tuple(expanded.line_ups.values()), expanded.problems, expanded.missing, today
    )
    report = None
    if not any(finding.stops for finding in findings):
        # Only a plant that the review lets pass is worth a rehearsal.
        report = rehearse(plant, figures, expanded.procedures, every=breaks)
        told = rehearsed.findings(loaded, plant, expanded.procedures, report.violations)
        findings = ranked((*findings, *told))
    book = Book(loaded, plant, figures, expanded.line_ups, expanded.procedures, findings, report)
    return Survey(book)


def finish_pump(plant: Plant) -> str | None:
    """The pump that moves the ester on from where it settles; None where nothing with a motor does."""
    line_ups = LineUps(plant)
    source = plant.the("settle").id
    towers: list[str | None] = [name for name, part in plant.profile.inline.items() if part.kind in TOWERS]
    for role in ("strip", "wash", "fuel"):
        tank = plant.with_role(role)
        if tank is not None and tank.id != source:
            ways = (line_ups.get(Want(source, tank.id, via=via)) for via in (None, *towers))
            return next((way.pump for way in ways if way is not None), None)
    return None


def _placed(problems: tuple[Problem, ...], loaded: Loaded) -> Iterator[Problem]:
    """Problems of the whole plant stand at the profile, at the line of the value where only one fits."""
    for problem in problems:
        yield problem if problem.place else replace(problem, place=_line(problem, loaded))


def _line(problem: Problem, loaded: Loaded) -> Place:
    """Where the file states the one value that a formula refuses; the file as a whole for a computed one."""
    asked = problem.facts.get("asked")
    stated = loaded.profile.model_dump(by_alias=True)
    found = [
        trail for trail, value in _values(stated, ()) if value == asked and loaded.tree.at(trail) is not None
    ]
    return loaded.place(*found[0]) if len(found) == 1 else Place(str(loaded.path))


def _values(part: Any, trail: Trail) -> Iterator[tuple[Trail, float]]:
    """Every number of a profile and the keys that lead to it."""
    if isinstance(part, (dict, list)):
        for key, inner in part.items() if isinstance(part, dict) else enumerate(part):
            yield from _values(inner, (*trail, key))
    elif isinstance(part, float):
        yield trail, part
