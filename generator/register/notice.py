"""The change notice as data: what changed and moved, which paper changes, who trains, what is checked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from generator.figures.record import kinds as figure_kinds
from generator.handbook.document import DRAWN
from generator.handbook.marks import clean, tag
from generator.operations.steps import plain
from generator.register.aligned import Pair, aligned, said
from generator.register.causes import Move, moves, traced
from generator.register.compare import Side
from generator.register.differences import EQUIPMENT, Change, differences
from generator.register.relabelled import label_notes
from generator.register.snapshot import Told
from generator.register.trade import Item, checks, items, placed, thing, words

MOST_LINES = 8


@dataclass(frozen=True)
class Moved:
    """A figure with the value it had and has, and why it moved. Texts may hold marks."""

    title: str
    old: str
    new: str
    because: tuple[str, ...]


@dataclass(frozen=True)
class Hanging:
    """A card of a list: ``issue`` is its number (and date), '' where there is none yet."""

    id: str
    title: str
    where: str
    issue: str
    sheets: int


@dataclass(frozen=True)
class Chapter:
    """A page of the manual: ``do`` is replace, insert or remove."""

    id: str
    title: str
    do: str


@dataclass(frozen=True)
class SideBySide:
    """What a document said and says now; ``more`` counts what is not shown."""

    id: str
    title: str
    pairs: tuple[Pair, ...]
    more: int = 0


@dataclass(frozen=True)
class Notice:
    """All of a change notice; texts may hold marks. ``nothing`` is true where no document changed."""

    plant: str
    old: str
    new: str
    until: str
    approved: str
    reason: str
    notes: tuple[str, ...] = ()
    items: tuple[Item, ...] = ()
    labels: tuple[str, ...] = ()
    figures: tuple[Moved, ...] = ()
    down: tuple[Hanging, ...] = ()
    up: tuple[Hanging, ...] = ()
    leave: tuple[Hanging, ...] = ()
    chapters: tuple[Chapter, ...] = ()
    steps: tuple[SideBySide, ...] = ()
    lines: tuple[SideBySide, ...] = ()
    findings_new: tuple[str, ...] = ()
    findings_gone: tuple[str, ...] = ()
    train: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    changes: tuple[Change, ...] = field(default=(), repr=False)

    @property
    def nothing(self) -> bool:
        return not (self.down or self.up or self.chapters or self.items or self.findings_new)

    @property
    def summary(self) -> tuple[str, ...]:
        """What is to be done, a line each."""
        if self.nothing:
            return ()
        counts = {
            "down": len(self.down),
            "up": len(self.up),
            "leave": len(self.leave),
            "chapters": len(self.chapters),
            "train": len(self.train),
            "checks": len(self.checks),
        }
        return tuple(words()["summary"][key].format(count=n) for key, n in counts.items() if n)


def notice(old: Side, new: Side) -> Notice:
    """What a person with a laminator has to know of the way from one side to the other."""
    changes: list[Change] = []
    if old.described is not None and new.described is not None:
        changes = differences(old.described, new.described)
    steps = tuple(_steps(old, new))
    made = Notice(
        plant=str(new.record.get("plant", {}).get("name") or new.path.stem),
        old=titled(old),
        new=titled(new),
        until=new.until,
        approved=clean(new.approved),
        reason=clean(new.reason),
        notes=tuple(_notes(old, new, changes)),
        figures=tuple(_figures(old, new, changes)),
        down=tuple(_down(old, new)),
        up=tuple(
            _hanging(new, new.documents[name], words()["next"])
            for name in _cards(new)
            if not _same(name, old, new)
        ),
        leave=tuple(_hanging(old, new.documents[name]) for name in _cards(new) if _same(name, old, new)),
        chapters=tuple(_chapters(old, new)),
        steps=steps,
        lines=tuple(_lines(old, new, steps)),
        findings_new=tuple(_findings(new, old)),
        findings_gone=tuple(_findings(old, new)),
        train=tuple(_train(old, new)),
        changes=tuple(changes),
    )
    return made if not changes else _with_equipment(made, old, new)


def _with_equipment(made: Notice, old: Side, new: Side) -> Notice:
    return replace(
        made,
        items=tuple(items(made.changes, old.tree, new.tree)),
        labels=tuple(label_notes(made.changes, old, new)),
        checks=tuple(checks(made.changes, old.tree, new.tree)),
    )


def titled(side: Side) -> str:
    """What a side is called."""
    if side.number is None:
        return str(words()["stands"]).format(file=side.path)
    return str(words()["issue"]).format(number=side.number, date=side.date)


def boxed(text: str) -> str:
    """Plain text of a record, its labels in square brackets, with marks again."""
    return re.sub(r"\[([^\]]+)\]", lambda found: tag(found[1]), clean(text))


def _notes(old: Side, new: Side, changes: Sequence[Change]) -> Iterator[str]:
    for side in (old, new):
        if side.trouble:
            yield side.trouble
        if side.described is None:
            yield str(words()["no_copy"]).format(side=titled(side))
    if changes and all(_same(name, old, new) for name in {**old.documents, **new.documents}):
        yield str(words()["no_document"])


# --- documents


def _same(name: str, old: Side, new: Side) -> bool:
    before, after = old.documents.get(name), new.documents.get(name)
    return before is not None and after is not None and before.fingerprint == after.fingerprint


def _cards(side: Side) -> list[str]:
    return [name for name, told in side.documents.items() if told.kind == "card"]


def _hanging(side: Side, told: Told, unnumbered: str = "") -> Hanging:
    number = side.cards.get(told.id)
    issue = unnumbered if number is None else str(number)
    return Hanging(told.id, boxed(told.title), boxed(told.where), issue, len(told.sheets) or 1)


def _down(old: Side, new: Side) -> Iterator[Hanging]:
    for name in _cards(old):
        if not _same(name, old, new):
            yield _hanging(old, old.documents[name])


def _chapters(old: Side, new: Side) -> Iterator[Chapter]:
    for name, told in new.documents.items():
        if told.kind != "card" and not _same(name, old, new):
            yield Chapter(name, boxed(told.title), "replace" if name in old.documents else "insert")
    for name, told in old.documents.items():
        if told.kind != "card" and name not in new.documents:
            yield Chapter(name, boxed(told.title), "remove")
    if any(not _same(name, old, new) for name in {**old.documents, **new.documents}):
        yield from _numbered_pages(old, new)


def _numbered_pages(old: Side, new: Side) -> Iterator[Chapter]:
    """Pages that carry issue numbers: they are others in every issue, though no word of them changed."""
    for name, title in words()["numbered_pages"].items():
        known = name in new.documents
        if title or (known and name in old.documents and _same(name, old, new)):
            yield Chapter(name, title or boxed(new.documents[name].title), "replace")


def _procedures(side: Side) -> dict[str, dict[str, Any]]:
    return {p["id"]: p for p in side.record.get("procedures", [])}


def _steps(old: Side, new: Side) -> Iterator[SideBySide]:
    before, after = _procedures(old), _procedures(new)
    for name in [*after, *(name for name in before if name not in after)]:
        if not (before and after):
            return
        texts = [
            [_step_said(step) for step in side.get(name, {"steps": ()})["steps"]] for side in (before, after)
        ]
        pairs = aligned(*texts)
        if pairs:
            numbered = [_numbered(pair, before.get(name), after.get(name)) for pair in pairs]
            title = (after.get(name) or before[name])["title"]
            yield SideBySide(f"proc-{name}", boxed(title), tuple(numbered))


def _step_said(step: dict[str, Any]) -> str:
    """A step with what to expect and what to do else; an older record has only its text."""
    parts = words()["step_parts"]
    beside = (parts[key].format(text=step[key]) for key in parts if step.get(key))
    return boxed(" ".join([step["text"], *beside]))


def _numbered(pair: Pair, before: dict[str, Any] | None, after: dict[str, Any] | None) -> Pair:
    """The pair with each step's own number before it."""

    def one(text: str, at: int | None, procedure: dict[str, Any] | None) -> str:
        if at is None or procedure is None:
            return text
        return f"{procedure['steps'][at]['number']}  {text}"

    old, new = one(pair.old, pair.old_at, before), one(pair.new, pair.new_at, after)
    return Pair(old, new, pair.old_at, pair.new_at)


def _lines(old: Side, new: Side, steps: Sequence[SideBySide]) -> Iterator[SideBySide]:
    """What is said otherwise where no steps are shown for it: tables, limits, words."""
    shown = {one.id for one in steps}
    for name, told in new.documents.items():
        before = old.documents.get(name)
        if before is None or _same(name, old, new) or name in shown or name in words()["not_shown"]:
            continue
        if not (before.reading and told.reading):
            continue
        pairs = aligned(said(before.reading), said(told.reading))
        if _drawn(before) != _drawn(told):
            pairs.append(Pair(words()["drawing"]["old"], words()["drawing"]["new"]))
        if pairs:
            kept = tuple(pairs[:MOST_LINES])
            yield SideBySide(name, boxed(told.title), kept, len(pairs) - len(kept))


def _drawn(told: Told) -> list[str]:
    return [line for line in told.reading.split("\n") if line.startswith(f"{DRAWN}:")]


# --- figures, findings, training


def _figures(old: Side, new: Side, changes: Sequence[Change]) -> Iterator[Moved]:
    if not (old.record and new.record):
        return
    found = moves(old.shown, new.shown)
    if old.described is not None and new.described is not None:
        found = traced(found, old.described, new.described, changes, old.shown)
    for move in found:
        words_of = words()
        was, now = move.old or words_of["not_stated"], move.new or words_of["not_stated"]
        yield Moved(figure_title(move.figure, old, new), was, now, tuple(_because(move, old, new)))


def _because(move: Move, old: Side, new: Side) -> Iterator[str]:
    for change in move.causes:
        tree = new.tree if new.tree.at(change.item) is not None else old.tree
        keys = [part for part in change.trail[len(change.item) :] if isinstance(part, str)]
        name = " · ".join([thing(change.trail, tree), *(part.replace("_", " ") for part in keys)])
        yield f"{name} ({placed(change.new_place or change.old_place)})"
    if move.by_program:
        yield str(words()["program"])
    elif not move.causes:
        yield str(words()["together"])


def figure_title(figure: str, old: Side, new: Side) -> str:
    """A figure's title, with the painted label of the equipment it is about."""
    subject, _, kind = figure.rpartition(".")
    title = str(figure_kinds().get(kind, {"title": kind.replace("_", " ")})["title"])
    if not subject:
        return title
    first = subject.partition(".")[0]
    for side in (new, old):
        for section in EQUIPMENT:
            label = side.labels.get(f"{section}.{first}")
            if label is not None:
                rest = subject.partition(".")[2].replace("_", " ")
                return f"{title} · {tag(label)} {rest}".rstrip()
    return f"{title} · {subject.replace('_', ' ')}"


def _findings(here: Side, there: Side) -> Iterator[str]:
    other = {(f["rule"], f["what"]) for f in there.record.get("findings", [])}
    for finding in here.record.get("findings", []):
        if there.record and (finding["rule"], finding["what"]) not in other:
            yield f"{finding['severity'].upper()}: {clean(plain(finding['what']))}"


def _train(old: Side, new: Side) -> Iterator[str]:
    """The procedures and cards that people have to walk: those whose own words or numbers changed."""
    for name, told in new.documents.items():
        if told.kind != "page" and not _same(name, old, new):
            yield boxed(told.title)
