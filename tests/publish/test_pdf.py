"""WeasyPrint reads the handbook's own styles and fonts and nothing else."""

from __future__ import annotations

import pytest

from generator.publish import pdf
from generator.publish.native import missing_libraries

pytestmark = pytest.mark.skipif(bool(missing_libraries()), reason="Pango is not installed")

FACE = '@font-face { font-family: x; src: url("https://example.org/x.ttf") } p { font-family: x }'
IMAGE = (
    '<svg viewBox="0 0 9 9"><title>s</title><image href="file:///etc/hostname" width="9" height="9"/></svg>'
)
TABLE = (
    "<table><caption>c</caption><thead><tr><th>a</th></tr></thead><tbody><tr><th>b</th></tr></tbody></table>"
)
PAGE = '<html lang="en"><head><title>t</title>{head}</head><body><p>text</p>{body}</body></html>'


@pytest.mark.parametrize(
    ("head", "body"),
    [
        ("", '<img alt="a" src="https://example.org/a.png">'),
        ("", '<img alt="a" src="http://127.0.0.1:9/a.png">'),
        ("", '<img alt="a" src="file:///etc/hostname">'),
        ("", '<img alt="a" src="data:image/png;base64,iVBORw0KGgo=">'),
        ("", '<img alt="a" src="../../etc/hostname">'),
        ("", '<img alt="a" src="handbook:///../cards.css/../secret">'),
        ("", '<object data="file:///etc/hostname"></object>'),
        ('<link rel="stylesheet" href="https://example.org/a.css">', ""),
        ('<style>@import url("file:///etc/hostname");</style>', ""),
        ('<style>p { background: url("ftp://example.org/a.png") }</style>', ""),
        (f"<style>{FACE}</style>", ""),
        ("", IMAGE),
        ('<link rel="attachment" href="file:///etc/hostname">', ""),
    ],
)
def test_everything_else_is_refused(head: str, body: str) -> None:
    with pytest.raises(pdf.Refused):
        pdf.write(pdf.layout(PAGE.format(head=head, body=body), ["tokens.css"]), "x")


def test_its_own_files_are_served() -> None:
    head = '<link rel="stylesheet" href="handbook:///base.css">'
    assert len(pdf.layout(PAGE.format(head=head, body=""), ["tokens.css"]).pages) == 1


def test_what_is_served_lies_in_the_theme_or_the_font_package() -> None:
    from generator.publish import fonts

    for path, _media in pdf.served().values():
        assert path.parent in (pdf.THEME, fonts.folder())
        assert path.is_file()


def test_the_same_page_gives_the_same_bytes() -> None:
    page = PAGE.format(head="", body=TABLE)
    first, second = (pdf.write(pdf.layout(page, ["tokens.css", "base.css"]), "x") for _ in range(2))
    assert first == second


def test_heads_of_tables_say_which_way_they_point() -> None:
    import io

    import pikepdf

    written = pdf.write(pdf.layout(PAGE.format(head="", body=TABLE), []), "x")
    with pikepdf.open(io.BytesIO(written)) as document:
        scopes = [
            str(item.A.Scope)
            for item in document.objects
            if isinstance(item, pikepdf.Dictionary) and item.get("/S") == "/TH"
        ]
    assert sorted(scopes) == ["/Column", "/Row"]
