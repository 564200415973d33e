"""Demonstration rigs expanded once, and the tools to spoil their procedures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.operations.expand import Expanded, expand, react_pump
from generator.operations.steps import Procedure, Step
from generator.plant.plant import Plant
from generator.profile.load import load
from generator.profile.model import Profile
from generator.register.survey import finish_pump
from generator.rehearsal.campaign import one_batch
from generator.rehearsal.model import Model
from generator.rehearsal.run import Rehearsal
from tests.rigs import PROFILES, edited

RIGS = ("quillmere", "larkstead", "withyburn", "highfold")


@dataclass(frozen=True)
class Rig:
    """A plant with what is printed for it."""

    plant: Plant
    figures: FigureBook
    expanded: Expanded

    @property
    def procedures(self) -> tuple[Procedure, ...]:
        return self.expanded.procedures

    def model(self) -> Model:
        return Model(self.plant, self.figures)


def rig_of(profile: Profile) -> Rig:
    plant = Plant(profile)
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=finish_pump(plant))
    return Rig(plant, figures, expand(plant, figures))


@cache
def demo(name: str) -> Rig:
    return rig_of(load(PROFILES / f"{name}.yaml").profile)


def changed(name: str, edits: dict[str, Any]) -> Rig:
    return rig_of(edited(name, edits))


Edit = Callable[[Sequence[Step]], Sequence[Step]]


def with_steps(procedures: Sequence[Procedure], procedure_id: str, edit: Edit) -> list[Procedure]:
    """The procedures, the steps of one of them edited; numbers stay, so that a finding can be looked up."""
    return [replace(p, steps=tuple(edit(p.steps))) if p.id == procedure_id else p for p in procedures]


def dropped(action: str, which: int = 0) -> Edit:
    """Leaves out the ``which``-th step of an action."""

    def edit(steps: Sequence[Step]) -> list[Step]:
        gone = [step for step in steps if step.action == action][which]
        return [step for step in steps if step is not gone]

    return edit


def moved(action: str, before: str) -> Edit:
    """Puts the first step of an action before the first of another."""

    def edit(steps: Sequence[Step]) -> list[Step]:
        taken = next(step for step in steps if step.action == action)
        rest = [step for step in steps if step is not taken]
        at = next(index for index, step in enumerate(rest) if step.action == before)
        return [*rest[:at], taken, *rest[at:]]

    return edit


def batch_of(rig: Rig, procedures: Sequence[Procedure] | None = None) -> Rehearsal:
    """One batch of a rig, with its own procedures or spoilt ones."""
    return one_batch(rig.model(), procedures or rig.procedures)
