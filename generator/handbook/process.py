"""Tables of the process: the way an oil goes, settling, tests with limits and what follows, own values."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any, get_args

import yaml

from generator import quantities
from generator.chemistry.verdicts import Destination, PassLimit, pass_limit
from generator.figures.feedstock import OilRoute, routes
from generator.figures.record import Figure
from generator.figures.settling import DROPS_UM, WARM_C, subject
from generator.handbook.book import Book
from generator.handbook.marks import valued
from generator.handbook.numbers import name
from generator.handbook.tables import Column, Table, Words, table
from generator.problems import CONTENT


@cache
def _words(sheet: str) -> dict[str, Any]:
    text = (CONTENT / "limits" / f"{sheet}.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def route_table(book: Book) -> Table:
    """Which way the usual oil and the worst oil go, and the limits that decide it."""
    names = _words("routes")["names"]
    found = routes(book.profile, book.figures)
    return table("route", ((names[oil.name], valued(oil.ffa), _way(oil), _why(book, oil)) for oil in found))


def _way(oil: OilRoute) -> str:
    words = _words("routes")
    ways = f" {words['or']} ".join(words["ways"][way] for way in (oil.choice.route, *oil.choice.also))
    dried = oil.choice.dry_first and oil.choice.route != "reject"
    return f"{ways}; {words['ways']['dry_first']}" if dried else ways


def _why(book: Book, oil: OilRoute) -> str:
    choice, words = oil.choice, _words("routes")
    over = valued(book.figures.get(choice.over.name)) if choice.over else ""
    limit = valued(book.figures.get(choice.under.name)) if choice.under else ""
    reason = words["why"][choice.under.name if choice.under else "none"].format(over=over, limit=limit)
    water = words["water_above" if choice.dry_first else "water_below"].format(
        water=Words(book).quantity(choice.by_water.value, "mass_fraction"),
        limit=valued(book.figures.get("water_dry")),
    )
    return f"{reason} {water}"


def settling_table(book: Book) -> Table:
    """Time for drops to fall through the charge, by size and temperature."""
    w, made = Words(book), table("settling", [])
    rows = []
    for drop in DROPS_UM:
        cells = [book.figures.get(f"{subject(drop, warm)}.drop_time") for warm in WARM_C]
        if all(cells):
            rows.append((w.quantity(drop * 1e-6, "drop_size"), *(valued(cell) for cell in cells)))
    heads = (Column(w.quantity(float(warm), "temperature"), number=True) for warm in WARM_C)
    return replace(made, columns=(made.columns[0], *heads), rows=tuple(rows))


def tests_table(book: Book) -> Table:
    """Each test, how it is done, and the limit for each destination that this plant's fuel may have."""
    words, places = _words("tests"), _destinations(book)
    made = table("tests", [])
    rows = []
    for test, entry in words["tests"].items():
        cells = (_limit_words(book, test, _limit(book, test, place)) for place in places)
        rows.append((entry["name"], entry["how"], *cells))
    heads = (Column(words["destinations"][place]) for place in places)
    return replace(made, columns=(*made.columns[:2], *heads), rows=tuple(rows))


def decisions(book: Book) -> Table:
    """What follows each test's result, destination by destination, and where the limit is from."""
    words = _words("tests")
    rows = []
    for test, entry in words["tests"].items():
        said: dict[tuple[str, str], list[str]] = {}
        for place in _destinations(book):
            limit = _limit(book, test, place)
            if limit is not None:
                key = words["next"][limit.if_fails], limit.source
                said.setdefault(key, []).append(words["destinations"][place])
        for (then, source), where in said.items():
            rows.append((entry["name"], ", ".join(where), words["next"]["go_on"], then, source))
    return table("decisions", rows)


def _destinations(book: Book) -> list[Destination]:
    towered = book.profile.recipe.washing.method == "tower"
    return [place for place in get_args(Destination) if towered or place != "tower"]


def _limit(book: Book, test: Any, place: Destination) -> PassLimit | None:
    """The pass limit; on the way to the tower, soap and acid as the figures of record have them."""
    acid, soap = book.figures.get("fuel_acid_value"), book.figures.get("soap_to_tower")
    limit = pass_limit(test, place, book.profile.recipe.catalyst.base, acid.value if acid else 0.0)
    if limit is None or place != "tower":
        return limit
    if test == "soap" and soap is not None:
        return replace(limit, greatest=soap.value * 1e-6)
    if test == "acid_value" and acid is not None:
        return replace(limit, greatest=acid.value, source=acid.source)
    return limit


def _limit_words(book: Book, test: str, limit: PassLimit | None) -> str:
    words = _words("tests")
    quantity = words["tests"][test]["quantity"]
    if limit is None:
        return str(words["not_asked"])
    if quantity == "passed":
        return str(words["passed"])
    if limit.greatest == 0.0:
        return str(words["nothing"])
    units, each = book.profile.units, 1e6 if quantity == "parts_per_million" else 1.0
    most = quantities.show(each * limit.greatest, quantity, units=units, rounding="maximum").text
    if limit.least == 0.0:
        return str(words["most"].format(greatest=most))
    least = quantities.show(each * limit.least, quantity, units=units, rounding="minimum").text
    return str(words["between"].format(least=least, greatest=most))


def own_values(book: Book) -> Table:
    """Every value that is the plant's own in the place of a customary one."""
    rows = ((name(book, figure), valued(figure)) for figure in book.figures if figure.own)
    return table("own_values", rows)


def customary(book: Book) -> Table:
    """Every figure that rests on custom or memory and that the plant has not replaced by its own."""
    rows = [
        (name(book, figure), valued(figure), figure.source)
        for figure in book.figures
        if figure.words.get("check") and not figure.own and _stands_alone(figure)
    ]
    return table("customary", rows)


def _stands_alone(figure: Figure) -> bool:
    """A number that was put in, not one made from others that are listed themselves."""
    return not figure.inputs and figure.subject is None
