"""A change of the profile in the words of the trade: which piece of equipment, which property, was and is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from generator.handbook.marks import clean, tag
from generator.problems import CONTENT, Place
from generator.profile.nodes import Trail, Tree
from generator.register.differences import EQUIPMENT, Change, item_of

FOLDER = CONTENT / "change"


@dataclass(frozen=True)
class Row:
    """One property. ``where`` is the place of the newer text, or of the older where it went."""

    what: str
    old: str
    new: str
    where: str


@dataclass(frozen=True)
class Item:
    """A piece of equipment or a section, and what changed of it. ``title`` may hold marks."""

    title: str
    rows: tuple[Row, ...]


@cache
def words() -> dict[str, Any]:
    """The words of the change notice."""
    loaded: dict[str, Any] = yaml.safe_load((FOLDER / "words.yaml").read_text(encoding="utf-8"))
    return loaded


@cache
def _checks() -> tuple[dict[str, Any], ...]:
    return tuple(yaml.safe_load((FOLDER / "checks.yaml").read_text(encoding="utf-8")))


def items(changes: Sequence[Change], old: Tree, new: Tree) -> list[Item]:
    """The changes by piece of equipment, in their order."""
    grouped: dict[Trail, list[Change]] = {}
    for change in changes:
        grouped.setdefault(change.item, []).append(change)
    return [
        Item(thing(item, _side(item, old, new)), tuple(row(change) for change in some))
        for item, some in grouped.items()
    ]


def _side(item: Trail, old: Tree, new: Tree) -> Tree:
    return new if new.at(item) is not None else old


def thing(trail: Trail, tree: Tree) -> str:
    """What stands at a trail, by kind, painted label and name; labels are marked."""
    item = item_of(trail)
    kind = words()["sections"].get(str(item[0]), spelled(item[0]))
    if item[0] not in EQUIPMENT:
        return str(kind)
    if len(item) == 4:
        part = words()["sections"][str(item[2])]
        named = _named(item, tree) or spelled(item[3])
        return f"{part} {named} · {_named(item[:2], tree) or spelled(item[1])}"
    return f"{kind} {_named(item, tree) or spelled(item[1])}"


def _named(item: Trail, tree: Tree) -> str:
    label, name = (tree.at((*item, key)) for key in ("label", "name"))
    parts = [tag(label) if isinstance(label, str) else "", clean(name) if isinstance(name, str) else ""]
    ends = [tree.at((*item, key)) for key in ("from", "to")] if item[0] == "lines" else []
    if ends and all(isinstance(end, str) for end in ends):
        parts.append(f"{clean(ends[0])} → {clean(ends[1])}")
    return " ".join(part for part in parts if part)


def label_of(trail: Trail, tree: Tree) -> str:
    """The painted label of the piece of equipment at a trail, marked; else what it is called."""
    label = tree.at((*item_of(trail), "label"))
    return tag(label) if isinstance(label, str) else thing(trail, tree)


def row(change: Change) -> Row:
    """One change as a line of a table."""
    kinds, unsaid = words()["kinds"], words()["not_stated"]
    within = change.trail[len(change.item) :]
    key = " · ".join(spelled(part) for part in within) or spelled(change.trail[-1])
    what = kinds[change.kind].format(key=key) if change.kind in kinds else key
    place = change.new_place or change.old_place
    return Row(what, clean(change.old or unsaid), clean(change.new or unsaid), placed(place))


def spelled(part: str | int) -> str:
    """A key of the profile as words; lists count from 1."""
    if isinstance(part, int):
        return str(part + 1)
    return str(words()["keys"].get(part, part.replace("_", " ")))


def placed(place: Place | None) -> str:
    """File and line, without the folders above the file."""
    if place is None:
        return ""
    return f"{Path(place.file).name}:{place.line}" if place.line else Path(place.file).name


def checks(changes: Iterable[Change], old: Tree, new: Tree) -> list[str]:
    """What to check before start-up, each once, in the order of the list in content; labels are marked."""
    every = list(changes)
    found: dict[str, None] = {}
    for entry in _checks():
        for change in every:
            if _asks(entry, change) and not _told(entry, change, every, new):
                facts = _facts(change, old, new)
                found.update(dict.fromkeys(str(text).format_map(facts) for text in entry["do"]))
    return list(found)


def _asks(entry: Mapping[str, Any], change: Change) -> bool:
    kinds = entry.get("kinds")
    if (kinds and change.kind not in kinds) or change.kind == "known":
        return False
    trail = [str(part) for part in change.trail]
    return any(_matches(trail, pattern.split(".")) for pattern in entry["match"])


def _told(entry: Mapping[str, Any], change: Change, every: Sequence[Change], new: Tree) -> bool:
    """Whether the key beside that the entry names under ``unless`` is not stated, or has changed as well."""
    if "unless" not in entry:
        return False
    beside = (*change.item, entry["unless"])
    return new.at(beside) is None or any(other.trail == beside for other in every)


def _matches(trail: Sequence[str], pattern: Sequence[str]) -> bool:
    """Whether a place in the profile is one of a pattern's; ``**`` at its end takes all from there down."""
    if pattern[-1] == "**":
        pattern = pattern[:-1]
        trail = trail[: len(pattern)]
    return len(trail) == len(pattern) and all(map(fnmatchcase, trail, pattern))


def _facts(change: Change, old: Tree, new: Tree) -> dict[str, str]:
    tree = _side(change.item, old, new)
    return {"label": label_of(change.trail, tree), "vessel": label_of(change.trail[:2], tree)}
