"""Choices that make a random rig: drawn from a seed, written down, replayed, shrunk to the simplest."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

T = TypeVar("T")


@dataclass
class Choices:
    """Each choice has a name; ``taken`` holds what was chosen: an index or an
    offset in a range, 0 the simplest.

    What is not in ``given`` is drawn from the seed, or is the simplest where there is no seed.
    """

    seed: int | None = None
    given: Mapping[str, float] = field(default_factory=dict)
    taken: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)  # noqa: S311 - no secret is made here

    def pick(self, name: str, options: Sequence[T]) -> T:
        """One of the options, the simplest first."""
        drawn = self._random.randrange(len(options)) if self.seed is not None else 0
        index = int(self.given.get(name, drawn))
        self.taken[name] = index
        return options[min(index, len(options) - 1)]

    def real(self, name: str, low: float, high: float) -> float:
        """A number of the range; the simplest is its middle."""
        drawn = self._random.random() - 0.5 if self.seed is not None else 0.0
        offset = self.given.get(name, drawn)
        self.taken[name] = offset
        return low + (high - low) * (0.5 + offset)


def shrunk(taken: Mapping[str, float], fails: Callable[[Mapping[str, float]], bool]) -> dict[str, float]:
    """The simplest choices that still fail: each is set to its simplest while that changes anything."""
    now, again = dict(taken), True
    while again:
        again = False
        for name in sorted(now):
            if now[name] != 0 and fails({**now, name: 0}):
                now[name], again = 0, True
    return {name: value for name, value in now.items() if value}
