"""YAML events to PyYAML nodes, bounded: no tag is obeyed, and depth and what aliases stand for are limited.

PyYAML's own composer recurses as deep as the file asks; this one counts, so no file can exhaust the stack.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml
from yaml import events as ev

from generator.problems import Place, Problem
from generator.profile.source import place_of

MAX_DEPTH = 40
MAX_ALIASED = 10_000
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# What PyYAML says (either of its two parsers), and the code that words it for a person. First fit wins.
_SYNTAX = (
    ("mapping values are not allowed", "stray_colon"),
    ("block sequence entries are not allowed", "stray_dash"),
    ("could not find expected ':'", "missing_colon"),
    ("cannot start any token", "needs_quotes"),
    ("unexpected end of stream", "unclosed_quote"),
    ("',' or ']'", "unclosed_bracket"),
    ("',' or '}'", "unclosed_bracket"),
    ("expected <block end>", "indentation"),
    ("did not find expected key", "indentation"),
    ("did not find expected '-' indicator", "indentation"),
    ("expected <document start>", "indentation"),
)


class Refused(Exception):
    """The first thing that makes the file unusable as a whole."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.code)


def place_at(mark: Any, file: str) -> Place:
    """PyYAML's mark (from 0) as a place (from 1)."""
    return Place(file, mark.line + 1, mark.column + 1)


def compose(text: str, file: str) -> yaml.Node | None:
    """The one document's root node, None if the file holds nothing. Raises Refused."""
    return _Composer(text, file).document()


class _Composer:
    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.events = self._parse()
        self.anchors: dict[str, yaml.Node] = {}
        self.unfinished: set[str] = set()
        self.measured: dict[int, tuple[int, int]] = {}
        self.aliased = 0

    def _parse(self) -> Iterator[Any]:
        last: Any = None
        try:
            for event in yaml.parse(self.text, Loader=_LOADER):
                last = event
                yield event
        except yaml.YAMLError as error:
            raise Refused(self._syntax(error)) from None
        except (ValueError, IndexError, OverflowError, RecursionError):
            place = place_at(last.end_mark, self.file) if last is not None else Place(self.file)
            raise Refused(Problem("not_yaml", place, {"reason": "unreadable text"})) from None

    def _syntax(self, error: yaml.YAMLError) -> Problem:
        reason = str(getattr(error, "problem", None) or getattr(error, "reason", None) or "unreadable text")
        mark, start = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
        if mark is None:
            position = getattr(error, "position", None)
            at = place_of(self.text, position, self.file) if isinstance(position, int) else Place(self.file)
            return Problem("not_yaml", at, {"reason": reason})
        code = next((code for said, code in _SYNTAX if said in reason), "not_yaml")
        if self._tab_at_fault(mark):
            code, start = "tab_character", None
        if "nesting depth" in reason:
            return Problem("too_deep", place_at(mark, self.file), {"limit": MAX_DEPTH})
        if code in ("missing_colon", "unclosed_quote", "unclosed_bracket") and start is not None:
            mark, start = start, mark
        also = (place_at(start, self.file),) if start is not None and start.line != mark.line else ()
        return Problem(code, place_at(mark, self.file), {"reason": reason}, also)

    def _tab_at_fault(self, mark: Any) -> bool:
        lines = self.text.splitlines()
        shown = lines[mark.line] if mark.line < len(lines) else ""
        indent = shown[: len(shown) - len(shown.lstrip())]
        return "\t" in indent or shown[mark.column : mark.column + 1] == "\t"

    def _refuse(self, code: str, event: Any, **facts: Any) -> Refused:
        return Refused(Problem(code, place_at(event.start_mark, self.file), facts))

    def document(self) -> yaml.Node | None:
        next(self.events)
        if isinstance(next(self.events), ev.StreamEndEvent):
            return None
        root = self._node(next(self.events), 1)
        next(self.events)
        following = next(self.events)
        if not isinstance(following, ev.StreamEndEvent):
            raise self._refuse("second_document", following)
        return root

    def _node(self, event: Any, depth: int) -> yaml.Node:
        if isinstance(event, ev.AliasEvent):
            return self._alias(event, depth)
        if depth > MAX_DEPTH:
            raise self._refuse("too_deep", event, limit=MAX_DEPTH)
        if event.anchor:
            self.unfinished.add(event.anchor)
        node, size, height = self._build(event, depth)
        self.measured[id(node)] = (size, height)
        if event.anchor:
            self.unfinished.discard(event.anchor)
            self.anchors[event.anchor] = node
        return node

    def _build(self, event: Any, depth: int) -> tuple[yaml.Node, int, int]:
        """A node, how many nodes it stands for with aliases expanded, and how deep it goes."""
        tag: Any = event.tag
        start: Any = event.start_mark
        if isinstance(event, ev.ScalarEvent):
            plain = event.implicit[0]
            style = None if plain else (event.style or "'")
            end: Any = event.end_mark
            return yaml.ScalarNode(tag, event.value, start, end, style), 1, 1
        parts: list[yaml.Node] = []
        following = next(self.events)
        while not isinstance(following, (ev.SequenceEndEvent, ev.MappingEndEvent)):
            parts.append(self._node(following, depth + 1))
            following = next(self.events)
        measures = [self.measured[id(part)] for part in parts]
        size = 1 + sum(m[0] for m in measures)
        height = 1 + max((m[1] for m in measures), default=0)
        end = following.end_mark
        if isinstance(event, ev.SequenceStartEvent):
            return yaml.SequenceNode(tag, parts, start, end), size, height
        pairs = list(zip(parts[::2], parts[1::2], strict=True))
        return yaml.MappingNode(tag, pairs, start, end), size, height

    def _alias(self, event: Any, depth: int) -> yaml.Node:
        if event.anchor in self.unfinished:
            raise self._refuse("alias_of_itself", event, name=event.anchor)
        node = self.anchors.get(event.anchor)
        if node is None:
            raise self._refuse("alias_unknown", event, name=event.anchor)
        size, height = self.measured[id(node)]
        self.aliased += size
        if self.aliased > MAX_ALIASED:
            raise self._refuse("alias_explodes", event, limit=MAX_ALIASED)
        if depth + height - 1 > MAX_DEPTH:
            raise self._refuse("too_deep", event, limit=MAX_DEPTH)
        return node
