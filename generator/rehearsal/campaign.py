"""Which runs a handbook must stand: a batch, batches back to back, a failed batch, breaks at its steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from generator.figures.record import FigureBook
from generator.operations.steps import Procedure
from generator.plant.plant import Plant
from generator.rehearsal.checks import LETS_OUT
from generator.rehearsal.model import Model
from generator.rehearsal.motion import advance
from generator.rehearsal.run import Moment, Rehearsal, as_found
from generator.rehearsal.stages import StagePair, stage_pairs
from generator.rehearsal.state import State
from generator.rehearsal.supply import stocked
from generator.rehearsal.violation import Violation

BATCHES: Final = 3
#: Of the breaks, every so-manieth is tried with a planned stand-by too.
STAND_BY_EVERY: Final = 4
#: How long nobody is there between a stop and the restart, s.
ALONE_S: Final = 8 * 3600.0
#: Only where a test has failed or the oil is sour: not part of a plain batch.
SOMETIMES: Final = ("acid-step", "first-start")


@dataclass(frozen=True)
class Report:
    """What was run, what was wrong (nothing: all of it held), the moments of the one batch.

    ``stages`` tells of each pair of stages whether two batches may be in them at once.
    """

    runs: tuple[str, ...]
    violations: tuple[Violation, ...]
    batch: tuple[Moment, ...]
    stages: tuple[StagePair, ...] = ()


def rehearse(
    plant: Plant, figures: FigureBook, procedures: Sequence[Procedure], every: int | None = 1
) -> Report:
    """All runs of a handbook. The batch is broken off at every ``every``-th step; 0 leaves that out, None
    all but the one batch.
    """
    model = Model(plant, figures)
    batch = one_batch(model, procedures)
    made = [batch]
    if every is not None:
        made += _further(model, procedures, batch, every)
    violations = dict.fromkeys(violation for run in made for violation in run.violations)
    return Report(
        tuple(dict.fromkeys(run.name for run in made)),
        tuple(violations),
        tuple(batch.moments),
        () if every is None else stage_pairs(model, procedures, batch.moments),
    )


def _further(
    model: Model, procedures: Sequence[Procedure], batch: Rehearsal, every: int
) -> Iterator[Rehearsal]:
    """What a handbook has to stand besides one plain batch."""
    yield back_to_back(model, procedures, batch.state)
    yield failed_batch(model, procedures)
    if "first-start" in batch.by_id:
        yield Rehearsal(model, procedures, "first-start").run(["first-start"])
    if "acid-step" in batch.by_id:
        yield sour_batch(model, procedures)
    if every:
        yield from breaks(model, procedures, batch.moments, every)


def order(procedures: Sequence[Procedure]) -> list[str]:
    """Procedures of a plain batch, as the handbook orders them."""
    groups = ("before", "run", "finish")
    return [p.id for p in procedures if p.group in groups and p.steps and p.id not in SOMETIMES]


def one_batch(model: Model, procedures: Sequence[Procedure]) -> Rehearsal:
    """One batch from a cold, empty plant."""
    state = stocked(model, model.start())
    return Rehearsal(_first_dose(model, procedures), procedures, "batch", state).run(order(procedures))


def _first_dose(model: Model, procedures: Sequence[Procedure]) -> Model:
    """The model that a batch begins with: where two doses are given, the first leaves some oil."""
    two = any(p.id == "second-dose" and p.steps for p in procedures)
    return model.reacting_poorly if two else model


def back_to_back(model: Model, procedures: Sequence[Procedure], state: State) -> Rehearsal:
    """The batches after the first; each begins with what the one before left."""
    run = Rehearsal(model, procedures, "batches", state)
    for _ in range(BATCHES - 1):
        run.model = _first_dose(model, procedures)
        run.state = stocked(model, as_found(run.state))
        run.run(order(procedures))
    return run


def failed_batch(model: Model, procedures: Sequence[Procedure]) -> Rehearsal:
    """A batch whose conversion test fails once: the second chance, then on to the end."""
    ids = order(procedures)
    cut = ids.index("conversion-test") + 1
    state = stocked(model, model.start())
    again = ["conversion-failed", "drain-glycerin", "conversion-test"]
    run = Rehearsal(model.reacting_poorly, procedures, "failed-conversion", state).run(ids[:cut])
    run.model = model.reacting_poorly
    return run.run([*again, *ids[cut:]])


def sour_batch(model: Model, procedures: Sequence[Procedure]) -> Rehearsal:
    """A batch of oil that goes through the acid step first."""
    ids = order(procedures)
    cut = ids.index("dry-oil") + 1
    state = stocked(model, model.start())
    run = Rehearsal(_first_dose(model, procedures), procedures, "acid-step", state)
    return run.run([*ids[:cut], "acid-step", *ids[cut:]])


def breaks(
    model: Model, procedures: Sequence[Procedure], moments: Sequence[Moment], every: int
) -> Iterator[Rehearsal]:
    """The batch broken off after a step: stopped or put on stand-by, left for hours, then the restart."""
    for index, moment in enumerate(moments[::every]):
        yield broken_off(model, procedures, moment, "emergency-stop")
        # Nobody leaves by plan between the end of a transfer and the pump's stop.
        if index % STAND_BY_EVERY == 0 and moment.step.action not in LETS_OUT:
            yield broken_off(model, procedures, moment, "stand-by")


def broken_off(model: Model, procedures: Sequence[Procedure], moment: Moment, how: str) -> Rehearsal:
    """One break: what stopping (the procedure ``how``) leaves, and what the restart leads to."""
    name = f"break-{moment.step.number}"
    run = Rehearsal(model, procedures, name, _let_go(model, moment.state))
    run.interrupted = moment.procedure.id
    run.run([how])
    run.state = advance(model, run.state, ALONE_S).state
    return run.run(["restart"])


def _let_go(model: Model, state: State) -> State:
    """A state as whoever worked lets go of it: valves on springs close, hand pumps stand.

    What the operation promised to touch still holds, since that is what flows on.
    """
    valves = model.plant.profile.valves
    positions = {
        valve: "closed" if valves[valve].kind == "spring_return" else position
        for valve, position in state.positions.items()
    }
    return replace(
        state,
        positions=positions,
        running=state.running - model.hand_pumps,
        line_up=None,
        let_out=frozenset(),
        done=frozenset(state.contents),
    )
