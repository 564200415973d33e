"""Fingerprints of the program and of its content, so that a change that they cause can be told as theirs."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cache
from importlib import metadata
from pathlib import Path

from generator.problems import CONTENT

PROGRAM = CONTENT.parent / "generator"


@cache
def made_by() -> dict[str, str]:
    """Version, and sha256 (hex) of program and of content, as they are while this process runs."""
    return {"version": _version(), "program": digest(PROGRAM.rglob("*.py")), "content": content_digest()}


def content_digest() -> str:
    """sha256 (hex) of all words, themes and procedures as they stand now."""
    return digest(path for path in CONTENT.rglob("*") if path.is_file())


def digest(paths: Iterable[Path]) -> str:
    """sha256 (hex) over files by name and content."""
    whole = hashlib.sha256()
    for path in sorted(paths):
        whole.update(f"{path.name}\0".encode() + hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()


def _version() -> str:
    try:
        return metadata.version("fillmark")
    except metadata.PackageNotFoundError:
        return "0"
