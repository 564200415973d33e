"""What two profiles say differently, key by key: values that mean the same are no difference."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from generator.problems import Place
from generator.profile import references
from generator.profile.model import Profile
from generator.profile.nodes import Known, Trail, Tree
from generator.profile.validate import validate

Kind = Literal["changed", "added", "removed", "relabelled", "swapped", "known"]

#: Sections that map a stable id to a piece of equipment, and what a vessel holds in the same way.
EQUIPMENT = (
    "vessels", "pumps", "valves", "tees", "lines", "hoses", "inline", "supplies", "condensers",
)  # fmt: skip
PARTS = ("heaters", "ports")
# What a profile says of itself, not of the plant.
OWN = ("fillmark", "based_on")


@dataclass(frozen=True)
class Described:
    """One side: what the profile says, as text with its places and as checked values."""

    tree: Tree
    profile: Profile

    def values(self) -> dict[str, Any]:
        """The checked values under the profile's own keys."""
        dumped = self.profile.model_dump(by_alias=True)
        return {key: value for key, value in dumped.items() if key not in OWN}


@dataclass(frozen=True)
class Change:
    """``trail`` is where it stands; ``old`` and ``new`` are the texts, None where nothing is said.

    A swapped piece of equipment has the trail of the new one and the old one's in ``was``.
    """

    kind: Kind
    trail: Trail
    old: str | None
    new: str | None
    old_place: Place | None
    new_place: Place | None
    was: Trail = ()

    @property
    def item(self) -> Trail:
        """The piece of equipment that changed, or the section."""
        return item_of(self.trail)


def item_of(trail: Trail) -> Trail:
    """The piece of equipment a trail leads into; the section where it leads into none."""
    if trail[0] in EQUIPMENT:
        has_part = len(trail) > 3 and trail[2] in PARTS
        return trail[:4] if has_part else trail[:2]
    return trail[:1]


def described(tree: Tree) -> Described | None:
    """One side, or None where the program no longer takes the profile."""
    result = validate(tree, Profile, {"units": tree.data.get("units")})
    if result.instance is None or references.check(result.instance, tree, result.broken):
        return None
    return Described(tree, result.instance)


def differences(old: Described, new: Described) -> list[Change]:
    """Every difference, in the order of the newer profile; what was taken out comes last in its section."""
    found = list(_walk(old, new, old.values(), new.values(), ()))
    return [*_swapped(found, old.tree, new.tree), *_known(old.tree, new.tree)]


def _walk(
    old: Described, new: Described, was: Mapping[str, Any], now: Mapping[str, Any], trail: Trail
) -> Iterator[Change]:
    for key in [*now, *(key for key in was if key not in now)]:
        here = (*trail, key)
        before, after = was.get(key), now.get(key)
        if before == after:
            continue
        whole = len(here) > 1 and item_of(here) == here and here[0] in EQUIPMENT
        if whole and (before is None or after is None):
            yield _change("added" if before is None else "removed", here, old.tree, new.tree)
        elif isinstance(before, dict) or isinstance(after, dict):
            yield from _walk(old, new, _mapping(before), _mapping(after), here)
        elif isinstance(before, list) and isinstance(after, list) and _holds_mappings(before, after):
            was_items, now_items = (dict(enumerate(items)) for items in (before, after))
            yield from _walk_list(old, new, was_items, now_items, here)
        else:
            kind: Kind = "relabelled" if key == "label" else "changed"
            yield _change(kind, here, old.tree, new.tree)


def _walk_list(
    old: Described, new: Described, was: Mapping[int, Any], now: Mapping[int, Any], trail: Trail
) -> Iterator[Change]:
    for index in sorted({*was, *now}):
        before, after = was.get(index), now.get(index)
        if before != after:
            yield from _walk(old, new, _mapping(before), _mapping(after), (*trail, index))


def _mapping(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _holds_mappings(*lists: list[Any]) -> bool:
    return any(isinstance(part, dict) for one in lists for part in one)


def _change(kind: Kind, trail: Trail, old: Tree, new: Tree, was: Trail = ()) -> Change:
    before = was or trail
    places = (
        tree.place(at) if tree.at(at) is not None else None for tree, at in ((old, before), (new, trail))
    )
    old_place, new_place = places
    texts = (_text(old.at(before)), _text(new.at(trail)))
    return Change(kind, trail, *texts, old_place, new_place, was)


def _text(value: Any) -> str | None:
    """A value as the profile writes it."""
    if value is None or value in ({}, []):
        return None
    if isinstance(value, dict):
        name, label = value.get("name"), value.get("label")
        if isinstance(name, str) or isinstance(label, str):
            return " ".join(part for part in (name, label) if isinstance(part, str))
        return ", ".join(f"{key} {_text(part) or ''}".strip() for key, part in value.items())
    if isinstance(value, list):
        return "; ".join(_text(part) or "" for part in value)
    return str(value)


def _swapped(found: list[Change], old: Tree, new: Tree) -> list[Change]:
    """What came and what went under one painted label is one change: another thing carries it now."""
    gone = {_label(old, c.trail): c for c in found if c.kind == "removed" and _label(old, c.trail)}
    out: list[Change] = []
    paired: list[Change] = []
    for change in found:
        before = gone.get(_label(new, change.trail)) if change.kind == "added" else None
        if before is not None and before.trail[0] == change.trail[0]:
            out.append(_change("swapped", change.trail, old, new, before.trail))
            paired.append(before)
        else:
            out.append(change)
    return [change for change in out if change not in paired]


def _label(tree: Tree, trail: Trail) -> str | None:
    label = tree.at((*trail, "label"))
    return label if isinstance(label, str) else None


def _known(old: Tree, new: Tree) -> list[Change]:
    """Values that are known in another way than before: measured where they were assumed, say."""
    out = []
    for trail in dict.fromkeys([*new.known, *old.known]):
        before, after = old.known.get(trail), new.known.get(trail)
        there = old.at(trail) is not None and new.at(trail) is not None
        if there and _how(before) != _how(after):
            places = (old.place(trail), new.place(trail))
            out.append(Change("known", trail, _how(before), _how(after), *places))
    return out


def _how(known: Known | None) -> str | None:
    if known is None:
        return None
    parts = (known.how, known.by, known.date.isoformat() if known.date else None)
    return ", ".join(part for part in parts if part)
