"""YAML text to a tree of dict, list, text and None, with the place of every key and every value.

Scalars stay text: ``off``, ``1:30``, ``010`` and ``07`` mean what is written until a model says otherwise. A
value may be written ``{value: ..., how: ..., by: ..., date: ...}``; the tree then holds the value, and
``known`` the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal, cast, get_args

import yaml

from generator.problems import Place, Problem
from generator.profile.compose import Refused, compose, place_at
from generator.profile.source import CONTROL

Trail = tuple[str | int, ...]
How = Literal["measured", "nameplate", "assumed"]

_NULL = frozenset(("", "~", "null", "Null", "NULL"))
_KNOWN_KEYS = frozenset(("value", "how", "by", "date"))


@dataclass(frozen=True)
class Known:
    """How a value is known, by whom, since when, and where the file says so."""

    how: How
    by: str | None
    date: date | None
    place: Place


@dataclass
class Tree:
    """``faulty`` holds the trails already reported, so that one mistake is told once.

    ``removed`` is what a file built on another takes out, and where it says so; ``vain`` what it would take
    out and the other does not have, with the keys that stand there.
    """

    file: str
    data: dict[str, Any] = field(default_factory=dict)
    places: dict[Trail, Place] = field(default_factory=dict)
    key_places: dict[Trail, Place] = field(default_factory=dict)
    known: dict[Trail, Known] = field(default_factory=dict)
    faulty: set[Trail] = field(default_factory=set)
    removed: dict[Trail, Place] = field(default_factory=dict)
    vain: dict[Trail, list[str]] = field(default_factory=dict)

    def place(self, trail: Trail) -> Place:
        """Place of the value at ``trail`` (a section's is its key's), or of what is nearest above it."""
        while trail:
            value, key = self.places.get(trail), self.key_places.get(trail)
            if isinstance(self.at(trail), (dict, list)) and key is not None:
                return key
            if value is not None:
                return value
            trail = trail[:-1]
        return Place(self.file)

    def key_place(self, trail: Trail) -> Place:
        """Place of the key that ends ``trail``, or of the nearest ancestor."""
        return self.key_places.get(trail) or self.place(trail)

    def at(self, trail: Trail) -> Any:
        """What stands at ``trail``; None if nothing does."""
        here: Any = self.data
        for part in trail:
            in_list = isinstance(here, list) and isinstance(part, int) and 0 <= part < len(here)
            if not in_list and not (isinstance(here, dict) and part in here):
                return None
            here = here[part]
        return here

    def is_faulty(self, trail: Trail) -> bool:
        """Whether ``trail`` or anything above it was already reported."""
        return bool(self.faulty) and any(trail[:end] in self.faulty for end in range(len(trail) + 1))


def parse(text: str, file: str) -> tuple[Tree | None, list[Problem]]:
    """The tree, as much of it as can be used, and every problem; None if it cannot be used at all."""
    try:
        root = compose(text, file)
    except Refused as refused:
        return None, [refused.problem]
    if root is None or (isinstance(root, yaml.ScalarNode) and _is_null(root)):
        return None, [Problem("empty_file", Place(file))]
    if not isinstance(root, yaml.MappingNode):
        return None, [Problem("top_not_mapping", place_at(root.start_mark, file))]
    walker = _Walker(file, text)
    walker.tree.data = walker.value(root, ())
    return walker.tree, walker.problems


def _is_null(node: Any) -> bool:
    return bool(node.style is None and node.tag is None and node.value in _NULL)


class _Walker:
    def __init__(self, file: str, text: str) -> None:
        self.text = text
        self.tree = Tree(file)
        self.problems: list[Problem] = []

    def _report(self, code: str, node: yaml.Node, also: tuple[Place, ...] = (), **facts: Any) -> None:
        self.problems.append(Problem(code, place_at(node.start_mark, self.tree.file), facts, also))

    def value(self, node: Any, trail: Trail) -> Any:
        self.tree.places[trail] = place_at(node.start_mark, self.tree.file)
        if node.tag is not None:
            self._report("tag_refused", node, tag=str(node.tag)[:64])
            self.tree.faulty.add(trail)
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, trail)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(part, (*trail, index)) for index, part in enumerate(node.value)]
        if trail and self._says_how(node):
            return self._known(node, trail)
        return self._mapping(node, trail)

    def _scalar(self, node: Any, trail: Trail) -> str | None:
        if _is_null(node):
            return None
        text = str(node.value)
        # An escape such as "\x1b" writes a control character that the file's own text does not hold.
        found = next((c for c in text if CONTROL.match(c) or "\ud800" <= c <= "\udfff"), None)
        if found is not None:
            self._report("control_character", node, character=f"U+{ord(found):04X}")
            self.tree.faulty.add(trail)
            return ""
        return text

    def _mapping(self, node: yaml.Node, trail: Trail) -> dict[str, Any]:
        data: dict[str, Any] = {}
        last = ""
        for key_node, value_node in node.value:
            if self._no_colon(key_node, value_node):
                self._split(key_node, (*trail, last) if last else trail, last, data.get(last))
                continue
            key = self._key(key_node)
            if key is None:
                continue
            child, last = (*trail, key), key
            if key in data:
                self._report("duplicate_key", key_node, (self.tree.key_places[child],), key=key)
                continue
            self.tree.key_places[child] = place_at(key_node.start_mark, self.tree.file)
            data[key] = self.value(value_node, child)
        return data

    def _no_colon(self, key: Any, value: Any) -> bool:
        """Whether a comma in braces made a key of what was meant as the rest of the text before it."""
        nothing = isinstance(value, yaml.ScalarNode) and _is_null(value)
        return bool(nothing and ":" not in self.text[key.end_mark.index : value.start_mark.index])

    def _split(self, node: Any, trail: Trail, before: str, value: Any) -> None:
        """What follows a comma without a colon; the text before it, at ``trail``, is only half a value, so no
        fault of its own is told.
        """
        rest, kept = str(getattr(node, "value", ""))[:64], value[:64] if isinstance(value, str) else ""
        code = "comma_in_number" if kept[-1:].isdigit() and rest[:1].isdigit() else "comma_in_braces"
        self._report(code if kept else "key_without_colon", node, rest=rest, before=before, kept=kept)
        if before:
            self.tree.faulty.add(trail)

    def _key(self, node: Any) -> str | None:
        if not isinstance(node, yaml.ScalarNode):
            self._report("key_not_text", node)
        elif node.tag is not None:
            self._report("tag_refused", node, tag=str(node.tag)[:64])
        elif _is_null(node):
            self._report("key_empty", node)
        elif node.value == "<<":
            self._report("merge_key", node)
        elif CONTROL.search(node.value) or not node.value.isprintable():
            self._report("key_not_text", node)
        else:
            return str(node.value)
        return None

    def _says_how(self, node: yaml.Node) -> bool:
        pairs = [(k, v) for k, v in node.value if isinstance(k, yaml.ScalarNode)]
        keys = {k.value for k, v in pairs if not self._no_colon(k, v)}
        return len(node.value) > 1 and {"value"} < keys <= _KNOWN_KEYS and len(node.value) >= len(keys)

    def _known(self, node: yaml.Node, trail: Trail) -> Any:
        data: Any = None
        texts: dict[str, tuple[str | None, yaml.Node]] = {}
        first: dict[str, Place] = {}
        key = ""
        for key_node, value_node in node.value:
            if self._no_colon(key_node, value_node):
                kept = data if key == "value" else texts.get(key, (None,))[0]
                self._split(key_node, trail if key == "value" else (*trail, key), key, kept)
                continue
            key = str(self._key(key_node))
            if key in first:
                self._report("duplicate_key", key_node, (first[key],), key=key)
                continue
            first[key] = place_at(key_node.start_mark, self.tree.file)
            if key == "value":
                data = self.value(value_node, trail)
            elif isinstance(value_node, yaml.ScalarNode) and value_node.tag is None:
                texts[key] = (self._scalar(value_node, (*trail, key)), value_node)
            else:
                self._report("known_not_text", value_node, key=key)
        self._record(node, trail, texts)
        return data

    def _record(self, node: yaml.Node, trail: Trail, texts: dict[str, tuple[str | None, yaml.Node]]) -> None:
        how, how_node = texts.get("how", (None, node))
        since, since_node = texts.get("date", (None, node))
        day: date | None = None
        if how not in get_args(How):
            allowed = ", ".join(get_args(How))
            code = "how_missing" if how is None else "how_unknown"
            self._report(code, how_node, text=str(how)[:64], allowed=allowed, where=dotted(trail))
            return
        if since is not None:
            try:
                day = date.fromisoformat(since)
            except ValueError:
                self._report("not_a_date", since_node, key="date", text=since[:64])
        by = texts.get("by", (None, node))[0]
        place = place_at(how_node.start_mark, self.tree.file)
        self.tree.known[trail] = Known(cast(How, how), by, day, place)


def dotted(trail: Trail) -> str:
    """``("lines", "a", "valves", 0)`` as a person reads it: ``lines.a.valves[1]`` (lists count from 1)."""
    shown = ""
    for part in trail:
        shown += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if shown else part
    return shown
