"""Headers between the rows: each net gets its own track in a channel, in the order that crosses least."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

TRACK = 13.0
APART = 16.0
MOST_ROUNDS = 12


@dataclass(frozen=True)
class Meeting:
    """A net's line that comes into a channel from above or from below at ``x``."""

    net: str
    x: float
    from_above: bool


@dataclass(frozen=True)
class Reach:
    """What a net has in one channel."""

    net: str
    above: tuple[float, ...]
    below: tuple[float, ...]

    @property
    def low(self) -> float:
        return min((*self.above, *self.below))

    @property
    def high(self) -> float:
        return max((*self.above, *self.below))

    @property
    def straight(self) -> bool:
        """Whether it runs through without a header."""
        return self.low == self.high


def reaches(meetings: Sequence[Meeting]) -> list[Reach]:
    """A channel's meetings by net, in the order in which they come."""
    by_net: dict[str, list[Meeting]] = {}
    for meeting in meetings:
        by_net.setdefault(meeting.net, []).append(meeting)
    return [
        Reach(
            net,
            tuple(m.x for m in found if m.from_above),
            tuple(m.x for m in found if not m.from_above),
        )
        for net, found in by_net.items()
    ]


def _over(upper: Reach, lower: Reach) -> int:
    """Crossings between two nets when the first has the upper track."""
    down = sum(lower.low < x < lower.high for x in upper.below)
    up = sum(upper.low < x < upper.high for x in lower.above)
    return down + up


def tracks(found: Sequence[Reach]) -> dict[str, int]:
    """Track of each net from the top down, for fewest crossings, then fewest tracks; straight ones: none."""
    headers = [reach for reach in found if not reach.straight]
    cost = {(a.net, b.net): _over(a, b) for a in headers for b in headers if a is not b}
    order = _ordered(headers, cost)
    placed: dict[str, int] = {}
    for index, reach in enumerate(order):
        below = [placed[o.net] + 1 for o in order[:index] if _meet(o, reach)]
        placed[reach.net] = max(below, default=0)
    return _lifted(order, placed)


def _meet(a: Reach, b: Reach) -> bool:
    return a.low - APART < b.high and b.low - APART < a.high


def _ordered(headers: list[Reach], cost: Mapping[tuple[str, str], int]) -> list[Reach]:
    """Each header in turn put where it crosses least, until nothing moves."""

    def at(order: list[Reach], index: int, reach: Reach) -> int:
        before = sum(cost[o.net, reach.net] for o in order[:index])
        return before + sum(cost[reach.net, o.net] for o in order[index:])

    order: list[Reach] = []
    for reach in sorted(headers, key=lambda r: (r.low - r.high, r.net)):
        best = min(range(len(order) + 1), key=lambda i: (at(order, i, reach), i))
        order.insert(best, reach)
    for _ in range(MOST_ROUNDS):
        moved = False
        for reach in list(order):
            now = order.index(reach)
            rest = [o for o in order if o is not reach]
            best = min(range(len(rest) + 1), key=lambda i: (at(rest, i, reach), abs(i - now)))
            if at(rest, best, reach) < at(rest, now, reach):
                rest.insert(best, reach)
                order, moved = rest, True
        if not moved:
            break
    return order


def _lifted(order: Sequence[Reach], placed: dict[str, int]) -> dict[str, int]:
    """Headers whose lines all come from below sink to the lowest track that keeps the order."""
    lowest = max(placed.values(), default=0)
    for index in range(len(order) - 1, -1, -1):
        reach = order[index]
        if len(reach.below) > len(reach.above):
            above = [placed[o.net] - 1 for o in order[index + 1 :] if _meet(o, reach)]
            placed[reach.net] = max(placed[reach.net], min(above, default=lowest))
    return placed
