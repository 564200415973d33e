"""``based_on``: a profile that states only its differences from another one.

Mappings merge, lists replace, an empty value removes what the base has. Every value keeps its own file
and line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Any

from generator.problems import FillmarkError, Place, Problem
from generator.profile.nodes import Trail, Tree, parse
from generator.profile.source import read_text

MAX_CHAIN = 5
KEY = "based_on"


@dataclass(frozen=True)
class Merged:
    """One tree from the whole chain; ``files`` begins with the profile, ``text`` is the profile's own."""

    tree: Tree
    text: str
    files: tuple[Path, ...]
    problems: tuple[Problem, ...]


def read(path: Path) -> Merged:
    """The profile and all it is based on. Raises FillmarkError if any file of the chain cannot be used."""
    text = read_text(path)
    trees: list[Tree] = []
    files: list[Path] = []
    problems: list[Problem] = []
    here: Path | None = path
    asked: tuple[Place, ...] = ()
    while here is not None:
        tree, found = _read_one(here, text if not files else None, asked)
        problems += found
        if tree is None:
            raise FillmarkError(problems)
        trees.append(tree)
        files.append(here)
        asked = (tree.place((KEY,)),)
        base = tree.data.pop(KEY, None)
        here = _next(base, here, files, tree, problems) if base is not None else None
    return Merged(reduce(overlay, reversed(trees)), text, tuple(files), tuple(problems))


def _read_one(path: Path, text: str | None, asked: tuple[Place, ...]) -> tuple[Tree | None, list[Problem]]:
    try:
        tree, problems = parse(read_text(path) if text is None else text, str(path))
    except FillmarkError as error:
        tree, problems = None, list(error.problems)
    return tree, [replace(p, also=(*p.also, *asked)) for p in problems]


def _next(base: Any, path: Path, files: list[Path], tree: Tree, problems: list[Problem]) -> Path:
    """The file that ``based_on: base`` in ``path`` means."""
    place = tree.place((KEY,))
    if not isinstance(base, str) or not _is_relative(base):
        raise FillmarkError([*problems, Problem("base_not_relative", place, {"text": str(base)[:64]})])
    target = path.parent / base
    if any(_same(target, file) for file in files):
        raise FillmarkError([*problems, Problem("base_circle", place, {"text": base})])
    if len(files) > MAX_CHAIN:
        raise FillmarkError([*problems, Problem("base_chain_long", place, {"limit": MAX_CHAIN})])
    return target


def _is_relative(text: str) -> bool:
    plain = not any(mark in text for mark in ("\\", ":", "\n"))
    return plain and bool(text.strip()) and not text.startswith(("/", "~"))


def _same(one: Path, other: Path) -> bool:
    try:
        return one.resolve() == other.resolve()
    except (OSError, RuntimeError, ValueError):
        return False


def overlay(base: Tree, top: Tree) -> Tree:
    """``top``'s differences laid over ``base``, as a new tree."""
    merged = Tree(top.file)
    merged.data = _merge(base, top, base.data, top.data, (), merged)
    if () in top.faulty:
        merged.faulty.add(())
    return merged


def _merge(
    base: Tree, top: Tree, below: dict[str, Any], above: dict[str, Any], trail: Trail, into: Tree
) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for key in [*below, *(key for key in above if key not in below)]:
        child = (*trail, key)
        if key not in above:
            data[key] = _adopt(base, below[key], child, into)
        elif key in below and above[key] is None and child not in top.known:
            continue
        elif isinstance(below.get(key), dict) and isinstance(above[key], dict):
            _note(top, child, into)
            data[key] = _merge(base, top, below[key], above[key], child, into)
        else:
            data[key] = _adopt(top, above[key], child, into)
    return data


def _adopt(source: Tree, value: Any, trail: Trail, into: Tree) -> Any:
    _note(source, trail, into)
    if isinstance(value, dict):
        return {key: _adopt(source, part, (*trail, key), into) for key, part in value.items()}
    if isinstance(value, list):
        return [_adopt(source, part, (*trail, index), into) for index, part in enumerate(value)]
    return value


def _note(source: Tree, trail: Trail, into: Tree) -> None:
    if trail in source.places:
        into.places[trail] = source.places[trail]
    if trail in source.key_places:
        into.key_places[trail] = source.key_places[trail]
    if trail in source.known:
        into.known[trail] = source.known[trail]
    if trail in source.faulty:
        into.faulty.add(trail)
