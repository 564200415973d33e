"""A run killed at any moment: the old issue or the new one stands there whole, and the next run works.

The process that issues is a fork that ends itself without any clean-up at its n-th call to the system that
changes a file, so that what is left is what a kill or a power cut leaves.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import shutil
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from generator.publish import files, site
from generator.register import log, make, snapshot
from generator.register.make import make_handbook
from generator.register.outputs import Outputs

pytestmark = [
    pytest.mark.usefixtures("plain_pdfs"),
    pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork"),
]

MOMENTS, SEED = 200, 20300402
CHANGES_A_FILE = ("open", "write", "fsync", "replace", "rename", "mkdir", "rmdir", "unlink", "chmod")
FIRST, LATER = date(2030, 4, 2), date(2030, 5, 3)


class Countdown:
    """Ends the process at the n-th call that changes a file; half of what is written then is on the disk."""

    def __init__(self, left: int) -> None:
        self.left, self.count = left, 0

    def strike(self) -> bool:
        self.count += 1
        return self.count == self.left

    def install(self) -> None:
        for name in CHANGES_A_FILE:
            setattr(os, name, self._counted(name, getattr(os, name)))
        exchanged = files._exchanged

        def swap(*paths: Path) -> bool:
            if self.strike():
                os._exit(9)
            return exchanged(*paths)

        files._exchanged = swap
        write = files.write

        def half(path: Path, content: bytes) -> None:
            if self.strike():
                path.parent.mkdir(parents=True, exist_ok=True)
                (path.parent / f".{path.name[:40]}.half").write_bytes(content[: len(content) // 2])
                os._exit(9)
            write(path, content)

        files.write = half

    def _counted(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def counted(*arguments: Any, **named: Any) -> Any:
            if name == "fsync":
                return None  # a disk that is slow to sync would make the test slow
            if self.strike():
                os._exit(9)
            return call(*arguments, **named)

        return counted


def tree(folder: Path) -> dict[str, str]:
    """Every file by name, with a fingerprint of what is in it."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def world(profile: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, dict[str, str], dict[str, str]]:
    """A rig issued once and then changed, with what its folder holds before and after the second issue.

    What takes long and touches no file is done once: surveys, pages and snapshots are remembered. Of the
    files, as many are written as make the moments more than those that are tried.
    """
    out = profile.parent / "build"
    all_files = Outputs.all_files
    monkeypatch.setattr(Outputs, "all_files", lambda self: _some(all_files(self)))
    monkeypatch.setattr(site, "shared_names", list)
    make_handbook(profile, out, today=FIRST)
    folder, register = out / "larkstead", log.folder_of(profile)
    old = tree(folder)
    text = profile.read_text(encoding="utf-8")
    profile.write_text(text.replace("Mailbox at the road", "Oak by the gate"), encoding="utf-8")
    for kept in (out, register):
        shutil.copytree(kept, kept.with_name(f"{kept.name}.before"))
    found = make.survey(profile)
    monkeypatch.setattr(make, "survey", lambda *_: found)
    for name in ("all_files", "snapshot"):
        _remember(name, monkeypatch)
    for module, name in ((make, "_notice"), (make, "_notice_files"), (snapshot, "to_bytes")):
        _remember_call(module, name, monkeypatch)
    make_handbook(profile, out, today=LATER)
    return profile, old, tree(folder)


def _remember_call(module: Any, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Makes a function work once and give the same ever after; makers are called once too."""
    real, known = getattr(module, name), []

    def once(*given: Any) -> Any:
        if not known:
            made = real(*given)
            if name == "_notice_files":
                contents = {key: maker() for key, maker in made.items()}
                made = {key: partial(bytes, content) for key, content in contents.items()}
            known.append(made)
        return known[0]

    monkeypatch.setattr(module, name, once)


def _some(made: dict[str, bytes]) -> dict[str, bytes]:
    """Some of a handbook's files, and a record that names no others."""
    kept = {name: content for name, content in made.items() if "/" not in name or name.startswith("cards/")}
    data = json.loads(kept["record.json"])
    data["documents"] = [document for document in data["documents"] if document["file"] in kept]
    return {**kept, "record.json": json.dumps(data).encode()}


def _remember(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Makes a part of every Outputs once for each number."""
    compute, known = getattr(Outputs, name), {}

    def once(outputs: Outputs) -> Any:
        if outputs.issue.number not in known:
            known[outputs.issue.number] = compute(outputs)
        return known[outputs.issue.number]

    monkeypatch.setattr(Outputs, name, once)


def restore(profile: Path) -> None:
    """The state after the first issue."""
    for kept in (profile.parent / "build", log.folder_of(profile)):
        shutil.rmtree(kept, ignore_errors=True)
        # Nothing is ever written into a file that is there, so that links are as good as copies.
        shutil.copytree(kept.with_name(f"{kept.name}.before"), kept, copy_function=os.link)


def run(profile: Path, left: int) -> tuple[int, int]:
    """Issues in a process of its own that dies at the n-th call; its exit status and the number of calls."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            countdown = Countdown(left)
            send = os.write
            countdown.install()
            make_handbook(profile, profile.parent / "build", today=LATER)
            send(write, str(countdown.count).encode())
            status = 0
        finally:
            os._exit(status)
    os.close(write)
    _, status = os.waitpid(child, 0)
    said = os.read(read, 100)
    os.close(read)
    return os.waitstatus_to_exitcode(status), int(said or 0)


def test_a_run_killed_at_any_moment_leaves_a_whole_issue(
    world: tuple[Path, dict[str, str], dict[str, str]],
) -> None:
    profile, old, new = world
    folder = profile.parent / "build" / "larkstead"
    restore(profile)
    assert run(profile, 0)[0] == 0
    restore(profile)
    status, calls = run(profile, 10**9)
    assert status == 0 and calls > MOMENTS and tree(folder) == new != old
    moments = random.Random(SEED).sample(range(1, calls + 1), MOMENTS)  # noqa: S311 - no secret
    seen: dict[tuple[int, bool], int] = {}
    for moment in moments:
        restore(profile)
        assert run(profile, moment)[0] == 9, moment
        there = tree(folder)
        assert there in (old, new), moment
        numbers = [entry.number for entry in log.read(log.folder_of(profile))]
        assert numbers in ([1], [1, 2])
        assert there == old or numbers == [1, 2]
        state = (len(numbers), there == new)
        seen[state] = seen.get(state, 0) + 1
        if seen[state] <= 6:
            after = make_handbook(profile, profile.parent / "build", today=LATER)
            assert after.issue.number == 2 and tree(folder) == new, moment
            left = sorted(path.name for path in folder.parent.iterdir() if path.name.startswith("."))
            assert left in ([".larkstead.lock"], [".larkstead.lock", ".larkstead.rendered"])
            kept = {path.name for path in log.folder_of(profile).rglob("*") if path.is_file()}
            assert kept == {"lock", log.FILE, log.LAST, "0001.json.gz", "0002.json.gz"}
    assert set(seen) == {(1, False), (2, False), (2, True)}
