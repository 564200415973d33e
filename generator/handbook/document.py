"""A document of the handbook as the record and the register know it, and the fingerprint of what it means."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from html.parser import HTMLParser
from typing import Literal

from generator.handbook.marks import tag

Kind = Literal["page", "procedure", "card", "manual"]


@dataclass(frozen=True)
class Document:
    """``file`` is relative to the issue's folder; ``fingerprint`` is sha256 (hex) over what is read."""

    id: str
    kind: Kind
    title: str
    file: str
    fingerprint: str


@dataclass(frozen=True)
class Hung:
    """A card as the list of cards names it: ``where`` may hold label marks, ``number`` is None in a draft.

    ``part`` of ``parts`` where a card takes several sheets.
    """

    document: Document
    where: str
    number: int | None
    date: str
    part: int = 1
    parts: int = 1

    @property
    def title(self) -> str:
        """The title with its painted labels marked again: a document's own is plain text."""
        return re.sub(r"\[([^\]]+)\]", lambda found: tag(found[1]), self.document.title)


#: Begins the line of a reading that stands for a drawing.
DRAWN = "drawn"


class _Reader(HTMLParser):
    """Gathers what is read: text, cell and box bounds, alternative texts, and a fingerprint of each drawing.

    Classes of text and links are left out, and so is a cell of class ``issue-no``: which issue a card is of
    says nothing of what the page means.
    """

    BOUNDS = frozenset(("td", "th", "li", "p", "h1", "h2", "h3", "h4", "tr", "caption", "text", "title"))

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[str] = []
        self._in_issue_number = False
        self._drawings = 0
        self._described = self._in_label = False
        self._drawn = hashlib.sha256()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        classes = (given.get("class") or "").split()
        self._described = self._described or (tag == "desc" and self._drawings > 0)
        self._in_label = tag == "text" and self._described
        if tag in self.BOUNDS and not self._in_label:
            self.parts.append(f"\n{tag}:")
        self._in_issue_number = "issue-no" in classes
        if "tag" in classes:
            self.parts.append("\x01")  # a painted label is not the same text without its box
        self._drawings += tag == "svg"
        if self._drawings:
            # Where a mark stands and how a valve is drawn is meaning; names for the screen are not.
            shape = sorted((k, v or "") for k, v in attrs if k != "id" and not k.startswith("aria-"))
            self._drawn.update(f"{tag}{shape}".encode())

    def handle_endtag(self, tag: str) -> None:
        if tag == "svg" and self._drawings:
            self._drawings -= 1
            if not self._drawings:
                self.parts.append(f"\n{DRAWN}:{self._drawn.hexdigest()}\n")
                self._drawn = hashlib.sha256()
                self._described = self._in_label = False

    def handle_data(self, data: str) -> None:
        if self._in_label:
            self._drawn.update(data.encode())  # a drawing with a description is read by that
        elif not self._in_issue_number:
            self.parts.append(data)


@lru_cache(maxsize=1024)  # a page is read for its fingerprint and for the register, and most stay as they are
def reading(html: str) -> str:
    """The text of a fragment as a reader takes it in, white space evened out."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    lines = (" ".join(line.split()) for line in "".join(reader.parts).split("\n"))
    return "\n".join(line for line in lines if line)


def fingerprint(title: str, fragments: Iterable[str]) -> str:
    """sha256 over title and text; no issue number, date or page number may be in the fragments."""
    digest = hashlib.sha256(title.encode())
    for fragment in fragments:
        digest.update(b"\x00" + reading(fragment).encode())
    return digest.hexdigest()
