"""Levels and temperatures of the vessels over the rehearsed batch, drawn as strips over one axis of time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from generator import quantities
from generator.handbook.book import Book
from generator.handbook.marks import clean
from generator.handbook.rehearsal_words import words
from generator.plant.plant import Tank
from generator.rehearsal.checks import has_ceiling
from generator.rehearsal.run import Moment
from generator.rehearsal.state import State

Kind = Literal["levels", "temperatures"]
# Drawing units are px at 96 to the inch: the width of a printed page, words to both sides of the strips.
WIDTH, LEFT, RIGHT, TOP, AXIS = 640.0, 124.0, 136.0, 24.0, 34.0
HIGH: Final = {"levels": 36.0, "temperatures": 54.0}
GAP, APART, LINE = 14.0, 22.0, 15.0
HOUR_S: Final = 3600.0
#: Letters of a label and of a name beside a strip; pages that list the vessels give the rest.
LABEL, NAME = 15, 21
#: Hours between two ticks: the first that gives no more than so many.
TICKS: Final = ((1, 2, 3, 6, 12, 24, 48), 12)
#: What a vessel gains or loses in a day before it is drawn, and holds before it has a temperature: share of
#: its capacity.
MOVES, HOLDS = 0.01, 0.01
#: Room over the highest temperature of a strip, K.
HEADROOM_K: Final = 5.0


@dataclass(frozen=True)
class Said:
    """A word beside a strip, where its base line stands."""

    text: str
    x: float
    y: float
    strong: bool = False


@dataclass(frozen=True)
class Strip:
    """One vessel: paths of its frame, of what it holds, of the line over that, and of its limit."""

    frame: str
    area: str
    line: str
    limit: str
    said: tuple[Said, ...]


@dataclass(frozen=True)
class Day:
    """A plot with all its coordinates, ready for the template; ``described`` is its text alternative."""

    kind: Kind
    title: str
    described: str
    width: float
    height: float
    strips: tuple[Strip, ...]
    grid: str
    hours: tuple[Said, ...]
    begun: tuple[Said, ...]


@dataclass(frozen=True)
class Peak:
    """The most a vessel held and its hottest while it held something; times since the start."""

    tank: Tank
    volume_m3: float
    volume_at_s: float
    hottest_c: float
    hottest_at_s: float


def peaks(book: Book) -> list[Peak]:
    """Of each vessel that the batch fills or empties."""
    return [_peak(book, tank) for tank in _moving(book)]


def peak_text(book: Book, value: float, quantity: str) -> str:
    """A peak rounded down as its limit is, so that one which just reaches it never reads as above it."""
    return quantities.show(value, quantity, units=book.profile.units, rounding="maximum").text


def _batch(book: Book) -> Sequence[Moment]:
    return book.report.batch if book.report else ()


def _moving(book: Book) -> list[Tank]:
    found = []
    for tank in book.plant.tanks.values():
        volumes = [moment.state.volume_m3(tank.id) for moment in _batch(book)]
        if volumes and max(volumes) - min(volumes) > MOVES * tank.capacity_m3:
            found.append(tank)
    return found


def _peak(book: Book, tank: Tank) -> Peak:
    states = [moment.state for moment in _batch(book)]
    fullest = max(states, key=lambda state: state.volume_m3(tank.id))
    holding = [state for state in states if _holds(tank, state.volume_m3(tank.id))] or [fullest]
    hottest = max(holding, key=lambda state: state.contents[tank.id].temperature_c)
    return Peak(
        tank,
        fullest.volume_m3(tank.id),
        fullest.time_s,
        hottest.contents[tank.id].temperature_c,
        hottest.time_s,
    )


def _holds(tank: Tank, volume_m3: float) -> bool:
    return volume_m3 > HOLDS * tank.capacity_m3


def day(book: Book, kind: Kind) -> Day | None:
    """The plot of a kind; None where nothing was rehearsed. Temperatures are those of heated vessels."""
    some = [peak for peak in peaks(book) if kind == "levels" or peak.tank.vessel.heaters]
    if not some:
        return None
    plot = _Plot(book, kind)
    strips = [plot.strip(peak, at) for at, peak in enumerate(some)]
    texts = words()["plot"]
    told = "; ".join(plot.described(peak) for peak in some)
    bottom = TOP + len(some) * (HIGH[kind] + GAP)
    hours = tuple(plot.hours(bottom))
    return Day(
        kind,
        texts[kind]["title"],
        f"{texts[kind]['described']} {told}.",
        WIDTH,
        bottom + AXIS,
        tuple(strips),
        "".join(f"M{said.x} {TOP}V{bottom:.1f}" for said in hours[:-1]),
        hours,
        tuple(plot.begun()),
    )


class _Plot:
    """Coordinates of one kind of plot."""

    def __init__(self, book: Book, kind: Kind) -> None:
        self.book, self.kind, self.texts = book, kind, words()["plot"]
        self.end_s = max(_batch(book)[-1].state.time_s, HOUR_S)
        self.ceiling = book.figures["ceiling"]
        self.right = WIDTH - RIGHT

    def x(self, time_s: float) -> float:
        return round(LEFT + (self.right - LEFT) * time_s / self.end_s, 1)

    def shown(self, value: float, quantity: str) -> str:
        return peak_text(self.book, value, quantity)

    def time(self, time_s: float) -> str:
        return str(self.texts["hours"].format(hours=f"{time_s / HOUR_S:.0f}"))

    def strip(self, peak: Peak, at: int) -> Strip:
        """The ``at``-th strip from the top."""
        base = TOP + at * (HIGH[self.kind] + GAP) + GAP + HIGH[self.kind]
        top = base - HIGH[self.kind]
        frame = f"M{LEFT} {top:.1f}V{base:.1f}H{self.right}"
        left = [
            Said(_short(peak.tank.label, LABEL), 0.0, top + LINE - 3, strong=True),
            Said(_short(peak.tank.vessel.name, NAME), 0.0, top + 2 * LINE - 3),
        ]
        if self.kind == "levels":
            return self._level(peak, frame, top, base, left)
        return self._temperature(peak, frame, top, base, left)

    def _level(self, peak: Peak, frame: str, top: float, base: float, left: list[Said]) -> Strip:
        tank = peak.tank
        scale = (base - top) / tank.shape.inside_height_m
        points = [
            (self.x(moment.state.time_s), round(base - self._level_m(tank, moment) * scale, 1))
            for moment in _batch(self.book)
        ]
        line = _path(points)
        limit_y = round(base - tank.shape.level_at(tank.limit_m3) * scale, 1)
        most = self.texts["levels"]["most"].format(volume=self.shown(peak.volume_m3, "volume"))
        limit = self.texts["levels"]["limit"].format(volume=self._limit(tank))
        return Strip(
            frame,
            f"{line}V{base:.1f}H{points[0][0]}Z",
            line,
            f"M{LEFT} {limit_y}H{self.right + 8}",
            (*left, *self._beside(limit, limit_y, most, base)),
        )

    def _limit(self, tank: Tank) -> str:
        figure = self.book.figures.get(f"{tank.id}.fill_limit")
        if figure is not None:
            return figure.text
        return peak_text(self.book, tank.limit_m3, "volume")

    def _level_m(self, tank: Tank, moment: Moment) -> float:
        return tank.shape.level_at(min(moment.state.volume_m3(tank.id), tank.shape.capacity_m3()))

    def _temperature(self, peak: Peak, frame: str, top: float, base: float, left: list[Said]) -> Strip:
        low_c = self.book.model.ambient_c - HEADROOM_K
        high_c = max(peak.hottest_c, self.ceiling.value) + HEADROOM_K
        scale = (base - top) / (high_c - low_c)
        states = [moment.state for moment in _batch(self.book)]
        held = [state if _holds(peak.tank, state.volume_m3(peak.tank.id)) else None for state in states]
        with_methanol = [
            state if state and has_ceiling(self.book.model, state, peak.tank.id) else None for state in held
        ]

        def y(temperature_c: float) -> float:
            return round(base - (temperature_c - low_c) * scale, 1)

        line = self._pieces(held, lambda state: y(state.contents[peak.tank.id].temperature_c))
        ceiling_y = y(self.ceiling.value)
        ceiling = self._pieces(with_methanol, lambda _: ceiling_y)
        hottest = self.shown(peak.hottest_c, "temperature")
        most = self.texts["temperatures"]["most"].format(temperature=hottest)
        limit = self.texts["temperatures"]["limit"].format(temperature=self.ceiling.text)
        if not ceiling:
            said = [Said(most, self.right + 12, top + LINE)]
        else:
            ceiling += f"M{self.right} {ceiling_y}h8"
            said = list(self._beside(limit, ceiling_y, most, base))
        return Strip(frame, "", line, ceiling, (*left, *said))

    def _pieces(self, states: Sequence[State | None], y: Callable[[State], float]) -> str:
        """A line that breaks off where there is no state."""
        pieces: list[list[tuple[float, float]]] = [[]]
        for state in states:
            if state is None:
                pieces.append([])
            else:
                pieces[-1].append((self.x(state.time_s), y(state)))
        return "".join(_path(piece) for piece in pieces if len(piece) > 1)

    def _beside(self, limit: str, limit_y: float, most: str, base: float) -> Iterator[Said]:
        """The limit's words at its line, those of the peak where they leave them room."""
        x, half = self.right + 12, LINE / 3
        yield Said(limit, x, round(limit_y + half, 1), strong=True)
        below = limit_y + half + LINE
        yield Said(most, x, round(below if below <= base + half else limit_y + half - LINE, 1))

    def described(self, peak: Peak) -> str:
        """One vessel's strip in words."""
        tank, texts = peak.tank, self.texts[self.kind]
        return str(
            texts["one"].format(
                vessel=clean(tank.label),
                most=self.shown(peak.volume_m3, "volume"),
                volume_at=self.time(peak.volume_at_s),
                limit=self._limit(tank),
                hottest=self.shown(peak.hottest_c, "temperature"),
                hottest_at=self.time(peak.hottest_at_s),
                ceiling=self.ceiling.text,
            )
        )

    def hours(self, bottom: float) -> Iterator[Said]:
        """Ticks of the axis, then its name."""
        steps, most = TICKS
        step = next((step for step in steps if self.end_s / HOUR_S / step <= most), steps[-1])
        y = bottom + LINE + 2
        for hour in range(0, int(self.end_s / HOUR_S) + 1, step):
            yield Said(str(hour), self.x(hour * HOUR_S), y)
        yield Said(self.texts["axis"], self.right + 12, y)

    def begun(self) -> Iterator[Said]:
        """Numbers of the procedures where each begins, those left out that would run into one another."""
        last, at = "", -APART
        for moment in _batch(self.book):
            x = self.x(moment.state.time_s)
            if moment.procedure.number != last and x - at >= APART:
                at = x
                yield Said(moment.procedure.number, x, TOP - 8)
            last = moment.procedure.number


def _short(text: str, most: int) -> str:
    text = clean(text)
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _path(points: Sequence[tuple[float, float]]) -> str:
    """A line through points, those on the way of a straight one left out."""
    kept: list[tuple[float, float]] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and kept[-2][1] == kept[-1][1] == point[1]:
            kept.pop()
        if len(kept) > 1 and kept[-2][0] == kept[-1][0] == point[0]:
            kept.pop()
        kept.append(point)
    return f"M{kept[0][0]} {kept[0][1]}" + "".join(f"L{x} {y}" for x, y in kept[1:])
