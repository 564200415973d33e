"""The piping as a graph. Nodes are places where liquid can be told to go one way or another: ``vessel.port``,
``pump.in``, ``pump.out``, ``tower.in``, ``tower.out``, ``valve.port`` of a three-way valve, a tee, a supply,
``open:line`` for a free spout and ``loose:hose`` for a hose that hangs free.

Passages join two nodes. A hose is one passage for each place its far end may go to, plus one where it hangs
free; which of them exists at a time is for the state to say. Nothing here knows what a transfer is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from generator.profile.model import Profile

Kind = Literal["line", "hose", "pump", "inline", "three_way"]


@dataclass(frozen=True)
class Passage:
    """A way from ``start`` to ``end``; ``valves`` stand in it in that order."""

    kind: Kind
    id: str
    start: str
    end: str
    valves: tuple[str, ...] = ()
    loose: bool = False

    @property
    def hose_port(self) -> str | None:
        """Where this passage puts the hose's far end; None where it hangs free."""
        return None if self.loose else self.end


@dataclass(frozen=True)
class Step:
    """A passage taken in one direction."""

    passage: Passage
    forward: bool

    @property
    def near(self) -> str:
        """The node it leaves."""
        return self.passage.start if self.forward else self.passage.end

    @property
    def far(self) -> str:
        """The node it arrives at."""
        return self.passage.end if self.forward else self.passage.start

    @property
    def valves(self) -> tuple[str, ...]:
        """Two-way and check valves in the order in which they are met."""
        return self.passage.valves if self.forward else self.passage.valves[::-1]


@dataclass(frozen=True)
class Network:
    """All passages of a plant, and what may be asked of its nodes and valves."""

    profile: Profile
    passages: tuple[Passage, ...]
    around: Mapping[str, tuple[Step, ...]]

    @classmethod
    def of(cls, profile: Profile) -> Network:
        """The network of a profile whose references are known to exist."""
        passages = (*_lines(profile), *_hoses(profile), *_machines(profile), *_three_ways(profile))
        around: dict[str, list[Step]] = {}
        for passage in passages:
            around.setdefault(passage.start, []).append(Step(passage, True))
            around.setdefault(passage.end, []).append(Step(passage, False))
        return cls(profile, passages, {node: tuple(steps) for node, steps in around.items()})

    def steps_from(self, node: str) -> tuple[Step, ...]:
        """The ways out of a node, in the profile's order."""
        return self.around.get(node, ())

    def vessel_of(self, node: str) -> str | None:
        """The vessel whose port a node is."""
        owner, _, port = node.partition(".")
        return owner if port and owner in self.profile.vessels else None

    def is_spout(self, node: str) -> bool:
        """Whether liquid that gets here runs out."""
        return node.startswith(("open:", "loose:"))

    def is_supply(self, node: str) -> bool:
        """Whether something from outside enters here by its own pressure."""
        return node in self.profile.supplies

    def ports_of(self, vessel: str) -> tuple[str, ...]:
        """A vessel's port nodes, in the profile's order."""
        return tuple(f"{vessel}.{port}" for port in self.profile.vessels[vessel].ports)

    def draws(self, node: str) -> bool:
        """Whether liquid can leave a vessel by this port: it opens in the liquid, maybe by a dip pipe."""
        vessel, _, port = node.partition(".")
        described = self.profile.vessels[vessel].ports[port]
        return described.space == "liquid" or described.dip_end_m is not None

    def is_check(self, valve: str) -> bool:
        """Whether a valve works by itself and cannot be set."""
        return self.profile.valves[valve].kind == "check"

    def passes_when_stopped(self, pump: str) -> bool:
        """A stopped centrifugal pump is an open pipe."""
        return self.profile.pumps[pump].when_stopped == "passes"

    def joins(self, valve: str, position: str, passage: Passage) -> bool:
        """Whether a three-way valve in this position joins the two ends of one of its passages."""
        joined = (self.profile.valves[valve].positions or {}).get(position, ())
        return all(end.partition(".")[2] in joined for end in (passage.start, passage.end))


def normal_state(profile: Profile) -> tuple[dict[str, str], dict[str, str | None]]:
    """Every settable valve's normal position, and the port of every hose's far end (None: it hangs free)."""
    positions = {id_: valve.normal for id_, valve in profile.valves.items() if valve.kind != "check"}
    return positions, {id_: hose.normal for id_, hose in profile.hoses.items()}


def _lines(profile: Profile) -> Iterable[Passage]:
    for id_, line in profile.lines.items():
        start = f"open:{id_}.from" if line.from_ == "open" else line.from_
        end = f"open:{id_}" if line.to == "open" else line.to
        yield Passage("line", id_, start, end, tuple(line.valves))


def _hoses(profile: Profile) -> Iterable[Passage]:
    for id_, hose in profile.hoses.items():
        for end in dict.fromkeys((*hose.ends, *((hose.normal,) if hose.normal else ()))):
            yield Passage("hose", id_, hose.fixed, end, tuple(hose.valves))
        if hose.free_end == "open":
            yield Passage("hose", id_, hose.fixed, f"loose:{id_}", tuple(hose.valves), loose=True)


def _machines(profile: Profile) -> Iterable[Passage]:
    for id_ in profile.pumps:
        yield Passage("pump", id_, f"{id_}.in", f"{id_}.out")
    for id_ in profile.inline:
        yield Passage("inline", id_, f"{id_}.in", f"{id_}.out")


def _three_ways(profile: Profile) -> Iterable[Passage]:
    for id_, valve in profile.valves.items():
        joined = (pair for ports in (valve.positions or {}).values() for pair in combinations(ports, 2))
        for pair in dict.fromkeys(tuple(sorted(ports)) for ports in joined):
            yield Passage("three_way", id_, f"{id_}.{pair[0]}", f"{id_}.{pair[1]}")
