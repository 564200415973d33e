"""One run at a time: a lock on a file that the system lets go of when its holder ends, however it ends."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

PAUSE_S = 0.1

if sys.platform == "win32":
    import msvcrt

    def _take(file: IO[bytes]) -> bool:
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _release(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(file: IO[bytes]) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _release(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)


@contextmanager
def locked(path: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Holds the lock; ``waiting`` is called once if another run holds it.

    Raises OSError where the lock's file cannot be made.
    The file stays: one that is removed while another run waits on it would lock nothing.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("ab") as file:
        if not _take(file):
            waiting()
            while not _take(file):
                time.sleep(PAUSE_S)
        try:
            yield
        finally:
            _release(file)
