"""What the rehearsal page prints: the runs, what did not hold, peaks of the day, what may run together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from generator.handbook.book import Book
from generator.handbook.card_lineup import transfer
from generator.handbook.day_plot import Day, day, peak_text, peaks
from generator.handbook.desk import Desk
from generator.handbook.heater_state import heater_lines
from generator.handbook.marks import tag, valued
from generator.handbook.rehearsal_words import words
from generator.handbook.tables import Table, table
from generator.handbook.wiring import title
from generator.handbook.wrong_valve import place
from generator.rehearsal.stages import StagePair
from generator.review.finding import Finding
from generator.review.rehearsed import BREAK, RULES, findings, run_title

HOUR_S: Final = 3600.0


@dataclass(frozen=True)
class Rehearsed:
    """``broken_at`` are the steps after which the batch was broken off; ``unheld`` what did not hold."""

    runs: tuple[str, ...]
    broken_at: tuple[str, ...]
    unheld: tuple[Finding, ...]
    levels: Day | None
    temperatures: Day | None
    peaks: Table
    together: Table
    stages: Table


def rehearsed(book: Book) -> Rehearsed | None:
    """What was rehearsed; None where the review stops the plant before it."""
    if book.report is None:
        return None
    runs = book.report.runs
    return Rehearsed(
        tuple(run_title(run) for run in runs if not run.startswith(BREAK)),
        tuple(run.removeprefix(BREAK) for run in runs if run.startswith(BREAK)),
        tuple(finding for finding in book.findings if finding.rule.startswith(RULES)),
        day(book, "levels"),
        day(book, "temperatures"),
        peaks_table(book),
        together_table(book),
        stages_table(book),
    )


def peaks_table(book: Book) -> Table:
    """The plots in figures: the fullest and the hottest of each vessel, and when."""
    hours = words()["plot"]["after"]

    def when(time_s: float) -> str:
        return str(hours.format(hours=f"{time_s / HOUR_S:.1f}"))

    rows = (
        (
            tag(peak.tank.label),
            peak_text(book, peak.volume_m3, "volume"),
            when(peak.volume_at_s),
            valued(book.figures.get(f"{peak.tank.id}.fill_limit")),
            peak_text(book, peak.hottest_c, "temperature"),
            when(peak.hottest_at_s),
        )
        for peak in peaks(book)
    )
    return table("day_peaks", rows)


def together_table(book: Book) -> Table:
    """For each transfer, those that may run beside it and those that may not, with the reason."""
    named = _names(book)
    rows = ((name, _allowed(book, one, named), _refused(book, one, named)) for one, name in named.items())
    return table("together", rows if len(named) > 1 else ())


def _names(book: Book) -> dict[str, str]:
    """What each transfer's card is called; two of one name are told apart by their ends."""
    desk = Desk(book)
    called = {id_: str(transfer(desk, line_up)["what"]) for id_, line_up in book.line_ups.items()}
    twice = {name for name in called.values() if list(called.values()).count(name) > 1}
    return {
        id_: f"{name}: {title(book, book.line_ups[id_])}" if name in twice else name
        for id_, name in called.items()
    }


def _beside(book: Book, one: str) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Every other line-up with reason and parts."""
    for pair in book.together:
        if one in (pair.one, pair.other):
            yield pair.other if pair.one == one else pair.one, pair.reason, pair.parts


def _allowed(book: Book, one: str, named: dict[str, str]) -> str:
    """Those that may run beside it; last those of which one card locks a heater that the other lets heat."""
    grouped: dict[str, list[str]] = {}
    for other, reason, _ in _beside(book, one):
        if not reason:
            grouped.setdefault(_cold(book, one, other), []).append(named[other])
    free = "; ".join(grouped.pop("", ()))
    texts = words()["together"]["cold"]
    cold = [texts.format(heaters=heaters, others="; ".join(others)) for heaters, others in grouped.items()]
    return " ".join([f"{free}." if free and cold else free, *cold]).strip()


def _cold(book: Book, one: str, other: str) -> str:
    """Labels of the heaters that one of two transfers allows to be on and the other wants off and locked."""
    desk = Desk(book)
    lines = [heater_lines(desk, book.line_ups[id_]) for id_ in (one, other)]
    on, locked = (
        [{heater for line in its if line.state == state for heater in line.heaters} for its in lines]
        for state in ("allowed", "locked")
    )
    clash = (on[0] & locked[1]) | (on[1] & locked[0])
    return " ".join(desk.tag(heater) for heater in sorted(clash))


def _refused(book: Book, one: str, named: dict[str, str]) -> str:
    grouped: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for other, reason, parts in _beside(book, one):
        if reason:
            grouped.setdefault((reason, parts), []).append(named[other])
    texts = words()["together"]
    return " ".join(
        texts[reason].format(parts=", ".join(place(book, part) for part in parts), others="; ".join(others))
        for (reason, parts), others in grouped.items()
    )


def stages_table(book: Book) -> Table:
    """Whether a second batch may begin while one waits in a later stage; empty where one vessel does all."""
    texts, pairs = words()["stages"], book.report.stages if book.report else ()
    if len({pair.vessels for pair in pairs}) == 1 and all(pair.vessels for pair in pairs):
        pairs = ()
    rows = (
        (
            texts[pair.held],
            texts[pair.run],
            words()["together"]["yes" if pair.allowed else "no"],
            _why(book, pair),
        )
        for pair in pairs
    )
    return table("stages", rows)


def _why(book: Book, pair: StagePair) -> str:
    if pair.vessels:
        parts = ", ".join(tag(book.plant.label(vessel)) for vessel in pair.vessels)
        return str(words()["together"]["both_need"].format(parts=parts))
    found = findings(book.loaded, book.plant, book.procedures, pair.violations[:1])
    return found[0].what if found else ""
