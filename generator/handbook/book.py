"""Everything one handbook is printed from, gathered in one place for the templates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from generator.figures.record import FigureBook
from generator.operations.steps import Procedure
from generator.plant.lineup import LineUp
from generator.plant.plant import Plant
from generator.profile.load import Loaded
from generator.profile.model import Profile
from generator.rehearsal.campaign import Report
from generator.rehearsal.model import Model
from generator.rehearsal.together import Together, together
from generator.rehearsal.wrong_valve import WrongValve, wrong_valves
from generator.review.finding import Finding

GROUPS = ("before", "run", "finish", "wrong", "plant", "numbers", "paper")


@dataclass(frozen=True)
class Issue:
    """Which issue of the handbook this is; ``number`` is None for a draft. ``date`` is ISO 8601.

    ``approved``, ``reason`` and ``until`` (the end of a temporary change, ISO 8601) stand on the manual's
    cover; they are empty where not given.
    """

    number: int | None
    date: str
    draft: bool
    approved: str = ""
    reason: str = ""
    until: str = ""


@dataclass(frozen=True)
class Book:
    """One plant's handbook before it becomes files.

    ``report`` is None where nothing was rehearsed, because the review stops it; then no table is made either.
    """

    loaded: Loaded
    plant: Plant
    figures: FigureBook
    line_ups: Mapping[str, LineUp]
    procedures: tuple[Procedure, ...]
    findings: tuple[Finding, ...]
    report: Report | None = None

    @cached_property
    def model(self) -> Model:
        return Model(self.plant, self.figures)

    @cached_property
    def wrong_valves(self) -> tuple[WrongValve, ...]:
        """What each single valve left wrong does, line-up by line-up."""
        return tuple(wrong_valves(self.model, self.line_ups.values())) if self.report else ()

    @cached_property
    def together(self) -> tuple[Together, ...]:
        """Which line-ups may be set at once, every pair."""
        return together(self.model, self.line_ups.values()) if self.report else ()

    @property
    def profile(self) -> Profile:
        return self.plant.profile

    @property
    def accepted(self) -> list[Finding]:
        """What the owner has accepted for a time."""
        return [finding for finding in self.findings if finding.accepted]

    def procedure(self, procedure_id: str) -> Procedure | None:
        return next((p for p in self.procedures if p.id == procedure_id), None)

    def by_group(self, group: str) -> list[Procedure]:
        return [p for p in self.procedures if p.group == group]
