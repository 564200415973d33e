"""The batch run card: the batch's procedures as short lines with tick boxes, split at pause points."""

from __future__ import annotations

from dataclasses import dataclass

from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import locked_lines
from generator.operations.steps import Procedure


@dataclass(frozen=True)
class RunLine:
    """One procedure on the run card: number, title and its key numbers."""

    number: str
    title: str
    numbers: tuple[str, ...]
    hold: bool


@dataclass(frozen=True)
class RunGroup:
    """Lines under a heading; one that ``goes_on`` shows its heading only where it begins a sheet."""

    heading: str
    lines: tuple[RunLine, ...]
    goes_on: bool = False


def run_cards(book: Book) -> list[Card]:
    """One card or several, each within the number of lines that its paper takes; none without procedures."""
    texts = words()["run"]
    most = int(texts["most_lines"][book.profile.paper.cards])
    desks, together = Desk(book), int(texts["together"][book.profile.paper.cards])
    groups = [
        RunGroup(
            texts["goes_on"].format(group=texts["group"][group]) if n else texts["group"][group],
            tuple(chunk),
            goes_on=n > 0,
        )
        for group in ("run", "finish")
        for n, chunk in enumerate(
            _chunks([_line(desks, p) for p in book.by_group(group) if p.unused is None], together)
        )
    ]
    loads = _packed(groups, most)
    return [_card(book, load, n, len(loads)) for n, load in enumerate(loads, start=1)]


def _line(desk: Desk, procedure: Procedure) -> RunLine:
    given = words()["run"]["numbers"].get(procedure.id, ())
    values = [
        (entry["word"], desk.value(entry["figure"]))
        for entry in given
        if not desk.has(entry.get("unless", ""))
    ]
    numbers = tuple(f"{word} {value}".strip() for word, value in values if value)
    return RunLine(procedure.number, procedure.title, numbers, any(step.hold for step in procedure.steps))


def _chunks(lines: list[RunLine], most: int) -> list[list[RunLine]]:
    count = -(-len(lines) // most)
    each = -(-len(lines) // count) if count else 1
    return [lines[n : n + each] for n in range(0, len(lines), each)]


def _packed(groups: list[RunGroup], most: int) -> list[list[RunGroup]]:
    """Groups onto cards: at most ``most`` lines a card."""
    loads: list[list[RunGroup]] = []
    for group in groups:
        fits = loads and sum(len(g.lines) for g in loads[-1]) + len(group.lines) <= most
        if fits:
            loads[-1].append(group)
        else:
            loads.append([group])
    return loads


def _card(book: Book, load: list[RunGroup], n: int, of: int) -> Card:
    texts = words()["run"]
    desk = Desk(book)
    for group in load:  # so that the card knows the figures on it
        numbers = {line.number for line in group.lines}
        for procedure in book.procedures:
            if procedure.number in numbers:
                _line(desk, procedure)
    procedures = _numbers([line.number for group in load for line in group.lines])
    title = texts["title"] if of == 1 else f"{texts['title']} {procedures}"
    return build(
        desk,
        "run",
        "batch-run" if of == 1 else f"batch-run-{n}",
        title,
        locked_lines(desk, "run"),
        Body("run", load, {"ends": texts["end"]}),
        Filing(
            words()["posted"]["run"],
            procedure=procedures,
        ),
    )


def _numbers(numbers: list[str]) -> str:
    """Numbers of procedures for the foot, runs of them as first and last: ``21–28, 41``."""
    runs: list[list[str]] = []
    for number in numbers:
        follows = runs and number.isdigit() and runs[-1][-1].isdigit()
        if follows and int(number) == int(runs[-1][-1]) + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        run[0] if len(run) == 1 else f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs
    )
