"""Lines and hoses as a drawing takes them, and how they become nozzles and nets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from generator.handbook.drawing.parts import Fitting, Flow, Item, Nozzle, Style

OPEN, CUT = "open:", "cut:"


@dataclass(frozen=True)
class Run:
    """A line or hose from ``start`` to its end, or to each of a hose's; fittings stand in that order.

    An end that begins with ``open:`` is a spout; one with ``cut:`` is where the drawing leaves off,
    followed by the label of what comes next.
    """

    id: str
    start: str
    ends: tuple[str, ...]
    fittings: tuple[Fitting, ...] = ()
    style: Style = "pipe"

    @property
    def refs(self) -> tuple[str, ...]:
        return (self.start, *self.ends)


def turned(fittings: Iterable[Fitting]) -> tuple[Fitting, ...]:
    """Fittings seen from the other end."""
    return tuple(replace(fitting, away=not fitting.away) for fitting in reversed(tuple(fittings)))


def owner(ref: str) -> str:
    """The item, tee or supply that an end belongs to."""
    return ref.partition(".")[0]


def loose(ref: str) -> bool:
    """Whether an end belongs to nothing in the drawing."""
    return ref.startswith((OPEN, CUT))


class Joiner:
    """Turns runs into nozzles, nets and the few blocks that only the drawing needs."""

    def __init__(self, tees: Iterable[str], is_vessel: Callable[[str], bool]) -> None:
        self._net: dict[str, str] = {tee: tee for tee in tees}
        self._is_vessel = is_vessel
        self.nozzles: list[Nozzle] = []
        self.items: list[Item] = []

    def add(self, runs: Iterable[Run]) -> None:
        """Take in all runs of a drawing."""
        every = tuple(runs)
        for run in every:
            if self._header_to_header(run) and not run.fittings:
                self._merge(run.start, run.ends[0])
        for run in every:
            if len(run.ends) > 1:
                self._many_ended(run)
            elif run.fittings or not self._header_to_header(run):
                self._plain(run)

    def net_of(self, tee: str) -> str:
        """The net that a tee has become part of."""
        while self._net[tee] != tee:
            tee = self._net[tee]
        return tee

    def _merge(self, one: str, other: str) -> None:
        keep, drop = self.net_of(one), self.net_of(other)
        self._net[drop] = keep

    def _is_tee(self, ref: str) -> bool:
        return ref in self._net

    def _header_to_header(self, run: Run) -> bool:
        return len(run.ends) == 1 and all(self._is_tee(ref) for ref in run.refs)

    def _nozzle(self, run: Run, ref: str, net: str | None, fittings: tuple[Fitting, ...], flow: Flow) -> None:
        item, _, port = ref.partition(".")
        self.nozzles.append(Nozzle(item, port, run.id, net, fittings, run.style, flow))

    def _block(self, run: Run, ref: str, net: str, fittings: tuple[Fitting, ...], flow: Flow) -> None:
        """A block of the drawing's own at the far end of a branch: a spout, or a line that is cut off."""
        kind, _, shown = ref.partition(":")
        id_ = f"{kind}:{run.id}"
        self.items.append(Item(id_, "spout" if kind == "open" else "cut", shown if kind == "cut" else ""))
        self.nozzles.append(Nozzle(id_, "", run.id, net, fittings, run.style, flow))

    def _ended(self, ref: str) -> Fitting:
        if ref.startswith(CUT):
            return Fitting("cut", shown=ref.removeprefix(CUT))
        return Fitting("spout")

    def _plain(self, run: Run) -> None:
        start, end = run.start, run.ends[0]
        if loose(start):
            self._one_sided(run, end, start, turned(run.fittings), "in")
        elif loose(end):
            self._one_sided(run, start, end, run.fittings, "out")
        elif self._is_tee(start) and self._is_tee(end):
            self._joint(run, self.net_of(start), self.net_of(end))
        elif self._is_tee(start):
            self._nozzle(run, end, self.net_of(start), turned(run.fittings), "in")
        elif self._is_tee(end):
            self._nozzle(run, start, self.net_of(end), run.fittings, "out")
        else:
            self._between_items(run, start, end)

    def _one_sided(self, run: Run, near: str, far: str, outwards: tuple[Fitting, ...], flow: Flow) -> None:
        if self._is_tee(near):
            away: Flow = "out" if flow == "in" else "in"
            self._block(run, far, self.net_of(near), turned(outwards), away)
        else:
            self._nozzle(run, near, None, (*outwards, self._ended(far)), flow)

    def _between_items(self, run: Run, start: str, end: str) -> None:
        at_start = run.style == "hose" or self._is_vessel(owner(start)) or not self._is_vessel(owner(end))
        coupled = tuple(f for f in run.fittings if f.kind == "coupling") if at_start else ()
        first = tuple(f for f in run.fittings if f not in coupled) if at_start else ()
        self._nozzle(run, start, run.id, first, "out")
        self._nozzle(run, end, run.id, coupled if at_start else turned(run.fittings), "in")

    def _many_ended(self, run: Run) -> None:
        coupled = tuple(f for f in run.fittings if f.kind == "coupling")
        fixed = tuple(f for f in run.fittings if f.kind != "coupling")
        if self._is_tee(run.start):
            self._joint(replace(run, fittings=fixed), self.net_of(run.start), run.id)
        else:
            self._nozzle(run, run.start, run.id, fixed, "out")
        for end in run.ends:
            self._nozzle(run, end, run.id, coupled, "in")

    def _joint(self, run: Run, one: str, other: str) -> None:
        """Fittings between two headers stand in a block of their own."""
        id_ = f"joint:{run.id}"
        self.items.append(Item(id_, "joint", "", fittings=run.fittings))
        self.nozzles.append(Nozzle(id_, "in", run.id, one, (), "pipe", "in"))
        self.nozzles.append(Nozzle(id_, "out", run.id, other, (), run.style, "out"))


def settled(nozzles: Iterable[Nozzle], sides: Mapping[tuple[str, str], Nozzle]) -> Iterator[Nozzle]:
    """Nozzles with where they stand on their vessel; ``sides`` gives that by vessel and port."""
    for nozzle in nozzles:
        place = sides.get((nozzle.item, nozzle.port))
        if place is None:
            yield nozzle
        else:
            yield replace(nozzle, side=place.side, upwards=place.upwards, height=place.height, dip=place.dip)
