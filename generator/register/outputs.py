"""The files of one issue: site, record, manual and cards, each made when it is asked for."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Protocol

from generator.handbook.book import Book, Issue
from generator.handbook.card import Card
from generator.handbook.cards import cards
from generator.handbook.document import Document
from generator.handbook.pages import Page, pages
from generator.publish import cards as card_sheets
from generator.publish import files, manual, native, record, site

RECORD, MANUAL, CARDS = "record.json", manual.FILE, "cards.pdf"
Content = bytes | Path | Callable[[], bytes]


class Progress(Protocol):
    """Told how far a run has come: ``stage`` is pages, cards or manual."""

    def __call__(self, stage: str, done: int, total: int) -> None: ...

    def waiting(self) -> None:
        """Another run holds the lock."""


class Quiet:
    """Progress that nobody watches."""

    def __call__(self, stage: str, done: int, total: int) -> None:
        """Says nothing."""

    def waiting(self) -> None:
        """Says nothing."""


class Outputs:
    """One issue's documents. ``card_issues`` gives each card the issue in which it last changed."""

    def __init__(self, book: Book, issue: Issue, card_issues: Mapping[str, Issue], tell: Progress) -> None:
        self.book, self.issue, self.card_issues, self.tell = book, issue, card_issues, tell

    @cached_property
    def cards(self) -> list[Card]:
        """The cards before they are fitted to their paper: the same with and without PDF libraries."""
        return cards(self.book)

    @cached_property
    def fingerprints(self) -> dict[str, str]:
        """What decides whether anything has changed: every page, procedure and card by id."""
        whole = [card.document() for card in self.cards]
        read = [page.document for page in pages(self.book, self.issue, whole)]
        return {document.id: document.fingerprint for document in (*read, *whole)}

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """Libraries for want of which no PDF can be made."""
        return tuple(native.missing_libraries())

    @cached_property
    def sheets(self) -> list[card_sheets.Sheet]:
        """Cards fitted to their paper, each with its own issue's number in the foot."""
        fitted: list[card_sheets.Sheet] = []
        for done, card in enumerate(self.cards):
            self.tell("cards", done, 2 * len(self.cards))
            fitted += card_sheets.fitted([card], self.card_issues.get(card.id, self.issue))
        return fitted

    @cached_property
    def printed_cards(self) -> list[Document]:
        whole = self.cards if self.missing else [sheet.card for sheet in self.sheets]
        return [card.document() for card in whole]

    @cached_property
    def pages(self) -> list[Page]:
        return pages(self.book, self.issue, self.printed_cards)

    @cached_property
    def record(self) -> bytes:
        title = self.book.profile.name
        documents = [*(page.document for page in self.pages), *self.printed_cards]
        documents.append(manual.document(self.pages, title))
        return record.to_bytes(record.record(self.book, self.issue, documents))

    def plain_files(self) -> dict[str, Content]:
        """Site and record: what needs no library."""
        self.tell("pages", 0, 1)
        named = site.site_files(self.book, self.pages, self.issue)
        return {**{f"site/{name}": content for name, content in named.items()}, RECORD: self.record}

    def pdf_files(self) -> dict[str, Content]:
        """Every PDF; empty where the libraries are missing."""
        if self.missing:
            return {}
        named: dict[str, Content] = {CARDS: lambda: card_sheets.cards_pdf(self.sheets, self.issue)}
        for number, sheet in enumerate(self.sheets):
            named[sheet.card.file] = self._card(number, sheet)
        named[MANUAL] = self._manual
        return named

    def _card(self, number: int, sheet: card_sheets.Sheet) -> Callable[[], bytes]:
        def make() -> bytes:
            self.tell("cards", len(self.sheets) + number, 2 * len(self.sheets))
            return card_sheets.card_pdf(sheet, self.issue)

        return make

    def _manual(self) -> bytes:
        stages = iter((0, 1))
        made = manual.manual_pdf(
            self.book, self.pages, self.issue, lambda _: self.tell("manual", next(stages, 1), 2)
        )
        self.tell("manual", 2, 2)
        return made

    def write(self, folder: Path) -> tuple[str, ...]:
        """All of it into a fresh folder; the libraries for want of which the PDFs are not there."""
        for name, content in {**self.plain_files(), **self.pdf_files()}.items():
            files.write(folder / name, _bytes(content))
        return self.missing

    def is_in(self, folder: Path) -> bool:
        """Whether the folder holds this very issue, perhaps not all of it."""
        try:
            there = json.loads((folder / RECORD).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return False
        mine = json.loads(record.to_bytes(record.record(self.book, self.issue, [])))
        return isinstance(there, dict) and {**there, "documents": []} == mine

    def mend(self, folder: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Writes the files that are not there: their names, and the libraries for want of which some stay away."""
        lacking = [name for name in self._expected(folder) if not (folder / name).is_file()]
        if not lacking:
            return (), ()
        made = {**self.plain_files(), **self.pdf_files()}
        written = []
        for name, content in made.items():
            path = folder / name
            # With the PDFs there at last, cards may be split otherwise than the pages of old say.
            differs = not callable(content) and path.is_file() and path.read_bytes() != _bytes(content)
            if differs or not path.is_file():
                files.write(path, _bytes(content))
                written.append(name)
        return tuple(written), self.missing if MANUAL in lacking or CARDS in lacking else ()

    def _expected(self, folder: Path) -> Iterator[str]:
        there = json.loads((folder / RECORD).read_text(encoding="utf-8"))
        yield from (str(document["file"]) for document in there["documents"])
        yield CARDS
        yield from (f"site/{name}" for name in site.ASSETS) if hasattr(site, "ASSETS") else ()


def _bytes(content: Content) -> bytes:
    if isinstance(content, Path):
        return content.read_bytes()
    return content() if callable(content) else content
