"""Several tagged PDFs as one: all pages, one structure that finds each of them, one bookmark a part."""

from __future__ import annotations

import io

import pikepdf
import pytest

from generator.publish import pdf
from generator.publish.joined import joined
from generator.publish.native import missing_libraries

pytestmark = pytest.mark.skipif(bool(missing_libraries()), reason="Pango is not installed")

PAGE = '<html lang="en"><head><title>{0}</title></head><body><h1>{0}</h1><p>Said {0}</p>{1}</body></html>'


def part(name: str, more: str = "") -> bytes:
    return pdf.write(pdf.layout(PAGE.format(name, more), ["base.css"]), name)


def test_pages_structure_and_bookmarks_are_put_together() -> None:
    long = "".join(f"<p>{n}</p>" for n in range(120))
    parts = [part("one"), part("two", long), part("three")]
    with pikepdf.open(io.BytesIO(joined(parts, ["1", "2", "3"], "All"))) as whole:
        count = len(whole.pages)
        assert count > 3
        root = whole.Root.StructTreeRoot
        numbers = list(root.ParentTree.Nums)
        table = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        for page in whole.pages:
            owners = list(table[int(page.obj.StructParents)])
            assert owners and all(owner.Pg.objgen == page.obj.objgen for owner in owners if "/Pg" in owner)
        assert len({int(page.obj.StructParents) for page in whole.pages}) == count == len(table)
        document = root.K[0]
        assert document.S == "/Document" and all(kid.P.objgen == document.objgen for kid in document.K)
        with whole.open_outline() as outline:
            assert [item.title for item in outline.root] == ["1", "2", "3"]
        with whole.open_metadata() as meta:
            assert meta["dc:title"] == "All" and meta["pdfuaid:part"] == "1"


def test_the_same_parts_give_the_same_bytes() -> None:
    parts = [part("one"), part("two")]
    assert joined(parts, ["1", "2"], "All") == joined(parts, ["1", "2"], "All")


def test_a_part_without_structure_is_refused() -> None:
    plain = pikepdf.new()
    plain.add_blank_page()
    out = io.BytesIO()
    plain.save(out)
    with pytest.raises(ValueError, match="structure"):
        joined([part("one"), out.getvalue()], ["1", "2"], "All")
