"""A handbook from profile to files: number, date and place of every issue, and what is to be written."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from generator.handbook.book import Issue
from generator.handbook.marks import clean
from generator.problems import FillmarkError, Place, Problem
from generator.profile.load import Loaded
from generator.publish import files
from generator.publish.rendered import Rendered
from generator.register import log, snapshot
from generator.register.approval import NOBODY, Approval, check_until
from generator.register.compare import of_entry, of_kept, of_outputs
from generator.register.lock import locked
from generator.register.notice import Notice, notice
from generator.register.notice_files import PAGE, makers
from generator.register.numbering import numbered, profile_print
from generator.register.outputs import RECORD, Outputs, Progress, Quiet
from generator.register.survey import Survey, survey
from generator.register.writing import CannotWrite, writing

CHANGED = "cards-changed.pdf"


class Stopped(FillmarkError):
    """Something in the review stops the issue; ``found`` is what the review said."""

    exit_code = 1

    def __init__(self, found: Survey) -> None:
        self.found = found
        super().__init__(())


@dataclass(frozen=True)
class Result:
    """What was done. ``written`` are files an unchanged issue lacked, ``cards`` titles with the new number.

    ``missing`` names the libraries for want of which there are no PDFs. ``notice`` says what changed since
    the last issue, where there was one. ``ended`` is the last issue where that was a temporary one whose time
    is over.
    """

    issue: Issue
    folder: Path
    found: Survey
    unchanged: bool = False
    written: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    notice: Notice | None = None
    ended: log.Entry | None = None
    changed_cards: Path | None = None


def make_handbook(
    path: Path,
    out: Path,
    draft: bool = False,
    progress: Progress | None = None,
    today: date | None = None,
    approval: Approval = NOBODY,
    changed_cards: bool = False,
) -> Result:
    """Issues the handbook of the profile at ``path`` into ``out``/<profile name>/, whole or not at all.

    ``changed_cards`` asks for the cards that carry the new number in a PDF of their own besides.
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
        with writing(register):
            _tidy_register(register)
        result, outputs = _issue(found, folder, register, _begun(day, approval), tell)
        return replace(result, changed_cards=_changed(folder, outputs)) if changed_cards else result


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


def _issue(
    found: Survey, folder: Path, register: Path, begun: log.Entry, tell: Progress
) -> tuple[Result, Outputs]:
    """``begun`` holds the day and who approved; the rest of its entry is found here."""
    _refuse_foreign(folder)
    with writing(register / log.FILE):
        entries = log.read(register)
    rendered = Rendered(folder.with_name(f".{folder.name}.rendered"))
    outputs, entry = numbered(found, entries, begun, tell, rendered)
    if entries and entry is entries[-1]:
        return _again(found, outputs, folder, entries, begun.date), outputs
    made = outputs.all_files()
    kept = outputs.snapshot()
    told = _notice(found.book.loaded.path, entries, entry, kept)
    made |= {name: make() for name, make in _notice_files(told, outputs).items()}
    copy = snapshot.to_bytes(kept)
    entry = replace(entry, snapshot=snapshot.digest(copy))
    with writing(folder), files.swapped(folder) as fresh:
        _fill(fresh, made)
        # The number is taken once all is there and before it can be seen, so that none is given twice.
        with writing(register / log.FILE):
            snapshot.write(register, entry.number, copy)
            log.append(register, entry)
    with writing(folder):
        rendered.save()
    changed = tuple(card.title for card in outputs.cards if entry.cards[card.id] == entry.number)
    result = Result(outputs.issue, folder, found, cards=changed, missing=outputs.missing, notice=told)
    return result, outputs


def _notice(
    path: Path, entries: Sequence[log.Entry], entry: log.Entry, kept: snapshot.Snapshot | None
) -> Notice | None:
    """What changed between the last of the entries and a newer one; None where it is the first."""
    if not entries:
        return None
    before = {one.number: one.labels for one in entries[:-1]}
    old = of_entry(path, entries[-1], before)
    new = of_entry(path, entry, {}) if kept is None else of_kept(path, entry, kept, {})
    return notice(old, new)


def _notice_files(told: Notice | None, outputs: Outputs) -> Mapping[str, Callable[[], bytes]]:
    return {} if told is None else makers(told, with_pdf=not outputs.missing)


def _changed(folder: Path, outputs: Outputs) -> Path | None:
    """The cards of the new number in one PDF beside the others; None where there are none."""
    content, path = outputs.changed_cards(), folder / CHANGED
    with writing(path):
        if content is None:
            path.unlink(missing_ok=True)
            return None
        files.write(path, content)
    return path


def _again(
    found: Survey, outputs: Outputs, folder: Path, entries: Sequence[log.Entry], day: str
) -> Result:
    """An unchanged issue: writes what its folder lacks, all of it where the folder holds anything else."""
    path, last = found.book.loaded.path, entries[-1]
    whole = not outputs.is_in(folder)
    made = outputs.all_files() if whole else outputs.lacking(folder)
    if len(entries) > 1 and (whole or not (folder / PAGE).is_file()):
        told = _notice(path, entries[:-1], last, None)
        made |= {name: make() for name, make in _notice_files(told, outputs).items()}
    with writing(folder):
        if whole:
            with files.swapped(folder) as fresh:
                _fill(fresh, made)
            outputs.kept.save()
        else:
            _fill(folder, made)
    unprinted = None
    if profile_print(found.book.loaded) != last.profile:
        # What no document prints may still ask for a check before the plant starts.
        unprinted = notice(of_entry(path, last, {}), of_outputs(path, outputs))
    return Result(
        outputs.issue,
        folder,
        found,
        unchanged=True,
        written=tuple(made),
        missing=outputs.lacks_pdf(folder),
        notice=None if unprinted is None or unprinted.nothing else unprinted,
        ended=last if last.until and last.until <= day else None,
    )


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
    for half in folder.parent.glob(f"..{_escaped(folder.name[:30])}*.rendered.*"):
        half.unlink(missing_ok=True)


def _tidy_register(register: Path) -> None:
    """Takes out half-written files, of which nothing in the register knows."""
    for half in (*register.glob(".*.*"), *(register / "issues").glob(".*.*")):
        half.unlink(missing_ok=True)


def _escaped(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
