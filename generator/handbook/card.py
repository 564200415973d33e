"""A wall card: what it says, in pieces that may be split over several cards, and the fingerprint of its meaning."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from markupsafe import Markup

from generator.handbook import document, render
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import HeaterLine

Kind = Literal[
    "dose", "temperatures", "lineup", "run", "methanol", "lye", "methoxide", "emergency", "valves", "marks"
]
Paper = Literal["A4", "A5", "Letter", "half_Letter"]


@dataclass(frozen=True)
class Card:
    """``head`` stands on every part of a split card, ``groups`` may be split between, ``end`` closes the last part.

    ``counts`` is how many lines to be done each group has, where it has such. ``posted_where`` may hold label marks. ``figures`` and ``line_ups`` are the ids it depends on.
    """

    id: str
    title: str
    kind: Kind
    plant: str
    paper: Paper
    head: Markup
    groups: tuple[Markup, ...]
    end: Markup
    posted_where: str
    procedure: str | None = None
    figures: tuple[str, ...] = ()
    line_ups: tuple[str, ...] = ()
    counts: tuple[int, ...] = ()
    part: int = 1
    parts: int = 1

    @property
    def tail(self) -> Markup:
        """What follows the head: the groups, and on the last part what closes the card."""
        end = self.end if self.part == self.parts else Markup("")
        return Markup("").join([*self.groups, end])

    @property
    def html_body(self) -> Markup:
        """All of it but the foot, which carries the issue's number and date."""
        return self.head + self.tail

    @property
    def fingerprint(self) -> str:
        """sha256 over what the reader reads; the issue's number and date are not in it."""
        where = render.plain(self.posted_where)
        foot = "|".join([self.id, self.plant, self.procedure or "", where, f"{self.part}/{self.parts}"])
        return document.fingerprint(self.title, [self.html_body, Markup("<p>{}</p>").format(foot)])

    @property
    def file(self) -> str:
        """Where its PDF goes, relative to the issue's folder."""
        return f"cards/{self.id.removeprefix('card-')}.pdf"

    def document(self) -> document.Document:
        """As the record and the register know it."""
        return document.Document(self.id, "card", self.title, self.file, self.fingerprint)

    def split(self, bounds: Sequence[int]) -> list[Card]:
        """Several cards, the groups divided before each of the given indices."""
        edges = [0, *bounds, len(self.groups)]
        pieces = [self.groups[a:b] for a, b in zip(edges, edges[1:], strict=False)]
        counts = [self.counts[a:b] for a, b in zip(edges, edges[1:], strict=False)]
        return [
            replace(self, id=f"{self.id}-{n}", groups=piece, counts=count, part=n, parts=len(pieces))
            for n, (piece, count) in enumerate(zip(pieces, counts, strict=True), start=1)
        ]

    @property
    def too_many_lines(self) -> bool:
        """More lines than a person takes from a card of this size in one go, and a pause point to split it at."""
        most = int(words()["run"]["most_lines"][self.paper])
        return len(self.counts) > 1 and sum(self.counts) > most


def build(
    desk: Desk,
    kind: Kind,
    name: str,
    title: str,
    *,
    heaters: Sequence[HeaterLine],
    template: str,
    groups: Sequence[Any],
    where: str,
    context: dict[str, Any] | None = None,
    procedure: str | None = None,
    line_ups: tuple[str, ...] = (),
    counts: tuple[int, ...] = (),
) -> Card:
    """Renders one card. ``title`` may hold marks. The template defines the blocks that ``part`` asks for."""
    shared: dict[str, Any] = {
        "words": words(),
        "heaters": heaters,
        "title": title,
        "paper": desk.profile.paper.cards,
        **(context or {}),
    }

    def piece(part: str, group: Any = None) -> Markup:
        return render.render(f"cards/{template}.html", links=False, part=part, group=group, **shared)

    return Card(
        id=f"card-{name}",
        title=render.plain(title),
        kind=kind,
        plant=desk.profile.name,
        paper=desk.profile.paper.cards,
        head=piece("head"),
        groups=tuple(piece("group", group) for group in groups),
        end=piece("end"),
        posted_where=where,
        procedure=procedure,
        figures=desk.used,
        line_ups=line_ups,
        counts=counts,
    )
