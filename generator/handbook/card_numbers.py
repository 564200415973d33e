"""Cards of numbers: flake by titration, temperatures and limits, fill marks of a vessel, normal positions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from generator import quantities
from generator.figures.recipe import dose_rows
from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import locked_lines
from generator.handbook.marks import clean, parts_of
from generator.operations.inject import shut_while_held

# A burette is read to a tenth of a millilitre.
HALF_TENTH = 0.05


@dataclass(frozen=True)
class DoseLine:
    """One row of the dose table; ``usual`` marks the titration that the profile expects.

    Of a recipe in two stages ``mass`` is the first dose and ``dose`` the second.
    """

    titration: str
    mass: str
    dose: str
    usual: bool


def dose_lines(desk: Desk) -> list[DoseLine]:
    """Rows in order of titration, up to the highest that the profile allows."""
    usual_ml = desk.profile.feedstock.usual_titration_ml
    rows = dose_rows(desk.book.figures)
    made = []
    for row in rows:
        pair = (row.mass, row.dose)
        if desk.profile.recipe.stages == 2:
            figures = desk.book.figures
            pair = (
                figures[f"{row.mass.subject}.first_catalyst"],
                figures[f"{row.mass.subject}.second_catalyst"],
            )
        for figure in pair:
            desk.figure(figure.id)
        usual = abs(row.titration_ml - usual_ml) < HALF_TENTH
        made.append(DoseLine(f"{row.titration_ml:.1f}", pair[0].text, pair[1].text, usual))
    return made


def dose_card(book: Book) -> Card:
    """The dose table under a banner that names catalyst, purity, titrant and oil."""
    desk, texts = Desk(book), words()["dose"]
    recipe, feedstock = book.profile.recipe, book.profile.feedstock
    catalyst = recipe.catalyst
    purity = quantities.show(catalyst.purity, "fraction", rounding="exact").text
    titrant = texts[f"titrant_{'same' if catalyst.titrant.made_from == 'same_flake' else 'standardised'}"]
    highest = f"{feedstock.highest_titration_ml:.1f}\u00a0{texts['unit_ml']}"
    context = {
        "banner": texts["banner"].format(base=catalyst.base, purity=purity),
        "titrant": titrant.format(base=catalyst.titrant.base),
        "oil": desk.text(texts["oil"]),
        "columns": texts["columns_two" if book.profile.recipe.stages == 2 else "columns"],
        "above": texts["above"].format(highest=highest),
        "above_do": desk.text(texts["above_do"], {"vessel": desk.tag(book.plant.the("dry").id)}),
    }
    size = int(texts["rows"][book.profile.paper.cards])
    parts = pieces(dose_lines(desk), size)
    # What to do above the highest titration stays with the table's last rows.
    groups: list[dict[str, Any]] = [
        {"kind": "rows", "rows": rows, "last": rows is parts[-1]} for rows in parts
    ]
    groups.append({"kind": "notes"})
    return build(
        desk,
        "dose",
        "dose",
        texts["title"],
        locked_lines(desk, "before_lye"),
        Body("dose", groups, context),
        Filing(words()["posted"]["dose"]),
    )


@dataclass(frozen=True)
class Row:
    """One value beside its words, both with marks; ``beside`` holds lines that stand under the value.

    ``kind`` says whether it is a limit, a setting or what is computed; empty where that is not the question.
    """

    what: str
    value: str
    beside: tuple[str, ...] = ()
    kind: str = ""


def temperatures_card(book: Book) -> Card:
    """Boiling point here, ceiling, high limit; set points by vessel; what covers each element."""
    desk, texts = Desk(book), words()["temperatures"]
    keys = [
        _row(str(texts[name]), figure)
        for name, figure_id in (
            ("boils", "methanol_boiling_point"),
            ("ceiling", "ceiling"),
            ("high_limit", "high_limit"),
        )
        if (figure := desk.figure(figure_id))
    ]
    strip = book.plant.with_role("strip")
    size = texts["together"][desk.profile.paper.cards]
    why = desk.text(texts["ceiling_why"], {"vessel": desk.tag(strip.id)}) if strip else ""
    return build(
        desk,
        "temperatures",
        "temperatures",
        texts["title"],
        locked_lines(desk, "temperatures"),
        Body(
            "temperatures",
            [*pieces(_set_points(desk), size["set_points"]), *pieces(_cover(desk), size["covers"])],
            {"keys": keys, "why": why},
        ),
        Filing(words()["posted"]["temperatures"]),
    )


def _set_points(desk: Desk) -> list[Row]:
    rows = []
    for row in words()["temperatures"]["rows"]:
        tank = desk.book.plant.with_role(row["role"])
        figure = desk.figure(row["figure"]) if tank else None
        if tank and figure:
            rows.append(_row(desk.text(row["what"], {"vessel": desk.tag(tank.id)}), figure, str(row["kind"])))
    return rows


def _row(what: str, figure: Figure, kind: str = "") -> Row:
    """A figure in the plant's first unit, and in its second one below."""
    first, *others = parts_of(figure)
    return Row(what, first, tuple(others), kind)


def _cover(desk: Desk) -> list[Row]:
    """The cover mark of each heated vessel, one for all its heaters: the highest one's."""
    rows = []
    for vessel_id, vessel in desk.profile.vessels.items():
        volume = desk.figure(f"{vessel_id}.cover_volume")
        level = desk.figure(f"{vessel_id}.cover_level")
        if volume is None or level is None:
            continue
        (first, *others), (up, *others_up) = parts_of(volume), parts_of(level)
        heaters = " ".join(desk.tag(f"{vessel_id}.{heater}") for heater in vessel.heaters)
        facts = {"heaters": heaters, "vessel": desk.tag(vessel_id)}
        what = desk.text(words()["temperatures"]["cover_row"], facts)
        also = [f"{other}, {its}" for other, its in zip(others, others_up, strict=False)]
        rows.append(Row(what, first, (up, *also)))
    return rows


def valves_card(book: Book) -> Card:
    """Every valve by its painted label with its normal position, and every hose."""
    desk, texts = Desk(book), words()["valves"]
    rows = []
    held = shut_while_held(book.plant)
    for valve_id, valve in book.profile.valves.items():
        position = texts["check"] if valve.kind == "check" else texts.get(valve.normal)
        shown = clean(valve.normal) if position is None else str(position)
        shut = texts["shut_while"] if valve_id in held else None
        place = " · ".join(filter(None, [valve.place, texts["locked"] if valve.locked else None, shut]))
        rows.append(Row(desk.tag(valve_id), shown, (place,) if place else ()))
    hoses = []
    for hose_id, hose in book.profile.hoses.items():
        if hose.normal:
            where = texts["hose_at"].format(vessel=desk.tag(hose.normal.partition(".")[0]))
        else:
            where = texts["hose_sealed" if hose.free_end == "self_sealing" else "hose_free"]
        hoses.append(Row(desk.tag(hose_id), where))
    size = int(texts["rows"][book.profile.paper.cards])
    groups = [{"rows": part, "hoses": []} for part in pieces(rows, size)]
    if hoses:
        groups.append({"rows": [], "hoses": hoses})
    return build(
        desk,
        "valves",
        "normal-positions",
        texts["title"],
        locked_lines(desk, "valves"),
        Body("valves", groups),
        Filing(words()["posted"]["valves"]),
    )


def pieces(rows: Sequence[Any], size: int) -> list[Sequence[Any]]:
    """Even pieces of at most ``size``; one piece of nothing where there is nothing."""
    count = max(1, -(-len(rows) // size))
    each = -(-len(rows) // count)
    return [rows[n : n + each] for n in range(0, len(rows), each)]
