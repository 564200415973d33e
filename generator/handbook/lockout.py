"""What is switched off, closed and emptied before a piece of equipment is opened, and the steps around it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

import yaml

from generator import quantities
from generator.handbook.book import Book
from generator.handbook.marks import tag
from generator.handbook.tables import Table, Words, table
from generator.operations.facts import facts, holds
from generator.plant.parting import Parted, parted
from generator.problems import CONTENT


@cache
def words() -> dict[str, Any]:
    """The words of the page and the card."""
    loaded: dict[str, Any] = yaml.safe_load((CONTENT / "wording" / "lockout.yaml").read_text("utf-8"))
    return loaded


@dataclass(frozen=True)
class Row:
    """One piece of equipment: all texts hold marks; an empty one says that there is nothing."""

    part: str
    switches: str
    close: str
    empty: str
    holds: str


def rows(book: Book) -> list[Row]:
    """A row for every vessel that stays where it is, every pump and everything in line."""
    profile = book.profile
    standing = [id_ for id_, vessel in profile.vessels.items() if not vessel.movable]
    return [_row(book, part) for part in (*standing, *profile.pumps, *profile.inline)]


def lockout_table(book: Book) -> Table:
    """The rows as a table of the handbook."""
    return table("lockout", [(r.part, r.switches, r.close, r.empty, r.holds) for r in rows(book)])


def steps(book: Book, part: str) -> list[str]:
    """The steps before (``first``) or ``after`` work, with the temperature in this plant's units."""
    kelvin = quantities.parse(words()["cool"], "temperature")
    cool = quantities.show(kelvin, "temperature", units=book.profile.units, rounding="maximum").text
    said = [step for step in words()["steps"][part] if holds(step.get("when"), facts(book.plant))]
    return [step["do"].format(cool=cool) for step in said]


def _row(book: Book, part: str) -> Row:
    texts, w, found = words(), Words(book), parted(book.plant, part)

    def tags(ids: Iterable[str]) -> str:
        return " ".join(tag(book.plant.label(id_)) for id_ in ids)

    hoses = [texts["also_hose"].format(hose=tags([hose])) for hose in found.hoses]
    supplies = [texts["also_supply"].format(supply=tags([supply])) for supply in found.supplies]
    lifted = [texts["also_lifted"].format(vessel=tags([vessel])) for vessel in found.lifted]
    others = [id_ for id_ in (*found.vessels, *found.inline, *found.pumps) if id_ != part]
    return Row(
        part=w.thing(part),
        switches=" ".join(_switched(book, found)),
        close=", ".join(filter(None, [tags(found.valves), *hoses, *supplies, *lifted])),
        empty=tags(others),
        holds=_holds(book, found),
    )


def _switched(book: Book, found: Parted) -> Iterable[str]:
    """Painted labels of whatever heats or runs by itself in what is opened together."""
    for id_ in found.vessels:
        vessel = book.profile.vessels[id_]
        yield from (tag(heater.label) for heater in vessel.heaters.values())
        if vessel.agitator and vessel.agitator.kind != "hand":
            yield tag(vessel.agitator.label)
    kinds = {id_: pump.kind for id_, pump in book.profile.pumps.items()}
    yield from (tag(book.plant.label(pump)) for pump in found.pumps if kinds[pump] != "hand")


def _holds(book: Book, found: Parted) -> str:
    texts = words()
    inside = dict.fromkeys(_inside(book, id_) for id_ in (*found.vessels, *found.lifted))
    over = " ".join(tag(book.plant.label(vessel)) for vessel in found.vapour)
    vapour = [texts["also_vapour"].format(vessels=over)] if over else []
    return ", ".join([*(inside or [texts["inside"]["passed"]]), *vapour])


def _inside(book: Book, vessel: str) -> str:
    roles = book.profile.vessels[vessel].roles
    return next(str(said) for role, said in words()["inside"].items() if role in roles)
