"""Procedures executed one after the other; every step held to the checks, every violation kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from generator.operations.steps import Procedure, Step
from generator.rehearsal.actions import taken
from generator.rehearsal.acts import is_poured
from generator.rehearsal.checks import after_procedure, after_step, before_methanol
from generator.rehearsal.model import Model
from generator.rehearsal.motion import advance
from generator.rehearsal.state import State
from generator.rehearsal.violation import Fault, Violation

#: A valve turned, a switch pressed: what flows meanwhile flows so long, s (common practice, no source).
HAND_S: Final = 5.0
#: What costs trouble and harms nobody.
INCONVENIENT: Final = ("sample-dry", "wet-charge")
#: A receiver that a second dose overfills is watched, and its step says what to do then.
SELDOM: Final = ("failed-conversion",)
GUARDED: Final = ("fill", "room")
#: Whoever starts a transfer watches it from its first moment.
AT_ONCE: Final = ("start_pump", "work_pump")
#: Procedures whose second dose brings the reaction to its end.
LAST_DOSE: Final = ("second-dose", "conversion-failed")
#: A loop that is not over after so many rounds never will be.
MOST_ROUNDS: Final = 200


@dataclass(frozen=True)
class Moment:
    """A step done and the state after it."""

    procedure: Procedure
    step: Step
    state: State


class Rehearsal:
    """One run on one model: a name, the state it is in, what was done and what was wrong so far.

    ``interrupted`` is the procedure at which the run before it broke off, for the restart to ask;
    ``locked_here`` are the heaters that the procedure itself has locked off so far.
    """

    def __init__(
        self,
        model: Model,
        procedures: Iterable[Procedure],
        name: str,
        state: State | None = None,
        beside: State | None = None,
    ) -> None:
        self.model = model
        self.by_id: Mapping[str, Procedure] = {p.id: p for p in procedures if p.steps}
        self.name = name
        self.state = state or model.start()
        self.beside = beside
        self.interrupted: str | None = None
        self.locked_here: frozenset[str] = frozenset()
        self.violations: dict[Violation, None] = {}
        self.moments: list[Moment] = []

    def order(self) -> tuple[str, ...]:
        """Ids of the procedures of a batch, as the handbook orders them."""
        return tuple(p.id for p in self.by_id.values() if p.group in ("before", "run", "finish"))

    def run(self, ids: Sequence[str]) -> Rehearsal:
        """These procedures one after the other; one that is not in this handbook is left out."""
        for procedure_id in ids:
            if procedure_id in self.by_id:
                self.one(self.by_id[procedure_id])
        return self

    def one(self, procedure: Procedure) -> None:
        """One procedure from its first step, and what its end must leave."""
        if procedure.id in LAST_DOSE:
            self.model = self.model.reacting_to_the_end
        self.locked_here = frozenset()
        last = None
        for step in self.steps(procedure):
            last = step
            if self.stops_here(step):
                break
        else:
            if last is not None:
                self._note(procedure, last, after_procedure(self.model, self.state, procedure, self.beside))
        self._go_on(procedure)

    def steps(self, procedure: Procedure) -> Iterator[Step]:
        """Executes a procedure step by step, loops and all; yields each step after it was done."""
        number = {step.number: index for index, step in enumerate(procedure.steps)}
        rounds: dict[str, int] = {}
        index = 0
        while index < len(procedure.steps):
            step = procedure.steps[index]
            self.step(procedure, step)
            yield step
            acts = step.data.get("acts", {})
            index += 1
            if "repeats" in acts:
                rounds[step.number] = rounds.get(step.number, 0) + 1
                if self._again(acts, rounds[step.number]):
                    index = number[acts["repeats"]]

    def _again(self, acts: Mapping[str, object], done: int) -> bool:
        what = acts.get("until_poured")
        if what is not None:
            return done < MOST_ROUNDS and not is_poured(self.state, str(what))
        times = acts.get("times")
        return isinstance(times, float) and done < times

    def step(self, procedure: Procedure, step: Step) -> None:
        """One step: what it does, a moment for it, and the checks."""
        before = self.state
        self._note(procedure, step, before_methanol(self.model, before, step, self.locked_here))
        after, faults = taken(self.model, before, step)
        if after.time_s == before.time_s and step.action not in AT_ONCE:
            moved = advance(self.model, after, HAND_S)
            after, faults = moved.state, (*faults, *moved.faults)
        self.state = after
        if step.action == "lock_heater":
            self.locked_here |= {step.data["heater"]}
        self._note(procedure, step, faults)
        self._note(procedure, step, after_step(self.model, before, after, step))
        self.moments.append(Moment(procedure, step, after))

    def stops_here(self, step: Step) -> bool:
        """Whether a step of the restart sends back to the procedure that was interrupted."""
        acts = step.data.get("acts", {})
        if self.interrupted is None or "stops_here_if" not in acts:
            return False
        order = self.order()
        if self.interrupted not in order or acts["of"] not in order:
            return False
        here, there = order.index(self.interrupted), order.index(acts["of"])
        return here > there if acts["stops_here_if"] == "after" else here < there

    def _go_on(self, procedure: Procedure) -> None:
        for step in procedure.steps:
            for following in step.data.get("acts", {}).get("goes_to", ()):
                self.one(self.by_id[following])

    def _note(self, procedure: Procedure, step: Step, faults: Iterable[Fault]) -> None:
        for fault in faults:
            violation = Violation(
                fault.rule,
                self.name,
                procedure.id,
                step.number,
                step.source,
                fault.equipment,
                fault.value,
                fault.limit,
                fault.quantity,
                severity="warn" if self._is_minor(fault) else "stop",
            )
            self.violations[violation] = None

    def _is_minor(self, fault: Fault) -> bool:
        return fault.rule in INCONVENIENT or (self.name in SELDOM and fault.rule in GUARDED)


def as_found(state: State) -> State:
    """A state for another run to begin with: nobody has promised anything yet."""
    return replace(state, wets=None, line_up=None, done=frozenset(), let_out=frozenset())
