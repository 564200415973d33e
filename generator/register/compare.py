"""The two sides of a comparison: a profile as it stands, or an issue of the register."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from generator.handbook.book import Issue
from generator.problems import FillmarkError, Place, Problem
from generator.profile.nodes import Tree
from generator.publish import record
from generator.register import log, snapshot
from generator.register.differences import Described, described
from generator.register.labels import labels
from generator.register.made_by import made_by
from generator.register.outputs import Outputs, Quiet
from generator.register.snapshot import Told
from generator.register.survey import survey

_ENTRY = re.compile(r"(?P<path>.+)@(?P<number>[0-9]+|last)", re.DOTALL)


@dataclass(frozen=True)
class Side:
    """``number`` and ``date`` are those of an issue, None for a profile as it stands.

    ``described`` is None and ``record`` empty where the register kept no copy of the issue, or where this
    version no longer takes its profile. ``cards`` gives each card the issue in which it last changed.
    ``labels`` are the painted labels by id; ``labels_before`` those of earlier issues. ``trouble`` says what
    is wrong with the register's copy.
    """

    path: Path
    number: int | None
    date: str | None
    described: Described | None
    record: Mapping[str, Any]
    documents: Mapping[str, Told]
    cards: Mapping[str, int]
    made_by: Mapping[str, str]
    labels: Mapping[str, str]
    labels_before: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    approved: str = ""
    reason: str = ""
    until: str = ""
    trouble: str = ""

    @property
    def tree(self) -> Tree:
        """The profile's tree; an empty one where it is not known."""
        return self.described.tree if self.described else Tree(str(self.path))

    @property
    def shown(self) -> dict[str, str]:
        """What each figure printed, by id."""
        return {figure: str(data["shown"]) for figure, data in self.record.get("figures", {}).items()}


def sides(old: str, new: str | None) -> tuple[Side, Side]:
    """What two names stand for: ``rig.yaml``, ``rig.yaml@3`` or ``rig.yaml@last``.

    One name alone is compared with its profile's last issue. Raises FillmarkError where a name stands for
    nothing.
    """
    if new is None:
        return side(f"{old}@last"), side(old)
    return side(old), side(new)


def side(name: str) -> Side:
    """One side; a file whose own name holds an @ is a profile."""
    match = _ENTRY.fullmatch(name)
    if match is None or Path(name).exists():
        return of_profile(Path(name))
    return of_issue(Path(match["path"]), match["number"])


def of_profile(path: Path) -> Side:
    """A profile as it stands."""
    outputs = Outputs(survey(path).book, Issue(None, "", draft=True), {}, Quiet())
    return of_outputs(path, outputs)


def of_outputs(path: Path, outputs: Outputs) -> Side:
    """What would be issued."""
    book = outputs.book
    data = json.loads(record.to_bytes(record.record(book, outputs.issue, [])))
    tree = book.loaded.tree
    return Side(
        path,
        None,
        None,
        Described(tree, book.profile),
        data,
        outputs.told,
        {},
        made_by(),
        labels(tree.data),
    )


def of_issue(path: Path, number: str) -> Side:
    """An issue of a profile's register, ``last`` for the newest."""
    folder = log.folder_of(path)
    entries = log.read(folder)
    if not entries:
        raise FillmarkError([Problem("nothing_issued", Place(str(path)))])
    known = {entry.number: entry for entry in entries}
    wanted = entries[-1].number if number == "last" else int(number)
    if wanted not in known:
        facts = {"number": wanted, "known": ", ".join(map(str, known))}
        raise FillmarkError([Problem("no_such_issue", Place(str(folder / log.FILE)), facts)])
    before = {entry.number: entry.labels for entry in entries if entry.number < wanted}
    return of_entry(path, known[wanted], before)


def of_entry(path: Path, entry: log.Entry, before: Mapping[int, Mapping[str, str]]) -> Side:
    """An issue as it was; of one that an earlier version issued, only which documents there were is known."""
    trouble = ""
    kept = None
    try:
        kept = snapshot.read(log.folder_of(path), entry) if entry.snapshot else None
    except FillmarkError as error:
        trouble = " ".join(f"{problem.place}: {problem.what}" for problem in error.problems)
    return replace(of_kept(path, entry, kept, before), trouble=trouble)


def of_kept(
    path: Path, entry: log.Entry, kept: snapshot.Snapshot | None, before: Mapping[int, Mapping[str, str]]
) -> Side:
    """An issue of which the copy is at hand, or is known to be lost."""
    documents = kept.documents if kept else {name: _bare(name, entry) for name in entry.documents}
    return Side(
        path,
        entry.number,
        entry.date,
        described(kept.tree()) if kept else None,
        kept.record if kept else {},
        documents,
        entry.cards,
        entry.made_by,
        entry.labels,
        before,
        entry.approved,
        entry.reason,
        entry.until,
    )


def _bare(name: str, entry: log.Entry) -> Told:
    kind = "card" if name in entry.cards else "procedure" if name.startswith("proc-") else "page"
    return Told(name, kind, name, entry.documents[name], "")
