"""What every card builder works with: the book, labels and figures as marks, and which figures were used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from string import Formatter
from typing import Any

import yaml

from generator.figures.record import Figure
from generator.handbook.book import Book
from generator.handbook.marks import tag, valued
from generator.problems import CONTENT
from generator.profile.model import Profile


@cache
def words() -> dict[str, Any]:
    """The words of the cards."""
    text = (CONTENT / "wording" / "cards.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


class Desk:
    """One card's workplace: it remembers the figures that the card prints."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._used: dict[str, None] = {}

    @property
    def profile(self) -> Profile:
        return self.book.profile

    @property
    def used(self) -> tuple[str, ...]:
        """Ids of the figures printed so far, in order."""
        return tuple(self._used)

    def tag(self, equipment_id: str) -> str:
        """The painted label of a piece of equipment, as a mark."""
        return tag(self.book.plant.label(equipment_id))

    def figure(self, *figure_ids: str) -> Figure | None:
        """The first of these figures that this plant has."""
        for figure_id in figure_ids:
            found = self.book.figures.get(figure_id)
            if found is not None:
                self._used[found.id] = None
                return found
        return None

    def has(self, figure_id: str) -> bool:
        return figure_id in self.book.figures

    def value(self, figure_id: str) -> str | None:
        """A figure's printed value as a mark; None where this plant has no such figure."""
        found = self.figure(figure_id)
        return None if found is None else valued(found)

    def text(
        self,
        sentences: str | Sequence[str],
        facts: Mapping[str, str] | None = None,
        receiver: str | None = None,
        source: str | None = None,
    ) -> str:
        """The first of the sentences whose braces can all be filled.

        A brace is a fact, a figure's id, a kind of figure of the ``receiver``, or ``source_`` and a kind of
        figure of the ``source``. Raises KeyError where no sentence can be filled.
        """
        choices = [sentences] if isinstance(sentences, str) else sentences
        missing = ""
        for sentence in choices:
            names = [name for _, name, _, _ in Formatter().parse(sentence) if name]
            ids = {name: self._figure_id(name, facts or {}, receiver, source) for name in names}
            missing = next((name for name, found in ids.items() if found is None), "")
            if not missing:
                filled = {n: (facts or {}).get(n) or self.value(ids[n] or "") or "" for n in names}
                return sentence.format_map(filled)
        raise KeyError(missing)

    def _figure_id(
        self, name: str, facts: Mapping[str, str], receiver: str | None, source: str | None
    ) -> str | None:
        if facts.get(name):
            return name
        tries = [name, f"{receiver}.{name}"]
        if name.startswith("source_"):
            tries.append(f"{source}.{name.removeprefix('source_')}")
        return next((figure_id for figure_id in tries if self.has(figure_id)), None)
