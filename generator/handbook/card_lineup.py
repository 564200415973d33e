"""One card a transfer: heater state, hoses, three-way positions, valves, driver, what to watch, how it is secured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.handbook.book import Book
from generator.handbook.card import Card, build
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import heater_lines
from generator.handbook.render import tag
from generator.plant.lineup import LineUp


@dataclass(frozen=True)
class Line:
    """One numbered line of a card; ``tags`` are labels (marks) printed as a row after the sentence."""

    text: str
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Group:
    """Lines under a heading, the first of which has the number ``first``."""

    heading: str
    lines: tuple[Line, ...]
    first: int
    notes: tuple[str, ...] = ()
    ends: str | None = None


def lineup_cards(book: Book) -> list[Card]:
    """A card for every line-up, in the book's order."""
    return [_card(Desk(book), line_up) for line_up in book.line_ups.values()]


def _card(desk: Desk, line_up: LineUp) -> Card:
    entry = transfer(desk, line_up)
    facts = _facts(desk, line_up)
    texts = words()["lineup"]
    title = str(entry["what"])
    set_up, secure = _set(desk, line_up, facts), _secure(desk, line_up, facts)
    groups = [
        Group(
            texts["set"], set_up, 1,
            (*_watch(desk, line_up, facts), str(texts["astray"])),
            desk.text(entry["ends"], facts, line_up.streams[0].destination, line_up.streams[0].source),
        ),
        Group(texts["end"], secure, len(set_up) + 1),
    ]
    return build(
        desk, "lineup", f"lineup-{line_up.id}", title,
        heaters=heater_lines(desk, line_up),
        template="lineup",
        groups=groups,
        context={"route": _route(desk, line_up)},
        where=desk.text(words()["posted"]["lineup"], {"where": facts["driver"] or facts["from"]}),
        procedure=_procedure(desk, line_up),
        line_ups=(line_up.id,),
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
    beside = set().union(*(_roles(desk, s.source) for s in line_up.streams if s.source != first.source))
    if beside and "with" not in entry and set(entry) - {"what", "ends"}:
        return False
    checks = {
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
    names = {**desk.profile.vessels, **desk.profile.supplies}

    def end(id_: str) -> dict[str, str]:
        return {"tag": desk.tag(id_), "name": str(names[id_].name)}

    beside = _beside(line_up)
    around = first.source == first.destination
    return {
        "source": end(first.source),
        "destination": None if around else end(first.destination),
        "via": [desk.tag(id_) for id_ in _via(desk, line_up)],
        "beside": end(beside) if beside else None,
    }


def _hand(desk: Desk, line_up: LineUp) -> bool:
    return bool(line_up.pump) and desk.profile.pumps[str(line_up.pump)].kind == "hand"


def _opened(desk: Desk, line_up: LineUp) -> list[str]:
    """Valves to open, in order; a check valve has no handle, a three-way one is turned."""
    kinds = {id_: valve.kind for id_, valve in desk.profile.valves.items()}
    return [id_ for id_ in line_up.open if kinds[id_] not in ("check", "three_way") and id_ != line_up.throttle]


def _set(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> tuple[Line, ...]:
    texts = words()["lineup"]
    valves = desk.profile.valves
    lines = [
        Line(desk.text(texts["connect"], {"hose": desk.tag(h.hose), "vessel": desk.tag(h.port.partition(".")[0])}))
        for h in line_up.hoses
    ]
    for valve, position in line_up.positions.items():
        word = texts["turn_stays"] if valves[valve].normal == position else texts["turn"]
        lines.append(Line(desk.text(word, {"valve": desk.tag(valve), "position": tag(position)})))
    for key, shut in (("touching", line_up.touching), ("guard", line_up.guard)):
        if shut:
            lines.append(Line(texts[key], tuple(desk.tag(valve) for valve in shut)))
    lines.append(Line(texts["others"]))
    lines += [Line(desk.text(texts["open"], {"valve": desk.tag(v)})) for v in _opened(desk, line_up)]
    lines.append(Line(_drive(desk, line_up, facts, "start", "work_hand_pump")))
    if line_up.throttle:
        lines.append(Line(desk.text(texts["throttle"], {"valve": desk.tag(line_up.throttle)})))
    return tuple(lines)


def _drive(desk: Desk, line_up: LineUp, facts: Mapping[str, str], pump: str, hand: str) -> str:
    texts = words()["lineup"]
    if line_up.pump:
        return desk.text(texts[hand if _hand(desk, line_up) else pump], {"pump": facts["driver"]})
    return desk.text(texts["gravity" if line_up.streams[0].driver == "gravity" else "supply"], facts)


def _watch(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> tuple[str, ...]:
    texts, first = words()["lineup"], line_up.streams[0]
    if facts["beside"]:
        sentence = texts["level_with"]
    elif first.source != first.destination:
        sentence = texts["level_transfer"]
    else:
        sentence = texts["level_circulate" if line_up.pump else "level_circulate_plain"]
    return (desk.text(sentence, facts, first.destination, first.source),)


def _secure(desk: Desk, line_up: LineUp, facts: Mapping[str, str]) -> tuple[Line, ...]:
    """Pump off first, then valves in reverse order, three-way valves back, hoses off."""
    texts, valves, hoses = words()["lineup"], desk.profile.valves, desk.profile.hoses
    lines = [Line(_drive(desk, line_up, facts, "stop", "stop_hand_pump"))] if line_up.pump else []
    opened = [*_opened(desk, line_up), *([line_up.throttle] if line_up.throttle else [])]
    for valve in reversed(opened):
        word = texts["leave"] if valves[valve].normal == "open" else texts["close"]
        lines.append(Line(desk.text(word, {"valve": desk.tag(valve)})))
    for valve, position in line_up.positions.items():
        normal = valves[valve].normal
        if normal != position:
            lines.append(Line(desk.text(texts["turn"], {"valve": desk.tag(valve), "position": tag(normal)})))
    for end in line_up.hoses:
        if hoses[end.hose].normal != end.port:
            sealing = hoses[end.hose].free_end == "self_sealing"
            facts_here = {"hose": desk.tag(end.hose), "vessel": desk.tag(end.port.partition(".")[0])}
            lines.append(Line(desk.text(texts["release_sealing" if sealing else "release"], facts_here)))
    return tuple(lines)


def _procedure(desk: Desk, line_up: LineUp) -> str | None:
    """Numbers of the procedures that set this line-up."""
    found = [p.number for p in desk.book.procedures if line_up.id in p.line_ups]
    return ", ".join(found) or None
