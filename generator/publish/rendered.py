"""What was rendered before, kept beside the handbook: the same content is never laid out twice.

A key is a fingerprint of all that the result hangs on: the page itself, its styles and fonts, this program
and the layout engine. One file holds everything; what a run did not use is not kept. It may be thrown away.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
from functools import cache
from importlib import metadata
from pathlib import Path

from generator.publish import files, fonts, pdf

LIBRARIES = ("weasyprint", "pikepdf", "pydyf", "tinycss2", "fonttools")


@cache
def _engine() -> str:
    """Fingerprint of the program's own part, styles, fonts and libraries."""
    whole = hashlib.sha256()
    own = sorted(Path(__file__).parent.glob("*.py"))
    for path in [*own, *sorted(pdf.THEME.glob("*.css")), *fonts.paths().values()]:
        whole.update(path.read_bytes())
    for name in LIBRARIES:
        whole.update(f"{name} {_version(name)}".encode())
    return whole.hexdigest()


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return ""


def key(*parts: str) -> str:
    """The name under which a result is kept."""
    whole = hashlib.sha256(_engine().encode())
    for part in parts:
        whole.update(b"\x00" + part.encode())
    return whole.hexdigest()


class Rendered:
    """Results of earlier runs by key. Without a path nothing is read and nothing is kept."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path
        self._before = _read(path) if path is not None else {}
        self._used: dict[str, bytes] = {}

    def has(self, name: str) -> bool:
        """Whether something was made under that key, now or earlier."""
        return name in self._used or name in self._before

    def get(self, name: str) -> bytes:
        """What was made under that key; it counts as used. Raises KeyError where nothing was."""
        if name not in self._used:
            self._used[name] = self._before[name]
        return self._used[name]

    def keep(self, name: str, content: bytes) -> None:
        """Remembers what was made."""
        self._used[name] = content

    def save(self) -> None:
        """Keeps what this run has used; OSError where the disk says no."""
        if self.path is None or self._used.keys() == self._before.keys():
            return
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            for name, content in sorted(self._used.items()):
                archive.writestr(zipfile.ZipInfo(name), content)
        files.write(self.path, out.getvalue())


def _read(path: Path) -> dict[str, bytes]:
    """All that is kept; nothing where the file is missing or damaged."""
    try:
        with zipfile.ZipFile(path) as archive:
            return {name: archive.read(name) for name in archive.namelist()}
    except (OSError, zipfile.BadZipFile, ValueError, EOFError):
        return {}
