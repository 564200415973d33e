"""The command line: exit statuses, what is printed, and that no user's mistake is ever a traceback."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest
import yaml

from generator import cli
from generator.problems import CONTENT
from generator.publish import native
from generator.register import make
from generator.register.outputs import Outputs

ROOT = CONTENT.parent
LARKSTEAD = ROOT / "equipment_profiles" / "larkstead.yaml"
COMMAND = [sys.executable, "-m", "generator.cli"]


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """A copy of the one-vessel demo rig's profile."""
    return Path(shutil.copy(LARKSTEAD, tmp_path / "rig.yaml"))


def swap(rig: Path, *swaps: tuple[str, str]) -> list[int]:
    """Changes the profile; the lines on which it did."""
    lines = rig.read_text(encoding="utf-8").split("\n")
    changed = []
    for old, new in swaps:
        (at,) = [index for index, line in enumerate(lines) if old in line]
        lines[at] = lines[at].replace(old, new)
        changed.append(at + 1)
    rig.write_text("\n".join(lines), encoding="utf-8")
    return changed


def run(*arguments: object, **options: object) -> subprocess.CompletedProcess[str]:
    words = [*COMMAND, *map(str, arguments)]
    return subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False, **options)


# --- check

TEN = (
    ("oil: 45 gal", "oil: 45"),
    ("purity: 98 %", "purity: 98"),
    ("circuit: 20 A", "circuit: 20 V"),
    ("jurisdiction: us", "jurisdiction: mars"),
    ("works_alone: yes", "works_alone: perhaps"),
    ("isolator_place:", "isolater_place:"),
    ("flow: 6 gpm", "flow: -6 gpm"),
    ("cuts: [tank.element, pump]", "cuts: [tank.element, pomp]"),
    ("settling: {time: 8 h}", "settling: {time: 8:30}"),
    ("tank_return: {from: discharge, to: tank.return", "tank_return: {from: discharge, to: tank.retrun"),
)


def test_ten_mistakes_give_ten_messages_each_with_its_line(
    rig: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = swap(rig, *TEN)
    assert cli.main(["check", str(rig)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and "Traceback" not in err
    *blocks, count = err.strip().split("\n\n")
    assert len(blocks) == 10 and count.startswith("10 ")
    for block, line in zip(blocks, sorted(lines), strict=True):
        what, where, mend = block.split("\n")[0], block.split("\n")[1], block.split("\n")[-1]
        assert what and not what.startswith(" ")
        assert where.split() == ["where:", f"{rig}:{line}"]
        assert mend.startswith("  mend:  ") and len(mend) > 15


def test_a_sound_profile_is_clean(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", str(rig)]) == 0
    out, err = capsys.readouterr()
    assert err == "" and "\n0 stop, " in out
    assert sorted(path.name for path in rig.parent.iterdir()) == ["rig.yaml"]


def test_a_finding_that_stops_is_printed_with_its_line(
    rig: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (line,) = swap(rig, ("supply_voltage: 120 V", "supply_voltage: 480 V"))
    assert cli.main(["check", str(rig)]) == 1
    blocks = [block for block in capsys.readouterr().out.split("\n\n") if block.startswith("STOP ")]
    assert [block for block in blocks if f"{rig}:{line}" in block.split("\n")[1]]


def test_a_line_up_that_cannot_be_had_stops_and_says_why(
    rig: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    swap(rig, ("  methanol_up:", "  # methanol_up:"), ("    label: HP", "    label: HP2"))
    swap(rig, ("  hand_pump:", "  # hand_pump:"))
    assert cli.main(["check", str(rig)]) == 2
    capsys.readouterr()
    shutil.copy(LARKSTEAD, rig)
    swap(rig, ("methanol_up: {from: methanol_drum.dip", "methanol_up: {from: oil_barrel.dip"))
    assert cli.main(["check", str(rig)]) == 1
    assert f"{rig}:" in capsys.readouterr().out


def test_a_refused_profile_counts_all_that_is_to_be_mended(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    started = tmp_path / "mine.yaml"
    assert cli.main(["start", "multi-vessel", str(started)]) == 0
    left = sum("FILL-IN" in line.partition("#")[0] for line in started.read_text("utf-8").splitlines())
    capsys.readouterr()
    assert cli.main(["check", str(started)]) == 2
    err = capsys.readouterr().err
    told = err.count("  mend:") - 1  # the last one says how many more there are
    more = int(re.search(r"There are (\d+) more problems", err)[1])  # type: ignore[index]
    assert err.rstrip().splitlines()[-1].startswith(f"{told + more} to mend")
    assert told + more >= left > told


def test_check_as_json(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check", "--json", str(rig)]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["schema"] == 1 and data["problems"] == [] and data["findings"]
    assert {"rule", "severity", "accepted", "what", "where", "mend", "source"} == set(data["findings"][0])
    lines = swap(rig, *TEN)
    assert cli.main(["check", "--json", str(rig)]) == 2
    out, err = capsys.readouterr()
    data = json.loads(out)
    assert err == "" and data["findings"] == []
    assert [problem["where"]["line"] for problem in data["problems"]] == sorted(lines)
    assert {"code", "what", "where", "also", "mend"} == set(data["problems"][0])


# --- what is no profile


def _hostile(folder: Path) -> dict[str, Path]:
    files: dict[str, bytes] = {
        "big": b"# " + b"x" * 10_000_000,
        "binary": bytes(range(256)) * 40,
        "zeros": bytes(100),
        "not_yaml": b"name: [a, b\nunits: }{",
        "prose": b"Dear all, the rig stands in the barn.\n",
        "empty": b"",
        "deep": b"a: " + b"[" * 5_000,
        "bomb": b"a: &a [x, x]\n" + b"".join(
            b"%c: &%c [*%c, *%c, *%c]\n" % (n, n, n - 1, n - 1, n - 1) for n in range(98, 122)
        ),
        "tag": b"name: !!python/object/apply:os.system ['true']\n",
        "escape": b"name: \"\\e[31mred\"\n",
    }
    paths = {}
    for name, content in files.items():
        paths[name] = folder / f"{name}.yaml"
        paths[name].write_bytes(content)
    return {**paths, "missing": folder / "missing.yaml", "folder": folder, "device": Path(os.devnull)}


@pytest.mark.parametrize("command", ["check", "issue", "figures"])
def test_what_is_no_profile_is_told_in_words(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, path in _hostile(tmp_path).items():
        assert cli.main([command, str(path)]) == 2, name
        out, err = capsys.readouterr()
        assert out == "" and f"where: {path}" in err and "mend: " in err, name
        assert "no wording" not in err and "\x1b" not in err, name
    assert not (tmp_path / "build").exists()


def test_a_name_that_steers_a_terminal_is_printed_inert(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["check", str(tmp_path / "a\x1b[31m\nb.yaml")]) == 2
    assert "a?[31m b.yaml" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [[], ["isue"], ["issue"], ["start", "three-vessel", "x.yaml"]])
def test_wrong_arguments_are_refused_with_the_usage(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        cli.main(arguments)
    assert caught.value.code == 2 and "usage: fillmark" in capsys.readouterr().err


# --- start, figures, schema


def test_start_says_what_to_do_next_and_never_writes_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "my_rig.yaml"
    assert cli.main(["start", "one-vessel", str(path)]) == 0
    assert f"fillmark check {path}" in capsys.readouterr().out
    path.write_text("mine")
    assert cli.main(["start", "one-vessel", str(path)]) == 4
    assert path.read_text() == "mine" and f"where: {path}" in capsys.readouterr().err


def test_figures_are_listed_and_shown(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["figures", str(rig)]) == 0
    listed = capsys.readouterr().out
    assert "methanol_volume" in listed and "tank.cover_level" in listed
    assert cli.main(["figures", str(rig), "ceiling"]) == 0
    shown = capsys.readouterr().out
    words = yaml.safe_load((CONTENT / "figures.yaml").read_text(encoding="utf-8"))["ceiling"]
    for part in (words["title"], words["formula"], words["source"], "methanol_boiling_point", "°F"):
        assert part in shown
    assert "put in:  T_ceiling = 63.217 °C − 5 °C = 58.22 °C" in shown.replace("\u00a0", " ")
    assert cli.main(["figures", str(rig), "methanol_volum"]) == 2
    assert "methanol_volume" in capsys.readouterr().err


def test_schema_is_json_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["schema"]) == 0
    assert "$schema" in json.loads(capsys.readouterr().out)


# --- issue


@pytest.fixture
def no_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    """A Debian machine without the libraries, on which this user is root."""
    monkeypatch.setattr(native, "missing_libraries", lambda *_: ["pango-1.0"])
    monkeypatch.setattr(native, "this_platform", lambda: native.Platform("debian", root=True))


@pytest.mark.usefixtures("no_pdf")
def test_without_pdf_libraries_the_status_is_3_and_the_command_is_named(
    rig: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(rig.parent)
    assert cli.main(["issue", "rig.yaml"]) == 3
    out, err = capsys.readouterr()
    assert "Issue 1 of " in out and "apt-get install -y libpango-1.0-0" in err
    assert Path("build/rig/site/index.html").is_file() and Path("build/rig/record.json").is_file()
    assert cli.main(["issue", "rig.yaml"]) == 3
    assert "unchanged, still issue 1" in capsys.readouterr().out
    assert cli.main(["issue", "rig.yaml", "--draft", "--out", "drafts"]) == 3
    assert Path("drafts/rig/record.json").is_file()
    assert "no issue number" in capsys.readouterr().out


@pytest.mark.usefixtures("no_pdf")
def test_a_stop_issues_nothing_and_says_so(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    swap(rig, ("supply_voltage: 120 V", "supply_voltage: 480 V"))
    out_folder = rig.parent / "build"
    assert cli.main(["issue", str(rig), "--out", str(out_folder)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and "STOP " in err and "nothing was issued" in err
    assert not out_folder.exists() and [path.name for path in rig.parent.iterdir()] == ["rig.yaml"]


@pytest.mark.usefixtures("no_pdf")
@pytest.mark.parametrize(
    "error",
    [PermissionError(13, "Permission denied"), OSError(28, "No space left"), OSError(30, "Read-only")],
)
def test_output_that_cannot_be_written_is_told(
    error: OSError, rig: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise error

    monkeypatch.setattr(make.files, "write", refuse)
    assert cli.main(["issue", str(rig), "--out", str(rig.parent / "build")]) == 4
    err = capsys.readouterr().err
    assert str(error.strerror) in err and "where: " in err
    assert not (rig.parent / "build" / "rig").exists()


def test_an_unexpected_error_keeps_its_traceback(rig: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Outputs, "all_files", broken)
    with pytest.raises(ZeroDivisionError):
        cli.main(["issue", str(rig), "--out", str(rig.parent / "build")])


def test_interrupted_by_hand(
    rig: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Outputs, "all_files", interrupted)
    assert cli.main(["issue", str(rig), "--out", str(rig.parent / "build")]) == 130
    assert capsys.readouterr().err.startswith("Stopped.") or "\nStopped." in capsys.readouterr().err


# --- as a process


def test_a_reader_that_goes_away_is_no_error() -> None:
    with subprocess.Popen(
        [*COMMAND, "schema"], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.read(1)
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode in (141, -signal.SIGPIPE)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_a_disk_that_fills_up_while_printing_is_told() -> None:
    with Path("/dev/full").open("w") as full:
        words = [*COMMAND, "schema"]
        done = subprocess.run(words, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 4 and b"Traceback" not in done.stderr and b"No space" in done.stderr


def test_a_terminal_without_these_characters_is_no_error() -> None:
    done = run("figures", LARKSTEAD, "ceiling", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0 and "\\xb0F" in done.stdout


def test_both_demo_handbooks_are_whole(issued: Mapping[str, Path]) -> None:
    for folder in issued.values():
        data = json.loads((folder / "record.json").read_text(encoding="utf-8"))
        assert data["issue"] == {"number": 1, "date": "2030-04-02", "draft": False}
        names = {document["file"] for document in data["documents"]} | {"cards.pdf", "manual.pdf"}
        assert names <= {str(path.relative_to(folder)) for path in folder.rglob("*")}
        assert all((folder / name).read_bytes()[:5] == b"%PDF-" for name in names if name.endswith(".pdf"))


def test_an_unchanged_issue_from_the_shell_is_quick_and_says_so(
    issued: Mapping[str, Path], tmp_path: Path
) -> None:
    root = issued["larkstead"].parent.parent
    for name in ("profiles", "build"):
        shutil.copytree(root / name, tmp_path / name)
    done = run("issue", tmp_path / "profiles" / "larkstead.yaml", "--out", tmp_path / "build")
    assert (done.returncode, "unchanged, still issue 1 of 2030-04-02" in done.stdout) == (0, True)
    assert "Missing files" not in done.stdout and "Rendering" not in done.stderr
