"""``based_on``: a profile that states only its differences from another one.

Mappings merge, lists replace, an empty value removes what the base has. Every value keeps its own file
and line.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Any

from generator.problems import FillmarkError, Place, Problem
from generator.profile.nodes import Trail, Tree, dotted, parse
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
    tree = reduce(overlay, reversed(trees))
    return Merged(tree, text, tuple(files), (*problems, *_vain(tree)))


def _vain(tree: Tree) -> Iterator[Problem]:
    """Keys left empty to take out what the base does not have."""
    for trail, known in tree.vain.items():
        near = difflib.get_close_matches(str(trail[-1]), known, n=3, cutoff=0.5) or known[:6]
        facts = {"where": dotted(trail), "key": str(trail[-1]), "near": ", ".join(near)}
        yield Problem("nothing_to_remove", tree.key_place(trail), facts)


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
    if not target.exists():
        raise FillmarkError([*problems, Problem("base_missing", place, _missing(base, path))])
    return target


def _missing(base: str, path: Path) -> dict[str, str]:
    """What to say of a base that is not there: its name, and files beside the profile that it may be."""
    others = sorted(file.name for file in path.parent.glob("*.yaml") if not _same(file, path))
    near = difflib.get_close_matches(base, others, n=3, cutoff=0.5) or others[:6]
    return {"text": base, "near": ", ".join(near) or "—"}


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
    merged = Tree(top.file, removed=dict(base.removed))
    merged.data = _merge(base, top, base.data, top.data, (), merged)
    merged.removed = {trail: at for trail, at in merged.removed.items() if merged.at(trail) is None}
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
        elif above[key] is None and child not in top.known:
            _take_out(top, below, child, into)
        elif isinstance(below.get(key), dict) and isinstance(above[key], dict):
            _note(top, child, into)
            data[key] = _merge(base, top, below[key], above[key], child, into)
        else:
            data[key] = _adopt(top, above[key], child, into)
    return data


def _take_out(top: Tree, below: dict[str, Any], child: Trail, into: Tree) -> None:
    """An empty value in ``top``: what the base has is left out; where it has nothing, that is told."""
    if child[-1] in below:
        into.removed[child] = top.key_place(child)
    elif not top.is_faulty(child):
        into.vain[child] = list(below)
        into.faulty.add(child)
        into.key_places[child] = top.key_place(child)


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
