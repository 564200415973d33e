"""How many batches in what time: stages in a row, each batch held in place until the next vessel is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator.chemistry.ranges import positive, within


@dataclass(frozen=True)
class Stage:
    """One vessel's busy time for one batch; ``vessels`` of them stand side by side.

    A vessel that serves several stages in a row is one stage with the times summed.
    """

    time_s: float
    vessels: int = 1


@dataclass(frozen=True)
class Timetable:
    """Time for one batch, for all of them, from batch to batch in the long run; index of the bottleneck."""

    first_s: float
    all_s: float
    interval_s: float
    bottleneck: int


def timetable(stages: Sequence[Stage], batches: int) -> Timetable:
    """Time that a number of equal batches take.

    Equation: T = sum(d) + (n - 1) max(d) where every stage has one vessel; else the batches are followed one
    by one, each held in its vessel until the next one is free. In the long run one batch each max(d / k).
    Args:
        stages: busy time and number of vessels of each stage, at least one [s and 1, in the field names].
        batches: number of batches [1], 1 to 1000.
    Returns: times and the bottleneck [s, in the field names].
    Source: derived; flow line of identical jobs without buffers.
    """
    positive(count_of_stages=len(stages))
    within("batches", batches, 1, 1000)
    for stage in stages:
        positive(time_s=stage.time_s)
        within("vessels", stage.vessels, 1, 100)
    paces = [stage.time_s / stage.vessels for stage in stages]
    first = sum(stage.time_s for stage in stages)
    return Timetable(first, _last_end_s(stages, batches), max(paces), paces.index(max(paces)))


def _last_end_s(stages: Sequence[Stage], batches: int) -> float:
    """End of the last batch. ``free[s]`` holds when each vessel of stage s is next empty."""
    free = [[0.0] * stage.vessels for stage in stages]
    end = 0.0
    for _ in range(batches):
        ready, held = 0.0, -1
        for index, stage in enumerate(stages):
            vessel = min(range(stage.vessels), key=free[index].__getitem__)
            start = max(ready, free[index][vessel])
            if held >= 0:
                free[index - 1][held] = start
            ready, held = start + stage.time_s, vessel
        free[-1][held] = ready
        end = max(end, ready)
    return end


def batches_in_time(stages: Sequence[Stage], time_s: float) -> int:
    """Whole batches that are finished within a time, starting empty.

    Equation: largest n whose timetable ends in time.
    Args:
        stages: busy time and number of vessels of each stage, at least one [s and 1, in the field names].
        time_s: time [s], above 0, up to a thousand batches.
    Returns: batches [1].
    Source: derived; from the timetable.
    """
    positive(time_s=time_s)
    done = 0
    while done < 1000 and timetable(stages, done + 1).all_s <= time_s * (1.0 + 1e-12):
        done += 1
    return done
