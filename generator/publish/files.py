"""Files and folders that change in one go: a reader sees the old or the new, never a part."""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

FOLDER_MODE, FILE_MODE = 0o755, 0o644


def _sync_folder(folder: Path) -> None:
    """Make a rename last through a power cut, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def write(path: Path, content: bytes) -> None:
    """Write a file in one go. On failure (OSError) the old one stays and nothing is left beside it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(FILE_MODE)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _write_plain(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


@contextmanager
def swapped(folder: Path) -> Iterator[Path]:
    """A new, empty folder to fill; at the end it takes the place of ``folder`` as a whole.

    If anything is raised inside, ``folder`` stays as it was. What stood there before is removed last.
    """
    folder = folder.absolute()
    folder.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}.new.", dir=folder.parent))
    try:
        fresh.chmod(FOLDER_MODE)
        yield fresh
        _replace(fresh, folder)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    _sync_folder(folder.parent)


def _replace(fresh: Path, folder: Path) -> None:
    """Put ``fresh`` where ``folder`` is; if that fails, put the old one back."""
    if not folder.exists():
        fresh.replace(folder)
        return
    if _exchanged(fresh, folder):
        shutil.rmtree(fresh, ignore_errors=True)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}.old.", dir=folder.parent))
    folder.replace(old / "was")
    try:
        fresh.replace(folder)
    except OSError:
        (old / "was").replace(folder)
        old.rmdir()
        raise
    shutil.rmtree(old, ignore_errors=True)


# Exchanging two names in one go: the call by system, and its arguments before and after the two paths.
_AT_HERE, _EXCHANGE = -100, 2
_CALLS = {"linux": ("renameat2", True), "darwin": ("renamex_np", False)}


def _exchanged(one: Path, other: Path) -> bool:
    """Swaps two folders so that at no moment either name is missing; False where the system cannot."""
    name, at_folders = _CALLS.get(sys.platform, ("", False))
    try:
        call = getattr(ctypes.CDLL(None, use_errno=True), name)
    except (AttributeError, OSError, TypeError):
        return False
    first, second = os.fsencode(one), os.fsencode(other)
    if at_folders:
        return int(call(_AT_HERE, first, _AT_HERE, second, _EXCHANGE)) == 0
    return int(call(first, second, _EXCHANGE)) == 0


Content = bytes | Path | Callable[[], bytes]


def write_folder(folder: Path, content: Mapping[str, Content]) -> None:
    """A whole folder in one go: relative name to bytes, a file to be copied, or what makes the bytes."""
    with swapped(folder) as fresh:
        for name, given in content.items():
            target = fresh / name
            if not target.resolve().is_relative_to(fresh.resolve()):
                raise ValueError(name)
            _write_plain(target, _bytes_of(given))


def _bytes_of(given: Content) -> bytes:
    if isinstance(given, bytes):
        return given
    return given.read_bytes() if isinstance(given, Path) else given()
