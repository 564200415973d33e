"""A change notice in a terminal: the same facts as on paper, a line each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.operations.steps import plain
from generator.register.notice import Hanging, Notice
from generator.register.trade import words

INDENT = "  "


def lines(notice: Notice, brief: bool = False) -> list[str]:
    """The notice as lines; the brief one leaves out steps, figures and what stays on the wall."""
    parts = [*_head(notice), *_equipment(notice)]
    if not brief:
        parts += _figures(notice)
    parts += _paper(notice, brief)
    if not brief:
        parts += [*_steps(notice), *_findings(notice)]
    return [plain(line) for line in (*parts, *_checks(notice))]


def _head(notice: Notice) -> Iterator[str]:
    facts = words()["facts"]
    yield f"{words()['title']}: {notice.plant}"
    yield f"{INDENT}{facts['from']}: {notice.old}"
    yield f"{INDENT}{facts['to']}: {notice.new}"
    for key in ("reason", "approved"):
        if getattr(notice, key):
            yield f"{INDENT}{facts[key]}: {getattr(notice, key)}"
    if notice.until:
        yield words()["temporary"].format(until=notice.until)
    yield from notice.notes
    if notice.nothing:
        yield words()["nothing"]


def _section(key: str, some: Sequence[str]) -> Iterator[str]:
    if some:
        yield ""
        yield words()["heads"][key]
        yield from (f"{INDENT}{line}" for line in some)


def _equipment(notice: Notice) -> Iterator[str]:
    yield from _section("labels", notice.labels)
    yield from _section(
        "equipment",
        [
            f"{item.title}: {row.what}: {row.old} → {row.new} ({row.where})"
            for item in notice.items
            for row in item.rows
        ],
    )


def _figures(notice: Notice) -> Iterator[str]:
    moved = [f"{f.title}: {f.old} → {f.new} · {'; '.join(f.because)}" for f in notice.figures]
    yield from _section("figures", moved)


def _paper(notice: Notice, brief: bool) -> Iterator[str]:
    said = words()["cards"]
    kinds = ("down", "up") if brief else ("down", "up", "leave")
    cards = [f"{said[kind]}: {_card(card)}" for kind in kinds for card in getattr(notice, kind)]
    yield from _section("cards", cards)
    does = words()["chapters"]
    chapters = [f"{does[c.do]}: {c.title}" for c in notice.chapters]
    yield from _section("chapters", chapters)


def _card(card: Hanging) -> str:
    where, issue = (f", {text}" if text else "" for text in (card.where, card.issue))
    return f"{card.title} ({card.id}{where}{issue})"


def _steps(notice: Notice) -> Iterator[str]:
    pairs = [(one.title, pair) for one in notice.steps for pair in one.pairs]
    yield from _section(
        "steps", [f"{title}: {pair.old or '–'} → {pair.new or '–'}" for title, pair in pairs]
    )


def _findings(notice: Notice) -> Iterator[str]:
    said = words()["findings"]
    came = [f"{said['came']}: {line}" for line in notice.findings_new]
    went = [f"{said['went']}: {line}" for line in notice.findings_gone]
    yield from _section("findings", [*came, *went])


def _checks(notice: Notice) -> Iterator[str]:
    if notice.items or notice.train:
        needed = words()["train"]["needed" if notice.train else "none"]
        yield from _section("train", [needed])
        yield from _section("checks", notice.checks)
