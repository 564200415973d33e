"""One issue as it was: profile, figures, line-ups, steps, findings, and what every page and card said.

Kept compressed beside the register's line, which holds its sha256. What is compared later is compared with
what was printed, not with what would be printed then.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import reduce
from pathlib import Path
from typing import Any

from generator.handbook.card import Card
from generator.handbook.document import Document, reading
from generator.handbook.pages import Page
from generator.operations.steps import plain
from generator.problems import FillmarkError, Place, Problem
from generator.profile import merge
from generator.profile.load import Loaded
from generator.profile.nodes import Tree, parse
from generator.publish import files
from generator.register.log import Entry

SCHEMA = 1


@dataclass(frozen=True)
class Told:
    """What a document said. ``where`` is the place a card hangs, ``sheets`` the ids of its sheets."""

    id: str
    kind: str
    title: str
    fingerprint: str
    reading: str
    where: str = ""
    sheets: tuple[str, ...] = ()


@dataclass(frozen=True)
class Snapshot:
    """``sources`` are the profile's files, itself first, by name relative to its folder; ``record`` is the
    record of the issue (see ``publish.record``); ``documents`` what every page, procedure and card said.
    """

    sources: tuple[tuple[str, str], ...]
    record: Mapping[str, Any]
    documents: Mapping[str, Told]

    def tree(self) -> Tree:
        """The profile and all it was based on, as one tree whose places name its files."""
        trees = []
        for name, text in self.sources:
            tree, _ = parse(text, name)
            if tree is None:
                raise FillmarkError([Problem("snapshot_edited", Place(name))])
            tree.data.pop(merge.KEY, None)
            trees.append(tree)
        return reduce(merge.overlay, reversed(trees))


def sources(loaded: Loaded) -> tuple[tuple[str, str], ...]:
    """A profile's files by name and text."""
    folder = loaded.path.absolute().parent
    names = [Path(os.path.relpath(path.absolute(), folder)).as_posix() for path in loaded.files]
    texts = [loaded.text, *(path.read_text(encoding="utf-8-sig") for path in loaded.files[1:])]
    return tuple(zip(names, texts, strict=True))


def told(pages: Sequence[Page], cards: Sequence[Card]) -> dict[str, Told]:
    """What the documents say, by id."""
    out = {page.id: Told(*_known(page.document), reading(page.body_html)) for page in pages}
    for card in cards:
        body = reading(str(card.html_body))
        out[card.id] = Told(*_known(card.document()), body, plain(card.posted_where))
    return out


def _known(document: Document) -> tuple[str, str, str, str]:
    return document.id, document.kind, document.title, document.fingerprint


def name_of(number: int) -> str:
    """The file of an issue, in the register's folder."""
    return f"issues/{number:04d}.json.gz"


def to_bytes(snapshot: Snapshot) -> bytes:
    """The file's content; the same snapshot gives the same bytes."""
    data = {
        "schema": SCHEMA,
        "sources": [{"name": name, "text": text} for name, text in snapshot.sources],
        "record": snapshot.record,
        "documents": [asdict(document) for document in snapshot.documents.values()],
    }
    return gzip.compress(json.dumps(data, ensure_ascii=False).encode(), mtime=0)


def digest(content: bytes) -> str:
    """What the register's line holds of the file."""
    return hashlib.sha256(content).hexdigest()


def write(folder: Path, number: int, content: bytes) -> None:
    """Writes the file of an issue in one go; OSError where the disk says no."""
    files.write(folder / name_of(number), content)


def read(folder: Path, entry: Entry) -> Snapshot:
    """An issue as it was. Raises FillmarkError where it is missing or was edited."""
    path = folder / name_of(entry.number)
    try:
        content = path.read_bytes() if entry.snapshot else None
    except FileNotFoundError:
        content = None
    except OSError as error:
        raise FillmarkError(
            [Problem("file_unreadable", Place(str(path)), {"reason": error.strerror})]
        ) from error
    if content is None:
        raise FillmarkError([Problem("snapshot_missing", Place(str(path)), {"number": entry.number})])
    if digest(content) != entry.snapshot:
        raise FillmarkError([Problem("snapshot_edited", Place(str(path)))])
    return from_bytes(content, path)


def from_bytes(content: bytes, path: Path) -> Snapshot:
    """What ``to_bytes`` wrote. Raises FillmarkError where a newer version wrote it."""
    data = json.loads(gzip.decompress(content))
    if data["schema"] > SCHEMA:
        raise FillmarkError([Problem("register_too_new", Place(str(path)))])
    documents = {d["id"]: Told(**{**d, "sheets": tuple(d["sheets"])}) for d in data["documents"]}
    return Snapshot(tuple((s["name"], s["text"]) for s in data["sources"]), data["record"], documents)
