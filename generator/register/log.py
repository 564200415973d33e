"""The register: one line of JSON for every issue of a plant's handbook, beside its profile, never edited.

``<stem>.register/issues.jsonl`` is only ever added to. A line that cannot be read stops everything: a number
given twice would put two different cards with the same number on the wall.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from generator.problems import FillmarkError, Place, Problem
from generator.publish import files

FILE = "issues.jsonl"
SCHEMA = 1
_MAPS = {"documents": str, "cards": int}


@dataclass(frozen=True)
class Entry:
    """One issue: ``documents`` maps ids to fingerprints, ``cards`` each card to the issue it last changed in.

    ``date`` is ISO 8601, ``profile`` the sha256 (hex) of the profile and what it is based on.
    """

    number: int
    date: str
    profile: str
    documents: Mapping[str, str]
    cards: Mapping[str, int]


def folder_of(profile: Path) -> Path:
    """The register's folder of a profile."""
    return profile.with_name(f"{profile.stem}.register")


def read(folder: Path) -> list[Entry]:
    """All issues so far, oldest first. Raises FillmarkError where a line is damaged or out of order."""
    path = folder / FILE
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return []
    except UnicodeDecodeError as error:
        at = error.object[: error.start].count(b"\n") + 1
        raise _corrupt(Place(str(path), at), error.reason) from None
    entries: list[Entry] = []
    for number, line in enumerate(text.removesuffix("\n").split("\n") if text else [], start=1):
        entry = _entry(line, Place(str(path), number))
        before = entries[-1].number if entries else 0
        if entry.number <= before:
            facts = {"number": entry.number, "before": before}
            raise FillmarkError([Problem("register_out_of_order", Place(str(path), number), facts)])
        entries.append(entry)
    return entries


def append(folder: Path, entry: Entry) -> None:
    """Adds one issue; the file is replaced whole and synced, so that no half line can stand in it."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE
    before = path.read_bytes() if path.exists() else b""
    if before and not before.endswith(b"\n"):
        before += b"\n"
    line = json.dumps({"schema": SCHEMA, **asdict(entry)}, sort_keys=True)
    files.write(path, before + line.encode() + b"\n")


def _corrupt(place: Place, reason: str) -> FillmarkError:
    return FillmarkError([Problem("register_corrupt", place, {"reason": reason})])


def _entry(line: str, place: Place) -> Entry:
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        raise _corrupt(place, "not one JSON object") from None
    if not isinstance(data, dict):
        raise _corrupt(place, "not one JSON object")
    schema = data.pop("schema", SCHEMA)
    if isinstance(schema, int) and schema > SCHEMA:
        raise FillmarkError([Problem("register_too_new", place)])
    wrong = _wrong_key(data)
    if wrong:
        raise _corrupt(place, f"`{wrong}` is missing or damaged")
    return Entry(**{key: data[key] for key in Entry.__dataclass_fields__ if key in data})


def _wrong_key(data: Mapping[str, Any]) -> str:
    """The first key that does not hold what it should, '' if all do."""
    number = data.get("number")
    if type(number) is not int or number < 1:
        return "number"
    if not _is_date(data.get("date")):
        return "date"
    if not isinstance(data.get("profile"), str):
        return "profile"
    for key, kind in _MAPS.items():
        part = data.get(key)
        if not isinstance(part, dict) or any(type(value) is not kind for value in part.values()):
            return key
    return ""


def _is_date(text: Any) -> bool:
    try:
        date.fromisoformat(text)
    except (TypeError, ValueError):
        return False
    return True
