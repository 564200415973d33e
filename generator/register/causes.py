"""Which change moved which figure: each change is made alone to the older profile.

Nothing is annotated, so that nothing can be forgotten: what a change moves is what it moves when it is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from generator.figures.compute import compute
from generator.operations.expand import react_pump
from generator.plant.plant import Plant
from generator.problems import FillmarkError
from generator.profile.nodes import Trail
from generator.register.differences import Change, Described, described
from generator.register.survey import finish_pump


@dataclass(frozen=True)
class Move:
    """A figure that prints another value. ``old`` or ``new`` is None where the figure came or went.

    ``causes`` are the changes that move it when made alone; ``by_program`` is true where the older profile
    gives another value than was printed, because program or content have changed since.
    """

    figure: str
    old: str | None
    new: str | None
    causes: tuple[Change, ...] = ()
    by_program: bool = False


Shown = Mapping[str, str]


def moves(printed: Shown, now: Shown) -> list[Move]:
    """The figures whose printed value differs, without causes. Both map a figure's id to what is printed."""
    ids = [*now, *(figure for figure in printed if figure not in now)]
    pairs = ((figure, printed.get(figure), now.get(figure)) for figure in ids)
    return [Move(figure, old, new) for figure, old, new in pairs if old != new]


def traced(
    moved: Sequence[Move], old: Described, new: Described, changes: Sequence[Change], printed: Shown
) -> list[Move]:
    """The moves with their causes. ``printed`` is what the older handbook printed."""
    base = _shown(old)
    if base is None:
        return list(moved)
    alone = {change: _shown(_with(old, new, [change])) for change in changes if change.kind != "known"}
    out = []
    for move in moved:
        causes = _first_of_each(
            change
            for change, shown in alone.items()
            if shown is not None and shown.get(move.figure) != base.get(move.figure)
        )
        by_program = base.get(move.figure) != printed.get(move.figure)
        if not causes and not by_program:
            # What can only be made together (a vessel and its lines) is named together.
            causes = tuple(change for change, shown in alone.items() if shown is None)
        out.append(replace(move, causes=causes, by_program=by_program))
    return out


def _first_of_each(changes: Iterable[Change]) -> tuple[Change, ...]:
    return tuple(dict.fromkeys(changes))


def _shown(side: Described | None) -> dict[str, str] | None:
    """What each figure of a profile prints; None where it gives no figures."""
    if side is None:
        return None
    try:
        plant = Plant(side.profile)
        book = compute(plant, react_pump=react_pump(plant), finish_pump=finish_pump(plant))
    except FillmarkError:
        return None
    return {figure.id: figure.text for figure in book}


def _with(old: Described, new: Described, changes: Iterable[Change]) -> Described | None:
    """The older profile with some of the changes; None where that is no profile."""
    tree = replace(old.tree, data=deepcopy(old.tree.data))
    for change in changes:
        if change.was:
            _put(tree.data, change.was, None)
        _put(tree.data, change.trail, deepcopy(new.tree.at(change.trail)))
    try:
        return described(tree)
    except (KeyError, IndexError, TypeError):
        return None


def _put(data: Any, trail: Trail, value: Any) -> None:
    """Sets what stands at a trail, or takes it out where the value is None."""
    here = data
    for part in trail[:-1]:
        here = here[int(part)] if isinstance(here, list) else here.setdefault(part, {})
    last = trail[-1]
    if isinstance(here, list):
        here[int(last) :] = [] if value is None else [value]
    elif value is None:
        here.pop(last, None)
    else:
        here[last] = value
