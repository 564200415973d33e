"""Tagged PDFs put together into one: pages, structure and bookmarks, without laying anything out again."""

from __future__ import annotations

import io
from collections.abc import Sequence

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, OutlineItem


def joined(parts: Sequence[bytes], names: Sequence[str], title: str) -> bytes:
    """One PDF/UA-1 document of several one; ``names`` are the parts' bookmarks.

    Raises ValueError where a part is not a tagged document of at least one page.
    """
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(parts[0])) as whole:
        first_pages = [0]
        for part in parts[1:]:
            first_pages.append(len(whole.pages))
            with pikepdf.open(io.BytesIO(part)) as other:
                _append(whole, other)
        with whole.open_outline() as outline:
            outline.root[:] = [
                OutlineItem(name, page) for name, page in zip(names, first_pages, strict=True)
            ]
        if Name.Names in whole.Root:
            del whole.Root.Names
        with whole.open_metadata(set_pikepdf_as_editor=False) as meta:
            meta["dc:title"] = title
        whole.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _append(whole: pikepdf.Pdf, other: pikepdf.Pdf) -> None:
    """Pages first, so that the structure that names them finds them copied already."""
    if Name.StructTreeRoot not in other.Root:
        raise ValueError("a part without structure")
    start, before = _next_key(whole.Root.StructTreeRoot), len(whole.pages)
    whole.pages.extend(other.pages)
    for page in list(whole.pages)[before:]:
        _renumber(page.obj, start)
    copied = whole.copy_foreign(_indirect(other, other.Root.StructTreeRoot))
    root = whole.Root.StructTreeRoot
    for element in _kids(copied):
        for kid in _kids(element):
            kid.P = _kids(root)[0]
            _kids(root)[0].K.append(kid)
    numbers = root.ParentTree.Nums
    pairs = list(copied.ParentTree.Nums)
    for key, value in zip(pairs[::2], pairs[1::2], strict=True):
        numbers.append(int(key) + start)
        numbers.append(value)


def _indirect(pdf: pikepdf.Pdf, thing: Object) -> Object:
    return thing if thing.is_indirect else pdf.make_indirect(thing)


def _kids(element: Object) -> list[Object]:
    kids = element.K
    return list(kids) if isinstance(kids, Array) else [kids]


def _next_key(root: Object) -> int:
    """The first number that no page or annotation of the structure has."""
    return max((int(key) for key in list(root.ParentTree.Nums)[::2]), default=-1) + 1


def _renumber(page: Object, start: int) -> None:
    if Name.StructParents in page:
        page.StructParents = int(page.StructParents) + start
    for annotation in page.get(Name.Annots, Array()):
        if isinstance(annotation, Dictionary) and Name.StructParent in annotation:
            annotation.StructParent = int(annotation.StructParent) + start
