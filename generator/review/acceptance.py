"""Findings that the owner has accepted, by rule and equipment, until a day: they stop nothing till then."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from generator.profile.accepted import AcceptedDeviation
from generator.review.context import Context, Trail
from generator.review.finding import Accepted, Finding, acceptable, rule_ids


def accept(ctx: Context, findings: Iterable[Finding], today: date) -> Iterator[Finding]:
    """The findings, the accepted ones marked so, and what is to be said of the acceptances themselves."""
    found = list(findings)
    entries = ctx.profile.accepted
    for finding in found:
        entry = next((one for one in entries if _meets(one, finding)), None)
        if entry is None or not acceptable(finding.rule) or entry.until_day < today:
            yield finding
        else:
            yield replace(finding, accepted=Accepted(entry.by, entry.reason, entry.until_day.isoformat()))
    for index, entry in enumerate(entries):
        yield from _of_entry(ctx, index, entry, found, today)


def _meets(entry: AcceptedDeviation, finding: Finding) -> bool:
    """Whether an acceptance names this finding: notes need none, and equipment must be named."""
    concerns = entry.where in finding.equipment if finding.equipment else entry.where is None
    return finding.severity != "note" and entry.rule == finding.rule and concerns


def _of_entry(
    ctx: Context, index: int, entry: AcceptedDeviation, found: list[Finding], today: date
) -> Iterator[Finding]:
    """An acceptance of no rule, of one that nobody may accept, that is over, or that nothing needs."""
    at: Trail = ("accepted", index)
    facts = {"named": entry.rule, "until": entry.until_day.isoformat(), "by": entry.by}
    if entry.rule not in rule_ids():
        near = difflib.get_close_matches(entry.rule, sorted(rule_ids()), n=3, cutoff=0.4)
        yield ctx.finding("accepted-unknown", "warn", (*at, "rule"), near=", ".join(near) or "–", **facts)
    elif not acceptable(entry.rule):
        yield ctx.finding("accepted-never", "warn", (*at, "rule"), **facts)
    elif not any(_meets(entry, finding) for finding in found):
        yield ctx.finding("accepted-unused", "note", at, **facts)
    elif entry.until_day < today:
        yield ctx.finding("accepted-over", "warn", (*at, "until"), **facts)
