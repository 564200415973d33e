"""The bands over the first and under the last row, where pumps, towers and other blocks find their places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generator.handbook.drawing.frames import Frame, block_frame
from generator.handbook.drawing.parts import Item, Nozzle
from generator.handbook.drawing.rows import PlacedFrame, clear
from generator.handbook.drawing.sizes import Extent

APART = 12.0
STEP = 6.0
REACH = 320.0
# A line that jogs by a hair reads as a mistake: dearer than a short header.
JOG, JOG_COST = 20.0, 24.0


@dataclass
class Band:
    """One band being filled. ``taken`` are the lines that come into its channel from the row's side."""

    upwards: bool
    taken: list[tuple[float, str]]
    placed: list[PlacedFrame]

    def put(
        self,
        item: Item,
        nozzles: Sequence[Nozzle],
        wants: Mapping[str, Sequence[float]],
        x: float,
        *,
        turned: bool = False,
    ) -> None:
        """Place a block near ``x``, where its lines are shortest and nothing is in the way.

        ``wants`` are the places that each net comes from; ``turned`` changes left for right.
        """
        ordered = sorted(nozzles, key=lambda n: (_middle(wants.get(str(n.net), ()), x), n.key))
        if turned:
            ordered.reverse()
        frame = block_frame(item, ordered, self.upwards)
        tried = sorted(
            self._candidates(frame, wants, x), key=lambda at: (self._cost(frame, at, wants, x), at)
        )
        best = next((at for at in tried if self._fits(frame, at)), None)
        if best is None:
            best = x
            while not self._fits(frame, best):
                best += STEP
        self.placed.append(PlacedFrame(frame, best))

    def _candidates(self, frame: Frame, wants: Mapping[str, Sequence[float]], x: float) -> list[float]:
        found = [float(round(x + STEP * k)) for k in range(int(-REACH / STEP), int(REACH / STEP) + 1)]
        straight = [
            want - column.x for column in frame.columns for want in wants.get(str(column.nozzle.net), ())
        ]
        return sorted({*found, *straight})

    def _fits(self, frame: Frame, at: float) -> bool:
        lines = all(
            clear(at + c.x, c.nozzle.net, self.taken) for c in frame.columns if c.nozzle.net is not None
        )
        return lines and not any(_overlap(frame, at, other) for other in self.placed)

    def _cost(self, frame: Frame, at: float, wants: Mapping[str, Sequence[float]], x: float) -> float:
        total = 0.05 * abs(at - x)
        for column in frame.columns:
            places = wants.get(str(column.nozzle.net), ())
            if not places:
                continue
            here = at + column.x
            total += max(min(places) - here, here - max(places), 0.0)
            total += 0.1 * min(abs(here - place) for place in places)
            if any(0 < abs(here - place) < JOG for place in places):
                total += JOG_COST
        return total


def _middle(places: Sequence[float], otherwise: float) -> float:
    return sum(places) / len(places) if places else otherwise


def _overlap(frame: Frame, at: float, other: PlacedFrame) -> bool:
    return any(_meet(frame.room[zone], at, other.frame.room[zone], other.x) for zone in ("columns", "symbol"))


def _meet(one: Extent, at: float, other: Extent, beside: float) -> bool:
    return at - one.left - APART < beside + other.right and beside - other.left - APART < at + one.right
