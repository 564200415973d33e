"""Which heaters must be off and locked during a transfer, and why. Words and roles are data in content."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from generator.handbook.desk import Desk, words
from generator.plant.lineup import LineUp

State = Literal["locked", "allowed", "no_heater"]


@dataclass(frozen=True)
class HeaterLine:
    """Heaters in one state as printed. ``heaters`` are ids (``vessel.heater``), none where there is none.

    ``labels`` and ``reasons`` hold marks.
    """

    heaters: tuple[str, ...]
    state: State
    labels: str
    word: str
    reasons: tuple[str, ...]


def heater_lines(desk: Desk, line_up: LineUp) -> list[HeaterLine]:
    """The state of every heater that a transfer concerns, locked ones first; one line where there is none.

    While methanol or methoxide is let in or glycerin drained, every heater of the plant is off and locked.
    Else those concerned are of the vessels at its ends and of vessels that share a wall with them: what moves
    liquid that can hold methanol has them off and locked, and so has a vessel that is emptied or filled; a
    circulated vessel's may be on as the first of its roles in content says.
    """
    lets_in = set(words()["heater_state"]["lets_in"])
    vessels = desk.profile.vessels
    if any(lets_in & set(vessels[s.source].roles) for s in line_up.streams if s.source in vessels):
        return locked_lines(desk, "methanol_moves")
    if any("glycerin" in vessels[s.destination].roles for s in line_up.streams):
        return locked_lines(desk, "glycerin_moves")
    found = [
        (f"{vessel_id}.{heater}", *_rule(desk, line_up, vessel_id))
        for vessel_id in _concerned(desk, line_up)
        for heater in desk.profile.vessels[vessel_id].heaters
    ]
    states: tuple[State, ...] = ("locked", "allowed")
    lines = [
        _line(desk, state, [(heater, reason) for heater, its, reason in found if its == state])
        for state in states
        if any(its == state for _, its, _ in found)
    ]
    return lines or [none_on(desk, _ends(desk, line_up))]


def locked_lines(desk: Desk, reason: str, roles: frozenset[str] | None = None) -> list[HeaterLine]:
    """All heaters (of vessels with one of ``roles``, where given) off and locked, in one line."""
    heaters = [
        f"{vessel_id}.{heater}"
        for vessel_id, vessel in desk.profile.vessels.items()
        for heater in vessel.heaters
        if roles is None or roles & set(vessel.roles)
    ]
    return [_locked(desk, heaters, reason)]


def vessel_lines(desk: Desk, vessel_id: str, reason: str) -> list[HeaterLine]:
    """The heaters of one vessel off and locked for a reason, or that it has none."""
    heaters = [f"{vessel_id}.{heater}" for heater in desk.profile.vessels[vessel_id].heaters]
    return [_locked(desk, heaters, reason) if heaters else none_on(desk, [vessel_id])]


def _locked(desk: Desk, heaters: list[str], reason: str) -> HeaterLine:
    rules = words()["heater_state"]
    if not heaters:
        return HeaterLine((), "no_heater", "", str(rules["no_heater"]), ())
    labels = " ".join(desk.tag(heater) for heater in heaters)
    return HeaterLine(tuple(heaters), "locked", labels, str(rules["locked"]), (str(rules[reason]),))


def none_on(desk: Desk, vessels: list[str]) -> HeaterLine:
    """The line that says there is no heater to see to."""
    rules = words()["heater_state"]
    tags = f" {words()['ui']['and']} ".join(desk.tag(vessel) for vessel in vessels)
    text = desk.text(rules["reasons"]["none_on_route"], {"vessels": tags})
    return HeaterLine((), "no_heater", "", str(rules["no_heater"]), (text,))


def _ends(desk: Desk, line_up: LineUp) -> list[str]:
    ends = [end for stream in line_up.streams for end in (stream.source, stream.destination)]
    return [end for end in dict.fromkeys(ends) if end in desk.profile.vessels]


def _concerned(desk: Desk, line_up: LineUp) -> list[str]:
    ends = _ends(desk, line_up)
    vessels = desk.profile.vessels
    walls = [
        vessel_id
        for vessel_id, vessel in vessels.items()
        if vessel.shares_wall_with in ends or any(vessels[end].shares_wall_with == vessel_id for end in ends)
    ]
    return list(dict.fromkeys([*ends, *walls]))


def _rule(desk: Desk, line_up: LineUp, vessel_id: str) -> tuple[State, str]:
    rules: Mapping[str, Any] = words()["heater_state"]
    vessels = desk.profile.vessels
    sources = {stream.source for stream in line_up.streams}
    destinations = {stream.destination for stream in line_up.streams}

    def plays(ids: set[str], roles: list[str]) -> bool:
        return any(set(vessels[id_].roles) & set(roles) for id_ in ids if id_ in vessels)

    if any(stream.driver == "supply" for stream in line_up.streams):
        return "locked", "washing"
    if plays(destinations - {vessel_id}, rules["lets_in"]):
        return "locked", "lets_in_methanol"
    if vessel_id not in sources | destinations:
        bears = plays(sources | destinations, rules["holds_methanol"])
        return ("locked", "wall") if bears else ("allowed", "oil_circulated")
    if sources == destinations == {vessel_id}:
        for entry in rules["circulated"]:
            if entry["role"] in vessels[vessel_id].roles:
                return entry["state"], entry["reason"]
        return "locked", "bears_methanol"
    if plays(sources, rules["holds_methanol"]):
        return "locked", "bears_methanol"
    return ("locked", "emptied") if vessel_id in sources else ("locked", "filled")


def _line(desk: Desk, state: State, found: list[tuple[str, str]]) -> HeaterLine:
    """Heaters of one state in one line; where their reasons differ, each is named before its own."""
    rules = words()["heater_state"]
    reasons: dict[str, list[str]] = {}
    for heater, reason in found:
        vessel_id = heater.partition(".")[0]
        text = desk.text(rules["reasons"][reason], {"vessel": desk.tag(vessel_id)}, vessel_id)
        reasons.setdefault(text, []).append(desk.tag(heater))
    several = len(reasons) > 1
    texts = tuple(f"{' '.join(tags)}: {text}" if several else text for text, tags in reasons.items())
    labels = " ".join(desk.tag(heater) for heater, _ in found)
    return HeaterLine(tuple(heater for heater, _ in found), state, labels, str(rules[state]), texts)
