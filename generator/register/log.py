"""The register: one line of JSON for every issue of a plant's handbook, beside its profile, never edited.

``<stem>.register/issues.jsonl`` is only ever added to. Each line carries a seal over itself and all lines
before it, and ``last.json`` names the last one, so that a line that was edited, moved or cut off is told and
stops everything: a number given twice would put two different cards with the same number on the wall.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from generator.problems import FillmarkError, Place, Problem
from generator.publish import files

FILE, LAST = "issues.jsonl", "last.json"
SCHEMA = 2
_MAPS = {"documents": str, "cards": int, "labels": str, "made_by": str}
_TEXTS = ("profile", "approved", "reason", "snapshot")
#: What lines of the first schema hold; all else is missing there.
_FIRST = ("number", "date", "profile", "documents", "cards")


@dataclass(frozen=True)
class Entry:
    """One issue: ``documents`` maps ids to fingerprints, ``cards`` each card to the issue it last changed in.

    ``date`` is ISO 8601, so is ``until``, the end of a temporary change ('' where it is none). ``profile`` is
    the sha256 (hex) of the profile and what it is based on, ``snapshot`` that of the file that holds it all
    ('' where there is none). ``labels`` maps ids of equipment to painted labels, ``made_by`` names
    program and content by fingerprint.
    """

    number: int
    date: str
    profile: str
    documents: Mapping[str, str]
    cards: Mapping[str, int]
    approved: str = ""
    reason: str = ""
    until: str = ""
    labels: Mapping[str, str] = field(default_factory=dict)
    made_by: Mapping[str, str] = field(default_factory=dict)
    snapshot: str = ""


def folder_of(profile: Path) -> Path:
    """The register's folder of a profile."""
    return profile.with_name(f"{profile.stem}.register")


def read(folder: Path) -> list[Entry]:
    """All issues so far, oldest first. Raises FillmarkError where a line is damaged or was edited."""
    return _read(folder)[0]


def _read(folder: Path) -> tuple[list[Entry], list[str]]:
    """The entries and the seal of each, which lines of the first schema do not carry."""
    path = folder / FILE
    entries: list[Entry] = []
    seals: list[str] = []
    for number, line in enumerate(_lines(path), start=1):
        place = Place(str(path), number)
        data = _data(line, place)
        given = data.pop("seal", "")
        seal = _seal(seals[-1] if seals else "", data)
        entry = _entry(data, place)
        before = entries[-1].number if entries else 0
        if entry.number <= before:
            raise FillmarkError(
                [Problem("register_out_of_order", place, {"number": entry.number, "before": before})]
            )
        if data["schema"] > 1 and given != seal:
            raise FillmarkError([Problem("register_edited", place)])
        entries.append(entry)
        seals.append(seal)
    _check_last(folder, entries, seals)
    return entries, seals


def _lines(path: Path) -> list[str]:
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return []
    except UnicodeDecodeError as error:
        at = error.object[: error.start].count(b"\n") + 1
        raise _corrupt(Place(str(path), at), error.reason) from None
    return text.removesuffix("\n").split("\n") if text else []


def _check_last(folder: Path, entries: list[Entry], seals: list[str]) -> None:
    """Raises where ``last.json`` knows an issue that the register no longer has, or has otherwise.

    A run that was killed may leave it one issue behind; the next issue puts that right.
    """
    path = folder / LAST
    try:
        last = json.loads(path.read_bytes())
        number, seal = last["number"], last["seal"]
    except FileNotFoundError:
        # A run killed at the first sealed issue had not written it yet.
        if sum(bool(entry.made_by) for entry in entries) > 1:
            raise FillmarkError([Problem("register_edited", Place(str(path)))]) from None
        return
    except (ValueError, TypeError, KeyError, RecursionError):
        raise _corrupt(Place(str(path)), "not one JSON object") from None
    there = {entry.number: seal for entry, seal in zip(entries, seals, strict=True)}
    if number not in there:
        facts = {"number": number, "before": entries[-1].number if entries else 0}
        raise FillmarkError([Problem("register_cut", Place(str(folder / FILE)), facts)])
    if there[number] != seal:
        raise FillmarkError([Problem("register_edited", Place(str(folder / FILE)))])


def append(folder: Path, entry: Entry) -> None:
    """Adds one issue; the file is replaced whole and synced, so that no half line can stand in it.

    Raises FillmarkError where what stands there is damaged, OSError where the disk says no.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / FILE
    seals = _read(folder)[1]
    before = path.read_bytes() if path.exists() else b""
    if before and not before.endswith(b"\n"):
        before += b"\n"
    data = {"schema": SCHEMA, **asdict(entry)}
    seal = _seal(seals[-1] if seals else "", data)
    files.write(path, before + json.dumps({**data, "seal": seal}, sort_keys=True).encode() + b"\n")
    files.write(folder / LAST, json.dumps({"number": entry.number, "seal": seal}).encode() + b"\n")


def _seal(before: str, data: Mapping[str, Any]) -> str:
    return hashlib.sha256(f"{before}\n{json.dumps(data, sort_keys=True)}".encode()).hexdigest()


def _corrupt(place: Place, reason: str) -> FillmarkError:
    return FillmarkError([Problem("register_corrupt", place, {"reason": reason})])


def _data(line: str, place: Place) -> dict[str, Any]:
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        raise _corrupt(place, "not one JSON object") from None
    if not isinstance(data, dict):
        raise _corrupt(place, "not one JSON object")
    schema = data.setdefault("schema", 1)
    if type(schema) is not int or schema < 1:
        raise _corrupt(place, "`schema` is missing or damaged")
    if schema > SCHEMA:
        raise FillmarkError([Problem("register_too_new", place)])
    return data


def _entry(data: Mapping[str, Any], place: Place) -> Entry:
    names = [name for name in Entry.__dataclass_fields__ if data["schema"] > 1 or name in _FIRST]
    wrong = next((name for name in names if not _holds(name, data.get(name))), "")
    if wrong:
        raise _corrupt(place, f"`{wrong}` is missing or damaged")
    return Entry(**{name: data[name] for name in names})


def _holds(name: str, value: Any) -> bool:
    """Whether a field holds what it should."""
    if name == "number":
        return type(value) is int and value >= 1
    if name in ("date", "until"):
        return _is_date(value) or (name == "until" and value == "")
    if name in _TEXTS:
        return isinstance(value, str)
    kind = _MAPS[name]
    return isinstance(value, dict) and all(type(part) is kind for part in value.values())


def _is_date(text: Any) -> bool:
    try:
        date.fromisoformat(text)
    except (TypeError, ValueError):
        return False
    return True
