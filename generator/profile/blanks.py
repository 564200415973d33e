"""``FILL-IN`` where a value belongs: a starter's blank, told with its line and with what to type there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from generator.problems import Problem
from generator.profile.errors import example
from generator.profile.nodes import Trail, Tree, dotted
from generator.profile.shapes import as_model, bare, choices, fields_by_key, is_union, locate, members

BLANK = "FILL-IN"
NOTHING = object()  # fits no field of any model, so that whatever has a blank counts as faulty


def blanks(model: type[BaseModel], tree: Tree) -> list[Problem]:
    """A problem for every blank. Each is marked as reported, so that nothing else is said of it."""
    found = []
    for trail in _blank_trails(tree.data, ()):
        spot = locate(model, tree, _error_path(model, tree, trail))
        facts = {"where": dotted(trail), "example": example(spot)}
        found.append(Problem("fill_in", tree.place(trail), facts))
        tree.faulty.add(trail)
    return found


def without_blanks(data: Any) -> Any:
    """``data`` with NOTHING in place of every blank; two valves still called FILL-IN do not share a label."""
    if isinstance(data, dict):
        return {key: without_blanks(value) for key, value in data.items()}
    if isinstance(data, list):
        return [without_blanks(value) for value in data]
    return NOTHING if isinstance(data, str) and BLANK in data else data


def _blank_trails(data: Any, trail: Trail) -> Iterator[Trail]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _blank_trails(value, (*trail, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _blank_trails(value, (*trail, index))
    elif isinstance(data, str) and BLANK in data:
        yield trail


def _error_path(model: type[BaseModel], tree: Tree, trail: Trail) -> Trail:
    """``trail`` as pydantic would write it: with the branch's name after each union."""
    path: Trail = ()
    for end, part in enumerate(trail):
        spot = locate(model, tree, path)
        annotation = bare(spot.annotation)
        if is_union(annotation):
            path = (*path, _branch(annotation, tree.at(trail[:end])))
        path = (*path, part)
    return path


def _branch(union: Any, data: Any) -> str:
    """The name of the union's branch that ``data`` chooses by one of its values; '' where it chooses none."""
    for found in filter(None, map(as_model, members(union))):
        for key, field in fields_by_key(found).items():
            allowed = choices(field.annotation)
            if len(allowed) == 1 and isinstance(data, dict) and data.get(key) == allowed[0]:
                return allowed[0]
    return ""
