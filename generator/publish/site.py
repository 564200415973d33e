"""The site: static files that work from a memory stick, on a phone, without network or scripts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from markupsafe import Markup

from generator.handbook.book import GROUPS, Book, Issue
from generator.handbook.document import DRAWN, reading
from generator.handbook.pages import Page, body
from generator.handbook.render import render, render_markdown
from generator.problems import CONTENT
from generator.publish import files, fonts

STYLES = ("tokens.css", "base.css", "site.css")
THEME = CONTENT / "theme"


def write_site(book: Book, pages: Sequence[Page], issue: Issue, folder: Path) -> None:
    """Write every page with styles, typeface and search into ``folder``, which is replaced as a whole."""
    files.write_folder(folder, site_files(book, pages, issue))


def site_files(book: Book, pages: Sequence[Page], issue: Issue) -> dict[str, bytes | Path]:
    """Name to content of every file of the site."""
    notice = render_markdown("pages/notice.md", plant=book.profile)
    out: dict[str, bytes | Path] = {
        page.file: _framed(book, pages, at, issue, notice).encode() for at, page in enumerate(pages)
    }
    out["theme/handbook.css"] = _styles().encode()
    out["theme/index.js"] = _index(pages).encode()
    out["theme/search.js"] = THEME / "search.js"
    out["theme/fonts/LICENSE.txt"] = fonts.folder() / fonts.LICENCE
    for name, path in fonts.paths().items():
        out[f"theme/fonts/{name}"] = path
    return dict(sorted(out.items()))


def shared_names() -> list[str]:
    """Names of what all pages share."""
    theme = ("handbook.css", "index.js", "search.js", "fonts/LICENSE.txt")
    return [f"theme/{name}" for name in (*theme, *(f"fonts/{name}" for name in fonts.paths()))]


def _framed(book: Book, pages: Sequence[Page], at: int, issue: Issue, notice: Markup) -> str:
    """One page inside the frame that all share."""
    page = pages[at]
    return render(
        "theme/site.html",
        plant=book.profile,
        page=page,
        body=body(page),
        issue=issue,
        before=pages[at - 1] if at else None,
        after=pages[at + 1] if at + 1 < len(pages) else None,
        groups=GROUPS,
        by_group={group: [p for p in pages if p.group == group] for group in GROUPS},
        notice=notice,
    )


def _styles() -> str:
    """One stylesheet, so that no page waits for a second."""
    return fonts.css("fonts/") + "".join((THEME / name).read_text("utf-8") for name in STYLES)


def _index(pages: Sequence[Page]) -> str:
    """What the search looks through, as a script, because file:// allows no fetch."""
    entries = [
        {"title": page.title, "file": page.file, "text": " ".join(_words(page)).lower()} for page in pages
    ]
    # Escaped so that no text can end the script or start another.
    data = json.dumps(entries, ensure_ascii=True).replace("<", "\\u003c").replace(">", "\\u003e")
    return f"window.handbookIndex = {data};\n"


def _words(page: Page) -> list[str]:
    """Each word of a page once, in order."""
    read = (line.partition(":") for line in reading(page.body_html).split("\n"))
    lines = (text or bound for bound, _, text in read if bound != DRAWN)
    return list(dict.fromkeys(f"{page.title} {' '.join(lines)}".replace("\x01", "").split()))
