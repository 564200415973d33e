"""The manual: all pages in one PDF with cover, contents, bookmarks, running heads and page numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from markupsafe import Markup

from generator.handbook.book import GROUPS, Book, Issue
from generator.handbook.document import Document, fingerprint
from generator.handbook.pages import Page
from generator.handbook.render import interface, render, render_markdown
from generator.publish import pdf

STYLES = ("tokens.css", "base.css", "manual.css")
FILE = "manual.pdf"
Progress = Callable[[str], None]

_LINK = re.compile(r'href="([a-z0-9-]+)\.html(?:#([A-Za-z0-9_.-]+))?"')
_HEADING = re.compile(r"(</?h)([1-5])(?=[ >])")


def manual_pdf(book: Book, pages: Sequence[Page], issue: Issue, progress: Progress | None = None) -> bytes:
    """The manual as PDF/UA-1 bytes. ``progress`` is told the stage: ``layout`` then ``write``."""
    tell = progress or (lambda _stage: None)
    tell("layout")
    document = pdf.layout(manual_html(book, pages, issue), [*STYLES, *_paper(book)])
    tell("write")
    identifier = f"{book.loaded.name}-{issue.number or interface()['draft']}"
    return pdf.write(document, identifier, link_words(pages))


def _paper(book: Book) -> list[str]:
    return ["letter.css"] if book.profile.paper.manual == "Letter" else []


def manual_html(book: Book, pages: Sequence[Page], issue: Issue) -> str:
    """All pages as one document: links lead inside it, headings sink below the page's own."""
    known = {page.file.removesuffix(".html"): page.id for page in pages}
    return render(
        "theme/manual.html",
        plant=book.profile,
        issue=issue,
        accepted=book.accepted,
        groups=GROUPS,
        by_group={group: [page for page in pages if page.group == group] for group in GROUPS},
        bodies={page.id: _inside(page, known) for page in pages},
        notice=render_markdown("pages/notice.md", plant=book.profile),
        paper=book.profile.paper.manual,
    )


def _inside(page: Page, known: dict[str, str]) -> Markup:
    """A body's links and headings as they must be inside one document."""

    def link(match: re.Match[str]) -> str:
        name, target = match.groups()
        return f'href="#{target or known[name]}"'

    def lower(match: re.Match[str]) -> str:
        return f"{match[1]}{int(match[2]) + 1}"

    # User text cannot reach these patterns: its quotes and angle brackets are character references.
    return Markup(_HEADING.sub(lower, _LINK.sub(link, page.body_html)))  # noqa: S704


_NAMED = re.compile(r'id="([^"]+)"[^>]*>\s*(?:<h[23]>)?(.*?)</h[23]>')
_DOSE = re.compile(r'<td class="num" id="([^"]+)"')


def link_words(pages: Sequence[Page]) -> dict[str, str]:
    """What a link inside the manual leads to, in words, by the id it leads to."""
    words = {page.id: page.title for page in pages}
    for page in pages:
        for anchor, title in _NAMED.findall(page.body_html):
            words[anchor] = Markup(title).striptags()  # noqa: S704 - only read for its text
        # A row of the dose table has no heading of its own.
        words.update(dict.fromkeys(_DOSE.findall(page.body_html), words.get("sheets-dose", page.title)))
    groups = {f"group-{group}": str(title) for group, title in interface()["groups"].items()}
    return words | groups


def document(pages: Sequence[Page], title: str) -> Document:
    """The manual for the record; its fingerprint is that of its pages in order."""
    prints = "\n".join(page.document.fingerprint for page in pages)
    return Document("manual", "manual", title, FILE, fingerprint(title, [prints]))
