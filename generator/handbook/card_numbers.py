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
from generator.handbook.marks import tag, valued

# A burette is read to a tenth of a millilitre.
HALF_TENTH = 0.05
SET_POINTS_TOGETHER = 5


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
    }
    size = int(texts["rows"][book.profile.paper.cards])
    pieces = _pieces(dose_lines(desk), size)
    # What to do above the highest titration stays with the table's last rows.
    groups: list[dict[str, Any]] = [
        {"kind": "rows", "rows": rows, "last": rows is pieces[-1]} for rows in pieces
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
    """One value beside its words, both with marks."""

    what: str
    value: str
    beside: str = ""


def temperatures_card(book: Book) -> Card:
    """Boiling point here, ceiling, high limit; set points by vessel; what covers each element."""
    desk, texts = Desk(book), words()["temperatures"]
    keys = [
        Row(str(texts[name]), value)
        for name, figure_id in (
            ("boils", "methanol_boiling_point"),
            ("ceiling", "ceiling"),
            ("high_limit", "high_limit"),
        )
        if (value := desk.value(figure_id))
    ]
    strip = book.plant.with_role("strip")
    why = desk.text(texts["ceiling_why"], {"vessel": desk.tag(strip.id)}) if strip else ""
    return build(
        desk,
        "temperatures",
        "temperatures",
        texts["title"],
        locked_lines(desk, "temperatures"),
        Body(
            "temperatures",
            [*_pieces(_set_points(desk), SET_POINTS_TOGETHER), _cover(desk)],
            {"keys": keys, "why": why},
        ),
        Filing(words()["posted"]["temperatures"]),
    )


def _set_points(desk: Desk) -> list[Row]:
    rows = []
    for row in words()["temperatures"]["rows"]:
        tank = desk.book.plant.with_role(row["role"])
        value = desk.value(row["figure"]) if tank else None
        if tank and value:
            rows.append(Row(desk.text(row["what"], {"vessel": desk.tag(tank.id)}), value))
    return rows


def _cover(desk: Desk) -> list[Row]:
    rows = []
    for vessel_id, vessel in desk.profile.vessels.items():
        volume = desk.value(f"{vessel_id}.cover_volume")
        level = desk.value(f"{vessel_id}.cover_level")
        for heater in vessel.heaters if volume else ():
            facts = {"heater": desk.tag(f"{vessel_id}.{heater}"), "vessel": desk.tag(vessel_id)}
            what = desk.text(words()["temperatures"]["cover_row"], facts)
            rows.append(Row(what, volume or "", level or ""))
    return rows


def valves_card(book: Book) -> Card:
    """Every valve by its painted label with its normal position, and every hose."""
    desk, texts = Desk(book), words()["valves"]
    rows = []
    for valve_id, valve in book.profile.valves.items():
        position = texts["check"] if valve.kind == "check" else texts.get(valve.normal)
        shown = tag(valve.normal) if position is None else str(position)
        place = " · ".join(filter(None, [valve.place, texts["locked"] if valve.locked else None]))
        rows.append(Row(desk.tag(valve_id), shown, place))
    hoses = []
    for hose_id, hose in book.profile.hoses.items():
        if hose.normal:
            where = texts["hose_at"].format(vessel=desk.tag(hose.normal.partition(".")[0]))
        else:
            where = texts["hose_sealed" if hose.free_end == "self_sealing" else "hose_free"]
        hoses.append(Row(desk.tag(hose_id), where))
    size = int(texts["rows"][book.profile.paper.cards])
    groups = [{"rows": part, "hoses": []} for part in _pieces(rows, size)]
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


def _pieces(rows: Sequence[Any], size: int) -> list[Sequence[Any]]:
    """Even pieces of at most ``size``; one piece of nothing where there is nothing."""
    count = max(1, -(-len(rows) // size))
    each = -(-len(rows) // count)
    return [rows[n : n + each] for n in range(0, len(rows), each)]


def value_of(figure: Figure | None) -> str:
    """A figure's value as a mark; empty where there is none."""
    return valued(figure) if figure else ""
