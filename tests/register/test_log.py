"""The register: what is written is read back, what is damaged is told with its line, two runs never mix."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from generator.problems import FillmarkError
from generator.register import log
from generator.register.lock import locked

ENTRY = log.Entry(1, "2030-04-02", "ab" * 32, {"page-start": "11", "card-dose": "22"}, {"card-dose": 1})


def line(**changes: Any) -> str:
    data: dict[str, Any] = {
        "schema": 1,
        "number": 1,
        "date": "2030-04-02",
        "profile": "ab",
        "documents": {"page-start": "11"},
        "cards": {},
    }
    return json.dumps({key: value for key, value in {**data, **changes}.items() if value != "gone"})


def test_what_is_appended_is_read_back(tmp_path: Path) -> None:
    folder = tmp_path / "rig.register"
    assert log.read(folder) == []
    second = log.Entry(2, "2030-05-02", "cd" * 32, {"page-start": "33"}, {})
    log.append(folder, ENTRY)
    before = (folder / log.FILE).read_bytes()
    log.append(folder, second)
    assert log.read(folder) == [ENTRY, second]
    assert (folder / log.FILE).read_bytes().startswith(before)
    assert sorted(path.name for path in folder.iterdir()) == [log.FILE, log.LAST]


def test_a_line_that_lacks_its_end_is_closed_before_the_next(tmp_path: Path) -> None:
    (tmp_path / log.FILE).write_text(line())
    log.append(tmp_path, log.Entry(2, "2030-05-02", "cd", {}, {}))
    assert [entry.number for entry in log.read(tmp_path)] == [1, 2]


@pytest.mark.parametrize(
    ("second", "code"),
    [
        ('{"schema": 1, "number": 2, "da', "register_corrupt"),
        ("", "register_corrupt"),
        ("[1, 2]", "register_corrupt"),
        ("[" * 100_000, "register_corrupt"),
        (line(number="2"), "register_corrupt"),
        (line(number=True), "register_corrupt"),
        (line(number=2, date="2030-13-01"), "register_corrupt"),
        (line(number=2, date=20300401), "register_corrupt"),
        (line(number=2, profile=5), "register_corrupt"),
        (line(number=2, documents="gone"), "register_corrupt"),
        (line(number=2, documents={"page-start": 1}), "register_corrupt"),
        (line(number=2, cards={"card-dose": "1"}), "register_corrupt"),
        (line(number=1), "register_out_of_order"),
        (line(number=2, schema=3), "register_too_new"),
        (line(number=2, schema="2"), "register_corrupt"),
    ],
)
def test_a_damaged_line_is_told_with_its_place(second: str, code: str, tmp_path: Path) -> None:
    (tmp_path / log.FILE).write_text(f"{line()}\n{second}\n{line(number=3)}\n")
    with pytest.raises(FillmarkError) as caught:
        log.read(tmp_path)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert str(problem.place) == f"{tmp_path / log.FILE}:2"
    assert "<" not in problem.what + problem.mend and "no wording" not in problem.what


def test_bytes_that_are_no_text_are_told_with_their_line(tmp_path: Path) -> None:
    (tmp_path / log.FILE).write_bytes(line().encode() + b"\n\xff\xfe\n")
    with pytest.raises(FillmarkError) as caught:
        log.read(tmp_path)
    assert str(caught.value.problems[0].place).endswith(":2")


def test_a_write_that_fails_leaves_the_register_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log.append(tmp_path, ENTRY)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        log.append(tmp_path, log.Entry(2, "2030-05-02", "cd", {}, {}))
    assert log.read(tmp_path) == [ENTRY]
    assert sorted(path.name for path in tmp_path.iterdir()) == [log.FILE, log.LAST]


ADDS = """
import sys, time
from pathlib import Path
from generator.register import log
from generator.register.lock import locked
folder = Path(sys.argv[1])
for _ in range(5):
    with locked(folder / "lock", lambda: None):
        number = len(log.read(folder)) + 1
        time.sleep(0.01)
        log.append(folder, log.Entry(number, "2030-04-02", "ab", {}, {}))
"""


def test_runs_at_the_same_time_take_turns(tmp_path: Path) -> None:
    runs = [subprocess.Popen([sys.executable, "-c", ADDS, tmp_path]) for _ in range(3)]
    assert [run.wait(timeout=60) for run in runs] == [0, 0, 0]
    assert [entry.number for entry in log.read(tmp_path)] == list(range(1, 16))


HOLDS = """
import sys, time
from pathlib import Path
from generator.register.lock import locked
with locked(Path(sys.argv[1]), lambda: None):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_lock_is_waited_for_and_a_killed_run_lets_it_go(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    with subprocess.Popen([sys.executable, "-c", HOLDS, path], stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None and holder.stdout.readline() == b"held\n"
        told: list[float] = []

        def waiting() -> None:
            told.append(time.monotonic())
            holder.send_signal(signal.SIGKILL)

        with locked(path, waiting):
            pass
        assert len(told) == 1


# --- editing by hand


def sealed(folder: Path, count: int = 4) -> list[str]:
    """The lines of a register of so many issues, the first of them by the first version."""
    folder.mkdir()
    (folder / log.FILE).write_text(line() + "\n")
    for number in range(2, count + 1):
        entry = log.Entry(number, "2030-05-02", "cd", {"a": str(number)}, {"a": number}, reason="x")
        log.append(folder, entry)
    return (folder / log.FILE).read_text().splitlines()


def told_about(folder: Path) -> tuple[str, str]:
    with pytest.raises(FillmarkError) as caught:
        log.read(folder)
    (problem,) = caught.value.problems
    assert "<" not in problem.what + problem.mend and "no wording" not in problem.what
    return problem.code, str(problem.place).removeprefix(f"{folder}/")


def test_a_register_that_nobody_edited_is_read(tmp_path: Path) -> None:
    sealed(tmp_path / "r")
    assert [entry.number for entry in log.read(tmp_path / "r")] == [1, 2, 3, 4]
    assert log.read(tmp_path / "r")[1].reason == "x"


@pytest.mark.parametrize(
    ("edit", "code", "place"),
    [
        (lambda lines: [*lines[:2], lines[2].replace('"a": 3', '"a": 2'), lines[3]], "register_edited", 3),
        (lambda lines: [lines[0].replace("04-02", "04-03"), *lines[1:]], "register_edited", 2),
        (lambda lines: [lines[0], *lines[2:]], "register_edited", 2),
        (lambda lines: [*lines[:2], lines[3]], "register_edited", 3),
        (lambda lines: lines[:3], "register_cut", 0),
        (lambda lines: lines[:1], "register_cut", 0),
        (lambda lines: [], "register_cut", 0),
        (lambda lines: [*lines[:3], lines[3].replace('"x"', '"y"')], "register_edited", 4),
    ],
)
def test_editing_by_hand_is_told_with_its_line(edit: Any, code: str, place: int, tmp_path: Path) -> None:
    folder = tmp_path / "r"
    lines = edit(sealed(folder))
    (folder / log.FILE).write_text("".join(one + "\n" for one in lines))
    assert told_about(folder) == (code, f"{log.FILE}:{place}" if place else log.FILE)
    with pytest.raises(FillmarkError):
        log.append(folder, log.Entry(9, "2030-06-01", "ef", {}, {}))


def test_a_last_line_in_the_first_version_that_was_edited_after_sealing_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "r"
    sealed(folder, 1)
    log.append(folder, log.Entry(2, "2030-05-02", "cd", {}, {}))
    text = (folder / log.FILE).read_text()
    (folder / log.FILE).write_text(text.replace('"profile": "ab"', '"profile": "ac"'))
    assert told_about(folder) == ("register_edited", f"{log.FILE}:2")


def test_a_lost_or_damaged_name_of_the_last_issue_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "r"
    folder.mkdir()
    for number in (1, 2):
        log.append(folder, log.Entry(number, "2030-05-02", "cd", {}, {}, made_by={"version": "1"}))
    (folder / log.LAST).write_text("{")
    assert told_about(folder) == ("register_corrupt", log.LAST)
    (folder / log.LAST).unlink()
    assert told_about(folder) == ("register_edited", log.LAST)


def test_a_run_killed_before_the_last_issue_was_named_is_made_good(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "r"
    sealed(folder, 3)
    write = log.files.write

    def dies(path: Path, content: bytes) -> None:
        if path.name == log.LAST:
            raise KeyboardInterrupt
        write(path, content)

    monkeypatch.setattr(log.files, "write", dies)
    with pytest.raises(KeyboardInterrupt):
        log.append(folder, log.Entry(4, "2030-05-02", "cd", {}, {}))
    monkeypatch.undo()
    assert [entry.number for entry in log.read(folder)] == [1, 2, 3, 4]
    log.append(folder, log.Entry(5, "2030-05-02", "cd", {}, {}))
    assert [entry.number for entry in log.read(folder)] == [1, 2, 3, 4, 5]
