"""A change notice as a page for the screen and as a PDF for the binder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from markupsafe import Markup

from generator.handbook.render import render
from generator.publish import files, pdf
from generator.publish.native import missing_libraries
from generator.register.approval import check_until
from generator.register.compare import sides
from generator.register.notice import Notice, notice
from generator.register.trade import words
from generator.register.writing import writing

STYLES = ("tokens.css", "base.css", "notice.css")
PAGE, PRINT = "change-notice.html", "change-notice.pdf"
BLANK_LINES = 6


def compared(old: str, new: str | None, until: str, out: Path | None) -> tuple[Notice, Path]:
    """The notice between two names (see ``compare.sides``), and the folder that it goes to.

    Raises FillmarkError where a name stands for nothing or ``until`` is no day.
    """
    check_until(until)
    before, after = sides(old, new)
    if until:
        after = replace(after, until=until)
    return notice(before, after), out or Path("build") / f"{after.path.stem}-change"


def html(made: Notice) -> str:
    """The whole page, with its styles inside, so that it can be sent on by itself."""
    styles = "\n".join((pdf.THEME / name).read_text("utf-8") for name in STYLES)
    return str(
        render(
            "change/notice.html",
            links=False,
            n=made,
            w=words(),
            styles=Markup(styles),  # noqa: S704 - our own stylesheets
            blank_lines=range(BLANK_LINES),
        )
    )


def printed(made: Notice) -> bytes:
    """The notice as PDF/UA-1 bytes."""
    document = pdf.layout(html(made), STYLES)
    return pdf.write(document, f"change-{made.plant}-{made.old}-{made.new}"[:200])


def write(made: Notice, folder: Path) -> list[Path]:
    """Writes page and PDF, the latter where its libraries are there. Raises CannotWrite."""
    parts = makers(made, with_pdf=not missing_libraries())
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
        for name, make in parts.items():
            files.write(folder / name, make())
    return [folder / name for name in parts]


def makers(made: Notice, *, with_pdf: bool) -> dict[str, Callable[[], bytes]]:
    """Name to what makes it."""
    page: dict[str, Callable[[], bytes]] = {PAGE: lambda: html(made).encode()}
    return {**page, PRINT: lambda: printed(made)} if with_pdf else page
