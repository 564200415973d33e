"""Tables of the process: the way an oil goes, settling, tests with limits and what follows, own values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, get_args

import yaml

from generator import quantities
from generator.chemistry.verdicts import Destination, PassLimit, pass_limit
from generator.figures.feedstock import OilRoute, routes
from generator.figures.record import Figure
from generator.figures.settling import DROPS_UM, WARM_C, subject
from generator.handbook.book import Book
from generator.handbook.marks import clean, valued
from generator.handbook.numbers import name
from generator.handbook.render import interface
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
        cells = (_passes(book, entry, _limit(book, test, place), place) for place in places)
        rows.append((_said(book, entry["name"]), _said(book, entry["how"]), *cells))
    heads = (Column(words["destinations"][place]) for place in places)
    return replace(made, columns=(*made.columns[:2], *heads), rows=tuple(rows))


def oil_tests(book: Book) -> Table:
    """Tests of the oil before it meets methanol: how, what passes, what follows."""
    rows = []
    for entry in _words("tests")["oil_tests"].values():
        if any(name not in book.figures for name in entry.get("limits", ())):
            continue  # an instrument that this plant does not have
        found = [book.figures[name] for name in entry.get("limits", ())]
        passes = _between(found) if found else entry["passes"]
        source = entry.get("source") or _from(book, found[0])
        rows.append((entry["name"], _said(book, entry["how"]), passes, _said(book, entry["fails"]), source))
    return table("oil_tests", rows)


def decisions(book: Book) -> Table:
    """What follows each test's result, destination by destination, and where the limit is from."""
    words = _words("tests")
    rows = []
    for test, entry in words["tests"].items():
        said: dict[tuple[str, str], list[str]] = {}
        for place in _destinations(book):
            limit = _limit(book, test, place)
            if limit is not None:
                found = _figures(book, entry, place)
                key = _then(book, limit.if_fails, place), _from(book, found[0]) if found else limit.source
                said.setdefault(key, []).append(words["destinations"][place])
        for (then, source), where in said.items():
            go_on = _then(book, "go_on", "own_use")
            rows.append((_said(book, entry["name"]), ", ".join(where), go_on, then, source))
    return table("decisions", rows)


@dataclass(frozen=True)
class BenchTest:
    """A test as it hangs beside the bench; ``results`` are where the fuel goes, what passes, what if not."""

    name: str
    how: str
    results: tuple[tuple[str, str, str], ...]


def bench_tests(book: Book) -> tuple[list[BenchTest], list[BenchTest]]:
    """Tests of the oil and of the fuel, as far as the plant's own use asks for them."""
    oil = [BenchTest(row[0], row[1], (("", row[2], row[3]),)) for row in oil_tests(book).rows]
    words, fuel = _words("tests"), []
    asked = [place for place in _destinations(book) if place != "standard"]
    # Where fuel goes one way only, the way is not named.
    named = {place: words["destinations"][place] if len(asked) > 1 else "" for place in asked}
    for test, entry in words["tests"].items():
        limits = {place: _limit(book, test, place) for place in asked}
        results = [
            (named[place], _passes(book, entry, limit, place), _then(book, limit.if_fails, place))
            for place, limit in limits.items()
            if limit is not None
        ]
        fuel.append(BenchTest(_said(book, entry["name"]), _said(book, entry["how"]), _alike(results)))
    return oil, [test for test in fuel if test.results]


def _alike(results: list[tuple[str, str, str]]) -> tuple[tuple[str, str, str], ...]:
    """Results in one where what passes and what follows are the same."""
    said: dict[tuple[str, str], list[str]] = {}
    for place, passes, fails in results:
        said.setdefault((passes, fails), []).append(place)
    return tuple((", ".join(places), passes, fails) for (passes, fails), places in said.items())


def _destinations(book: Book) -> list[Destination]:
    towered = book.profile.recipe.washing.method == "tower"
    return [place for place in get_args(Destination) if towered or place != "tower"]


def _limit(book: Book, test: Any, place: Destination) -> PassLimit | None:
    """Whether the test decides anything there, and what follows; the numbers are figures of record."""
    if test == "acid_value" and place == "tower" and "fuel_acid_value" not in book.figures:
        return None  # an adsorbent adds no acid
    return pass_limit(test, place, book.profile.recipe.catalyst.base, 0.0)


def _figures(book: Book, entry: Mapping[str, Any], place: Destination) -> list[Figure]:
    """The limits of a test for a destination: none, the greatest or least, or both."""
    return [book.figures[name] for name in entry.get("limits", {}).get(place, ())]


def _passes(book: Book, entry: Mapping[str, Any], limit: PassLimit | None, place: Destination) -> str:
    if limit is None:
        return str(_words("tests")["not_asked"])
    found = _figures(book, entry, place)
    return _between(found, least=math.isinf(limit.greatest)) if found else str(entry["passes"])


def _between(found: list[Figure], *, least: bool = False) -> str:
    """Least and greatest in words, or the greatest alone, or the least. Nothing lies below nothing."""
    words = _words("tests")
    if len(found) == 2:
        return str(words["between"].format(least=valued(found[0]), greatest=valued(found[1])))
    (only,) = found
    if only.value == 0.0:
        return valued(only)
    side = "at_least" if least else "most"
    return str(words[side].format(least=valued(only), greatest=valued(only)))


def _then(book: Book, key: str, place: Destination) -> str:
    """What to do next in words, as this rig can do it."""
    ways: Mapping[str, str] = _words("tests")["next"][key]
    finish = "water_wash" if book.profile.recipe.washing.method == "water" else "dry_wash"
    return _said(book, next(ways[way] for way in (place, finish, "any") if way in ways))


def _said(book: Book, sentence: str) -> str:
    """A sentence of the tests with the plant's figures, keeper and units in it."""
    named = {name: valued(book.figures.get(name)) for name in ("flash_no_methanol", "fuel_density_step")}
    keeper = clean(book.profile.site.contacts.keeper)
    return quantities.in_units(sentence, book.profile.units).format(keeper=keeper, **named)


def _from(book: Book, figure: Figure) -> str:
    """Where a limit is from: how it is known, then the source."""
    marks = interface()["source_marks"]
    if figure.own:
        return str(interface()["own_value"]["is"])
    known = str(marks[figure.words["mark"]])
    source = quantities.in_units(figure.source, book.profile.units)
    return source if known.lower() in source.lower() else f"{known}: {source}"


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
