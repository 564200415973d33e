"""The files of one issue: site, record, manual and cards, each made when it is asked for."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import Any, Protocol

from generator.handbook.book import Book, Issue
from generator.handbook.card import Card
from generator.handbook.cards import cards
from generator.handbook.document import Document, Hung
from generator.handbook.pages import Page, listing, pages
from generator.problems import FillmarkError
from generator.publish import cards as card_sheets
from generator.publish import manual, native, record, site
from generator.publish.rendered import Rendered
from generator.register.snapshot import Snapshot, Told, sources, told

RECORD, CARDS = "record.json", "cards.pdf"
#: What tells one issue's record from another's; findings say where the profile was, which may change.
TELLING = ("schema", "plant", "issue", "figures", "line_ups", "procedures")
Makers = dict[str, Callable[[], bytes]]


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

    def __init__(
        self,
        book: Book,
        issue: Issue,
        card_issues: Mapping[str, Issue],
        tell: Progress,
        kept: Rendered | None = None,
    ) -> None:
        self.book, self.issue, self.card_issues, self.tell = book, issue, card_issues, tell
        self.kept = kept or Rendered()
        self.printed_before: Sequence[Document] | None = None

    @cached_property
    def cards(self) -> list[Card]:
        """The cards before they are fitted to their paper: the same with and without PDF libraries."""
        return cards(self.book)

    def numbered(self, issue: Issue, card_issues: Mapping[str, Issue]) -> Outputs:
        """The same documents under an issue's number; what they say does not hang on it."""
        made = Outputs(self.book, issue, card_issues, self.tell, self.kept)
        done = {"cards", "told", "unlisted"} & vars(self).keys()
        vars(made).update({name: vars(self)[name] for name in done})
        return made

    @cached_property
    def unlisted(self) -> list[Page]:
        """The pages with cards that are not fitted to their paper, nor numbered."""
        return pages(self.book, self.issue, self._hung([card.document() for card in self.cards]))

    @cached_property
    def told(self) -> dict[str, Told]:
        """What each document says, by id; its fingerprints decide whether anything changed."""
        return told(self.unlisted, self.cards)

    @cached_property
    def fingerprints(self) -> dict[str, str]:
        """Every page, procedure and card by id."""
        return {name: document.fingerprint for name, document in self.told.items()}

    def snapshot(self) -> Snapshot:
        """The issue as it is now, for the register."""
        sheets: dict[str, list[str]] = {}
        for printed in self.printed_cards:
            sheets.setdefault(self._card_of(printed).id, []).append(printed.id)
        documents = {
            name: replace(said, sheets=tuple(sheets.get(name, ()))) for name, said in self.told.items()
        }
        data: dict[str, Any] = json.loads(self._record)
        return Snapshot(sources(self.book.loaded), data, documents)

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """Libraries for want of which no PDF can be made."""
        return tuple(native.missing_libraries())

    @cached_property
    def sheets(self) -> list[card_sheets.Sheet]:
        """Cards fitted to their paper, each with its own issue's number in the foot."""
        issues = {card.id: self.card_issues.get(card.id, self.issue) for card in self.cards}
        names = {card.id: card_sheets.fit_key(card, issues[card.id]) for card in self.cards}
        new = [card for card in self.cards if not self.kept.has(names[card.id])]
        for issue in dict.fromkeys(issues[card.id] for card in new):
            # Cards of one issue are fitted together: that is much faster than one by one.
            some = [card for card in new if issues[card.id] == issue]
            found: dict[str, list[card_sheets.Sheet]] = {card.id: [] for card in some}
            for sheet in self._fitted(some, issue):
                found[self._card_of(sheet.card.document()).id].append(sheet)
            for card in some:
                self.kept.keep(names[card.id], card_sheets.fit_text(found[card.id]))
        return [
            sheet
            for card in self.cards
            for sheet in card_sheets.fit_again(card, issues[card.id], self.kept.get(names[card.id]))
        ]

    def _fitted(self, some: list[Card], issue: Issue) -> list[card_sheets.Sheet]:
        """Cards of one issue; those that fit no sheet are told at the line that chooses the paper."""
        try:
            return card_sheets.fitted(some, issue, self._fitting(len(some)))
        except FillmarkError as error:
            place = self.book.loaded.tree.place(("paper", "cards"))
            raise FillmarkError([replace(problem, place=place) for problem in error.problems]) from error

    def _fitting(self, count: int) -> Callable[[str], None]:
        self.tell("cards", 0, 2 * count)
        done = iter(range(1, count + 1))
        return lambda _title: self.tell("cards", next(done, count), 2 * count)

    @cached_property
    def printed_cards(self) -> list[Document]:
        """One entry a sheet; one a card where they cannot be fitted."""
        if self.printed_before is not None:
            return list(self.printed_before)
        whole = self.cards if self.missing else [sheet.card for sheet in self.sheets]
        return [card.document() for card in whole]

    @cached_property
    def pages(self) -> list[Page]:
        """The pages as issued; the list of cards among them names every sheet."""
        return listing(self.book, self.unlisted, self._hung(self.printed_cards))

    def _hung(self, documents: Sequence[Document]) -> list[Hung]:
        """Cards or their sheets with where they hang and the issue in which the card last changed."""
        owners = [self._card_of(document).id for document in documents]
        hung = []
        for at, document in enumerate(documents):
            card = self._card_of(document)
            issue = self.card_issues.get(card.id, self.issue)
            part, parts = owners[: at + 1].count(card.id), owners.count(card.id)
            hung.append(Hung(document, card.posted_where, issue.number, issue.date, part, parts))
        return hung

    def _card_of(self, document: Document) -> Card:
        """The card that a sheet is of: ids of cards may begin alike."""
        mine = [c for c in self.cards if document.id == c.id or document.id.startswith(f"{c.id}-")]
        return max(mine, key=lambda c: len(c.id))

    @cached_property
    def _record(self) -> bytes:
        """The record as a file."""
        documents = [*(page.document for page in self.pages), *self.printed_cards]
        documents.append(manual.document(self.pages, self.book.profile.name))
        return record.to_bytes(record.record(self.book, self.issue, documents))

    def plain_files(self) -> Makers:
        """Site and record: what needs no library."""
        self.tell("pages", 0, 1)
        named = site.site_files(self.book, self.pages, self.issue)
        self.tell("pages", 1, 1)
        made: Makers = {f"site/{name}": _content(given) for name, given in named.items()}
        return {**made, RECORD: lambda: self._record}

    def pdf_files(self) -> Makers:
        """Every PDF; none where the libraries are missing."""
        if self.missing:
            return {}
        made: Makers = {sheet.card.file: self._card(n, sheet) for n, sheet in enumerate(self.sheets)}
        return {**made, CARDS: self._all_cards, manual.FILE: self._manual}

    def _card(self, number: int, sheet: card_sheets.Sheet) -> Callable[[], bytes]:
        def make() -> bytes:
            self.tell("cards", len(self.sheets) + number, 2 * len(self.sheets))
            return self._one(sheet)

        return make

    def _one(self, sheet: card_sheets.Sheet) -> bytes:
        name = card_sheets.pdf_key(sheet, self.issue)
        if not self.kept.has(name):
            self.kept.keep(name, card_sheets.card_pdf(sheet, self.issue))
        return self.kept.get(name)

    def _all_cards(self) -> bytes:
        made = card_sheets.cards_pdf(self.sheets, [self._one(sheet) for sheet in self.sheets])
        self.tell("cards", 1, 1)
        return made

    def changed_cards(self) -> bytes | None:
        """The cards that carry this issue's number, in one PDF; None where there are none or no libraries."""
        changed = {name for name, issue in self.card_issues.items() if issue.number == self.issue.number}
        sheets = [] if self.missing else self.sheets
        some = [sheet for sheet in sheets if self._card_of(sheet.card.document()).id in changed]
        return card_sheets.cards_pdf(some, [self._one(sheet) for sheet in some]) if some else None

    def _manual(self) -> bytes:
        done = iter((0, 1))
        made = manual.manual_pdf(
            self.book, self.pages, self.issue, lambda _: self.tell("manual", next(done, 1), 2)
        )
        self.tell("manual", 2, 2)
        return made

    def all_files(self) -> dict[str, bytes]:
        """Name to content of everything that can be made here."""
        return {name: make() for name, make in {**self.plain_files(), **self.pdf_files()}.items()}

    def is_in(self, folder: Path) -> bool:
        """Whether the folder holds this very issue, perhaps not all of it."""
        there, mine = _read(folder), json.loads(record.to_bytes(record.record(self.book, self.issue, [])))
        return all(key in there and there[key] == mine[key] for key in TELLING) and "documents" in there

    def lacking(self, folder: Path) -> dict[str, bytes]:
        """What is to be written so that the folder, which holds this issue, holds all of it.

        Where PDFs can be made at last, the pages that list the cards are too, for a card may be split now.
        """
        if self._is_whole(folder):
            return {}
        before = [Document(**entry) for entry in _read(folder)["documents"] if entry["kind"] == "card"]
        pdfs = [CARDS, manual.FILE, *(document.file for document in before)]
        anew = not self.missing and not all((folder / name).is_file() for name in pdfs)
        if not anew:
            self.printed_before = before
        makers = {**self.plain_files(), **(self.pdf_files() if anew else {})}
        found = {name: make() for name, make in makers.items() if not (folder / name).is_file()}
        if anew:
            plain = {name: make() for name, make in self.plain_files().items()}
            found |= {name: made for name, made in plain.items() if _differs(folder / name, made)}
        return found

    def _is_whole(self, folder: Path) -> bool:
        """Whether every file is there, found without making any of them."""
        named = [str(entry["file"]) for entry in _read(folder)["documents"]]
        named += [RECORD, CARDS, *(f"site/{name}" for name in site.shared_names())]
        return all((folder / name).is_file() for name in named)

    def lacks_pdf(self, folder: Path) -> tuple[str, ...]:
        """The libraries for want of which PDFs are not in the folder."""
        return () if (folder / manual.FILE).is_file() and (folder / CARDS).is_file() else self.missing


def _differs(path: Path, content: bytes) -> bool:
    return path.is_file() and path.read_bytes() != content


def _content(given: bytes | Path) -> Callable[[], bytes]:
    return given.read_bytes if isinstance(given, Path) else lambda: given


def _read(folder: Path) -> dict[str, Any]:
    try:
        there = json.loads((folder / RECORD).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return there if isinstance(there, dict) else {}
