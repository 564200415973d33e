"""Calculation sheets: every figure with its formula, inputs, source, and where the handbook uses it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator import quantities
from generator.figures.doses import DOSES
from generator.figures.record import Figure, Input
from generator.handbook.book import Book
from generator.handbook.marks import anchor, clean, tag, valued
from generator.handbook.put_in import constants, put_in
from generator.handbook.render import interface
from generator.handbook.tables import Table, Words, figure_rows, table
from generator.operations.steps import VALUE_END, VALUE_SPLIT, VALUE_START

TITRATION = "titration_"
DROP = "drop_"
#: Duties of the heaters in the order in which a batch comes to them.
HEATING_DUTIES = ("dry", "acid", "preheat", "react", "second", "strip", "fuel")


@dataclass(frozen=True)
class Use:
    """A page on which a figure is printed."""

    title: str
    file: str


@dataclass(frozen=True)
class Sheet:
    """One figure; the texts may hold marks."""

    id: str
    title: str
    symbol: str
    formula: str
    put_in: str
    holds: str
    result: str
    rounding: str
    inputs: tuple[tuple[str, str], ...]
    source: str
    mark: str
    note: str
    check: bool
    own: str
    used: tuple[Use, ...]


@dataclass(frozen=True)
class SheetGroup:
    """Sheets under one heading: those of the plant as a whole, or of one vessel."""

    id: str
    title: str
    sheets: tuple[Sheet, ...]


def _input(part: Input, units: str) -> tuple[str, str]:
    shown = part.shown(units)
    if part.figure:
        shown = VALUE_START + part.figure + VALUE_SPLIT + shown + VALUE_END
    if part.own:
        shown = f"{shown} ({interface()['own_value']['beside']})"
    return part.symbol, shown


def _about(book: Book, figure: Figure) -> str:
    """What a figure is about, when it is about one thing: its painted label, or the titration."""
    subject = figure.subject
    if subject is None:
        return ""
    if subject.startswith(TITRATION):
        return titration(book, subject)
    if subject.startswith(DROP):
        return _drop(book, subject)
    if subject in DOSES:
        return f"({interface()['doses'][subject]})"
    owner, _, part = subject.partition(".")
    try:
        label = tag(book.plant.label(owner))
    except KeyError:
        return clean(subject.replace("_", " "))
    return f"{label} {clean(part.replace('_', ' '))}" if part else label


def _drop(book: Book, subject: str) -> str:
    """Size and temperature of a row of the settling table, as printed."""
    w = Words(book)
    micrometres, _, warm = subject.removeprefix(DROP).partition("_at_")
    size = w.quantity(int(micrometres) * 1e-6, "drop_size")
    return f"{size}, {w.quantity(float(warm), 'temperature')}"


def titration(book: Book, subject: str) -> str:
    """The titration that a dose row stands for, as printed."""
    tenths = int(subject.removeprefix(TITRATION))
    return Words(book).quantity(tenths / 10, "titration_volume")


def name(book: Book, figure: Figure) -> str:
    """A figure's title and what it is about."""
    about = _about(book, figure)
    title = quantities.in_units(str(figure.words["title"]), book.profile.units)
    return f"{title} {about}" if about else title


def _own(figure: Figure) -> str:
    """Says that the number, or one that goes into it, is the plant's own; nothing where none is."""
    words = interface()["own_value"]
    if figure.own:
        return str(words["is"])
    return str(words["uses"]) if figure.uses_own else ""


def sheet(book: Book, figure: Figure, used: Iterable[Use] = ()) -> Sheet:
    """One figure's calculation sheet."""
    words, marks = figure.words, interface()["source_marks"]
    mark = str(marks.get(words.get("mark"), ""))
    return Sheet(
        id=anchor(figure.id),
        title=name(book, figure),
        symbol=str(words.get("symbol", "")),
        formula=figure.formula,
        put_in=put_in(figure, constants(book.profile.recipe.catalyst.base)),
        holds=quantities.in_units(str(words.get("holds", "")), book.profile.units),
        result=figure.text,
        rounding=str(interface()["rounding"][figure.rounding]),
        inputs=tuple(_input(part, book.figures.units) for part in figure.inputs),
        source="" if figure.own else quantities.in_units(figure.source, book.profile.units),
        mark="" if figure.own or mark.lower() in figure.source.lower() else mark,
        note=quantities.in_units(str(words.get("note") or ""), book.profile.units),
        check=bool(words.get("check")) and not figure.own,
        own=_own(figure),
        used=tuple(used),
    )


def sheet_groups(book: Book, used: Mapping[str, tuple[Use, ...]]) -> list[SheetGroup]:
    """All sheets but those of the dose table's rows, the plant's own first, then vessel by vessel."""
    words = interface()
    groups: dict[str, list[Sheet]] = {"": []}
    for figure in book.figures:
        subject = (figure.subject or "").partition(".")[0]
        if subject.startswith(DROP) or subject in DOSES:
            subject = ""
        if not subject.startswith(TITRATION):
            groups.setdefault(subject, []).append(sheet(book, figure, used.get(anchor(figure.id), ())))
    w = Words(book)
    return [
        SheetGroup(
            f"sheets-{subject.replace('_', '-') or 'plant'}",
            w.thing(subject) if subject else words["sheets_plant"],
            tuple(sheets),
        )
        for subject, sheets in groups.items()
        if sheets
    ]


@dataclass(frozen=True)
class DoseSheet:
    """One row of the dose table as a calculation: its titration, then anchor and value of each figure."""

    titration: str
    cells: tuple[tuple[str, str], ...]


def _dose_figures(book: Book) -> list[tuple[str, list[Figure]]]:
    """By titration as printed: flake per litre, for the batch, and for each dose where there are two."""
    kinds = ("catalyst_dose", "catalyst_mass", "first_catalyst", "second_catalyst")
    subjects = {f.subject for f in book.figures if f.subject and f.subject.startswith(TITRATION)}
    in_order = sorted(subjects, key=lambda s: int(s.removeprefix(TITRATION)))
    return [(titration(book, s), figure_rows(book, (f"{s}.{kind}" for kind in kinds))) for s in in_order]


def dose_sheets(book: Book) -> list[DoseSheet]:
    """The dose table's rows in order of titration."""
    return [
        DoseSheet(shown, tuple((anchor(figure.id), figure.text) for figure in figures))
        for shown, figures in _dose_figures(book)
    ]


def dose_table(book: Book) -> Table:
    """Titration and flake for the batch and per litre of oil; or for each of two doses."""
    rows = []
    two = book.profile.recipe.stages == 2
    for shown, figures in _dose_figures(book):
        per_litre, whole, *doses = (valued(figure) for figure in figures)
        rows.append((shown, *doses, whole) if two else (shown, whole, per_litre))
    return table("dose_two" if two else "dose", rows)


def figure_table(book: Book, name_of_table: str, ids: Iterable[str]) -> Table:
    """A two-column table, title and value, of those figures that this plant has."""
    rows = ((name(book, figure), valued(figure)) for figure in figure_rows(book, ids))
    return table(name_of_table, rows)


def stored(book: Book) -> Table:
    """What the vessels hold when full, beside the amount at which a rule of the place begins."""
    figures = [figure for figure in book.figures if figure.kind.startswith("stored_")]
    units = book.profile.units
    rows = ((name(book, each), valued(each), each.inputs[0].shown(units)) for each in figures)
    return table("stored", rows)


def limits(book: Book, name_of_table: str = "limits") -> Table:
    """Operating limits, or set points: value, why, what if passed, what to do, as interface.yaml words them.

    A limit that every vessel has is one row, its values behind the vessels' labels.
    """
    rows: list[tuple[str, ...]] = []
    for kind, entry in interface()[name_of_table].items():
        found = [figure for figure in book.figures if figure.kind == kind]
        values = "; ".join(f"{_about(book, figure)}\u00a0{valued(figure)}".strip() for figure in found)
        if found:
            rows.append((entry["what"], values, entry["why"], entry["passed"], entry["do"]))
    return table(name_of_table, rows)


def heating(book: Book) -> Table:
    """Heating times, vessel by vessel."""
    rows = []
    for vessel_id in book.profile.vessels:
        for duty in HEATING_DUTIES:
            figure = book.figures.get(f"{vessel_id}.heating_time_{duty}")
            if figure:
                power = valued(book.figures.get(f"{vessel_id}.element_power"))
                loss = valued(book.figures.get(f"{vessel_id}.heat_loss"))
                rows.append((name(book, figure), valued(figure), power, loss))
    return table("heating", rows)
