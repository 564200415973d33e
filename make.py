#!/usr/bin/env python3
"""Two commands on a fresh machine: make the demonstration handbook, or run every check.

Needs nothing but Python. What the project needs goes into ``.venv`` beside this file, in the versions that
constraints.txt pins. This file must at least parse on an old Python, so that it can say so.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = "fillmark.json"
UNFINISHED = "unfinished"
DEMO = "equipment_profiles/quillmere.yaml"
USAGE = """\
python3 make.py handbook   install what is needed into .venv, then issue the demonstration handbook to build/
python3 make.py test       install what is needed into .venv, then run linter, type checker and tests
"""
CHECKS = {
    "ruff": ("ruff", "check", "."),
    "mypy": ("mypy", "--strict", "generator", "make.py"),
    "pytest": ("pytest", "-n", "auto", "--dist", "loadscope"),
}
# Settings of the person's shell that would lead the virtual environment's Python or pip astray.
MISLEADING = ("PYTHONHOME", "PYTHONPATH", "PIP_USER", "PIP_TARGET", "PIP_PREFIX", "__PYVENV_LAUNCHER__")


def version_message(version: "tuple[int, ...]", newer: "str | None" = None) -> str:
    """What to say to a Python that is too old, or '' where it is new enough; `newer` is one that would do."""
    if tuple(version[:2]) >= OLDEST:
        return ""
    has = ".".join(str(part) for part in version[:3])
    mend = f"This machine has a newer one: {newer} make.py" if newer else "Install one, then try again."
    return f"fillmark needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is Python {has}. {mend}"


def newer_python() -> "str | None":
    """The command of a Python on this machine that is new enough, if there is one."""
    return next((name for name in (f"python3.{n}" for n in range(20, 10, -1)) if shutil.which(name)), None)


if version_message(tuple(sys.version_info[:3])):
    sys.exit(version_message(tuple(sys.version_info[:3]), newer_python()))

sys.path.insert(0, str(ROOT))
from generator.publish import native  # noqa: E402  (an old Python must have been turned away first)


class Stop(Exception):
    """The run cannot go on; the text says why and what to do."""


def say(text: str) -> None:
    """Prints at once, so that the order holds when a child process prints too."""
    print(text, flush=True)


def run(*words: "str | Path", env: "dict[str, str] | None" = None, quiet: bool = False) -> int:
    """Exit status of a command run at the top of the project; 127 where it cannot be started."""
    errors = subprocess.DEVNULL if quiet else None
    try:
        done = subprocess.run(words, cwd=ROOT, env=env or environment(), check=False, stderr=errors)
    except OSError:
        return 127
    return done.returncode


def environment() -> "dict[str, str]":
    """The environment of every child process."""
    kept = {name: value for name, value in os.environ.items() if name not in MISLEADING}
    return native.loader_environment(native.this_platform(), kept)


def python_in(venv: Path) -> Path:
    """The virtual environment's interpreter."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


# --- system packages


def install_system_packages(purpose: str) -> None:
    """Installs them where this user may without being asked (root with apt-get); else says the command."""
    here = native.this_platform()
    command = native.install_command(here, purpose)
    if command is None:
        say(f"No install command is known for this system ({sys.platform}).")
    elif here.family == "debian" and here.root and shutil.which("apt-get"):
        say(f"Running: apt-get update && {command}")
        quiet = {**environment(), "DEBIAN_FRONTEND": "noninteractive"}
        run("apt-get", "update", "-q", env=quiet)
        if run(*command.split(), env=quiet):
            # Older releases lack one of the names; the others may still be enough.
            for package in native.packages(here, purpose):
                run("apt-get", "install", "-y", package, env=quiet)
    else:
        say(f"Install what is missing with:\n    {command}")


def can_make_venv() -> bool:
    """Whether this Python has all of its venv module; some distributions package a part of it separately."""
    return run(sys.executable, "-c", "import ensurepip, venv", quiet=True) == 0


def missing_libraries() -> "list[str]":
    """Libraries that a child process, with the environment it will have, cannot load."""
    words = [str(python_in(VENV)), "-m", "generator.publish.native"]
    done = subprocess.run(words, cwd=ROOT, env=environment(), check=True, capture_output=True, text=True)
    return done.stdout.split()


def ensure_libraries() -> None:
    """Installs, or tells how to install, what PDF rendering needs. Never stops: the rest works without."""
    missing = missing_libraries()
    if not missing:
        return
    say(f"PDF rendering needs libraries that are missing: {', '.join(missing)}.")
    install_system_packages("pdf")
    if missing_libraries():
        say("Going on without them: site and record are written, PDFs are not.")


# --- the virtual environment


def fingerprint(root: Path) -> str:
    """Changes with the two files that decide what is installed."""
    digest = hashlib.sha256()
    for name in ("pyproject.toml", "constraints.txt"):
        digest.update((root / name).read_bytes())
    return digest.hexdigest()


def read_stamp(venv: Path) -> "dict[str, str]":
    """What the last installation wrote: state, then fingerprint, extra, place. {} where none did."""
    try:
        stamp = json.loads((venv / STAMP).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def write_stamp(venv: Path, **stamp: str) -> None:
    """Replaces the stamp."""
    (venv / STAMP).write_text(json.dumps(stamp), encoding="utf-8")


def is_sound(venv: Path) -> bool:
    """Whether it was finished, was made in this very place, and its interpreter and pip still run.

    One that was made by hand has no stamp and counts as finished.
    """
    stamp = read_stamp(venv)
    if stamp.get("state") == UNFINISHED or stamp.get("place", str(venv)) != str(venv):
        return False
    if not (venv / "pyvenv.cfg").is_file():
        return False
    probe = f"import pip, sys; sys.exit(sys.version_info < {OLDEST} or sys.prefix == sys.base_prefix)"
    return run(python_in(venv), "-c", probe, quiet=True) == 0


def remove(path: Path) -> None:
    """Removes a folder with all it holds, or a file, or a link but not what it points to."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def make_venv(venv: Path) -> None:
    """Makes it anew; until the installation is finished it is marked as unfinished."""
    if not can_make_venv():
        say("This Python cannot make a virtual environment: its venv module is not complete.")
        install_system_packages("venv")
        if not can_make_venv():
            raise Stop("Install the package named above, then run this command again.")
    remove(venv)
    venv.mkdir()
    write_stamp(venv, state=UNFINISHED)
    if run(sys.executable, "-m", "venv", venv):
        raise Stop(f"The virtual environment could not be made in {venv}; the reason stands above.")


def ensure_environment(extra: str) -> None:
    """Sees to it that `.venv` holds the project in place, with `extra` ('' or 'test'), as both files say."""
    sound = is_sound(VENV)
    stamp = read_stamp(VENV) if sound else {}
    had = stamp.get("extra", "")
    extra = extra or had
    if stamp.get("fingerprint") == fingerprint(ROOT) and extra == had:
        return
    if not sound:
        say(f"Making {VENV.name} ...")
        make_venv(VENV)
    say("Installing what the project needs; the first time this takes a minute or two ...")
    write_stamp(VENV, state=UNFINISHED)
    pip = (python_in(VENV), "-m", "pip", "--disable-pip-version-check", "install", "-qq")
    target = f".[{extra}]" if extra else "."
    if run(*pip, "--constraint", "constraints.txt", "--editable", target):
        raise Stop("Installing failed; the reason stands above. Is this machine on line? Then try again.")
    write_stamp(VENV, state="finished", fingerprint=fingerprint(ROOT), extra=extra, place=str(VENV))


# --- the two commands


def handbook() -> int:
    """Issues the demonstration handbook; the status is fillmark's own."""
    ensure_environment("")
    ensure_libraries()
    return run(python_in(VENV).parent / "fillmark", "issue", DEMO)


def test() -> int:
    """Runs every check, each one even if another fails; 1 where any failed."""
    ensure_environment("test")
    ensure_libraries()
    results = {}
    for name, words in CHECKS.items():
        say(f"--- {' '.join(words)}")
        results[name] = run(python_in(VENV), "-m", *words)
    say("--- " + ", ".join(f"{name}: {'FAILED' if status else 'passed'}" for name, status in results.items()))
    return 1 if any(results.values()) else 0


COMMANDS = {"handbook": handbook, "test": test}


def main(arguments: "list[str]") -> int:
    """Runs the one command named; lists the two where none is, and refuses anything else with status 2."""
    if not arguments:
        print(USAGE, end="")
        return 0
    if len(arguments) != 1 or arguments[0] not in COMMANDS:
        print(USAGE, end="", file=sys.stderr)
        return 2
    try:
        return COMMANDS[arguments[0]]()
    except Stop as stop:
        print(stop, file=sys.stderr)
        return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
