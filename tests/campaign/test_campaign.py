"""Random rigs: none breaks anything, and refusing is no way out. The long run takes as many as asked for."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from tests.campaign.choices import Choices, shrunk
from tests.campaign.run import FEW_BREAKS, outcome

RIGS, ALL_RUNS_EVERY = 300, 15
#: The least share that is issued; the rest is refused for sizes and settings that do not fit.
LEAST_ISSUED = 0.6


def test_a_random_rig_is_refused_with_reasons_or_issued(tmp_path: Path) -> None:
    kinds: Counter[str] = Counter()
    for seed in range(RIGS):
        # Every rig has one batch rehearsed, some of them all runs; the long run has them all.
        result = outcome(Choices(seed=seed), tmp_path, FEW_BREAKS if seed % ALL_RUNS_EVERY == 0 else None)
        assert result.kind != "broken", (seed, result.why)
        kinds[result.kind] += 1
    assert kinds["issued"] >= LEAST_ISSUED * RIGS, kinds


def test_what_fails_is_shrunk_to_what_matters() -> None:
    taken = {"a": 3.0, "b": 0.25, "c": 1.0}
    assert shrunk(taken, lambda given: given["a"] >= 2 and given["c"] == 1) == {"a": 3.0, "c": 1.0}


def test_choices_replay() -> None:
    one = Choices(seed=5)
    drawn = (one.pick("kind", "abc"), one.real("size", 1.0, 2.0))
    again = Choices(given=one.taken)
    assert (again.pick("kind", "abc"), again.real("size", 1.0, 2.0)) == drawn
