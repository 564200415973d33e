"""A handbook from profile to files: number, date and place of every issue, and what is to be written."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from generator.handbook.book import Issue
from generator.handbook.marks import clean
from generator.problems import FillmarkError, Place, Problem
from generator.profile.load import Loaded
from generator.publish import files
from generator.register import log, snapshot
from generator.register.approval import NOBODY, Approval, check_until
from generator.register.labels import labels
from generator.register.lock import locked
from generator.register.made_by import made_by
from generator.register.outputs import RECORD, Outputs, Progress, Quiet
from generator.register.survey import Survey, survey
from generator.register.writing import CannotWrite, writing


class Stopped(FillmarkError):
    """Something in the review stops the issue; ``found`` is what the review said."""

    exit_code = 1

    def __init__(self, found: Survey) -> None:
        self.found = found
        super().__init__(())


@dataclass(frozen=True)
class Result:
    """What was done. ``written`` are files an unchanged issue lacked, ``cards`` titles with the new number.

    ``missing`` names the libraries for want of which there are no PDFs.
    """

    issue: Issue
    folder: Path
    found: Survey
    unchanged: bool = False
    written: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def make_handbook(
    path: Path,
    out: Path,
    draft: bool = False,
    progress: Progress | None = None,
    today: date | None = None,
    approval: Approval = NOBODY,
) -> Result:
    """Issues the handbook of the profile at ``path`` into ``out``/<profile name>/, whole or not at all.

    Raises FillmarkError where the profile cannot be used, Stopped where a finding stops it (not a draft),
    CannotWrite where the disk says no.
    """
    day = (today or date.today()).isoformat()  # noqa: DTZ011 - the date on the wall is the place's own
    check_until(approval.until, day)
    found, tell = survey(path, today), progress or Quiet()
    if found.stops and not draft:
        raise Stopped(found)
    folder = out / _folder_name(found.book.loaded)
    register = log.folder_of(path)
    with ExitStack() as held:
        # One register at a time, and one writer of a folder: profiles of one name may share it.
        names = [out / f".{folder.name}.lock"] if draft else [register / "lock", out / f".{folder.name}.lock"]
        for name in names:
            with writing(name):
                held.enter_context(locked(name, tell.waiting))
        with writing(folder):
            _tidy(folder)
        if draft:
            return _draft(found, folder, day, tell)
        return _issue(found, folder, register, _begun(day, approval), tell)


def _begun(day: str, approval: Approval) -> log.Entry:
    by, reason = clean(approval.by), clean(approval.reason)
    return log.Entry(0, day, "", {}, {}, approved=by, reason=reason, until=approval.until)


def _draft(found: Survey, folder: Path, day: str, tell: Progress) -> Result:
    _refuse_foreign(folder)
    outputs = Outputs(found.book, Issue(None, day, draft=True), {}, tell)
    made = outputs.all_files()
    with writing(folder), files.swapped(folder) as fresh:
        _fill(fresh, made)
    return Result(outputs.issue, folder, found, missing=outputs.missing)


def _fill(folder: Path, made: Mapping[str, bytes]) -> None:
    for name, content in made.items():
        files.write(folder / name, content)


def _issue(found: Survey, folder: Path, register: Path, begun: log.Entry, tell: Progress) -> Result:
    """``begun`` holds the day and who approved; the rest of its entry is found here."""
    _refuse_foreign(folder)
    with writing(register / log.FILE):
        entries = log.read(register)
    outputs, entry = _numbered(found, entries, begun, tell)
    if entries and entry is entries[-1]:
        return _again(found, outputs, folder)
    made = outputs.all_files()
    kept = snapshot.to_bytes(outputs.snapshot())
    entry = replace(entry, snapshot=snapshot.digest(kept))
    with writing(folder), files.swapped(folder) as fresh:
        _fill(fresh, made)
        # The number is taken once all is there and before it can be seen, so that none is given twice.
        with writing(register / log.FILE):
            snapshot.write(register, entry.number, kept)
            log.append(register, entry)
    changed = tuple(card.title for card in outputs.cards if entry.cards[card.id] == entry.number)
    return Result(outputs.issue, folder, found, cards=changed, missing=outputs.missing)


def _numbered(
    found: Survey, entries: list[log.Entry], begun: log.Entry, tell: Progress
) -> tuple[Outputs, log.Entry]:
    """The outputs with their numbers, and their entry: the last one where nothing has changed."""
    last = entries[-1] if entries else None
    first = Outputs(found.book, Issue(None, begun.date, draft=False), {}, tell)
    prints = first.fingerprints
    if last is not None and dict(last.documents) == prints:
        entry = last
    else:
        number = last.number + 1 if last else 1
        entry = replace(
            begun,
            number=number,
            profile=_profile_print(found.book.loaded),
            documents=prints,
            cards={name: _card_number(name, prints[name], last, number) for name in prints if _is_card(name)},
            labels=labels(found.book.loaded.tree.data),
            made_by=made_by(),
        )
    dates = {one.number: one.date for one in (*entries, entry)}
    issue = Issue(entry.number, entry.date, draft=False)
    cards_issues = {name: Issue(n, dates.get(n, entry.date), draft=False) for name, n in entry.cards.items()}
    return first.numbered(issue, cards_issues), entry


def _is_card(document_id: str) -> bool:
    return document_id.startswith("card-")


def _card_number(card_id: str, fingerprint: str, last: log.Entry | None, number: int) -> int:
    """A card that says what it said keeps its number, so that it may stay on the wall."""
    if last is not None and last.documents.get(card_id) == fingerprint:
        return last.cards.get(card_id, number)
    return number


def _profile_print(loaded: Loaded) -> str:
    """sha256 (hex) of the profile and what it is based on."""
    return hashlib.sha256("".join(text for _, text in snapshot.sources(loaded)).encode()).hexdigest()


def _again(found: Survey, outputs: Outputs, folder: Path) -> Result:
    """An unchanged issue: writes what its folder lacks, all of it where the folder holds anything else."""
    if outputs.is_in(folder):
        lacking = outputs.lacking(folder)
        with writing(folder):
            _fill(folder, lacking)
        written = tuple(lacking)
    else:
        made = outputs.all_files()
        with writing(folder), files.swapped(folder) as fresh:
            _fill(fresh, made)
        written = tuple(made)
    missing = outputs.lacks_pdf(folder)
    return Result(outputs.issue, folder, found, unchanged=True, written=written, missing=missing)


def _folder_name(loaded: Loaded) -> str:
    """The name of the handbook's folder: the profile's, never a hidden one or a way out of the folder."""
    if loaded.name.startswith(".") or not loaded.name.strip():
        raise FillmarkError([Problem("folder_unsafe", Place(str(loaded.path)))])
    return loaded.name


def _refuse_foreign(folder: Path) -> None:
    """Only a handbook may be replaced: any other folder is somebody's."""
    with writing(folder):
        ours = not folder.exists() or (folder.is_dir() and ((folder / RECORD).is_file() or _is_empty(folder)))
    if not ours:
        raise CannotWrite([Problem("not_an_issue_folder", Place(str(folder)))])


def _is_empty(folder: Path) -> bool:
    return next(folder.iterdir(), None) is None


def _tidy(folder: Path) -> None:
    """Puts right what a run that was killed has left: nobody else writes while the lock is held."""
    for old in folder.parent.glob(f".{_escaped(folder.name[:40])}.old.*"):
        if not folder.exists() and (old / "was").is_dir():
            (old / "was").replace(folder)
        shutil.rmtree(old, ignore_errors=True)
    for fresh in folder.parent.glob(f".{_escaped(folder.name[:40])}.new.*"):
        shutil.rmtree(fresh, ignore_errors=True)


def _escaped(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
