"""What the system says against writing, as a problem."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from generator.problems import FillmarkError, Place, Problem


class CannotWrite(FillmarkError):
    """A file or folder of the output cannot be written."""

    exit_code = 4


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turns what the system says against writing into a problem at that place."""
    try:
        yield
    except OSError as error:
        where = str(error.filename) if isinstance(error.filename, str) else str(path)
        if Path(where).name.startswith("."):
            where = str(path)  # a working file's name says nothing to anybody
        reason = error.strerror or type(error).__name__
        raise CannotWrite([Problem("cannot_write", Place(where), {"reason": reason})]) from error
