"""Line-ups and valves in words: titles, lists of labels, where each valve is used, what is normal."""

from __future__ import annotations

import re
from dataclasses import dataclass

from markupsafe import Markup

from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.card import Card
from generator.handbook.card_lineup import lineup_cards
from generator.handbook.drawing.drawings import Drawing, line_up_drawing
from generator.handbook.marks import clean, tag
from generator.handbook.render import interface
from generator.handbook.tables import Table, Words, table
from generator.handbook.wrong_valve import wrong_table
from generator.operations.steps import plain
from generator.plant.lineup import LineUp, Stream


@dataclass(frozen=True)
class LineUpView:
    """One line-up as a page prints it. ``groups`` are the numbered lines of its card, word for word."""

    id: str
    title: str
    name: str
    drawing: Drawing
    heaters: Markup
    streams: Table
    groups: tuple[Markup, ...]
    figures: tuple[Figure, ...]
    wrong: Table


def title(book: Book, line_up: LineUp) -> str:
    """What a line-up is called: from where to where, through what, with what let in."""
    w, words = Words(book), interface()["line_up"]
    first = line_up.streams[0]
    if first.source == first.destination:
        text = str(words["around"]).format(vessel=w.thing(first.source))
    else:
        text = str(words["transfer"]).format(
            source=w.thing(first.source), destination=w.thing(first.destination)
        )
    for part in _passed(book, first):
        text += str(words["via"]).format(part=w.thing(part))
    for stream in line_up.streams[1:]:
        if stream.source != first.source:
            text += str(words["beside"]).format(source=w.thing(stream.source))
    return text


def _passed(book: Book, stream: Stream) -> list[str]:
    """In-line equipment on a stream's path, in order."""
    ends = (
        end.partition(".")[0]
        for line in stream.path
        if line in book.profile.lines
        for end in (book.profile.lines[line].from_, book.profile.lines[line].to)
    )
    return list(dict.fromkeys(end for end in ends if end in book.profile.inline))


def _streams(book: Book, line_up: LineUp) -> Table:
    w = Words(book)
    rows = []
    for stream in line_up.streams:
        driver = stream.driver
        named = w.thing(driver) if driver in book.profile.pumps else w.kind("driver", driver)
        rows.append(
            (w.thing(stream.source), w.thing(stream.destination), named, w.kind("opening", stream.opening))
        )
    return table("streams", rows)


_HEATERS = re.compile(r'<div class="heaters">.*?</div>', re.DOTALL)
_HEADING = re.compile(r"(</?h)2(?=[ >])")


def views(book: Book) -> list[LineUpView]:
    """Every line-up ready for a page."""
    cards = {card.line_ups[0]: card for card in lineup_cards(book, warn=False)}
    return [_view(book, line_up, cards[line_up.id]) for line_up in book.line_ups.values()]


def _view(book: Book, line_up: LineUp, card: Card) -> LineUpView:
    # The card's own markup: a line-up that is worded twice would one day be worded in two ways.
    found = _HEATERS.search(str(card.head))
    groups = tuple(Markup(_HEADING.sub(r"\g<1>3", str(group))) for group in card.groups)  # noqa: S704
    figures = (book.figures.get(figure_id) for figure_id in card.figures)
    named = f"{card.title}: {title(book, line_up)}"
    return LineUpView(
        id=f"line-up-{line_up.id}",
        title=named,
        name=plain(named),
        drawing=line_up_drawing(book.plant, line_up, plain(named)),
        heaters=Markup(found[0]) if found else Markup(""),  # noqa: S704
        streams=_streams(book, line_up),
        groups=groups,
        figures=tuple(figure for figure in figures if figure is not None),
        wrong=wrong_table(book, line_up.id),
    )


def _used(book: Book, valve_id: str) -> str:
    """Line-ups in which a valve is opened or turned, as links' texts."""
    names = (
        title(book, line_up)
        for line_up in book.line_ups.values()
        if valve_id in line_up.open or valve_id in line_up.positions
    )
    return "; ".join(dict.fromkeys(names))


def valves(book: Book) -> Table:
    """Every valve: kind, place, normal position, and the line-ups that move it."""
    w = Words(book)
    rows = (
        (
            tag(valve.label),
            w.kind("valve", valve.kind),
            _where(book, valve_id),
            _normal(book, valve_id),
            _used(book, valve_id),
        )
        for valve_id, valve in book.profile.valves.items()
    )
    return table("valves", rows)


def normal_positions(book: Book) -> Table:
    """Every valve that has a handle, with its normal position and a box to tick."""
    rows = (
        (tag(valve.label), _normal(book, valve_id), _where(book, valve_id), "☐")
        for valve_id, valve in book.profile.valves.items()
        if valve.kind != "check"
    )
    return table("normal_positions", rows)


def _normal(book: Book, valve_id: str) -> str:
    valve = book.profile.valves[valve_id]
    if valve.kind == "check":
        return str(interface()["kinds"]["position"]["check"])
    if valve.kind == "three_way":
        text = clean(valve.normal)
    else:
        text = str(interface()["kinds"]["position"][valve.normal])
    return f"{text}, {interface()['locked']}" if valve.locked else text


def _where(book: Book, valve_id: str) -> str:
    """The place the profile names, else the two ends of the line that the valve stands in."""
    profile, w = book.profile, Words(book)
    valve = profile.valves[valve_id]
    if valve.place:
        return clean(valve.place)
    for line in profile.lines.values():
        if valve_id in line.valves:
            return f"{w.end(line.from_)} → {w.end(line.to)}"
    for hose in profile.hoses.values():
        if valve_id in hose.valves:
            return f"{clean(hose.name)} {tag(hose.label)}"
    return ""
