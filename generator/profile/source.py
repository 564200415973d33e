"""A profile's file to text: nothing over the size limit is read, and only plain UTF-8 text comes through."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from generator.problems import FillmarkError, Place, Problem

LIMIT_BYTES = 1_000_000
# Controls would let a file hide or reorder what a person sees; 0x85, 0x2028, 0x2029 would shift line numbers.
CONTROL = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufffe\uffff]"
)
_LINE_END = re.compile(r"\r\n|\r|\n")
_SHOWN_AT_MOST = 10


def read_text(path: Path) -> str:
    """The file's text as it stands (its byte-order mark dropped). Raises FillmarkError with the reasons."""
    place = Place(str(path))
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise FillmarkError([Problem("not_a_file", place)])
        if status.st_size > LIMIT_BYTES:
            raise FillmarkError([_too_big(place)])
        with path.open("rb") as file:
            raw = file.read(LIMIT_BYTES + 1)
    except FileNotFoundError:
        raise FillmarkError([Problem("no_such_file", place)]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FillmarkError([Problem("file_unreadable", place, {"reason": reason})]) from None
    if len(raw) > LIMIT_BYTES:
        raise FillmarkError([_too_big(place)])
    return _decode(raw, str(path))


def _too_big(place: Place) -> Problem:
    return Problem("file_too_big", place, {"limit_kb": LIMIT_BYTES // 1000})


def _decode(raw: bytes, file: str) -> str:
    if b"\x00" in raw:
        raise FillmarkError([Problem("not_text", Place(file))])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8", errors="replace")
        raise FillmarkError([Problem("not_utf8", place_of(before, len(before), file))]) from None
    strange = control_characters(text, file)
    if strange:
        raise FillmarkError(strange)
    return text


def control_characters(text: str, file: str) -> list[Problem]:
    """A problem for each of the first control characters in ``text``."""
    problems = []
    for found in CONTROL.finditer(text):
        facts = {"character": f"U+{ord(found.group()):04X}"}
        problems.append(Problem("control_character", place_of(text, found.start(), file), facts))
        if len(problems) == _SHOWN_AT_MOST:
            break
    return problems


def place_of(text: str, index: int, file: str) -> Place:
    """Line and column, both from 1, of a character in a text."""
    ends = list(_LINE_END.finditer(text, 0, index))
    start = ends[-1].end() if ends else 0
    return Place(file, len(ends) + 1, index - start + 1)
