"""The manual: cover, contents, bookmarks, running heads; nothing parted, nothing over the edge."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from generator.handbook.book import Book
from generator.handbook.pages import Page, pages
from generator.publish import manual, pdf
from generator.publish.native import missing_libraries
from tests.handbook.stub import DRAFT, ISSUE, PROFILES, book, from_profile
from tests.publish.test_site import HOSTILE

pytestmark = pytest.mark.skipif(bool(missing_libraries()), reason="Pango is not installed")

SIZES = {"quillmere": (793.7, 1122.5), "larkstead": (816.0, 1056.0)}  # px at 96 to the inch: A4, Letter


def without(every: list[Page], begins: tuple[str, ...]) -> list[Page]:
    """The pages but for those, and no link to them."""
    dropped = [page.file for page in every if page.id.startswith(begins)]
    links = re.compile('href="(' + "|".join(map(re.escape, dropped)) + ')(#[^"]*)?"')
    kept = [page for page in every if page.file not in dropped]
    return [replace(page, body_html=links.sub('href="#page-start"', page.body_html)) for page in kept]


class Made:
    """One manual laid out and written once for all tests of this module."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.book: Book = book(name)
        self.pages: list[Page] = pages(self.book, ISSUE)
        self.whole = name == "quillmere"
        if not self.whole:  # the second one is for the other paper: what both print alike is left out
            self.pages = without(self.pages, ("page-hazard-", "page-sheets", "page-sources", "proc-long"))
        html = manual.manual_html(self.book, self.pages, ISSUE)
        self.document = pdf.layout(html, [*manual.STYLES, *manual._paper(self.book)])
        self.links = manual.link_words(self.pages)
        self.bytes = pdf.write(self.document, name, self.links)
        from pypdf import PdfReader

        self.texts = [page.extract_text() for page in PdfReader(io.BytesIO(self.bytes)).pages]
        self.text = " ".join(" ".join(self.texts).split())


@pytest.fixture(scope="module", params=tuple(SIZES))
def made(request: pytest.FixtureRequest) -> Made:
    return Made(request.param)


def boxes(box: Any) -> Iterator[Any]:
    yield box
    for child in getattr(box, "children", ()):
        yield from boxes(getattr(child, "_box", child))


def placed(made: Made) -> Iterator[tuple[int, Any]]:
    for number, page in enumerate(made.document.pages):
        for box in boxes(page._page_box):
            yield number, box


def drawing_pages(made: Made) -> list[int]:
    """The sheets of the plant drawing: they have narrower margins, and may lie."""
    found = []
    for number, page in enumerate(made.document.pages):
        chapters = [box.element.get("id") for box in boxes(page._page_box) if box.element_tag == "section"]
        if "page-drawing" in chapters:
            found.append(number)
    return found


def test_paper_is_the_profiles_and_only_the_drawing_may_lie(made: Made) -> None:
    for number, page in enumerate(made.document.pages):
        size = (page.width, page.height)
        if number in drawing_pages(made) and page.width > page.height:
            size = size[::-1]
        assert size == pytest.approx(SIZES[made.name], abs=0.5)


def test_the_plant_drawing_has_one_sheet_and_legible_labels(made: Made) -> None:
    drawn = (box for _, box in placed(made) if str(box.element_tag).endswith("svg"))
    sheets = [box for box in drawn if box.element.get("class") == "drawing"]
    plant = sheets[0]
    assert plant.element.find("{*}title").text.startswith("Drawing of the plant")
    # Labels are 12 units high; 7 point is 9.33 px.
    for sheet in sheets:
        assert 12 * sheet.width / float(sheet.element.get("width")) >= 9.3


def test_cover_names_plant_issue_date_and_what_takes_precedence(made: Made) -> None:
    cover = " ".join(made.texts[0].split())
    for part in (made.book.profile.name, "Issue 3", ISSUE.date, "a licensed electrician take precedence"):
        assert part in cover, part


def test_every_page_after_the_cover_has_running_heads_and_its_number(made: Made) -> None:
    total = len(made.texts)
    for number, text in enumerate(made.texts[1:], start=2):
        flat = " ".join(text.split())
        assert made.book.profile.name in flat, number
        assert "Issue 3" in flat, number
        assert f"{number} / {total}" in flat, number


def test_contents_give_the_page_on_which_each_chapter_begins(made: Made) -> None:
    contents = " ".join(" ".join(made.texts[1:3]).split())
    starts = {page.id: None for page in made.pages}
    for number, box in placed(made):
        element = getattr(box, "element", None)
        if element is not None and element.get("id") in starts and starts[element.get("id")] is None:
            starts[element.get("id")] = number + 1
    for page in made.pages:
        assert re.search(rf"{re.escape(page.title)}[ .]*{starts[page.id]}\b", contents), page.title


def test_bookmarks_follow_groups_and_pages(made: Made) -> None:
    with pikepdf.open(io.BytesIO(made.bytes)) as document, document.open_outline() as outline:
        groups = [item.title for item in outline.root]
        inner = [child.title for item in outline.root for child in item.children]
    assert groups[:2] == ["Before you start", "Run a batch"]
    assert len(groups) == 7
    assert inner == [page.title for page in made.pages]


def test_key_numbers_are_in_the_text(made: Made) -> None:
    for key in ("ceiling", "oil_volume", "methanol_volume", "catalyst_usual", "reaction_set_point"):
        shown = made.book.figures[key].text.replace("\u00a0", " ")
        assert shown in made.text.replace("\u00a0", " "), key


def test_nothing_leaves_the_paper_or_its_column(made: Made) -> None:
    drawn = drawing_pages(made)
    for number, box in placed(made):
        if number == 0 or type(box).__name__ != "TextBox" or not box.text.strip():
            continue
        page = made.document.pages[number]
        right = box.position_x + box.width
        side = 48 if number in drawn else 60
        assert box.position_x >= side, (number + 1, box.text)
        assert right <= page.width - side, (number + 1, box.text)
        assert box.position_y + box.height <= page.height - 30, (number + 1, box.text)


def test_texts_do_not_run_over_each_other(made: Made) -> None:
    for number, page in enumerate(made.document.pages):
        texts = [b for b in boxes(page._page_box) if type(b).__name__ == "TextBox" and b.text.strip()]
        texts = [b for b in texts if b.height > 6]
        for at, one in enumerate(texts):
            for other in texts[at + 1 : at + 40]:
                across = min(one.position_x + one.width, other.position_x + other.width) - max(
                    one.position_x, other.position_x
                )
                down = min(one.position_y + one.height, other.position_y + other.height) - max(
                    one.position_y, other.position_y
                )
                small = min(one.height, other.height)
                assert across < 1.5 or down < 0.65 * small, (number + 1, one.text, other.text)


def test_no_step_line_up_or_sheet_is_parted(made: Made) -> None:
    where: dict[Any, set[int]] = {}
    for number, box in placed(made):
        element = getattr(box, "element", None)
        classes = set((element.get("class") or "").split()) if element is not None else set()
        if classes & {"step", "msg", "hold", "sheet", "scene", "line-up"}:
            where.setdefault(element, set()).add(number)
    assert len(where) > 15
    assert [numbers for numbers in where.values() if len(numbers) > 1] == []


def test_no_heading_stands_alone_at_the_foot(made: Made) -> None:
    for number, page in enumerate(made.document.pages):
        lowest_text, lowest_head = 0.0, 0.0
        for box in boxes(page._page_box):
            name = type(box).__name__
            drawn = name.endswith("ReplacedBox") or (name == "TextBox" and box.text.strip())
            if drawn and box.position_y < page.height - 80:
                lowest_text = max(lowest_text, box.position_y + box.height)
            tag = getattr(box, "element_tag", "") or ""
            if re.fullmatch(r"h[1-5]", tag) and name == "BlockBox":
                lowest_head = max(lowest_head, box.position_y + box.margin_height() - box.margin_bottom)
        assert lowest_text > lowest_head + 4 or not lowest_head, number + 1


def test_only_the_bundled_face_is_used(made: Made) -> None:
    with pikepdf.open(io.BytesIO(made.bytes)) as document:
        names = {
            str(item.BaseFont)
            for item in document.objects
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/Font"
        }
    assert names
    assert all("Source-Sans-Pro" in name or "SourceSansPro" in name for name in names), names


def test_tagged_for_reading_aloud(made: Made) -> None:
    with pikepdf.open(io.BytesIO(made.bytes)) as document:
        root = document.Root
        assert bool(root.MarkInfo.Marked)
        assert str(root.Lang) == "en"
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        kinds = [i for i in document.objects if isinstance(i, pikepdf.Dictionary) and "/S" in i]
        figures = [item for item in kinds if item.get("/S") == "/Figure"]
        heads = [item for item in kinds if item.get("/S") == "/TH"]
    assert figures
    assert all("/Alt" in item for item in figures)
    assert all("/A" in item for item in heads)


def test_links_say_where_they_lead(made: Made) -> None:
    with pikepdf.open(io.BytesIO(made.bytes)) as document:
        said = {
            str(note.get("/Contents", ""))
            for page in document.pages
            for note in page.get("/Annots", [])
            if note.get("/Subtype") == "/Link"
        }
    assert not made.whole or "Temperature ceiling for anything that holds methanol" in said
    assert not any(words.startswith("fig-") for words in said)


def test_same_bytes_again(made: Made) -> None:
    assert pdf.write(made.document, made.name, made.links) == made.bytes


def test_a_draft_says_so_on_cover_and_heads_and_hostile_text_is_text(tmp_path: Path) -> None:
    text = (PROFILES / "quillmere.yaml").read_text("utf-8")
    for good, bad in HOSTILE.items():
        text = text.replace(good, bad, 1)
    (tmp_path / "quillmere.yaml").write_text(text, "utf-8")
    hostile = from_profile(tmp_path / "quillmere.yaml", "quillmere")
    everything = pages(hostile, DRAFT)
    html = manual.manual_html(hostile, everything, DRAFT)
    assert "<script" not in html
    assert "onload=" not in re.sub(r">[^<]*<", "><", html)
    kept = ("page-start", "page-equipment")
    few = without(everything, tuple(page.id for page in everything if page.id not in kept))
    stages: list[str] = []
    (tmp_path / "m.pdf").write_bytes(manual.manual_pdf(hostile, few, DRAFT, stages.append))
    assert stages == ["layout", "write"]
    from pypdf import PdfReader

    texts = [" ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "m.pdf").pages]
    assert all("DRAFT" in page for page in texts)
    assert "<script>alert(1)</script>" in " ".join(texts)
    assert "{{7*7}}" in " ".join(texts)


def test_the_cover_says_who_approved_what_and_why() -> None:
    made = book("larkstead")
    every = pages(made, ISSUE)
    few = without(every, tuple(page.id for page in every if page.id != "page-start"))
    said = replace(ISSUE, approved="A. <b>Keeper</b>", reason="New element", until="2031-05-24")
    html = manual.manual_html(made, few, said)
    assert "A. &lt;b&gt;Keeper&lt;/b&gt;" in html and "New element" in html and "until 2031-05-24" in html
    assert "New element" not in manual.manual_html(made, few, ISSUE)
