"""From a diagram to a layout: order, columns, risers, blocks, tracks, and at last coordinates.

Every net keeps to tracks and columns of its own, so that no line can run along or through anything that is
not its own; where two nets must cross, one does so at a right angle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from generator.handbook.drawing.bands import Band
from generator.handbook.drawing.channels import Meeting, Reach, reaches, tracks
from generator.handbook.drawing.coordinates import Heights, drawn
from generator.handbook.drawing.frames import Frame, vessel_frame
from generator.handbook.drawing.marks_on_lines import crossings
from generator.handbook.drawing.order import Order, best_order, neighbours
from generator.handbook.drawing.parts import Diagram, Item, Nozzle
from generator.handbook.drawing.placed import Layout
from generator.handbook.drawing.rows import PlacedFrame, Riser, row, shifted, taken_from_above

# What a manual's sheet takes, upright and turned, when labels are printed in 7 point.
SHEETS = ((880.0, 1040.0), (1220.0, 620.0))
MOST_ROWS = 4
# Room that the search still finds.
ENOUGH = 0.93
# A crossing is worth a detour of so many units. The search tries fewer layouts the larger they are.
CROSSING, MOST_TRIES = 150.0, 800
# … and so is a vessel that stands left of one that comes before it in the process.
BACKWARDS = 60.0
# Pumps stand low: they go up only where that saves more than one line from rising between the vessels.
LOW, LOW_COST = frozenset(("centrifugal", "gear", "diaphragm")), 1.5
ON_TOP = frozenset(
    ("supply", "condenser", "vacuum_pump", "resin_tower", "adsorbent_tower", "filter", "strainer")
)


def lay_out(diagram: Diagram, sheets: Sequence[tuple[float, float]] = SHEETS) -> Layout:
    """The layout of a diagram in as few rows as print legibly on one of the sheets (width, height)."""
    fewest = max((pin.row or 1 for id_, pin in diagram.pins.items() if _is_vessel(diagram, id_)), default=1)
    most = max(fewest, min(MOST_ROWS, len(diagram.vessels)))
    order = best_order(diagram, fewest)
    first = _Plan(diagram, order).layout()
    for rows in range(fewest + 1, most + 1):
        if scale(first, sheets) >= ENOUGH:
            break
        other = best_order(diagram, rows)
        made = _Plan(diagram, other).layout()
        if scale(made, sheets) > scale(first, sheets):
            order, first = other, made
    return _improved(diagram, order, first)


def _improved(diagram: Diagram, order: Order, best: Layout) -> Layout:
    """A layout with fewer crossings and shorter lines, as far as a short search finds one.

    It tries the places of neighbours exchanged, and each block turned round.
    """
    turned: frozenset[str] = frozenset()
    cost, left = _cost(best, diagram, order), MOST_TRIES // (1 + len(diagram.nozzles))
    for tried_order in neighbours(diagram, order):
        if left <= 0:
            break
        left -= 1
        made = _Plan(diagram, tried_order).layout()
        if (found := _cost(made, diagram, tried_order)) < cost:
            best, cost, order = made, found, tried_order
    for block in diagram.blocks:
        if left <= 0:
            break
        left -= 1
        made = _Plan(diagram, order, turned | {block.id}).layout()
        if (found := _cost(made, diagram, order)) < cost:
            best, cost, turned = made, found, turned | {block.id}
    return best


def _cost(layout: Layout, diagram: Diagram, order: Order) -> float:
    rank = {item.id: index for index, item in enumerate(diagram.vessels)}
    backwards = sum(rank[b] < rank[a] for ids in order for a, b in combinations(ids, 2))
    length = sum(line.long for line in layout.lines)
    return CROSSING * len(list(crossings(layout.lines))) + length + layout.width + BACKWARDS * backwards


def scale(layout: Layout, sheets: Sequence[tuple[float, float]] = SHEETS) -> float:
    """How far a layout can be enlarged on the sheet that suits it best; below 1 its type gets too small."""
    return max(min(width / layout.width, height / layout.height) for width, height in sheets)


def _is_vessel(diagram: Diagram, id_: str) -> bool:
    return any(item.id == id_ for item in diagram.vessels)


@dataclass
class _Plan:
    """A layout in the making: rows are known, everything else follows."""

    diagram: Diagram
    order: Order
    turned: frozenset[str] = frozenset()
    bands: dict[str, int] = field(default_factory=dict)

    @property
    def last(self) -> int:
        """Number of the lowest channel; channel 0 lies over the first row."""
        return len(self.order)

    def layout(self) -> Layout:
        """Everything in its place."""
        self.bands = self._bands()
        rows, risers = self._rows()
        top, bottom = self._blocks(rows, risers)
        meetings = self._meetings(rows, risers, top, bottom)
        found = [reaches(meetings[channel]) for channel in range(self.last + 1)]
        return drawn(rows, risers, top, bottom, found, [tracks(reach) for reach in found])

    # --- which band a block is in

    def _vessel_channels(self) -> dict[str, set[int]]:
        """By net, the channels that it must be in."""
        row_of = {id_: number for number, ids in enumerate(self.order) for id_ in ids}
        found: dict[str, set[int]] = {}
        for nozzle in self.diagram.nozzles:
            if nozzle.net is not None and nozzle.item in row_of:
                found.setdefault(nozzle.net, set()).add(row_of[nozzle.item] + (not _goes_up(nozzle)))
        return found

    def _bands(self) -> dict[str, int]:
        """The channel of each block: the one that needs fewest risers, else where such things belong."""
        channels = self._vessel_channels()
        bands: dict[str, int] = {}
        blocks = self.diagram.blocks
        for item in (*blocks, *blocks):
            nets = [nozzle.net for nozzle in self.diagram.of(item.id) if nozzle.net is not None]
            others = {
                net: channels.get(net, set())
                | {
                    bands[n.item]
                    for n in self.diagram.nozzles
                    if n.net == net and n.item != item.id and n.item in bands
                }
                for net in nets
            }
            pin = self.diagram.pins.get(item.id)
            if pin is not None and pin.row is not None:
                bands[item.id] = 0 if pin.row == 0 else self.last
                continue
            usual = 0 if item.kind in ON_TOP else self.last
            against = LOW_COST if item.kind in LOW else 0.1
            bands[item.id] = min(
                (0, self.last),
                key=lambda at: sum(_off(at, others[net]) for net in nets) + against * (at != usual),
            )
        return bands

    def _net_channels(self) -> dict[str, set[int]]:
        found = self._vessel_channels()
        for nozzle in self.diagram.nozzles:
            if nozzle.net is not None and nozzle.item in self.bands:
                found.setdefault(nozzle.net, set()).add(self.bands[nozzle.item])
        return found

    # --- where things lie, in places of a row, before they have coordinates

    def _places(self) -> dict[str, float]:
        longest = max(len(ids) for ids in self.order)
        places = {
            id_: index + (longest - len(ids)) / 2 for ids in self.order for index, id_ in enumerate(ids)
        }
        by_net: dict[str, list[float]] = {}
        for nozzle in self.diagram.nozzles:
            if nozzle.net is not None and nozzle.item in places:
                by_net.setdefault(nozzle.net, []).append(places[nozzle.item])
        middle = (longest - 1) / 2
        for item in self.diagram.blocks:
            near = [x for n in self.diagram.of(item.id) for x in by_net.get(str(n.net), ())]
            places[item.id] = sum(near) / len(near) if near else middle
        return places

    def _leaning(self) -> dict[tuple[str, str, str], float]:
        """By nozzle, how far to the right of its item the rest of its net lies, in places."""
        places = self._places()
        leaning = {}
        for nozzle in self.diagram.nozzles:
            others = [
                places[n.item]
                for n in self.diagram.nozzles
                if n.net is not None and n.net == nozzle.net and n.item != nozzle.item
            ]
            here = places[nozzle.item]
            leaning[nozzle.key] = sum(others) / len(others) - here if others else 0.0
        return leaning

    # --- rows

    def _rows(self) -> tuple[list[list[PlacedFrame]], list[Riser]]:
        leaning = self._leaning()
        items = {item.id: item for item in self.diagram.items}
        frames = [
            [vessel_frame(items[id_], self.diagram.of(id_), leaning) for id_ in ids] for ids in self.order
        ]
        gaps = self._gaps()
        rows: list[list[PlacedFrame]] = []
        risers: list[Riser] = []
        taken: list[tuple[float, str]] = []
        for number, row_frames in enumerate(frames):
            placed, rising = row(row_frames, gaps[number], number, taken)
            rows.append(placed)
            risers += rising
            taken = taken_from_above(placed, rising)
        return rows, risers

    def _gaps(self) -> list[dict[int, list[str]]]:
        """By row, the nets that rise in each gap (counted by the vessel that follows)."""
        places = self._places()
        gaps: list[dict[int, list[str]]] = [{} for _ in self.order]
        for net, channels in self._net_channels().items():
            for number in range(min(channels), max(channels)):
                ids = self.order[number]
                mine = [places[n.item] for n in self.diagram.nozzles if n.net == net]
                low, high, middle = min(mine), max(mine), sum(mine) / len(mine)
                start = places[ids[0]] - 0.5
                costs = [
                    (
                        max(low - start - gap, start + gap - high, 0.0)
                        + 0.3 * len(gaps[number].get(gap, ())),
                        abs(start + gap - middle),
                    )
                    for gap in range(len(ids) + 1)
                ]
                gaps[number].setdefault(costs.index(min(costs)), []).append(net)
        for row_gaps in gaps:
            for nets in row_gaps.values():
                nets.sort(key=lambda net: (self._mean(net, places), net))
        return gaps

    def _mean(self, net: str, places: Mapping[str, float]) -> float:
        mine = [places[n.item] for n in self.diagram.nozzles if n.net == net]
        return sum(mine) / len(mine)

    # --- blocks

    def _blocks(
        self, rows: Sequence[Sequence[PlacedFrame]], risers: Sequence[Riser]
    ) -> tuple[list[PlacedFrame], list[PlacedFrame]]:
        """Blocks of both bands. A net's lines in the same channel draw a block; else its risers do."""
        bottom_taken = taken_from_above(rows[-1], [r for r in risers if r.row == self.last - 1])
        top_taken = [
            (item.x + column.x, str(column.nozzle.net))
            for item in rows[0]
            for column in item.frame.columns
            if column.upwards and column.nozzle.net is not None
        ] + [(r.x, r.net) for r in risers if r.row == 0]
        bands = {0: Band(False, top_taken, []), self.last: Band(True, bottom_taken, [])}
        wants = {channel: _by_net(band.taken) for channel, band in bands.items()}
        middles = {item.frame.item.id: item.x for placed in rows for item in placed}
        places = self._places()
        blocks = sorted(self.diagram.blocks, key=lambda item: (self._pinned(item), places[item.id], item.id))
        for item in blocks:
            channel = self.bands[item.id]
            nozzles = self.diagram.of(item.id)
            near = [x for n in nozzles for x in wants[channel].get(str(n.net), ())]
            pin = self.diagram.pins.get(item.id)
            if pin is not None:
                xs = sorted(middles.values())
                near = [xs[min(max(pin.column - 1, 0), len(xs) - 1)]]
            x = sum(near) / len(near) if near else 0.0
            bands[channel].put(item, nozzles, {} if pin else wants[channel], x, turned=item.id in self.turned)
            put = bands[channel].placed[-1]
            for column in put.frame.columns:
                wants[channel].setdefault(str(column.nozzle.net), []).append(put.x + column.x)
        return bands[0].placed, bands[self.last].placed

    def _pinned(self, item: Item) -> bool:
        return item.id not in self.diagram.pins

    # --- channels

    def _meetings(
        self,
        rows: Sequence[Sequence[PlacedFrame]],
        risers: Iterable[Riser],
        top: Iterable[PlacedFrame],
        bottom: Iterable[PlacedFrame],
    ) -> list[list[Meeting]]:
        found: list[list[Meeting]] = [[] for _ in range(self.last + 1)]
        for channel, band in ((0, top), (self.last, bottom)):
            for item in band:
                for column in item.frame.columns:
                    if column.nozzle.net is not None:
                        found[channel].append(Meeting(column.nozzle.net, item.x + column.x, channel == 0))
        for number, placed in enumerate(rows):
            for item in placed:
                for column in item.frame.columns:
                    if column.nozzle.net is not None:
                        channel = number + (not column.upwards)
                        found[channel].append(
                            Meeting(column.nozzle.net, item.x + column.x, not column.upwards)
                        )
        for riser in risers:
            found[riser.row].append(Meeting(riser.net, riser.x, False))
            found[riser.row + 1].append(Meeting(riser.net, riser.x, True))
        return found


def _goes_up(nozzle: Nozzle) -> bool:
    return nozzle.side == "top" or (nozzle.side == "side" and nozzle.upwards)


def _off(at: int, channels: set[int]) -> int:
    """How many rows a line has to rise to get to the nearest of the channels."""
    return min((abs(at - channel) for channel in channels), default=0)


def _by_net(taken: Iterable[tuple[float, str]]) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for x, net in taken:
        found.setdefault(net, []).append(x)
    return found


__all__ = ["Frame", "Heights", "Reach", "lay_out", "shifted"]
