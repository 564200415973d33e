"""Commands: parse the arguments, call one function, print. Every word comes from content/wording."""

from __future__ import annotations

import argparse
import difflib
import errno
import json
import os
import sys
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import yaml

from generator.problems import CONTENT, FillmarkError, Place, Problem

if TYPE_CHECKING:
    from generator.figures.record import Figure
    from generator.register.make import Result
    from generator.register.survey import Survey
    from generator.register.watched import Draft
    from generator.review.finding import Finding

# What a system says when nothing more can be printed.
FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)
LISTED = 8
OK, STOPS, UNUSABLE, NO_PDF, INTERRUPTED, PIPE_CLOSED = 0, 1, 2, 3, 130, 141


@cache
def words() -> dict[str, Any]:
    """The words of the command line."""
    loaded: dict[str, Any] = yaml.safe_load((CONTENT / "wording" / "cli.yaml").read_text(encoding="utf-8"))
    return loaded


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and gives its exit status. A user's mistake is told in words, never as a traceback."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that knows no ≤ shows something else in its place.
        getattr(stream, "reconfigure", lambda **_: None)(errors="backslashreplace")
    options = _parser().parse_args(arguments)
    try:
        status = int(options.run(options))
        sys.stdout.flush()
    except FillmarkError as error:
        return _refused(error)
    except KeyboardInterrupt:
        _complain(words()["stopped_by_hand"])
        return INTERRUPTED
    except BrokenPipeError:
        _drop_output()
        return PIPE_CLOSED
    except OSError as error:
        if error.filename is not None or error.errno not in FULL:
            raise
        _drop_output()
        return _refused(_disk_full(error))
    return status


def _parser() -> argparse.ArgumentParser:
    from generator.register.starters import kinds

    text, about = words()["arguments"], words()["commands"]
    parser = argparse.ArgumentParser(prog="fillmark", description=words()["about"])
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(name: str, run: Any) -> argparse.ArgumentParser:
        note = words()["status"].get(name)
        made = commands.add_parser(name, help=about[name], description=about[name], epilog=note)
        made.set_defaults(run=run)
        return made

    start = command("start", _start)
    start.add_argument("kind", metavar="KIND", choices=kinds(), help=text["kind"])
    start.add_argument("file", metavar="FILE", type=Path, help=text["file"])
    issue = command("issue", _issue)
    issue.add_argument("profile", metavar="PROFILE", type=Path, help=text["profile"])
    issue.add_argument("--draft", action="store_true", help=text["draft"])
    issue.add_argument("--cards", choices=("all", "changed"), default="all", help=text["cards"])
    issue.add_argument("--approved", metavar="NAME", default="", help=text["approved"])
    issue.add_argument("--reason", metavar="TEXT", default="", help=text["reason"])
    issue.add_argument("--until", metavar="DATE", default="", help=text["until"])
    issue.add_argument("--out", metavar="DIR", type=Path, default=Path("build"), help=text["out"])
    check = command("check", _check)
    check.add_argument("profile", metavar="PROFILE", type=Path, help=text["profile"])
    check.add_argument("--json", action="store_true", help=text["json"])
    figures = command("figures", _figures)
    figures.add_argument("profile", metavar="PROFILE", type=Path, help=text["profile"])
    figures.add_argument("figure", metavar="ID", nargs="?", help=text["figure"])
    compare = command("compare", _compare)
    compare.add_argument("old", metavar="OLD", help=text["old"])
    compare.add_argument("new", metavar="NEW", nargs="?", help=text["new"])
    compare.add_argument("--until", metavar="DATE", default="", help=text["until"])
    compare.add_argument("--out", metavar="DIR", type=Path, help=text["notice_out"])
    watch = command("watch", _watch)
    watch.add_argument("profile", metavar="PROFILE", type=Path, help=text["profile"])
    watch.add_argument("--port", metavar="PORT", type=int, default=0, help=text["port"])
    command("schema", _schema)
    return parser


# --- the commands


def _start(options: argparse.Namespace) -> int:
    from generator.register.starters import start

    start(options.kind, options.file)
    _say(words()["started"], file=options.file)
    return OK


def _issue(options: argparse.Namespace) -> int:
    from generator.register.approval import Approval
    from generator.register.make import Stopped, make_handbook

    approval = Approval(options.approved, options.reason, options.until)
    try:
        with _Shown() as progress:
            result = make_handbook(
                options.profile,
                options.out,
                options.draft,
                progress,
                approval=approval,
                changed_cards=options.cards == "changed",
            )
    except Stopped as stopped:
        _review(stopped.found, sys.stderr, most="stop")
        _complain(words()["stopped"], count=stopped.found.stops)
        return STOPS
    _review(result.found, sys.stderr, most="warn")
    _done(result)
    return NO_PDF if result.missing else OK


def _check(options: argparse.Namespace) -> int:
    from generator.register.as_json import as_json
    from generator.register.survey import survey

    try:
        found = survey(options.profile)
    except FillmarkError as error:
        if options.json:
            print(json.dumps(as_json(options.profile, error.problems, ()), indent=1))
            return UNUSABLE
        raise
    if options.json:
        print(json.dumps(as_json(options.profile, (), found.book.findings), indent=1))
    else:
        _review(found, sys.stdout, most="note")
        counts = dict.fromkeys(words()["severity"], 0)
        for finding in found.book.findings:
            counts[finding.standing] += 1
        _say(words()["count_accepted" if counts["accepted"] else "count"], **counts)
        if not found.stops:
            _say(words()["clean"])
    return STOPS if found.stops else OK


def _figures(options: argparse.Namespace) -> int:
    from generator.handbook.put_in import constants, put_in
    from generator.register.survey import survey

    handbook = survey(options.profile).book
    book = handbook.figures
    if options.figure is None:
        widths = [max(len(figure.id) for figure in book), max(len(figure.text) for figure in book)]
        for figure in book:
            shown = {"id": figure.id.ljust(widths[0]), "shown": figure.text.ljust(widths[1])}
            _say(words()["figure"]["line"], title=figure.words["title"], **shown)
        return OK
    found = book.get(options.figure)
    if found is None:
        near = difflib.get_close_matches(options.figure, [figure.id for figure in book], n=5, cutoff=0.4)
        facts = {"text": options.figure, "near": ", ".join(near) or "–"}
        raise FillmarkError([Problem("no_such_figure", Place(str(options.profile)), facts)])
    _figure(found, put_in(found, constants(handbook.profile.recipe.catalyst.base)))
    return OK


def _compare(options: argparse.Namespace) -> int:
    from generator.register import notice_files, notice_text

    notice, folder = notice_files.compared(options.old, options.new, options.until, options.out)
    for line in notice_text.lines(notice):
        print(_line(line))
    written = notice_files.write(notice, folder)
    _say(words()["noticed"], files=", ".join(map(str, written)))
    return OK


def _watch(options: argparse.Namespace) -> int:
    from generator.register.watch import watch

    def started(address: str) -> None:
        _say(words()["watching"], address=address)

    def renewed(draft: Draft) -> None:
        _say(words()["renewed"], version=draft.version, count=len(draft.told))
        sys.stdout.flush()

    with suppress(KeyboardInterrupt):
        watch(options.profile, options.port, started, renewed)
    return OK


def _schema(_: argparse.Namespace) -> int:
    from generator.profile.schema import schema

    print(json.dumps(schema(), indent=2))
    return OK


# --- what is printed


def _say(template: str, **facts: Any) -> None:
    print(template.format(**{key: _line(str(value)) for key, value in facts.items()}))


def _complain(template: str, **facts: Any) -> None:
    sys.stdout.flush()
    print(template.format(**{key: _line(str(value)) for key, value in facts.items()}), file=sys.stderr)


def _line(text: str) -> str:
    """Text on one line, without anything that could steer a terminal."""
    return "".join(c if c.isprintable() else " " if c.isspace() else "?" for c in text)


def _places(place: Place | None, also: Iterable[Place] = ()) -> list[str]:
    shown = words()["problem"]
    first = shown["where"].format(where=_line(str(place or shown["nowhere"])))
    return [first, *(shown["also"].format(where=_line(str(other))) for other in also)]


def _problem(problem: Problem) -> list[str]:
    """One line what, one where, one how to mend."""
    mend = words()["problem"]["mend"].format(mend=_line(problem.mend))
    return [_line(problem.what), *_places(problem.place, problem.also), mend]


def _finding(finding: Finding) -> list[str]:
    shown = words()
    severity = shown["severity"][finding.standing]
    what = shown["finding"].format(severity=severity, rule=finding.rule, what=_line(finding.what))
    mend = shown["problem"]["mend"].format(mend=_line(finding.mend))
    if finding.accepted:
        facts = {key: _line(value) for key, value in asdict(finding.accepted).items()}
        mend = shown["accepted"].format(**facts)
    return [what, *_places(finding.place), mend, shown["source"].format(source=_line(finding.source))]


def _review(found: Survey, stream: Any, most: str) -> None:
    """Findings down to a severity."""
    told = list(words()["severity"])[: list(words()["severity"]).index(most) + 1]
    blocks = [_finding(finding) for finding in found.book.findings if finding.standing in told]
    for block in blocks:
        print("\n".join(block), end="\n\n", file=stream)


def _refused(error: FillmarkError) -> int:
    with suppress(OSError):
        sys.stdout.flush()
    for problem in error.problems:
        print("\n".join(_problem(problem)), end="\n\n", file=sys.stderr)
    left_out = (p.facts["count"] for p in error.problems if p.code == "more_problems")
    count = sum(left_out, sum(p.code != "more_problems" for p in error.problems))
    if count > 1:
        _complain(words()["problems"], count=count)
    return error.exit_code


def _done(result: Result) -> None:
    from generator.publish import native
    from generator.register import notice_text

    facts = {"number": result.issue.number, "date": result.issue.date, "folder": result.folder}
    if result.unchanged:
        _say(words()["unchanged"], **facts)
        if result.written:
            count = len(result.written)
            template = words()["mended" if count <= LISTED else "mended_many"]
            _say(template, files=", ".join(result.written), count=count)
    elif result.issue.draft:
        _say(words()["drafted"], **facts)
    else:
        _say(words()["issued"], **facts)
        _say(words()["cards_new" if result.cards else "cards_none"], cards=", ".join(result.cards))
    if result.changed_cards:
        _say(words()["cards_changed"], file=result.changed_cards)
    if result.ended:
        facts = {"number": result.ended.number, "until": result.ended.until}
        _complain(words()["temporary_ended"], **facts)
    if result.notice:
        print()
        for line in notice_text.lines(result.notice, brief=True):
            print(_line(line))
    if result.missing:
        command = native.install_command(native.this_platform())
        template = words()["no_pdf" if command else "no_pdf_unknown"]
        _complain(template, missing=", ".join(result.missing), command=command)


def _figure(figure: Figure, line: str) -> None:
    shown = words()["figure"]
    _say(shown["value"], title=figure.words["title"], shown=figure.text)
    _say(shown["id"], id=figure.id)
    _say(shown["formula"], formula=figure.formula)
    for part in figure.inputs:
        made = shown["from"].format(figure=part.figure) if part.figure else ""
        _say(shown["input"], symbol=part.symbol, shown=part.shown(figure.units), figure=made)
    if line:
        _say(shown["put_in"], line=line)
    _say(shown["source"], source=figure.source)
    _say(shown["mark"], mark=figure.words["mark"])


# --- output that cannot be written, and progress


def _disk_full(error: OSError) -> FillmarkError:
    from generator.register.writing import CannotWrite

    reason = error.strerror or str(error.errno)
    return CannotWrite([Problem("cannot_write", Place("-"), {"reason": reason})])


def _drop_output() -> None:
    """Sends what is still to be flushed nowhere: the interpreter would stumble on it at its end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


class _Shown:
    """Progress at a terminal as bars, elsewhere a line a stage."""

    def __init__(self) -> None:
        self.bars: Any = None
        self.tasks: dict[str, Any] = {}

    def __enter__(self) -> Self:
        if sys.stderr.isatty():
            from rich.console import Console
            from rich.progress import Progress

            self.bars = Progress(console=Console(stderr=True), transient=True)
            self.bars.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.bars is not None:
            self.bars.stop()

    def __call__(self, stage: str, done: int, total: int) -> None:
        title = words()["stage"][stage]
        if stage not in self.tasks:
            self.tasks[stage] = self.bars.add_task(title, total=total) if self.bars else stage
            if self.bars is None:
                _complain(words()["stage_plain"], stage=title)
        if self.bars is not None:
            self.bars.update(self.tasks[stage], completed=done, total=total)

    def waiting(self) -> None:
        _complain(words()["waiting"])


if __name__ == "__main__":
    sys.exit(main())
