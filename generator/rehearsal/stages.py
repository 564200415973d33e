"""Two batches in one plant: one held in the middle of a stage, the other taken through an earlier one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Final

from generator.operations.steps import Procedure
from generator.rehearsal.liquids import NO_HEAT_J_K
from generator.rehearsal.model import Model
from generator.rehearsal.run import Moment, Rehearsal, as_found
from generator.rehearsal.state import State
from generator.rehearsal.supply import EMPTY, FULL, stocked
from generator.rehearsal.violation import Violation

#: The stages of a batch in their order, and the procedures of each.
STAGES: Final[Mapping[str, tuple[str, ...]]] = {
    "dry": ("charge-oil", "dry-oil", "titrate"),
    "react": ("methoxide", "preheat", "inject", "react"),
    "settle": ("settle", "drain-glycerin"),
    "finish": ("strip", "dry-wash", "water-wash", "dry-fuel"),
}
#: A vessel with more than this over its heel belongs to the batch in it, as share of its capacity.
OCCUPIED: Final = 0.02


@dataclass(frozen=True)
class StagePair:
    """``held`` is the stage in which one batch waits, ``run`` the one that the other goes through meanwhile.

    ``vessels`` are those that both need; ``violations`` what came up when it was tried. Both empty: allowed.
    """

    held: str
    run: str
    vessels: tuple[str, ...] = ()
    violations: tuple[Violation, ...] = ()

    @property
    def allowed(self) -> bool:
        return not self.vessels and not self.violations


def stage_pairs(
    model: Model, procedures: Sequence[Procedure], batch: Sequence[Moment]
) -> tuple[StagePair, ...]:
    """Every pair of stages that this plant has, the later held; ``batch`` is a whole batch as rehearsed."""
    there = [stage for stage, ids in STAGES.items() if any(m.procedure.id in ids for m in batch)]
    return tuple(_pair(model, procedures, batch, held, run) for run, held in combinations(there, 2))


def _pair(
    model: Model, procedures: Sequence[Procedure], batch: Sequence[Moment], held: str, run: str
) -> StagePair:
    needs = _vessels(procedures, STAGES[run], model)
    waits = _longest_waits(batch, STAGES[held])
    shared = needs & {vessel for waiting in waits for vessel in _occupied(model, waiting)}
    if shared:
        return StagePair(held, run, tuple(sorted(shared)))
    begins = _before(batch, STAGES[run])
    violations: dict[Violation, None] = {}
    for waiting in waits:
        name = f"beside-{held}-{run}"
        violations |= dict.fromkeys(_tried(model, procedures, waiting, begins, needs, STAGES[run], name))
    return StagePair(held, run, (), tuple(violations))


def _tried(
    model: Model,
    procedures: Sequence[Procedure],
    waiting: State,
    begins: State,
    needs: set[str],
    ids: Sequence[str],
    name: str,
) -> Iterator[Violation]:
    """What comes up when a stage is gone through beside a batch that waits, up to the first that fails."""
    others = frozenset(_occupied(model, waiting) | waiting.running | waiting.on)
    contents = {**waiting.contents, **{vessel: begins.contents[vessel] for vessel in needs}}
    state = stocked(model, replace(as_found(waiting), contents=contents, others=others, wets=others))
    made = Rehearsal(model, procedures, name, state, beside=waiting)
    for procedure_id in ids:
        if not made.violations:
            made.run([procedure_id])
    yield from made.violations


def _longest_waits(batch: Sequence[Moment], ids: Sequence[str]) -> list[State]:
    """States in which a stage stands longest, as they were when the step began; one while it heats."""
    spans = [
        (now.state.time_s - before.state.time_s, index)
        for index, (before, now) in enumerate(pairwise(batch))
        if now.procedure.id in ids
    ]
    heating = [span for span in spans if batch[span[1]].state.on]
    chosen = dict.fromkeys(max(some)[1] for some in (spans, heating) if some)
    return [batch[index].state for index in chosen]


def _before(batch: Sequence[Moment], ids: Sequence[str]) -> State:
    first = next(index for index, moment in enumerate(batch) if moment.procedure.id in ids)
    return batch[max(first - 1, 0)].state


def _vessels(procedures: Sequence[Procedure], ids: Sequence[str], model: Model) -> set[str]:
    """Vessels that a stage's operations promise to touch."""
    wets = {part for p in procedures if p.id in ids for step in p.steps for part in step.wets}
    return wets & set(model.plant.tanks)


def _occupied(model: Model, state: State) -> set[str]:
    """Vessels in which a batch stands, supplies and receivers aside."""
    return {
        vessel
        for vessel, contents in state.contents.items()
        if not set(model.tank(vessel).vessel.roles) <= {*FULL, *EMPTY}
        and contents.mix.heat_capacity_j_k(contents.temperature_c) > NO_HEAT_J_K
        and contents.volume_m3 > model.heel_m3(vessel) + OCCUPIED * model.tank(vessel).capacity_m3
    }
