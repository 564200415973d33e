"""Line-ups and valves in words: titles, lists of labels, where each valve is used, what is normal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from generator.handbook.book import Book
from generator.handbook.marks import clean, tag
from generator.handbook.render import interface
from generator.handbook.tables import Table, Words, table
from generator.plant.lineup import LineUp, Stream


@dataclass(frozen=True)
class LineUpView:
    """One line-up as a page prints it; every text may hold marks."""

    id: str
    title: str
    streams: Table
    hoses: tuple[str, ...]
    positions: tuple[str, ...]
    open: tuple[str, ...]
    touching: tuple[str, ...]
    guard: tuple[str, ...]
    pump: str
    is_pump: bool
    throttle: str
    close: tuple[str, ...]
    heaters: tuple[str, ...]
    destination: str
    limit: str
    around: bool


def title(book: Book, line_up: LineUp) -> str:
    """What a line-up is called: from where to where, through what, with what let in."""
    w, words = Words(book), interface()["line_up"]
    first = line_up.streams[0]
    if first.source == first.destination:
        text = str(words["around"]).format(vessel=w.thing(first.source))
    else:
        text = str(words["transfer"]).format(source=w.thing(first.source), destination=w.thing(first.destination))
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


def _tags(book: Book, valve_ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(tag(book.profile.valves[v].label) for v in valve_ids)


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


def view(book: Book, line_up: LineUp) -> LineUpView:
    """A line-up ready for a page; valves are closed in the reverse of the order in which they open."""
    w, profile = Words(book), book.profile
    last = line_up.streams[0]
    vessels = {end for stream in line_up.streams for end in (stream.source, stream.destination)}
    heaters = tuple(
        tag(heater.label)
        for vessel in profile.vessels
        if vessel in vessels
        for heater in profile.vessels[vessel].heaters.values()
    )
    return LineUpView(
        id=f"line-up-{line_up.id}",
        title=title(book, line_up),
        streams=_streams(book, line_up),
        hoses=tuple(f"{w.thing(h.hose)} → {w.end(h.port)}" for h in line_up.hoses),
        positions=tuple(
            f"{tag(profile.valves[v].label)} → {clean(position)}" for v, position in line_up.positions.items()
        ),
        open=_tags(book, line_up.open),
        touching=_tags(book, line_up.touching),
        guard=_tags(book, line_up.guard),
        pump=w.thing(line_up.pump) if line_up.pump else w.kind("driver", last.driver),
        is_pump=line_up.pump is not None,
        throttle=tag(profile.valves[line_up.throttle].label) if line_up.throttle else "",
        close=_tags(book, reversed(line_up.open)),
        heaters=heaters,
        destination=w.thing(last.destination),
        limit=w.level(last.destination, "fill_limit"),
        around=last.source == last.destination,
    )


def views(book: Book) -> list[LineUpView]:
    return [view(book, line_up) for line_up in book.line_ups.values()]


def _used(book: Book, valve_id: str) -> str:
    """Line-ups in which a valve is opened or turned, as links' texts."""
    names = (
        title(book, line_up)
        for line_up in book.line_ups.values()
        if valve_id in line_up.open or valve_id in line_up.positions
    )
    return "; ".join(dict.fromkeys(names))


def valves(book: Book) -> Table:
    w = Words(book)
    rows = (
        (tag(valve.label), w.kind("valve", valve.kind), _where(book, valve_id), _normal(book, valve_id), _used(book, valve_id))
        for valve_id, valve in book.profile.valves.items()
    )
    return table("valves", rows)


def normal_positions(book: Book) -> Table:
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
