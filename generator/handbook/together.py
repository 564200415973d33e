"""Which stages of two batches may run at the same time: by the vessels and the pumps that they use."""

from __future__ import annotations

from itertools import combinations

from generator.handbook.book import Book
from generator.handbook.marks import tag
from generator.handbook.render import interface
from generator.handbook.tables import Table, table
from generator.plant.plant import Tank

STAGES = ("dry", "react", "settle", "strip", "wash")


def together(book: Book) -> Table:
    """Every pair of stages; no row where one vessel does them all."""
    words, names = interface()["together"], interface()["kinds"]["role"]
    stages = [(role, tank) for role in STAGES if (tank := book.plant.with_role(role)) is not None]
    rows = []
    for (one, first), (other, second) in combinations(stages, 2):
        labels = tag(first.label), tag(second.label)
        if first.id == second.id:
            answer = words["one_vessel"].format(vessel=labels[0])
        else:
            shared = [pump for pump in _pumps(book, first) if pump in _pumps(book, second)]
            pumps = " ".join(tag(book.plant.label(pump)) for pump in shared)
            answer = words["turns"].format(pump=pumps) if shared else words["yes"]
        pair = words["pair"].format(one=names[one], first=labels[0], other=names[other], second=labels[1])
        rows.append((pair, answer))
    several = len({tank.id for _, tank in stages}) > 1
    return table("together", rows if several else [])


def _pumps(book: Book, tank: Tank) -> list[str]:
    """Pumps that move liquid into, out of or around a vessel, in any line-up."""
    pumps = (
        line_up.pump
        for line_up in book.line_ups.values()
        if line_up.pump and any(tank.id in (s.source, s.destination) for s in line_up.streams)
    )
    return list(dict.fromkeys(pumps))
