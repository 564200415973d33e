"""Painted labels across a change: retired, handed on to another thing, and old ones that still stand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from generator.handbook.marks import clean, tag
from generator.profile.nodes import Trail, Tree
from generator.register.compare import Side
from generator.register.differences import PARTS, Change
from generator.register.trade import placed, spelled, words

SHOWN = 90


def label_notes(changes: Sequence[Change], old: Side, new: Side) -> Iterator[str]:
    """What has to be said of painted labels; each sentence may hold marks."""
    said, before, after = words()["labels"], old.tree, new.tree
    retired: dict[str, None] = {}
    for change in changes:
        if change.kind == "relabelled" and change.old and change.new:
            facts = {"label": tag(change.old), "new": tag(change.new), "kind": _kind(change.trail)}
            yield said["retired"].format(**facts)
            retired[change.old] = None
        elif change.kind == "swapped":
            label = str(after.at((*change.trail, "label")))
            facts = {"new": _name(change.trail, after), "old": _name(change.was, before)}
            yield said["swapped"].format(label=tag(label), **facts)
        elif change.kind == "removed" and isinstance(before.at((*change.trail, "label")), str):
            retired[str(before.at((*change.trail, "label")))] = None
            yield said["gone"].format(label=tag(str(before.at((*change.trail, "label")))))
    yield from _reused(old, new, changes)
    for label in retired:
        if label not in new.labels.values():
            yield from _strays(label, after, new)


def _kind(trail: Trail) -> str:
    """The kind of thing that carries the label at a trail: valve, heater, thermostat."""
    section = str(trail[2] if len(trail) == 5 and trail[2] in PARTS else trail[0])
    holder = section if len(trail) in (3, 5) else str(trail[-2])
    return str(words()["sections"].get(holder, spelled(holder))).lower()


def _name(trail: Trail, tree: Tree) -> str:
    name = tree.at((*trail, "name"))
    return clean(name) if isinstance(name, str) else str(trail[-1]).replace("_", " ")


def _reused(old: Side, new: Side, changes: Sequence[Change]) -> Iterator[str]:
    """A label that meant another thing in any earlier issue and that somebody gave again."""
    swapped = {".".join(map(str, change.trail)) for change in changes if change.kind == "swapped"}
    earlier = [*sorted(old.labels_before.items(), reverse=True)]
    sides = [(old.number, old.labels), *earlier]
    for owner, label in new.labels.items():
        if old.labels.get(owner) == label or owner in swapped:
            continue
        for number, labels in sides:
            other = next((name for name, text in labels.items() if text == label and name != owner), None)
            if other is not None:
                yield _reuse(label, other, owner, number, old)
                break


def _reuse(label: str, other: str, owner: str, number: int | None, old: Side) -> str:
    issue = words()["issue"].partition(" of ")[0].format(number=number) if number else old.path.name
    facts = {"label": tag(label), "old": _id(other), "new": _id(owner), "when": issue}
    return str(words()["labels"]["reused"]).format(**facts)


def _id(owner: str) -> str:
    section, _, name = owner.partition(".")
    kind = str(words()["sections"].get(section, section)).lower()
    return f"{kind} {name.replace('.', ' ').replace('_', ' ')}"


def _strays(label: str, tree: Tree, new: Side) -> Iterator[str]:
    """Places of the profile's own words, and documents, that still say a retired label."""
    said, pattern = words()["labels"], _spoken(label)
    for trail, text in _texts(tree.data, ()):
        if trail[-1] != "label" and pattern.search(text):
            facts = {"place": placed(tree.place(trail)), "label": tag(label), "text": clean(text)[:SHOWN]}
            yield said["stray"].format(**facts)
    boxed = re.compile(rf"\x01{re.escape(label)}(?!\w)")
    for told in new.documents.values():
        if boxed.search(told.reading):
            yield said["boxed"].format(title=told.title, label=tag(label))


def _spoken(label: str) -> re.Pattern[str]:
    """A label inside a sentence; a single letter counts only after the word for what it hangs on."""
    exact = re.escape(label)
    if len(label) > 1:
        return re.compile(rf"(?<![\w.-]){exact}(?![\w-]|\.\d)")
    return re.compile(rf"(?i:\b(?:valve|pump|tank|heater|element|hose)\s+){exact}(?!\w)")


def _texts(value: Any, trail: Trail) -> Iterator[tuple[Trail, str]]:
    """Sentences an owner wrote: texts with a blank in them, so that no quantity or id is taken for one."""
    if isinstance(value, Mapping):
        for key, part in value.items():
            yield from _texts(part, (*trail, key))
    elif isinstance(value, list):
        for index, part in enumerate(value):
            yield from _texts(part, (*trail, index))
    elif isinstance(value, str) and trail and trail[-1] in _SPOKEN:
        yield trail, value


_SPOKEN = frozenset(("name", "about", "place", "address", "isolator_place", "eyewash_place", "shower_place",
    "spill_kit_place", "switch_place", "oil", "keeper", "muster_point"))  # fmt: skip
