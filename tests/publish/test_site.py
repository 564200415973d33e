"""The site: whole, self-contained, readable without script or network, inert to hostile text."""

from __future__ import annotations

import itertools
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from generator.handbook.book import Book
from generator.handbook.pages import pages
from generator.publish import fonts
from generator.publish.site import site_files, write_site
from tests.handbook.stub import DRAFT, ISSUE, PROFILES, book, from_profile

HOSTILE = {
    "label: T1\n": 'label: "<script>alert(1)</script>"\n',
    "name: Reactor\n": 'name: "{{7*7}} ](javascript:alert(1))"\n',
    "name: Quillmere shared plant\n": "name: '</title><style>*{display:none}</style>'\n",
    "oil: Used frying oil from canteens\n": "oil: '\" onload=alert(1) <img src=//x.example/a>'\n",
}


DRAWING = re.compile(r'<svg class="drawing".*?</svg>', re.DOTALL)


@pytest.fixture(scope="module", params=("quillmere", "larkstead"))
def plant(request: pytest.FixtureRequest) -> Book:
    return book(request.param)


@pytest.fixture(scope="module")
def site(plant: Book) -> dict[str, str]:
    made = site_files(plant, pages(plant, ISSUE), ISSUE)
    return {name: given.decode() for name, given in made.items() if isinstance(given, bytes)}


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def seen(page: str) -> _Seen:
    parser = _Seen()
    parser.feed(page)
    return parser


def html_of(site: dict[str, str]) -> dict[str, str]:
    return {name: text for name, text in site.items() if name.endswith(".html")}


def test_every_reference_is_to_a_file_of_the_site(plant: Book, site: dict[str, str]) -> None:
    names = set(site_files(plant, pages(plant, ISSUE), ISSUE))
    for name, page in html_of(site).items():
        ids = {attrs["id"] for _, attrs in seen(page).tags if attrs.get("id")}
        for _, attrs in seen(page).tags:
            for key in ("href", "src"):
                link = attrs.get(key)
                if link is None:
                    continue
                file, _, fragment = link.partition("#")
                assert not file or file in names, f"{name}: {link}"
                assert file or fragment in ids, f"{name}: {link}"
    for font in re.findall(r'url\("([^"]+)"\)', site["theme/handbook.css"]):
        assert f"theme/{font}" in names


def test_nothing_outside_is_asked_for(site: dict[str, str]) -> None:
    for name, text in site.items():
        if name.endswith((".html", ".css")):
            assert not re.search(r'(href|src)="(https?:)?//', text), name
            assert not re.search(r"url\((?!\"fonts/)|@import", text), name


def test_frame_of_every_page(site: dict[str, str]) -> None:
    titles = set()
    for name, page in html_of(site).items():
        assert page.startswith("<!doctype html>"), name
        assert '<html lang="en">' in page
        assert page.count("<h1>") == 1, name
        assert page.index('class="skip"') < page.index("bar-emergency") < page.index("<main")
        assert 'href="page-emergency.html"' in page.split("<main")[0], name
        assert "Issue 3" in page
        assert "take precedence" in page
        titles.add(re.search(r"<title>(.*?)</title>", page, re.DOTALL)[1])  # type: ignore[index]
    assert len(titles) == len(html_of(site))


def test_headings_do_not_skip_a_level(site: dict[str, str]) -> None:
    for name, page in html_of(site).items():
        levels = [int(tag[1]) for tag, _ in seen(page).tags if re.fullmatch(r"h[1-6]", tag)]
        assert levels[0] == 1
        steps = [b - a for a, b in itertools.pairwise(levels)]
        assert max(steps) <= 1, f"{name}: {levels}"


def test_scripts_only_add(site: dict[str, str]) -> None:
    for page in html_of(site).values():
        assert [attrs for tag, attrs in seen(page).tags if tag == "script" and "src" not in attrs] == []
        for _, attrs in seen(page).tags:
            assert not any(key.startswith("on") or key == "style" for key in attrs)
    index = json.loads(site["theme/index.js"].removeprefix("window.handbookIndex = ").rstrip(";\n"))
    assert {entry["file"] for entry in index} == set(html_of(site))


def test_drawings_and_regions_have_names(site: dict[str, str]) -> None:
    for page in html_of(site).values():
        assert page.count("<svg") == len(re.findall(r"<svg[^>]*>\s*<title>[^<]+</title>", page))
        for tag, attrs in seen(page).tags:
            if attrs.get("role") == "region":
                assert attrs.get("aria-label"), tag
                assert attrs.get("tabindex") == "0"


def test_every_character_printed_has_a_glyph(site: dict[str, str]) -> None:
    text = "".join("".join(seen(page).text) for page in html_of(site).values())
    assert fonts.missing(text + "≥≤→₂☐✓°×−·") == set()


def test_draft_is_on_every_page(plant: Book) -> None:
    made = site_files(plant, pages(plant, DRAFT), DRAFT)
    for name, given in made.items():
        if name.endswith(".html"):
            assert isinstance(given, bytes)
            assert given.decode().count("DRAFT: not issued") == 1, name


def test_two_runs_give_the_same_bytes(plant: Book, site: dict[str, str]) -> None:
    again = site_files(plant, pages(plant, ISSUE), ISSUE)
    assert {name: given.decode() for name, given in again.items() if isinstance(given, bytes)} == site


def test_written_folder_holds_fonts_and_their_licence(plant: Book, tmp_path: Path) -> None:
    write_site(plant, pages(plant, ISSUE), ISSUE, tmp_path / "site")
    assert (tmp_path / "site" / "index.html").is_file()
    assert {p.name for p in (tmp_path / "site" / "theme" / "fonts").iterdir()} == {
        *fonts.paths(),
        "LICENSE.txt",
    }


def test_hostile_text_from_a_profile_is_inert(tmp_path: Path) -> None:
    text = (PROFILES / "quillmere.yaml").read_text("utf-8")
    for good, bad in HOSTILE.items():
        assert good in text
        text = text.replace(good, bad, 1)
    (tmp_path / "quillmere.yaml").write_text(text, "utf-8")
    hostile = from_profile(tmp_path / "quillmere.yaml", "quillmere")
    made = site_files(hostile, pages(hostile, ISSUE), ISSUE)
    plain = site_files(book("quillmere"), pages(book("quillmere"), ISSUE), ISSUE)
    shown = ""
    for name, given in made.items():
        if not name.endswith(".html"):
            continue
        assert isinstance(given, bytes)
        # A drawing is laid out anew for labels of other widths: it may not hold other kinds of tags.
        texts = given.decode(), plain[name].decode()  # type: ignore[union-attr]
        drawn = [{tag for tag, _ in seen("".join(DRAWING.findall(text))).tags} for text in texts]
        assert drawn[0] == drawn[1] <= {"svg", "title", "desc", "g", "path", "circle", "rect", "text"}, name
        page, other = (seen(DRAWING.sub("", text)) for text in texts)
        assert [tag for tag, _ in page.tags] == [tag for tag, _ in other.tags], name
        whole = seen(texts[0])
        assert not any(key.startswith("on") for _, attrs in whole.tags for key in attrs), name
        shown += "".join(whole.text)
    for text_shown in ("<script>alert(1)</script>", "{{7*7}} ](javascript:alert(1))", "</title><style>"):
        assert text_shown in shown
    index = made["theme/index.js"]
    assert isinstance(index, bytes)
    assert b"<" not in index
