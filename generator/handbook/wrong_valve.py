"""The wrong-valve table of a line-up in words, and the worst of it for its card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from generator.handbook.book import Book
from generator.handbook.marks import clean, tag
from generator.handbook.rehearsal_words import words
from generator.handbook.render import interface
from generator.handbook.tables import Table, table
from generator.rehearsal.wrong_valve import HARMS, SEVERITIES, Harm, Pair, Severity, WrongValve

#: Rows of a card: more than these nobody reads before a transfer.
MOST_ON_CARD: Final = 3


@dataclass(frozen=True)
class Wrong:
    """A valve left in a wrong position, with the pump running and standing taken together.

    ``by_itself``: liquid goes astray although the pump stands; False where the line-up has none.
    """

    valve: str
    position: str
    goes: tuple[Pair, ...]
    lost: tuple[Pair, ...]
    pump: str
    harms: tuple[Harm, ...]
    severity: Severity
    by_itself: bool

    @property
    def rank(self) -> tuple[int, int]:
        """Worst first."""
        worst = min((HARMS.index(harm.rule) for harm in self.harms), default=len(HARMS))
        return SEVERITIES.index(self.severity), worst


def wrongs(book: Book, line_up_id: str) -> list[Wrong]:
    """Every valve that matters to a line-up, worst first, else in the profile's order."""
    rows: dict[Pair, list[WrongValve]] = {}
    for row in book.wrong_valves:
        if row.line_up == line_up_id:
            rows.setdefault((row.valve, row.position), []).append(row)
    return sorted((_merged(same) for same in rows.values()), key=lambda wrong: wrong.rank)


def _merged(rows: list[WrongValve]) -> Wrong:
    """One row of those with the pump on and off; the pump's own trouble shows while it runs only."""
    first = rows[0]
    return Wrong(
        first.valve,
        first.position,
        tuple(dict.fromkeys(pair for row in rows for pair in row.goes)),
        tuple(dict.fromkeys(pair for row in rows for pair in row.lost)),
        next((row.pump for row in rows if row.pump), ""),
        tuple(dict.fromkeys(harm for row in rows for harm in row.harms)),
        min((row.severity for row in rows), key=SEVERITIES.index),
        any(row.running for row in rows) and any(row.goes for row in rows if not row.running),
    )


def wrong_table(book: Book, line_up_id: str) -> Table:
    """Where the liquid goes with each single valve left wrong, and how bad that is."""
    rows = (
        (
            tag(book.plant.label(wrong.valve)),
            position(book, wrong.valve, wrong.position),
            " ".join(dict.fromkeys(_goes(book, line_up_id, wrong))),
            _how_bad(wrong),
        )
        for wrong in wrongs(book, line_up_id)
    )
    return table("wrong_valves", rows)


def position(book: Book, valve: str, left: str) -> str:
    """A position as a card words it."""
    if book.profile.valves[valve].kind == "three_way":
        return clean(left)
    return str(interface()["kinds"]["position"][left])


def _goes(book: Book, line_up_id: str, wrong: Wrong) -> Iterator[str]:
    texts = words()["wrong"]
    for pair in wrong.goes:
        yield _flow(book, pair)
    if wrong.by_itself:
        yield texts["by_itself"]
    for source, destination in wrong.lost:
        way = "not_around" if source == destination else "not"
        yield texts[way].format(source=place(book, source), destination=place(book, destination))
    if wrong.pump:
        pump = book.line_ups[line_up_id].pump
        yield texts[wrong.pump].format(pump=tag(book.plant.label(str(pump))))


def _flow(book: Book, pair: Pair) -> str:
    texts, (source, destination) = words()["wrong"], pair
    out = destination not in book.plant.tanks
    way = "out" if out else "around" if source == destination else "to"
    return str(texts[way].format(source=place(book, source), destination=place(book, destination)))


def place(book: Book, end: str) -> str:
    """The painted label of where liquid comes from or gets to; a spout has none but that of its valve."""
    try:
        return tag(book.plant.label(end))
    except KeyError:
        return str(words()["wrong"]["spout"])


def _how_bad(wrong: Wrong) -> str:
    texts = words()["wrong"]
    why = dict.fromkeys(texts["harms"][harm.rule] for harm in sorted(wrong.harms, key=_worst_first))
    said = texts["severity"][wrong.severity]
    return f"{said}: {', '.join(why)}" if why else str(said)


def _worst_first(harm: Harm) -> int:
    return HARMS.index(harm.rule)


@dataclass(frozen=True)
class CardRow:
    """One row of a card: valves (marks) in one position that do the same harm."""

    valves: tuple[str, ...]
    position: str
    text: str


@dataclass(frozen=True)
class Warned:
    """The dangerous rows of a card, worst first; ``more`` says where the rest stands, if there is any."""

    heading: str
    rows: tuple[CardRow, ...]
    more: str
    any_one: str


def warned(book: Book, line_up_id: str) -> Warned | None:
    """What a card says of wrong valves; None where none is dangerous."""
    grouped: dict[tuple[str, Harm], list[str]] = {}
    for wrong in wrongs(book, line_up_id):
        for harm in sorted(wrong.harms, key=_worst_first)[:1]:
            key = (position(book, wrong.valve, wrong.position), _same_for_all(book, harm))
            grouped.setdefault(key, []).append(tag(book.plant.label(wrong.valve)))
    rows = [CardRow(tuple(valves), where, _said(book, harm)) for (where, harm), valves in grouped.items()]
    texts = words()["wrong"]["card"]
    more = str(texts["more"]) if len(rows) > MOST_ON_CARD else ""
    if not rows:
        return None
    return Warned(str(texts["heading"]), tuple(rows[:MOST_ON_CARD]), more, str(texts["any_one"]))


def _same_for_all(book: Book, harm: Harm) -> Harm:
    """Which spout it is hangs on the valve and is seen at it."""
    return harm if harm.destination in book.plant.tanks else Harm(harm.rule, harm.source, "")


def _said(book: Book, harm: Harm) -> str:
    ends = {"source": place(book, harm.source), "destination": place(book, harm.destination or harm.source)}
    return str(words()["wrong"]["card"][harm.rule].format(**ends))
