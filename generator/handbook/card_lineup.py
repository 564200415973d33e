"""One card a transfer: heater state, hoses, positions, valves, driver, what to watch, how it is secured."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import heater_lines
from generator.handbook.wrong_valve import Warned, warned
from generator.operations.inject import shut_while_held
from generator.operations.transfer import THROTTLES
from generator.plant.lineup import HoseEnd, LineUp, Want


@dataclass(frozen=True)
class Line:
    """One line of a card; ``tags`` are labels (marks) printed as a row after the sentence."""

    text: str
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Group:
    """Lines under a heading, each with its number."""

    heading: str
    lines: tuple[tuple[int, Line], ...]
    notes: tuple[str, ...] = ()
    ends: str | None = None
    warned: Warned | None = None


def lineup_cards(book: Book, *, warn: bool = True) -> list[Card]:
    """A card for every line-up, in the book's order; ``warn``: with the worst that a wrong valve does."""
    return [_card(Desk(book), line_up, warn=warn) for line_up in book.line_ups.values()]


def _card(desk: Desk, line_up: LineUp, *, warn: bool) -> Card:
    entry = transfer(desk, line_up)
    facts = _facts(desk, line_up)
    texts = words()["lineup"]
    title = str(entry["what"])
    first, stream = _groups(desk, line_up, facts), line_up.streams[0]
    watch = (*_watch(desk, line_up, facts), str(texts["astray"]))
    ends = desk.text(entry["ends"], facts, stream.destination, stream.source)
    groups, number = [], 1
    for name, lines in first.items():
        notes = (watch, ends) if name == "run" else ((), None)
        groups.append(Group(texts[name], tuple(enumerate(lines, number)), *notes))
        number += len(lines)
    worst = warned(desk.book, line_up.id) if warn else None
    if worst:
        # Before anything is opened.
        groups.insert(1, Group(worst.heading, (), warned=worst))
    return build(
        desk,
        "lineup",
        f"lineup-{line_up.id}",
        title,
        heater_lines(desk, line_up),
        Body(
            "lineup",
            groups,
            {"route": _route(desk, line_up)},
            tuple(len(group.lines) for group in groups),
            # Who starts a pump has its stop before his eyes.
            keep=list(first).index("run") + bool(worst),
        ),
        Filing(
            desk.text(words()["posted"]["lineup"], {"where": facts["driver"] or facts["from"]}),
            procedure=_procedure(desk, line_up),
            line_ups=(line_up.id,),
        ),
    )


def transfer(desk: Desk, line_up: LineUp) -> Mapping[str, Any]:
    """What content says of this transfer: the first entry that fits by the roles at its ends."""
    return next(entry for entry in words()["transfers"] if _fits(desk, line_up, entry))


def _roles(desk: Desk, end: str) -> set[str]:
    vessel = desk.profile.vessels.get(end)
    return set(vessel.roles) if vessel else set()


def _fits(desk: Desk, line_up: LineUp, entry: Mapping[str, Any]) -> bool:
    first = line_up.streams[0]
    around = first.source == first.destination
    other = _beside(line_up)
    beside = _roles(desk, other) if other else set()
    if beside and "with" not in entry and set(entry) - {"what", "ends"}:
        return False
    checks: dict[str, Callable[[Any], bool]] = {
        "with": lambda wanted: bool(beside & set(wanted)),
        "around": lambda wanted: around and bool(_roles(desk, first.source) & set(wanted)),
        "from": lambda wanted: not around and bool(_roles(desk, first.source) & set(wanted)),
        "to": lambda wanted: not around and bool(_roles(desk, first.destination) & set(wanted)),
        "via": lambda wanted: bool(_via(desk, line_up)) is bool(wanted),
        "supply": lambda wanted: (first.source in desk.profile.supplies) is bool(wanted),
    }
    return all(check(entry[key]) for key, check in checks.items() if key in entry)


def _via(desk: Desk, line_up: LineUp) -> list[str]:
    """In-line equipment that the liquid passes, filters left out: they stand in a line, not in a title."""
    lines = [desk.profile.lines[line] for line in line_up.streams[0].path if line in desk.profile.lines]
    ends = {end.partition(".")[0] for line in lines for end in (line.from_, line.to)}
    return [id_ for id_, part in desk.profile.inline.items() if id_ in ends and part.kind.endswith("tower")]


def _beside(line_up: LineUp) -> str | None:
    """The second source, let in by the first stream's pump."""
    first = line_up.streams[0]
    return next((s.source for s in line_up.streams if s.source != first.source), None)


def _facts(desk: Desk, line_up: LineUp) -> dict[str, str]:
    first = line_up.streams[0]
    beside = _beside(line_up)
    return {
        "from": desk.tag(first.source),
        "to": desk.tag(first.destination),
        "beside": desk.tag(beside) if beside else "",
        "driver": desk.tag(line_up.pump) if line_up.pump else "",
    }


def _route(desk: Desk, line_up: LineUp) -> dict[str, Any]:
    first = line_up.streams[0]
    profile = desk.profile

    def end(id_: str) -> dict[str, str]:
        part = profile.vessels.get(id_) or profile.supplies[id_]
        return {"tag": desk.tag(id_), "name": part.name}

    beside = _beside(line_up)
    circulating = ""
    if beside and line_up.pump:
        circulating = desk.text(words()["lineup"]["into_circulation"], {"pump": desk.tag(line_up.pump)})
    return {
        "source": end(beside or first.source),
        "destination": end(first.destination) if beside or first.source != first.destination else None,
        "via": [desk.tag(id_) for id_ in _via(desk, line_up)],
        "circulating": circulating,
    }


def _hand(desk: Desk, line_up: LineUp) -> bool:
    return bool(line_up.pump) and desk.profile.pumps[str(line_up.pump)].kind == "hand"


def _around(desk: Desk, line_up: LineUp) -> LineUp | None:
    """For an injection, the circulation that must be running before it; None for every other transfer."""
    first = line_up.streams[0]
    return desk.book.line_ups.get(Want(first.source, first.destination).id) if _beside(line_up) else None


def _opened(desk: Desk, line_up: LineUp) -> list[str]:
    """Valves to open, in order; a check valve has no handle, a three-way one is turned."""
    kinds = {id_: valve.kind for id_, valve in desk.profile.valves.items()}
    around = _around(desk, line_up)
    already = around.open if around else ()
    return [id_ for id_ in line_up.open if kinds[id_] not in ("check", "three_way") and id_ not in already]


def _groups(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> dict[str, tuple[Line, ...]]:
    return {
        "set": tuple(_set(desk, line_up, facts)),
        "run": tuple(_run(desk, line_up, facts)),
        "end": tuple(_secure(desk, line_up, facts)),
    }


def _set(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> Iterator[Line]:
    """All that must be so before anything is opened."""
    for valve in _shut_in(desk, line_up):
        yield _valve(desk, "close", valve)
    yield from _before(desk, line_up, facts)
    around = _around(desk, line_up)
    shut_already = (*around.touching, *around.guard) if around else ()
    for valve in _at_rest_open(desk, (*line_up.touching, *line_up.guard)):
        if valve not in shut_already:
            yield _valve(desk, "close", valve)
    guard = "guard" if line_up.touching else "guard_alone"
    for key, shut in (("touching", line_up.touching), (guard, line_up.guard)):
        if shut:
            yield _row(desk, key, shut)
    last = _last(desk, line_up)
    if last and len(_opened(desk, line_up)) > 1:
        yield _row(desk, "guard_alone", (last,))
    yield _others(desk, line_up)


def _row(desk: Desk, key: str, valves: Sequence[str]) -> Line:
    """A sentence and the valves that it is about, worded for one or for several."""
    words_for = words()["lineup"][key]
    return Line(words_for["one" if len(valves) == 1 else "several"], tuple(desk.tag(v) for v in valves))


def _shut_in(desk: Desk, line_up: LineUp) -> list[str]:
    """What is filled into the methoxide vessel is shut in by two valves: the one open at rest is closed."""
    can = desk.book.plant.with_role("methoxide")
    filled = can is not None and line_up.streams[0].destination == can.id
    return shut_while_held(desk.book.plant) if filled else []


def _others(desk: Desk, line_up: LineUp) -> Line:
    """All other valves at rest; before methoxide is let in, those that hold it in its vessel stay shut."""
    texts = words()["lineup"]
    held = [valve for valve in shut_while_held(desk.book.plant) if valve not in line_up.open]
    if not held or "react" not in _roles(desk, line_up.streams[0].destination):
        return Line(texts["others"])
    valves = " ".join(desk.tag(valve) for valve in held)
    return Line(desk.text(texts["others_but"], {"valves": valves}))


def _run(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> Iterator[Line]:
    """Valves in the order in which to open them, then what drives it."""
    texts, last = words()["lineup"], _last(desk, line_up)
    for valve in _opened(desk, line_up):
        if valve != last:
            at_rest = bool(_at_rest_open(desk, [valve]))
            yield _valve(desk, "stays_open" if at_rest else "open", valve)
    if last:
        yield Line(desk.text(texts["let_in"], {**facts, "valve": desk.tag(last)}))
    elif line_up.pump:
        yield Line(_drive(desk, line_up, facts, "start", "work_hand_pump"))


def _at_rest_open(desk: Desk, valves: Iterable[str]) -> list[str]:
    """Two-way valves that normally stand open, throttles left out: those stay at their setting."""
    described = desk.profile.valves
    return [v for v in valves if described[v].normal == "open" and described[v].kind not in THROTTLES]


def _last(desk: Desk, line_up: LineUp) -> str | None:
    """For an injection, the valve that lets methoxide in, bit by bit, once all else stands."""
    opened = _opened(desk, line_up)
    return (line_up.throttle or opened[-1]) if opened and _around(desk, line_up) else None


def _valve(desk: Desk, word: str, valve: str, position: str = "") -> Line:
    facts = {"valve": desk.tag(valve), "position": position}
    return Line(desk.text(words()["lineup"][word], facts))


def _before(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> Iterator[Line]:
    """Earth wires on, pump off (or, for an injection, circulating), hoses on, three-way valves turned."""
    texts, valves = words()["lineup"], desk.profile.valves
    for vessel in _bonded(desk, line_up):
        yield Line(desk.text(texts["bond"], {"vessel": desk.tag(vessel)}))
    around = _around(desk, line_up)
    if around:
        entry = transfer(desk, around)
        yield Line(desk.text(texts["running"], {**facts, "card": str(entry["what"])}))
        yield _row(desk, "open_already", around.open)
    elif line_up.pump and not _hand(desk, line_up):
        yield Line(desk.text(texts["pump_off"], {"pump": facts["driver"]}))
    for end in line_up.hoses:
        normal = desk.profile.hoses[end.hose].normal
        if normal is not None and normal != end.port:
            yield _hose(desk, "release_sealing", HoseEnd(end.hose, normal))
        yield _hose(desk, "hose_on" if normal == end.port else "connect", end)
    for valve, position in line_up.positions.items():
        word = "turn_stays" if valves[valve].normal == position else "turn"
        yield _valve(desk, word, valve, position)


def _bonded(desk: Desk, line_up: LineUp) -> list[str]:
    """Movable vessels at the ends of a transfer that may carry methanol: they are earthed by a clamp."""
    may_hold = set(words()["heater_state"]["holds_methanol"])
    first = line_up.streams[0]
    if not _roles(desk, first.source) & may_hold:
        return []
    vessels = desk.profile.vessels
    return [end for end in (first.source, first.destination) if end in vessels and vessels[end].movable]


def _hose(desk: Desk, word: str, end: HoseEnd) -> Line:
    facts = {"hose": desk.tag(end.hose), "vessel": desk.tag(end.port.partition(".")[0])}
    return Line(desk.text(words()["lineup"][word], facts))


def _drive(desk: Desk, line_up: LineUp, facts: Mapping[str, str], pump: str, hand: str) -> str:
    return desk.text(words()["lineup"][hand if _hand(desk, line_up) else pump], {"pump": facts["driver"]})


def _watch(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> tuple[str, ...]:
    texts, first = words()["lineup"], line_up.streams[0]
    if facts["beside"]:
        sentence = texts["level_with"]
    elif first.driver == "supply":
        sentence = texts["level_supply"]
    elif first.source != first.destination:
        sentence = texts["level_transfer"]
    else:
        sentence = texts["level_circulate" if line_up.pump else "level_circulate_plain"]
    watch = desk.text(sentence, facts, first.destination, first.source)
    if line_up.pump:
        return (watch,)
    return desk.text(texts["gravity" if first.driver == "gravity" else "supply"], facts), watch


def _secure(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> Iterator[Line]:
    """Pump off first, then valves in reverse order, three-way valves back, hoses off.

    An injection is secured by its own valves, the throttle last (or left open, where that is its normal
    position, so that nothing is shut in between two valves); the pump goes on circulating.
    """
    opened, last = list(reversed(_opened(desk, line_up))), _last(desk, line_up)
    if last:
        rest = [valve for valve in opened if valve != last]
        closed = desk.profile.valves[last].normal == "closed" or not rest
        for valve in (*rest, last) if closed else rest:
            yield _valve(desk, "close", valve)
        yield Line(desk.text(words()["lineup"]["leave_running"], facts))
        return
    if line_up.pump:
        yield Line(_drive(desk, line_up, facts, "stop", "stop_hand_pump"))
    for valve in opened:
        if not _at_rest_open(desk, [valve]):
            yield _valve(desk, "close", valve)
    yield from _put_back(desk, line_up)


def _put_back(desk: Desk, line_up: LineUp) -> Iterator[Line]:
    valves, hoses = desk.profile.valves, desk.profile.hoses
    for valve, position in line_up.positions.items():
        if valves[valve].normal != position:
            yield _valve(desk, "turn", valve, valves[valve].normal)
    for valve in _at_rest_open(desk, (*line_up.touching, *line_up.guard)):
        yield _valve(desk, "reopen", valve)
    for end in line_up.hoses:
        hose = hoses[end.hose]
        if hose.normal == end.port:
            continue
        yield _hose(desk, "release_sealing" if hose.free_end == "self_sealing" else "release", end)
        yield _hose(desk, "shut_port", end)
        if hose.normal is not None:
            yield _hose(desk, "connect", HoseEnd(end.hose, hose.normal))


def _procedure(desk: Desk, line_up: LineUp) -> str | None:
    """Numbers of the procedures that set this line-up."""
    found = [p.number for p in desk.book.procedures if line_up.id in p.line_ups]
    return ", ".join(found) or None
