"""Rigs for tests: the demo profiles, and copies of them with parts put in, changed or taken out."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from generator.profile.model import Profile

PROFILES = Path(__file__).resolve().parent.parent / "equipment_profiles"


@cache
def _tree(name: str) -> dict[str, Any]:
    # BaseLoader keeps scalars as text, as the product's own loader does.
    text = (PROFILES / f"{name}.yaml").read_text(encoding="utf-8")
    tree: dict[str, Any] = yaml.BaseLoader(text).get_single_data()
    return tree


@cache
def rig(name: str) -> Profile:
    """A demo rig's profile as it stands."""
    return _profile(_tree(name))


def changed(name: str, **sections: Any) -> Profile:
    """A demo rig with parts merged in by id; None takes a part out, a list replaces a whole section."""
    tree = deepcopy(_tree(name))
    for section, parts in sections.items():
        if isinstance(parts, list):
            tree[section] = parts
            continue
        there = tree.setdefault(section, {})
        for part, described in parts.items():
            if described is None:
                there.pop(part)
            else:
                there[part] = {**there.get(part, {}), **described}
    return _profile(tree)


def _profile(tree: dict[str, Any]) -> Profile:
    return Profile.model_validate(tree, context={"units": tree["units"]})


def edited(name: str, edits: dict[str, Any]) -> Profile:
    """A demo rig with values set by dotted path; None takes a key out."""
    tree = deepcopy(_tree(name))
    for path, value in edits.items():
        *way, last = path.split(".")
        part = tree
        for key in way:
            part = part.setdefault(key, {})
        if value is None:
            part.pop(last, None)
        else:
            part[last] = value
    return _profile(tree)
