"""A profile to change, and stand-ins for what takes long: PDFs that are a line of text."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from markupsafe import Markup

from generator.problems import CONTENT
from generator.publish import cards, manual, native
from generator.register import make, notice_files
from generator.register.outputs import Outputs
from generator.register.survey import Survey, survey


@pytest.fixture
def profile(tmp_path: Path) -> Path:
    """A copy of the one-vessel demo rig's profile in a folder of its own."""
    path = tmp_path / "rigs" / "larkstead.yaml"
    path.parent.mkdir()
    shutil.copy(CONTENT.parent / "equipment_profiles" / path.name, path)
    return path


@pytest.fixture
def plain_pdfs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each PDF is text: a card's id and what its foot says, the manual's number."""

    def fitted(given: Any, _issue: Any, _: Any = None) -> list[cards.Sheet]:
        return [cards.Sheet(card, "", Markup("")) for card in given]

    def card_pdf(sheet: cards.Sheet, issue: Any) -> bytes:
        said = re.search(r"Issue (\S+) .* ([0-9-]{10}) ", sheet.foot.striptags())
        assert said is not None
        return f"{sheet.card.id}: {said[1]} of {said[2]}{' DRAFT' * issue.draft}".encode()

    def cards_pdf(_sheets: Any, made: Any) -> bytes:
        return b"\n".join(made)

    def manual_pdf(_book: Any, _pages: Any, issue: Any, progress: Any) -> bytes:
        progress("layout")
        progress("write")
        return f"manual: {issue.number} of {issue.date}{' DRAFT' * issue.draft}".encode()

    _surveyed_once(monkeypatch)
    monkeypatch.setattr(cards, "fitted", fitted)
    monkeypatch.setattr(cards, "card_pdf", card_pdf)
    monkeypatch.setattr(cards, "cards_pdf", cards_pdf)
    monkeypatch.setattr(manual, "manual_pdf", manual_pdf)
    monkeypatch.setattr(notice_files, "printed", lambda made: f"notice: {made.old} {made.new}".encode())


def _surveyed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """One survey and one reading of its documents for each text of a profile: most tests issue the same.

    The day is left out: no rig of these tests has anything that ends on a day.
    """

    def surveyed(path: Path, today: date | None = None) -> Survey:
        key = (path.name, path.read_bytes())
        if key not in _SURVEYS:
            _SURVEYS[key] = survey(path, today)
        book = _SURVEYS[key].book
        return Survey(replace(book, loaded=replace(book.loaded, path=path, files=(path,))))

    read, written = Outputs.__dict__["told"].func, Outputs.__dict__["cards"].func

    def told(outputs: Outputs) -> Any:
        known = _TOLD.setdefault(outputs.book.loaded.text, {})
        return known.setdefault("told", None) or known.update(told=read(outputs)) or known["told"]

    def built(outputs: Outputs) -> Any:
        known = _TOLD.setdefault(outputs.book.loaded.text, {})
        return known.setdefault("cards", None) or known.update(cards=written(outputs)) or known["cards"]

    monkeypatch.setattr(make, "survey", surveyed)
    monkeypatch.setattr(Outputs, "told", property(told, lambda *_: None))
    monkeypatch.setattr(Outputs, "cards", property(built, lambda *_: None))


_SURVEYS: dict[Any, Survey] = {}
_TOLD: dict[str, dict[str, Any]] = {}


@pytest.fixture
def no_pango(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine on which the libraries that PDFs need do not load."""
    monkeypatch.setattr(native, "missing_libraries", lambda *_: ["pango-1.0"])
