"""Pieces of piping that valves can shut at both ends, and which way liquid gets out of them at rest.

A piece is what liquid joins while every valve is shut: pipe between two valves, tees, a pump that is an open
pipe when it stands still, equipment in line. One with a vessel's port or an open end in it is never shut in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.plant.flood import State
from generator.plant.network import Network, normal_state
from generator.profile.model import Profile


@dataclass(frozen=True)
class Piece:
    """``lines``: ids of lines and hoses it is made of; ``valves``: all that shut it in.

    ``relieved``: whether liquid gets out at rest; ``ways_out``: the normally open valves it gets out by.
    """

    lines: tuple[str, ...]
    valves: tuple[str, ...]
    relieved: bool
    ways_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Door:
    """Two spots side by side; no ``valve`` is plain pipe. ``there`` and ``back``: what passes at rest."""

    near: str
    far: str
    valve: str | None = None
    there: bool = True
    back: bool = True


@dataclass(frozen=True)
class _Way:
    """One way out of a spot."""

    to: str
    valve: str | None
    passes: bool


def pieces(profile: Profile) -> tuple[Piece, ...]:
    """All pieces that nothing but valves bounds, in the order of the profile's lines."""
    network = Network.of(profile)
    around: dict[str, list[_Way]] = {}
    for door in _doors(network):
        around.setdefault(door.near, []).append(_Way(door.far, door.valve, door.there))
        around.setdefault(door.far, []).append(_Way(door.near, door.valve, door.back))
    seen: set[str] = set()
    found = []
    for spot in around:
        if spot not in seen:
            inside = _reached(around, spot)
            seen |= inside.keys()
            if not any(_lets_out(network, one) for one in inside):
                found.append(_piece(network, around, list(inside)))
    return tuple(piece for piece in found if piece.lines)


def _doors(network: Network) -> Iterator[_Door]:
    rest = State(network, *normal_state(network.profile))
    for passage in network.passages:
        if passage.kind == "inline" or (passage.kind == "pump" and network.passes_when_stopped(passage.id)):
            yield _Door(passage.start, passage.end)
        elif passage.kind == "three_way":
            joined = network.joins(passage.id, rest.positions[passage.id], passage)
            yield _Door(passage.start, passage.end, passage.id, joined, joined)
        elif passage.kind == "line" or rest.hoses.get(passage.id, "") == passage.hose_port:
            stretches = [f"{passage.id}#{n}" for n in range(len(passage.valves) + 1)]
            yield _Door(passage.start, stretches[0])
            for n, valve in enumerate(passage.valves):
                check, is_open = network.is_check(valve), rest.positions.get(valve) == "open"
                yield _Door(stretches[n], stretches[n + 1], valve, check or is_open, is_open)
            yield _Door(stretches[-1], passage.end)


def _lets_out(network: Network, spot: str) -> bool:
    line = network.profile.lines.get(spot.partition("#")[0]) if "#" in spot else None
    open_end = network.is_spout(spot) or network.is_supply(spot) or network.vessel_of(spot) is not None
    return open_end or bool(line and line.has_relief)


def _reached(around: dict[str, list[_Way]], start: str) -> dict[str, None]:
    """All spots that plain pipe joins to one."""
    seen, waiting = dict.fromkeys([start]), [start]
    while waiting:
        for way in around[waiting.pop()]:
            if way.valve is None and way.to not in seen:
                seen[way.to] = None
                waiting.append(way.to)
    return seen


def _piece(network: Network, around: dict[str, list[_Way]], inside: list[str]) -> Piece:
    lines = dict.fromkeys(spot.partition("#")[0] for spot in inside if "#" in spot)
    valves = dict.fromkeys(way.valve for spot in inside for way in around[spot] if way.valve)
    came_by: dict[str, tuple[str, ...]] = dict.fromkeys(inside, ())
    waiting = list(inside)
    for spot in waiting:
        if _lets_out(network, spot):
            return Piece(tuple(lines), tuple(valves), True, came_by[spot])
        for way in around[spot]:
            if way.passes and way.to not in came_by:
                settable = way.valve is not None and not network.is_check(way.valve)
                came_by[way.to] = (*came_by[spot], *([str(way.valve)] if settable else []))
                waiting.append(way.to)
    return Piece(tuple(lines), tuple(valves), False)


def relief_valves(profile: Profile) -> tuple[str, ...]:
    """Ids of the two-way valves that are open at rest lest liquid be shut in, each once."""
    ways = dict.fromkeys(valve for piece in pieces(profile) for valve in piece.ways_out)
    return tuple(valve for valve in ways if profile.valves[valve].kind != "three_way")
