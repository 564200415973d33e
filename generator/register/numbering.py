"""Which number an issue and each of its cards get: nothing that says what it said takes a new one."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from generator.handbook.book import Issue
from generator.profile.load import Loaded
from generator.publish.rendered import Rendered
from generator.register import log, snapshot
from generator.register.labels import labels
from generator.register.made_by import made_by
from generator.register.outputs import Outputs, Progress
from generator.register.survey import Survey


def numbered(
    found: Survey, entries: list[log.Entry], begun: log.Entry, tell: Progress, kept: Rendered
) -> tuple[Outputs, log.Entry]:
    """The outputs with their numbers, and their entry: the last one where nothing has changed."""
    last = entries[-1] if entries else None
    first = Outputs(found.book, Issue(None, begun.date, draft=False), {}, tell, kept)
    inputs = _inputs(found)
    if last is not None and last.made_by.get("inputs") == inputs:
        entry = last  # the same profile, program, content and findings give the same documents
    elif last is not None and dict(last.documents) == first.fingerprints:
        entry = last
    else:
        number, prints = last.number + 1 if last else 1, first.fingerprints
        entry = replace(
            begun,
            number=number,
            profile=profile_print(found.book.loaded),
            documents=prints,
            cards={name: _card_number(name, prints[name], last, number) for name in prints if _is_card(name)},
            labels=labels(found.book.loaded.tree.data),
            made_by={**made_by(), "inputs": inputs},
        )
    dates = {one.number: one.date for one in (*entries, entry)}
    said = {"approved": entry.approved, "reason": entry.reason, "until": entry.until}
    issue = Issue(entry.number, entry.date, draft=False, **said)
    cards_issues = {name: Issue(n, dates.get(n, entry.date), draft=False) for name, n in entry.cards.items()}
    return first.numbered(issue, cards_issues), entry


def _is_card(document_id: str) -> bool:
    return document_id.startswith("card-")


def _card_number(card_id: str, fingerprint: str, last: log.Entry | None, number: int) -> int:
    """A card that says what it said keeps its number, so that it may stay on the wall."""
    if last is not None and last.documents.get(card_id) == fingerprint:
        return last.cards.get(card_id, number)
    return number


def profile_print(loaded: Loaded) -> str:
    """sha256 (hex) of the profile and what it is based on."""
    return hashlib.sha256("".join(text for _, text in snapshot.sources(loaded)).encode()).hexdigest()


def _inputs(found: Survey) -> str:
    """sha256 (hex) of all that the documents are made from; findings hang on the day, too."""
    book = found.book
    findings = [(f.rule, f.standing, f.what, f.mend, f.source) for f in book.findings]
    parts = (profile_print(book.loaded), book.loaded.name, sorted(made_by().items()), findings)
    return hashlib.sha256(repr(parts).encode()).hexdigest()
