"""Completes a tagged PDF for PDF/UA-1 (ISO 14289-1, 7.5, 7.18.5): what heads and links of it say aloud."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, String


def finished(pdf: bytes, links: Mapping[str, str]) -> bytes:
    """The same document with table scopes and link texts; ``links`` words a link by the id it leads to."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        if Name.StructTreeRoot in document.Root:
            for head, inside in _heads(document.Root.StructTreeRoot):
                scope = Name.Column if inside == "THead" else Name.Row
                head.A = Dictionary(O=Name.Table, Scope=scope)
        for page in document.pages:
            for annotation in _annotations(page.obj):
                said = str(annotation.get(Name.Contents, ""))
                if said in links:
                    annotation.Contents = String(links[said])
        document.save(out, deterministic_id=True)
    return out.getvalue()


def _annotations(page: Object) -> Iterator[Object]:
    for annotation in page.get(Name.Annots, Array()):
        if annotation.get(Name.Subtype) == Name.Link:
            yield annotation


def _heads(root: Object) -> Iterator[tuple[Object, str]]:
    """Every TH element, and whether it stands in THead or TBody."""
    waiting: list[tuple[Object, str]] = [(root, "")]
    while waiting:
        element, inside = waiting.pop()
        if not isinstance(element, Dictionary):
            continue
        kind = str(element.get(Name.S, "")).removeprefix("/")
        if kind in ("THead", "TBody"):
            inside = kind
        if kind == "TH":
            yield element, inside
        kids = element.get(Name.K)
        if isinstance(kids, Array):
            waiting += [(kid, inside) for kid in reversed(list(kids))]
        elif kids is not None:
            waiting.append((kids, inside))
