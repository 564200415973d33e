"""Which pages this plant's handbook has, in the seven groups by when they are needed, and their bodies."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import yaml
from markupsafe import Markup

from generator.handbook import hazards, levels, lockout, numbers, process, tables, wiring
from generator.handbook.book import GROUPS, Book, Issue
from generator.handbook.document import Document, Hung, Kind, fingerprint
from generator.handbook.drawing import legend
from generator.handbook.drawing.drawings import Drawing, plant_drawing
from generator.handbook.heater_duties import heater_duties
from generator.handbook.marks import MARKS, clean, tag, valued
from generator.handbook.rehearsal import rehearsed
from generator.handbook.rehearsal_words import words as rehearsal_words
from generator.handbook.render import SHEETS_FILE, interface, marked, render, render_markdown, us_first
from generator.operations.emergency import places, scenes_for
from generator.operations.facts import facts
from generator.operations.steps import plain
from generator.problems import CONTENT

EMERGENCY, CARD_LIST = "page-emergency", "page-cards"
# A Markdown page begins with its title, which the frame prints.
_TITLE = re.compile(r"\A\s*<h1>.*?</h1>", re.DOTALL)
_ANCHOR = re.compile(rf'href="{re.escape(SHEETS_FILE)}#([a-z0-9-]+)"')


@dataclass(frozen=True)
class Page:
    """One page without its frame: no issue number, date or page number is in ``body_html``.

    A ``short`` one needs no sheet of its own on paper; ``sheet`` says how a drawing's lies (upright, lying).
    """

    id: str
    title: str
    group: str
    body_html: str
    kind: Kind = "page"
    short: bool = False
    sheet: str = ""

    @property
    def file(self) -> str:
        return "index.html" if self.id == "page-start" else f"{self.id}.html"

    @property
    def document(self) -> Document:
        return Document(
            self.id, self.kind, self.title, f"site/{self.file}", fingerprint(self.title, [self.body_html])
        )


@cache
def _specification() -> dict[str, list[dict[str, str]]]:
    text = (CONTENT / "pages" / "pages.yaml").read_text(encoding="utf-8")
    loaded: dict[str, list[dict[str, str]]] = yaml.safe_load(text)
    return loaded


@dataclass(frozen=True)
class _Entry:
    """A page to be rendered: its template and what only this page knows."""

    page: Page
    template: str
    own: Mapping[str, Any]


def pages(
    book: Book,
    issue: Issue,  # noqa: ARG001 - no body may change with it, or every issue would change every page
    cards: Sequence[Hung] = (),
) -> list[Page]:
    """Every page in reading order; ``cards`` are listed under Paperwork. The issue changes no body."""
    drawing = plant_drawing(book.plant)
    entries = list(_entries(book, drawing))
    context = _context(book, cards, [entry.page for entry in entries]) | {"drawing": drawing}
    done = {entry.page.id: _render(entry, context) for entry in entries if entry.page.id != "page-sheets"}
    used = _uses(done.values())
    out = []
    for entry in entries:
        page = done.get(entry.page.id)
        out.append(page or _render(entry, {**context, "sheet_groups": numbers.sheet_groups(book, used)}))
    return out


def listing(book: Book, made: Sequence[Page], cards: Sequence[Hung]) -> list[Page]:
    """The same pages, the one that lists the cards with others: no other page hangs on them."""
    template = next(spec["template"] for spec in _specification()["paper"] if spec.get("id") == CARD_LIST)
    return [
        _render(_Entry(page, template, {"cards": cards}), {"plant": book.profile})
        if page.id == CARD_LIST
        else page
        for page in made
    ]


def _entries(book: Book, drawing: Drawing) -> Iterator[_Entry]:
    known = facts(book.plant)
    for group in GROUPS:
        for spec in _specification()[group]:
            each = spec.get("each")
            if each == "procedures":
                for procedure in book.by_group(group):
                    title = f"{procedure.number} {plain(procedure.title)}".strip()
                    short = procedure.unused is not None
                    page = Page(f"proc-{procedure.id}", title, group, "", "procedure", short)
                    yield _Entry(page, spec["template"], {"procedure": procedure})
            elif each == "substances":
                for key, entry in hazards.applicable("substances", known).items():
                    page = Page(f"page-hazard-{key.replace('_', '-')}", entry["title"], group, "")
                    yield _Entry(page, spec["template"], {"substance": entry})
            else:
                sheet = ("lying" if drawing.lying else "upright") if spec.get("sheet") else ""
                yield _Entry(Page(spec["id"], spec["title"], group, "", sheet=sheet), spec["template"], {})


def _render(entry: _Entry, context: Mapping[str, Any]) -> Page:
    renderer = render_markdown if entry.template.endswith(".md") else render
    rendered = renderer(f"pages/{entry.template}", page=entry.page, **{**context, **entry.own})
    body = us_first(rendered, context["plant"].units)
    return replace(entry.page, body_html=_TITLE.sub("", body, count=1))


def _uses(done: Any) -> dict[str, tuple[numbers.Use, ...]]:
    """By anchor of a figure, the pages that print it."""
    found: dict[str, list[numbers.Use]] = {}
    for page in done:
        for target in dict.fromkeys(_ANCHOR.findall(page.body_html)):
            found.setdefault(target, []).append(numbers.Use(page.title, page.file))
    return {target: tuple(uses) for target, uses in found.items()}


def _context(book: Book, cards: Sequence[Hung], every: Sequence[Page]) -> dict[str, Any]:
    """What every template may use. ``fig`` gives a figure or None, ``made`` a table by name."""
    profile = book.profile
    known = facts(book.plant)
    words = tables.Words(book)
    drawings = [(tank, levels.drawing(book, tank)) for tank in book.plant.tanks.values()]
    emergency = hazards.sheet("emergency")
    known_places = {
        # Only the valve's label is marked by us; what the owner wrote holds no marks.
        key: clean(text, keep=MARKS if key == "methoxide_valve" else frozenset())
        for key, text in places(book.plant).items()
    }
    return {
        "plant": profile,
        "book": book,
        "facts": known,
        "w": words,
        "fig": book.figures.get,
        "all_pages": every,
        "by_group": {group: [p for p in every if p.group == group] for group in GROUPS},
        "groups": GROUPS,
        "cards": cards,
        "hazards": hazards,
        "messages": hazards.messages(book),
        "ghs": hazards.sheet("statements"),
        "sources": hazards.sheet("sources"),
        "signs": hazards.sheet("signs"),
        "ppe": hazards.protective(known),
        "incompatible": _incompatible(),
        "substances": hazards.applicable("substances", known),
        "emergency": emergency,
        "scenes": scenes_for(known),
        "follows": _follows(book, known, known_places, every),
        "place": known_places,
        "fill": lambda sentence: marked(hazards.filled(sentence, known_places)),
        "drawing_words": legend.words(),
        "equipment": [maker(book) for maker in tables.EQUIPMENT],
        "inventory": tables.inventory(book),
        "safety_table": tables.safety(book),
        "valves": wiring.valves(book),
        "normal_positions": wiring.normal_positions(book),
        "line_ups": wiring.views(book),
        "line_up_title": {key: wiring.title(book, line_up) for key, line_up in book.line_ups.items()},
        "drawings": [(tank, drawing) for tank, drawing in drawings if drawing],
        "limits": numbers.limits(book),
        "set_points": numbers.limits(book, "set_points"),
        "dose": numbers.dose_table(book),
        "dose_sheets": numbers.dose_sheets(book),
        "heating": numbers.heating(book),
        "heater_duties": heater_duties(book),
        "figure_table": lambda name, ids: numbers.figure_table(book, name, ids),
        "ids_of": lambda *kinds: [f.id for kind in kinds for f in book.figures if f.kind == kind],
        "route": process.route_table(book),
        "settling": process.settling_table(book),
        "stored": numbers.stored(book),
        "oil_tests": process.oil_tests(book),
        "tests": process.tests_table(book),
        "decisions": process.decisions(book),
        "own_values": process.own_values(book),
        "lockout_words": lockout.words(),
        "lockout_table": lockout.lockout_table(book),
        "lockout_first": lockout.steps(book, "first"),
        "lockout_after": lockout.steps(book, "after"),
        "customary": process.customary(book),
        "kind_words": interface()["kinds"],
        "to_check": _to_check(book),
        "stops": [f for f in book.findings if f.stops],
        "accepted": book.accepted,
        "kept_rules": hazards.kept_rules(known),
        "rehearsed": rehearsed(book),
        "rehearsal_words": rehearsal_words(),
        "painted": tag,
        "shown_value": valued,
        "sheet_groups": [],
    }


def _follows(
    book: Book, known: Mapping[str, Any], named: Mapping[str, str], every: Sequence[Page]
) -> dict[str, Page]:
    """By scene, the one procedure that holds every plain step of what follows after it is done at once."""
    said = {
        f"proc-{procedure.id}": {plain(step.text) for step in procedure.steps}
        for procedure in book.procedures
    }
    found = {}
    for key, scene in scenes_for(known).items():
        wanted = {hazards.filled(step, named) for step in scene.get("then", ()) if isinstance(step, str)}
        holders = [page for page in every if wanted and wanted <= said.get(page.id, set())]
        if len(holders) == 1:
            found[key] = holders[0]
    return found


def _to_check(book: Book) -> tables.Table:
    """Values that the profile calls assumed, with where it says so."""
    rows = []
    for trail, how in book.loaded.known.items():
        if how.how == "assumed":
            what = " → ".join(str(part).replace("_", " ") for part in trail)
            rows.append(
                (
                    what,
                    clean(str(book.loaded.tree.at(trail))),
                    clean(how.by or ""),
                    str(how.date or ""),
                    f"{how.place.line}",
                )
            )
    return tables.table("to_check", rows)


def _incompatible() -> tables.Table:
    """The matrix of what must not meet what."""
    data, words = hazards.sheet("incompatible"), interface()["verdict"]
    heads = list(data["columns"].values())
    made = tables.table("incompatible", [])
    rows = []
    for key, name in data["rows"].items():
        cells = (data["cells"][key][column] for column in data["columns"])
        rows.append((name, *(_verdict(cell, words) for cell in cells)))
    columns = (made.columns[0], *(tables.Column(head) for head in heads))
    return replace(made, columns=columns, rows=tuple(rows))


def _verdict(cell: Mapping[str, str], words: Mapping[str, str]) -> str:
    said = words[cell["verdict"]]
    if cell["words"] == "-":
        return said
    return cell["words"] if cell["verdict"] == "ok" else f"{said}: {cell['words']}"


def body(page: Page) -> Markup:
    """A page's body as markup for a frame's template."""
    return Markup(page.body_html)  # noqa: S704 - made by our own templates
