"""Which vessel stands where: rows and their order, for short headers and a batch that reads left to right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations

from generator.handbook.drawing.parts import Diagram

Order = tuple[tuple[str, ...], ...]

ROW_COST = 2.5
# How much a step against the process costs beside one place's length of line.
AGAINST = 0.12
MOST_PASSES = 3


@dataclass(frozen=True)
class Ties:
    """What pulls vessels together: nets by the vessels they reach, machines' nets taken as one."""

    diagram: Diagram
    _done: dict[Order, float] = field(default_factory=dict)

    @cached_property
    def pulls(self) -> list[tuple[str, ...]]:
        """Groups of vessels, one a net, and one for each machine that joins nets."""
        vessels = {item.id for item in self.diagram.vessels}
        by_net: dict[str, dict[str, None]] = {}
        by_block: dict[str, dict[str, None]] = {}
        for nozzle in self.diagram.nozzles:
            if nozzle.net is None:
                continue
            if nozzle.item in vessels:
                by_net.setdefault(nozzle.net, {})[nozzle.item] = None
            else:
                by_block.setdefault(nozzle.item, {})[nozzle.net] = None
        groups = [tuple(group) for group in by_net.values()]
        groups += [
            tuple(dict.fromkeys(v for net in nets for v in by_net.get(net, ()))) for nets in by_block.values()
        ]
        return [group for group in groups if len(group) > 1]

    def cost(self, order: Order) -> float:
        """Length of all groups plus steps against the process, in places."""
        if order not in self._done:
            self._done[order] = self._cost(order)
        return self._done[order]

    def _cost(self, order: Order) -> float:
        longest = max(len(row) for row in order)
        place = {
            id_: (row, index + (longest - len(ids)) / 2)
            for row, ids in enumerate(order)
            for index, id_ in enumerate(ids)
        }
        total = 0.0
        for group in self.pulls:
            spots = [place[id_] for id_ in group]
            rows, columns = zip(*spots, strict=True)
            total += max(columns) - min(columns) + ROW_COST * (max(rows) - min(rows))
        rank = self._rank
        for ids in order:
            ranks = [rank[id_] for id_ in ids]
            total += AGAINST * sum(b < a for a, b in combinations(ranks, 2))
        return total

    @cached_property
    def _rank(self) -> Mapping[str, int]:
        return {item.id: index for index, item in enumerate(self.diagram.vessels)}


def best_order(diagram: Diagram, rows: int) -> Order:
    """Vessels in so many rows, from the order of the process by exchanging two as long as that helps.

    Pinned vessels stay where their owner put them.
    """
    ties = Ties(diagram)
    order, fixed = _start(diagram, rows)
    best = ties.cost(order)
    places = [(r, c) for r, row in enumerate(order) for c in range(len(row))]
    for _ in range(MOST_PASSES):
        before = best
        for one, other in combinations(places, 2):
            for tried in (_exchanged(order, one, other, fixed), _moved(order, one, other, fixed)):
                if tried is not None and (cost := ties.cost(tried)) < best - 1e-9:
                    order, best = tried, cost
        if best == before:
            break
    return order


def _exchanged(
    order: Order, one: tuple[int, int], other: tuple[int, int], fixed: frozenset[str]
) -> Order | None:
    a, b = order[one[0]][one[1]], order[other[0]][other[1]]
    if a in fixed or b in fixed:
        return None
    changed = [list(row) for row in order]
    changed[one[0]][one[1]], changed[other[0]][other[1]] = b, a
    return tuple(tuple(row) for row in changed)


def _moved(order: Order, one: tuple[int, int], other: tuple[int, int], fixed: frozenset[str]) -> Order | None:
    """The first taken out and put in at the second's place in the same row."""
    row = list(order[one[0]])
    if one[0] != other[0] or other[1] - one[1] < 2 or fixed & set(row):
        return None
    row.insert(other[1], row.pop(one[1]))
    return (*order[: one[0]], tuple(row), *order[one[0] + 1 :])


def neighbours(diagram: Diagram, order: Order) -> Sequence[Order]:
    """Orders in which two vessels side by side, or one over the other, have changed places."""
    fixed = frozenset(diagram.pins)
    found = []
    for r, row in enumerate(order):
        for c in range(len(row)):
            for other in ((r, c + 1), (r + 1, c)):
                if other[0] < len(order) and other[1] < len(order[other[0]]):
                    exchanged = _exchanged(order, (r, c), other, fixed)
                    if exchanged is not None:
                        found.append(exchanged)
    return found


def _start(diagram: Diagram, rows: int) -> tuple[Order, frozenset[str]]:
    """The order of the process cut into rows of like width, pinned vessels in their places."""
    pins = {item.id: diagram.pins[item.id] for item in diagram.vessels if item.id in diagram.pins}
    filled: list[list[str]] = [[] for _ in range(rows)]
    free = [item for item in diagram.vessels if item.id not in pins]
    for id_, pin in pins.items():
        filled[min(max((pin.row or 1) - 1, 0), rows - 1)].append(id_)
    most = -(-len(diagram.vessels) // rows)
    row = 0
    for item in free:
        while row < rows - 1 and len(filled[row]) >= most:
            row += 1
        filled[row].append(item.id)
    for ids in filled:
        pinned = sorted((id_ for id_ in ids if id_ in pins), key=lambda id_: pins[id_].column)
        rest = [id_ for id_ in ids if id_ not in pins]
        for id_ in pinned:
            rest.insert(max(pins[id_].column - 1, 0), id_)
        ids[:] = rest
    return tuple(tuple(ids) for ids in filled if ids), frozenset(pins)
