"""The pages of a handbook: complete, linked, captioned, inert to hostile text."""

from __future__ import annotations

import html
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from generator.handbook.book import GROUPS, Book, Issue
from generator.handbook.document import fingerprint
from generator.handbook.marks import anchor, clean, tag
from generator.handbook.pages import Page, pages
from generator.handbook.render import marked, render_markdown
from tests.handbook.stub import DRAFT, ISSUE, book

NAMES = ("quillmere", "larkstead")


@pytest.fixture(scope="module", params=NAMES)
def plant(request: pytest.FixtureRequest) -> Book:
    return book(request.param)


@pytest.fixture(scope="module")
def made(plant: Book) -> list[Page]:
    return pages(plant, ISSUE)


def text_of(page: Page) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page.body_html)).split())


class _Tables(HTMLParser):
    """Counts what each table has."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: list[Counter[str]] = []
        self.heads: list[dict[str, str | None]] = []
        self.inside = 0

    def handle_starttag(self, tag_name: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag_name == "table":
            self.inside += 1
            self.tables.append(Counter())
        if self.inside:
            self.tables[-1][tag_name] += 1
            if tag_name == "th":
                self.heads.append(dict(attrs))

    def handle_endtag(self, tag_name: str) -> None:
        self.inside -= tag_name == "table"


def test_pages_come_in_the_seven_groups_in_order(made: list[Page]) -> None:
    order = [page.group for page in made]
    assert list(dict.fromkeys(order)) == list(GROUPS)
    assert order == sorted(order, key=GROUPS.index)


def test_titles_ids_and_files_are_unique(made: list[Page]) -> None:
    for part in ("id", "title", "file"):
        values = [getattr(page, part) for page in made]
        assert len(set(values)) == len(values), part


def test_anchors_are_unique_in_the_whole_handbook(made: list[Page]) -> None:
    """They must be, since the manual is one document."""
    ids = [found for page in made for found in re.findall(r'\bid="([^"]+)"', page.body_html)]
    twice = [found for found, n in Counter(ids).items() if n > 1 and not found.startswith("step-")]
    assert twice == []


def test_every_link_leads_somewhere(made: list[Page]) -> None:
    targets = {page.file: set(re.findall(r'\bid="([^"]+)"', page.body_html)) for page in made}
    for page in made:
        for link in re.findall(r'href="([^"]+)"', page.body_html):
            name, _, fragment = link.partition("#")
            assert name in targets, f"{page.id}: {link}"
            assert not fragment or fragment in targets[name], f"{page.id}: {link}"


def test_every_figure_has_its_sheet(plant: Book, made: list[Page]) -> None:
    sheets = next(page for page in made if page.id == "page-sheets")
    for figure in plant.figures:
        assert f'id="{anchor(figure.id)}"' in sheets.body_html, figure.id
        assert html.escape(figure.text) in sheets.body_html, figure.id


def test_every_printed_figure_links_to_its_sheet(made: list[Page]) -> None:
    links = [link for page in made for link in re.findall(r'<a class="val" href="([^"]+)"', page.body_html)]
    assert len(links) > 100
    assert all(link.startswith("page-sheets.html#fig-") for link in links)


def test_tables_have_captions_and_scopes(made: list[Page]) -> None:
    for page in made:
        parser = _Tables()
        parser.feed(page.body_html)
        for found in parser.tables:
            assert found["caption"] == 1, page.id
            assert found["thead"] == 1, page.id
        assert all(head.get("scope") in ("col", "row") for head in parser.heads), page.id


#: Figures that are numbers without a unit, by a part of their sheets' names.
PURE = ("acid-value", "ratio", "acid-added", "turnovers", "mixing", "distribution", "fig-cost")


def test_number_cells_have_units(made: list[Page]) -> None:
    """A cell of a number column holds a unit, or says that there is nothing."""
    unit = re.compile(r"[0-9](\s?(°|[A-Za-zµ%³]|:1|/h))|^–$|[a-z]{3}")
    counted = re.compile(r"^[0-9]+$")
    for page in made:
        for cell in re.findall(r'<td[^>]*class="num"[^>]*>(.*?)</td>', page.body_html):
            text = html.unescape(re.sub(r"<[^>]+>", "", cell)).replace("\u00a0", " ").strip()
            is_count = counted.match(text) and ("washes" in cell or "batches" in cell)
            is_pure = any(part in cell for part in PURE)
            assert unit.search(text) or is_count or is_pure, f"{page.id}: {text}"


def test_a_warning_stands_before_its_step_in_the_same_block(made: list[Page]) -> None:
    charge = next(page for page in made if page.id == "proc-charge").body_html
    block = re.search(r'<li class="step" id="step-2.1">.*?</li>', charge, re.DOTALL)
    assert block
    assert block[0].index("msg-danger") < block[0].index("msg-warning") < block[0].index("step-text")


def test_hold_points_blanks_and_contingencies_are_printed(made: list[Page]) -> None:
    page = next(page for page in made if page.id == "proc-charge")
    assert page.body_html.count('class="hold"') == 1
    assert page.body_html.count('class="tick"') == 4 + 2
    text = text_of(page)
    for part in ("If not: Close it. Tell the keeper.", "Expect: Nothing drips", "Initials:", "It ends with:"):
        assert part in text, part


def test_an_unused_phase_says_why(made: list[Page]) -> None:
    page = next(page for page in made if page.id == "proc-wash")
    assert page.short
    assert "Not used at this plant. Soap is taken out by the tower." in text_of(page)


def test_the_emergency_page_has_this_plants_numbers_and_places(plant: Book, made: list[Page]) -> None:
    text = text_of(next(page for page in made if page.id == "page-emergency"))
    contacts, safety = plant.profile.site.contacts, plant.profile.safety
    for part in (
        contacts.emergency_number,
        contacts.poison_centre,
        contacts.muster_point,
        safety.isolator_place,
        safety.eyewash_place,
        safety.emergency_stop.place,
    ):
        assert part in text, part
    assert "{" not in text


def test_the_start_page_says_what_takes_precedence(made: list[Page]) -> None:
    text = text_of(made[0])
    assert made[0].file == "index.html"
    assert "Local codes, the fire authority, permits and a licensed electrician take precedence" in text


def test_the_dose_table_names_catalyst_purity_and_titrant(plant: Book, made: list[Page]) -> None:
    text = text_of(next(page for page in made if page.id == "page-dose"))
    catalyst = plant.profile.recipe.catalyst
    assert f"For this flake only: {catalyst.base}" in text
    assert "pure" in text
    assert ("made from the same flake" in text) is (catalyst.titrant.made_from == "same_flake")


def test_every_valve_is_listed_with_its_normal_position(plant: Book, made: list[Page]) -> None:
    page = next(page for page in made if page.id == "page-valves")
    for valve in plant.profile.valves.values():
        assert f'<span class="tag">{html.escape(valve.label)}</span>' in page.body_html


def test_line_ups_say_the_heaters_first(plant: Book, made: list[Page]) -> None:
    page = next(page for page in made if page.id == "page-line-ups")
    sections = page.body_html.split('<section class="line-up"')[1:]
    assert len(sections) == len(plant.line_ups)
    for section in sections:
        assert section.index('class="heaters"') < section.index("<table")
        assert section.index("<table") < section.index("Line up")


def test_no_body_changes_with_the_issue(plant: Book, made: list[Page]) -> None:
    assert [page.body_html for page in pages(plant, Issue(9, "2031-01-01", draft=False))] == [
        page.body_html for page in made
    ]
    assert [page.document for page in pages(plant, DRAFT)] == [page.document for page in made]


def test_a_changed_number_changes_the_fingerprint_of_its_pages_only(plant: Book, made: list[Page]) -> None:
    step = plant.procedures[0].steps[0]
    changed = replace(plant.procedures[0], steps=(replace(step, text="Do another thing."),))
    other = pages(replace(plant, procedures=(changed, *plant.procedures[1:])), ISSUE)
    differ = {a.id for a, b in zip(made, other, strict=True) if a.document != b.document}
    assert "proc-charge" in differ
    assert not {"page-who", "page-dose", "proc-long", "page-equipment"} & differ


def test_a_fingerprint_reads_text_not_markup() -> None:
    assert fingerprint("T", ['<p class="a">Open <b>it</b>.</p>']) == fingerprint("T", ["<p>Open  it.</p>"])
    assert fingerprint("T", ["<p>Open it.</p>"]) != fingerprint("T", ["<p>Close it.</p>"])
    assert fingerprint("T", ['<p><span class="tag">7</span></p>']) != fingerprint("T", ["<p>7</p>"])


HOSTILE = (
    "<script>alert(1)</script>",
    "{{7*7}}",
    "{% raw %}",
    "](javascript:alert(1))",
    "**bold** `code` | cell",
    '" onmouseover="alert(1)',
    "</style><style>*{display:none}",
    "# head",
    "{: onclick=x }",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_only_text(text: str) -> None:
    class Named:
        name = text

    for out in (str(marked(f"Open {tag(text)} now")), str(render_markdown("pages/notice.md", plant=Named))):
        assert html.unescape(re.sub(r"</?(span|p|strong)( class=\"tag\")?>", "", out)).count(text) == 1
        assert not re.search(r"<(script|style|em|code|h1|a)\b", out)
        assert "49" not in out


def test_marks_and_directions_in_a_label_are_dropped() -> None:
    assert clean("a\ue002x\ue003b\u202ec\x07\nd") == "a x b c d"
