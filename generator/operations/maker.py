"""Collects the steps of one procedure: each is an action with data, worded by content, traced to its line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from generator.figures.record import FigureBook
from generator.operations.facts import holds
from generator.operations.steps import Step, labels
from generator.operations.wording import Words, safety_messages, step_words
from generator.plant.lineup import LineUp, Want
from generator.plant.lineups import NoLineUp, line_up
from generator.plant.plant import Plant
from generator.problems import Place, Problem

#: Stand before many steps of a procedure; the first one carries them.
ONCE = ("hose_connection",)


@dataclass
class LineUps:
    """Line-ups asked for so far, each computed once, with the problems of those that cannot be."""

    plant: Plant
    found: dict[str, LineUp] = field(default_factory=dict)
    problems: dict[str, tuple[Want, Problem]] = field(default_factory=dict)
    peeked: dict[str, LineUp | None] = field(default_factory=dict)

    def get(self, want: Want) -> LineUp | None:
        if want.id not in self.found and want.id not in self.problems:
            try:
                self.found[want.id] = line_up(self.plant, want)
            except NoLineUp as error:
                self.problems[want.id] = (want, error.problem)
        return self.found.get(want.id)

    def peek(self, want: Want) -> LineUp | None:
        """A line-up to reason with: no step asks for it, and it is no fault where there is none."""
        if want.id in self.found or want.id in self.problems:
            return self.found.get(want.id)
        if want.id not in self.peeked:
            try:
                self.peeked[want.id] = line_up(self.plant, want)
            except NoLineUp:
                self.peeked[want.id] = None
        return self.peeked[want.id]

    def driver(self, want: Want) -> str:
        """What moves the liquid: ``pump``, ``gravity`` or ``supply``; ``none`` where there is no line-up."""
        found = self.get(want)
        if found is None:
            return "none"
        return "pump" if found.pump is not None else found.streams[0].driver


@dataclass
class Maker:
    """What an operation writes its steps into. ``place`` is the content line being expanded."""

    plant: Plant
    figures: FigureBook
    words: Words
    known: Mapping[str, Any]
    line_ups: LineUps
    number: str
    place: Place
    operation: str = ""
    heading: str | None = None
    wets: tuple[str, ...] = ()
    steps: list[Step] = field(default_factory=list)
    marks: dict[str, str] = field(default_factory=dict)
    warn_next: tuple[str, ...] = ()

    def add(self, action: str, data: Mapping[str, Any] | None = None, **extra: Any) -> None:
        """Append one step. ``extra`` may replace wording (text, expected, otherwise, blank) or add
        valves, equipment, messages, hold, line_up. Wording templates see ``data``. ``warn_next``
        stands before this step, whatever it is: for operations whose first step depends on the rig.
        """
        values = {"at": dict(self.marks), **(data or {})}
        warned, self.warn_next = (*self.warn_next, *extra.get("messages", ())), ()
        templates = {**step_words().get(action, {}), **{k: v for k, v in extra.items() if v is not None}}
        self.words.used = []
        text, expected, otherwise, blank = (
            self._filled(templates.get(part), values) for part in ("text", "expected", "otherwise", "blank")
        )
        self.steps.append(
            Step(
                number=f"{self.number}.{len(self.steps) + 1}",
                action=action,
                operation=self.operation,
                text=text or "",
                source=self.place,
                equipment=self._with_named(
                    text, [self.words.equipment(name) for name in extra.get("equipment", ())], valves=False
                ),
                valves=self._with_named(text, extra.get("valves", ()), valves=True),
                expected=expected,
                otherwise=otherwise,
                messages=self._messages(warned),
                figures=tuple(dict.fromkeys(self.words.used)),
                blank=blank,
                hold=bool(extra.get("hold")),
                heading=self._take_heading(),
                line_up=extra.get("line_up"),
                wets=self.wets,
                data=values,
            )
        )

    def _with_named(self, text: str | None, given: Sequence[str], *, valves: bool) -> tuple[str, ...]:
        """What an operation says that its step is about, and whatever else the sentence names by label."""
        tagged, by_label = self.words.tagged, self.plant.by_label
        said = (tagged.get(label) or by_label.get(label) for label in labels(text or ""))
        named = [id_ for id_ in said if id_]
        of_kind = [id_ for id_ in named if (id_ in self.plant.profile.valves) is valves]
        return tuple(dict.fromkeys([*given, *of_kind]))

    def _messages(self, keys: Sequence[str]) -> tuple[str, ...]:
        """Those that hold for this plant; one that a procedure prints once is not printed there again."""
        known = safety_messages()
        kept = [key for key in dict.fromkeys(keys) if holds(known[key]["when"], self.known)]
        return tuple(key for key in kept if key not in ONCE or not any(key in s.messages for s in self.steps))

    def _filled(self, template: str | None, data: Mapping[str, Any]) -> str | None:
        return (self.words.fill(template, data) or None) if template else None

    def _take_heading(self) -> str | None:
        heading, self.heading = self.heading, None
        return heading

    def vessel(self, role: str) -> str:
        """Id of the vessel with a role, or the id itself (a supply)."""
        return self.words.equipment(role)

    def heaters(self, roles: Sequence[str]) -> list[str]:
        """``vessel.heater`` of the vessels that play these roles; ``all`` means every heater."""
        vessels = self.plant.profile.vessels
        ids = list(vessels) if "all" in roles else [self.vessel(role) for role in roles]
        return [f"{v}.{h}" for v in dict.fromkeys(ids) if v in vessels for h in vessels[v].heaters]
