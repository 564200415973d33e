"""The build script."""

from __future__ import annotations

import ast
import hashlib
import importlib.util
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from generator.publish import native
from generator.publish.native import Platform, family_of, install_command, loader_environment

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def make() -> ModuleType:
    """A fresh copy of the script as a module, so that a test may point it at another folder."""
    spec = importlib.util.spec_from_file_location("make_under_test", ROOT / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module



# --- Python version


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 4), (4, 0, 0)])
def test_new_enough_python_passes(make: ModuleType, version: tuple[int, ...]) -> None:
    assert make.version_message(version) == ""


@pytest.mark.parametrize("version", [(3, 10, 14), (3, 6, 9), (2, 7, 18)])
def test_old_python_is_told_plainly(make: ModuleType, version: tuple[int, ...]) -> None:
    message = make.version_message(version, "python3.12")
    assert "Python 3.11 or newer" in message
    assert ".".join(map(str, version)) in message
    assert "python3.12 make.py" in message
    assert "None" not in make.version_message(version)


def test_an_old_python_can_parse_the_script() -> None:
    """3.6 must get as far as the message: no newer syntax, no import of ours before the check."""
    tree = ast.parse((ROOT / "make.py").read_text(encoding="utf-8"), feature_version=(3, 6))
    check = next(node.lineno for node in tree.body if isinstance(node, ast.If))
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            assert node.module != "__future__"
            if (node.module or "").startswith("generator"):
                assert node.lineno > check


def test_script_needs_only_the_standard_library() -> None:
    done = subprocess.run(
        [sys.executable, "-I", "-S", str(ROOT / "make.py")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert [line.split()[2] for line in done.stdout.splitlines()] == ["handbook", "test"]


@pytest.mark.parametrize("words", [["bake"], ["test", "handbook"]])
def test_other_words_are_refused_with_the_usage(
    make: ModuleType, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    assert make.main(words) == 2
    assert "make.py handbook" in capsys.readouterr().err


# --- system packages


@pytest.mark.parametrize(
    ("where", "command"),
    [
        (
            Platform("debian", root=True),
            "apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
        ),
        (
            Platform("debian"),
            "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
        ),
        (
            Platform("debian", sudo=False),
            "su -c 'apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0'",
        ),
        (Platform("fedora"), "sudo dnf install -y pango"),
        (Platform("arch", root=True), "pacman -S --noconfirm pango"),
        (
            Platform("alpine", root=True),
            "apk add so:libpango-1.0.so.0 so:libpangoft2-1.0.so.0 so:libharfbuzz-subset.so.0",
        ),
        (Platform("macos"), "brew install pango"),
        (Platform(""), None),
    ],
)
def test_install_command_of_each_platform(where: Platform, command: str | None) -> None:
    assert install_command(where) == command


def test_venv_package_is_that_of_the_interpreter() -> None:
    """A second Python on Debian has a venv package of its own; python3-venv serves the default one only."""
    where = Platform("debian", root=True, python="python3.12")
    assert install_command(where, "venv") == "apt-get install -y python3.12-venv"


@pytest.mark.parametrize(
    ("system", "os_release", "family"),
    [
        ("Linux", {"ID": "debian"}, "debian"),
        ("Linux", {"ID": "ubuntu", "ID_LIKE": "debian"}, "debian"),
        ("Linux", {"ID": "linuxmint", "ID_LIKE": "ubuntu debian"}, "debian"),
        ("Linux", {"ID": "rocky", "ID_LIKE": "rhel centos fedora"}, "fedora"),
        ("Linux", {"ID": "opensuse-leap", "ID_LIKE": "suse opensuse"}, "suse"),
        ("Linux", {"ID": "alpine"}, "alpine"),
        ("Linux", {"ID": "arch"}, "arch"),
        ("Linux", {"ID": "unheard-of"}, ""),
        ("Darwin", {}, "macos"),
        ("Windows", {}, ""),
    ],
)
def test_family_of_a_system(system: str, os_release: dict[str, str], family: str) -> None:
    assert family_of(system, os_release) == family


def test_every_family_names_packages_for_every_purpose() -> None:
    for installer in native.SYSTEM_PACKAGES.values():
        assert set(installer.packages) == {"pdf", "venv"}
        assert all(installer.packages.values())


def test_apple_silicon_looks_in_the_folder_the_loader_skips(tmp_path: Path) -> None:
    mac = Platform("macos", apple_silicon=True)
    added = loader_environment(mac, {"A": "1"}, tmp_path)
    assert added == {"A": "1", native.LOADER_PATH: f"/usr/local/lib:/usr/lib:{tmp_path}"}
    assert loader_environment(mac, added, tmp_path) == added
    given = {native.LOADER_PATH: "/x"}
    assert loader_environment(mac, given, tmp_path) == {native.LOADER_PATH: f"/x:{tmp_path}"}
    assert loader_environment(mac, {}, tmp_path / "absent") == {}
    assert loader_environment(Platform("macos"), {}, tmp_path) == {}


def test_a_library_that_does_not_load_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    needed = native.Library("no-such-thing", ("libno-such-thing.so.0",))
    wanted = native.Library("nor-this", ("libnor-this.so.0",), needed=False)
    monkeypatch.setattr(native, "LIBRARIES", (needed, wanted))
    assert native.missing_libraries() == ["no-such-thing"]
    assert native.missing_libraries(also_wanted=True) == ["no-such-thing", "nor-this"]


def test_probe_agrees_with_the_renderer() -> None:
    """Nothing is reported missing exactly where WeasyPrint itself can be imported."""
    done = subprocess.run([sys.executable, "-c", "import weasyprint"], capture_output=True, check=False)
    assert (native.missing_libraries() == []) == (done.returncode == 0)


@pytest.mark.parametrize(("family", "root", "ran"), [
    ("debian", True, ["update", "install"]),
    ("debian", False, []),
    ("fedora", True, []),
    ("macos", False, []),
    ("", True, []),
])
def test_packages_are_installed_unasked_only_by_root_with_apt(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    family: str, root: bool, ran: list[str],
) -> None:
    where, calls = Platform(family, root=root), []
    monkeypatch.setattr(make.native, "this_platform", lambda: where)
    monkeypatch.setattr(make.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(make, "run", lambda *words, env=None: calls.append(words) or 0)
    make.install_system_packages("pdf")
    assert [words[1] for words in calls] == ran
    assert all(words[0] == "apt-get" for words in calls)
    assert (install_command(where) or "No install command") in capsys.readouterr().out


def test_a_refused_package_does_not_keep_out_the_others(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    where, calls = Platform("debian", root=True), []
    monkeypatch.setattr(make.native, "this_platform", lambda: where)
    monkeypatch.setattr(make.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(make, "run", lambda *words, env=None: calls.append(words) or 100)
    make.install_system_packages("pdf")
    assert [words[-1] for words in calls[2:]] == list(native.packages(where))


# --- the virtual environment


class Recorder:
    """Stands for the commands the script would run; making a venv leaves what tells one apart."""

    def __init__(self, sound: bool = True, pip_status: int = 0) -> None:
        self.sound, self.pip_status = sound, pip_status
        self.made = 0
        self.installed: list[str] = []

    def __call__(self, *words: str | Path, env: object = None, quiet: bool = False) -> int:
        text = [str(word) for word in words]
        if text[1:3] == ["-m", "venv"]:
            self.made += 1
            (Path(text[3]) / "pyvenv.cfg").write_text("home = x\n")
        elif text[1:3] == ["-m", "pip"]:
            self.installed.append(text[-1])
            return self.pip_status
        elif text[1] == "-c" and "sys.prefix" in text[2]:
            return 0 if self.sound else 1
        return 0


@pytest.fixture
def project(make: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.setattr(make, "ROOT", tmp_path)
    monkeypatch.setattr(make, "VENV", tmp_path / ".venv")
    (tmp_path / "pyproject.toml").write_text("a")
    (tmp_path / "constraints.txt").write_text("b")
    return tmp_path


def test_installs_once_and_again_only_when_the_files_change(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, project: Path
) -> None:
    monkeypatch.setattr(make, "run", recorder := Recorder())
    for extra in ("", "", "test", "test", ""):
        make.ensure_environment(extra)
    assert (recorder.made, recorder.installed) == (1, [".", ".[test]"])
    (project / "constraints.txt").write_text("c")
    make.ensure_environment("")
    assert (recorder.made, recorder.installed) == (1, [".", ".[test]", ".[test]"])
    assert make.fingerprint(project) == hashlib.sha256(b"ac").hexdigest()


def test_a_half_made_one_is_made_anew(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, project: Path
) -> None:
    monkeypatch.setattr(make, "run", failing := Recorder(pip_status=1))
    with pytest.raises(make.Stop, match="Installing failed"):
        make.ensure_environment("")
    assert failing.made == 1
    (project / ".venv" / "left-over").touch()
    monkeypatch.setattr(make, "run", recorder := Recorder())
    make.ensure_environment("")
    assert recorder.made == 1
    assert not (project / ".venv" / "left-over").exists()


@pytest.mark.parametrize("harm", ["interpreter", "moved", "no-config", "a file", "a link"])
def test_a_broken_one_is_made_anew(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, project: Path, harm: str
) -> None:
    venv, elsewhere = project / ".venv", project / "elsewhere"
    monkeypatch.setattr(make, "run", Recorder())
    make.ensure_environment("")
    if harm == "moved":
        make.write_stamp(venv, **{**make.read_stamp(venv), "place": "/another/.venv"})
    elif harm == "no-config":
        (venv / "pyvenv.cfg").unlink()
    elif harm == "a file":
        make.remove(venv)
        venv.write_text("")
    elif harm == "a link":
        venv.rename(elsewhere)
        venv.symlink_to(elsewhere)
        (elsewhere / "pyvenv.cfg").unlink()
    monkeypatch.setattr(make, "run", recorder := Recorder(sound=harm != "interpreter"))
    make.ensure_environment("")
    assert (recorder.made, recorder.installed) == (1, ["."])
    assert harm != "a link" or make.read_stamp(elsewhere), "what a link points to is left alone"


def test_one_made_by_hand_is_kept_and_filled(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, project: Path
) -> None:
    (project / ".venv").mkdir()
    (project / ".venv" / "pyvenv.cfg").write_text("home = x\n")
    monkeypatch.setattr(make, "run", recorder := Recorder())
    make.ensure_environment("test")
    assert (recorder.made, recorder.installed) == (0, [".[test]"])


def test_a_command_that_cannot_start_is_a_status_not_a_traceback(make: ModuleType, tmp_path: Path) -> None:
    assert make.run(tmp_path / "absent") == 127


# --- the two commands


@pytest.mark.parametrize("status", [0, 1, 3])
def test_handbook_passes_on_the_status_of_fillmark(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, status: int
) -> None:
    monkeypatch.setattr(make, "ensure_environment", lambda extra: None)
    monkeypatch.setattr(make, "ensure_libraries", lambda: None)
    monkeypatch.setattr(make, "run", lambda *words: status if words[1:] == ("issue", make.DEMO) else 99)
    assert make.main(["handbook"]) == status


def test_goes_on_without_the_libraries(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(make, "missing_libraries", lambda: ["pango-1.0"])
    monkeypatch.setattr(make, "install_system_packages", lambda purpose: None)
    make.ensure_libraries()
    assert "pango-1.0" in capsys.readouterr().out


@pytest.mark.parametrize("failing", [None, "ruff", "mypy", "pytest"])
def test_every_check_runs_and_any_failure_counts(
    make: ModuleType, monkeypatch: pytest.MonkeyPatch, failing: str | None
) -> None:
    ran: list[str] = []

    def run(*words: str) -> int:
        ran.append(words[2])
        return 5 if words[2] == failing else 0

    monkeypatch.setattr(make, "ensure_environment", lambda extra: None)
    monkeypatch.setattr(make, "ensure_libraries", lambda: None)
    monkeypatch.setattr(make, "run", run)
    assert make.main(["test"]) == (1 if failing else 0)
    assert ran == ["ruff", "mypy", "pytest"]
