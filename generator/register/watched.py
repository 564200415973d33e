"""A profile that is being worked on, and the draft that it makes: made anew whenever a file is saved."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from generator.handbook.book import Issue
from generator.handbook.render import render
from generator.problems import CONTENT, FillmarkError
from generator.publish import site
from generator.register.outputs import Outputs, Quiet
from generator.register.survey import survey
from generator.register.trade import placed, words

START, SCRIPT = "index.html", "-/watch.js"
_TOP, _END = b'<main id="text"', b"</body>"
Stamps = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class Told:
    """A finding or a problem as it stands on top of each page."""

    kind: str
    what: str
    where: str
    mend: str


@dataclass(frozen=True)
class Draft:
    """The site's files by name. ``version`` rises with every save; ``told`` stands on top of each page."""

    version: int
    files: Mapping[str, bytes]
    told: tuple[Told, ...] = ()


class Watched:
    """``look`` makes the draft anew where the profile, what it is based on, or the content was saved."""

    def __init__(self, profile: Path) -> None:
        self.profile = profile
        self.draft = Draft(0, {})
        self._sources: Sequence[Path] = (profile,)
        self._pages: Mapping[str, bytes] = {}
        self._seen: tuple[Stamps, Stamps] | None = None

    def look(self) -> bool:
        """Whether something was saved since the last look; the draft is then new."""
        seen = (_stamps(self._sources), _stamps(sorted(CONTENT.rglob("*"))))
        if seen == self._seen:
            return False
        if self._seen is not None and seen[1] != self._seen[1]:
            _forget()
        try:
            told = self._make()
        except FillmarkError as error:
            problem = words()["watch"]["problem"]
            told = tuple(
                Told(problem, one.what, placed(one.place) if one.place else "", one.mend)
                for one in error.problems
            )
        version = self.draft.version + 1
        pages = self._pages or {START: _empty()}
        self.draft = Draft(version, {name: _topped(name, page, told) for name, page in pages.items()}, told)
        # The files a profile is based on are known only now.
        self._seen = (_stamps(self._sources), seen[1])
        return True

    def _make(self) -> tuple[Told, ...]:
        today = date.today()  # noqa: DTZ011 - the day of the place
        book = survey(self.profile, today).book
        issue = Issue(None, today.isoformat(), draft=True)
        made = site.site_files(book, Outputs(book, issue, {}, Quiet()).unlisted, issue)
        self._pages = {n: c if isinstance(c, bytes) else c.read_bytes() for n, c in made.items()}
        self._sources = book.loaded.files
        kinds = words()["watch"]["kinds"]
        return tuple(Told(kinds[f.standing], f.what, placed(f.place), f.mend) for f in book.findings)


def _stamps(paths: Iterable[Path]) -> Stamps:
    """When each file was saved and how long it is; one that is gone counts, too."""
    return tuple(_stamp(path) for path in paths)


def _stamp(path: Path) -> tuple[str, int, int]:
    try:
        status = path.stat()
    except OSError:
        return str(path), 0, 0
    return str(path), status.st_mtime_ns, status.st_size


def _forget() -> None:
    """Lets go of all that was read from content, so that what was saved there is read."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == "generator":
            for part in list(vars(module).values()):
                clear = getattr(part, "cache_clear", None)
                if callable(clear):
                    clear()


def _topped(name: str, page: bytes, told: Sequence[Told]) -> bytes:
    """A page with what was found on top, and the script that looks for a newer one."""
    if not name.endswith(".html"):
        return page
    top = str(render("change/watch.html", links=False, told=told, w=words()["watch"])).encode()
    script = f'<script src="{SCRIPT}" defer></script>'.encode()
    return page.replace(_TOP, top + _TOP, 1).replace(_END, script + _END, 1)


def _empty() -> bytes:
    return str(render("change/empty.html", links=False, w=words()["watch"])).encode()
