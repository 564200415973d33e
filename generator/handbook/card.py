"""A wall card: what it says, in pieces that may be split over several cards, and its fingerprint."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, Literal

from markupsafe import Markup

from generator.handbook import document, render
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import HeaterLine
from generator.operations.steps import plain

Kind = Literal[
    "dose",
    "temperatures",
    "lineup",
    "run",
    "methanol",
    "lye",
    "methoxide",
    "emergency",
    "valves",
    "marks",
    "lockout",
    "tests",
]
#: The page of the site that a kind of card is about; a lye's own page is named by its card.
PAGES: dict[Kind, str] = {
    "dose": "page-dose",
    "temperatures": "page-limits",
    "lineup": "page-line-ups",
    "run": "index",
    "methanol": "page-hazard-methanol",
    "lye": "page-hazard",
    "methoxide": "page-hazard-methoxide",
    "emergency": "page-emergency",
    "valves": "page-valves",
    "marks": "page-fill-marks",
    "lockout": "page-lockout",
    "tests": "page-tests",
}
Paper = Literal["A4", "A5", "Letter", "half_Letter"]


@dataclass(frozen=True)
class Card:
    """``head`` stands on every part of a split card, ``groups`` may be parted, ``end`` closes the last part.

    ``counts`` is how many lines to be done each group has, where it has such. ``posted_where`` may hold label
    marks. ``figures`` and ``line_ups`` are the ids it depends on. ``address`` is that of its page where the
    handbook is hosted, empty where it is not. The groups from ``keep`` on stay on one
    sheet where they fit it; ``whole`` marks a part that holds no others.
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
    keep: int | None = None
    whole: bool = False
    address: str = ""

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
        where = plain(self.posted_where)
        foot = "|".join([self.id, self.plant, self.procedure or "", where, f"{self.part}/{self.parts}"])
        foot += f"|{self.address}" if self.address else ""
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
        pieces = [self.groups[a:b] for a, b in pairwise(edges)]
        counts = [self.counts[a:b] for a, b in pairwise(edges)]
        wholes = [self.kept(edge) for edge in edges[:-1]]
        part = replace(self, parts=len(pieces))
        return [
            replace(part, id=f"{self.id}-{n}", groups=piece, counts=count, part=n, whole=whole)
            for n, (piece, count, whole) in enumerate(zip(pieces, counts, wholes, strict=True), start=1)
        ]

    def kept(self, start: int) -> bool:
        """Whether a part that begins with group ``start`` holds only groups that stay together."""
        return self.keep is not None and start >= self.keep

    @property
    def too_many_lines(self) -> bool:
        """More lines than a person takes from a card of this size in one go, and a place to split it at."""
        most = int(words()["run"]["most_lines"][self.paper])
        return len(self.counts) > 1 and not self.whole and sum(self.counts) > most


@dataclass(frozen=True)
class Body:
    """What a template of content/cards is filled with: it is rendered once a part (head, each group, end)."""

    template: str
    groups: Sequence[Any]
    context: Mapping[str, Any] = field(default_factory=dict)
    counts: tuple[int, ...] = ()
    keep: int | None = None


@dataclass(frozen=True)
class Filing:
    """Where a card hangs, and the procedures and line-ups it is an extract of."""

    where: str
    procedure: str | None = None
    line_ups: tuple[str, ...] = ()


def build(
    desk: Desk, kind: Kind, name: str, title: str, heaters: Sequence[HeaterLine], body: Body, filing: Filing
) -> Card:
    """Renders one card. ``title`` may hold marks."""
    paper = desk.profile.paper.cards
    shared = {"words": words(), "heaters": heaters, "title": title, "paper": paper, **body.context}

    def piece(part: str, group: Any = None) -> Markup:
        rendered = render.render(f"cards/{body.template}.html", links=False, part=part, group=group, **shared)
        return render.us_first(rendered, desk.profile.units)

    return Card(
        id=f"card-{name}",
        title=plain(title),
        kind=kind,
        plant=desk.profile.name,
        paper=paper,
        head=piece("head"),
        groups=tuple(piece("group", group) for group in body.groups),
        end=piece("end"),
        posted_where=filing.where,
        procedure=filing.procedure,
        figures=desk.used,
        line_ups=filing.line_ups,
        counts=body.counts,
        keep=body.keep,
        address=_address(desk.profile.site.handbook_address, kind, name, filing),
    )


def _address(hosted: str | None, kind: Kind, name: str, filing: Filing) -> str:
    """Where a phone finds what the card is about."""
    if not hosted:
        return ""
    page = PAGES[kind] + (name.removeprefix("lye") if kind == "lye" else "")
    at = f"#line-up-{filing.line_ups[0]}" if kind == "lineup" else ""
    return f"{hosted.rstrip('/')}/{page}.html{at}"
