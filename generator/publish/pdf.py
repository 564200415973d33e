"""HTML to PDF by WeasyPrint, which may read the handbook's own styles and fonts and nothing else."""

from __future__ import annotations

import atexit
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from generator.problems import CONTENT
from generator.publish import fonts

# The scheme and host name nothing; a page's relative addresses are joined to it.
BASE = "handbook:///"
THEME = CONTENT / "theme"


class Refused(Exception):
    """The page asked for something that is not the handbook's own."""


def served() -> dict[str, tuple[Path, str]]:
    """All that a page may read: address to file and media type."""
    styles = {f"{BASE}{path.name}": (path, "text/css") for path in sorted(THEME.glob("*.css"))}
    faces = {f"{BASE}fonts/{name}": (path, "font/ttf") for name, path in fonts.paths().items()}
    return {**styles, **faces}


def _fetcher(refused: list[str]) -> Any:
    """WeasyPrint's fetcher, closed: an address that is not in ``served`` is refused and noted."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    own = served()

    class Closed(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url not in own:
                refused.append(url)
                raise Refused(url)
            path, media = own[url]
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": media})

    return Closed()


def layout(html: str, styles: Iterable[str]) -> Any:
    """The page laid out (weasyprint.Document). ``styles`` are names of files in content/theme.

    Raises Refused where page or style asks for anything but the handbook's own files.
    """
    from weasyprint import HTML

    texts = (fonts.css(f"{BASE}fonts/"), *((THEME / name).read_text("utf-8") for name in styles))
    sheets, faces = _styles(texts)
    refused: list[str] = []
    page = HTML(string=html, base_url=BASE, url_fetcher=_fetcher(refused))
    document = page.render(stylesheets=sheets, font_config=faces, pdf_variant="pdf/ua-1")
    _all_served(refused)
    document.refused = refused  # drawings and attachments are read only when the document is written
    return document


@lru_cache(maxsize=8)
def _styles(texts: tuple[str, ...]) -> tuple[list[Any], Any]:
    """Style sheets read and fonts loaded: once a process, since that costs more than laying out a card."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    refused: list[str] = []
    faces, fetcher = FontConfiguration(), _fetcher(refused)
    sheets = [CSS(string=text, font_config=faces, url_fetcher=fetcher, base_url=BASE) for text in texts]
    _all_served(refused)
    return sheets, faces


# The fonts' own clean-up needs libraries that are gone once the interpreter shuts down.
atexit.register(_styles.cache_clear)


def _all_served(refused: Sequence[str]) -> None:
    if refused:
        raise Refused(refused[0])


def write(document: Any, identifier: str, links: Mapping[str, str] | None = None) -> bytes:
    """A laid-out document as PDF/UA-1 bytes; the same document and identifier give the same bytes.

    ``links`` gives the words for links by the id they lead to. Raises Refused like ``layout``.
    """
    from generator.publish import tagging

    pdf: bytes = document.write_pdf(pdf_identifier=identifier.encode(), pdf_variant="pdf/ua-1")
    _all_served(document.refused)
    return tagging.finished(pdf, links or {})
