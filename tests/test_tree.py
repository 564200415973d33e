"""What must hold for a bare checkout: pinned versions, the agreed layout, nothing of one machine."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TOP_LEVEL = {
    *("pyproject.toml", "README.md", "DEVELOPERS.md", "make.py", "constraints.txt"),
    *("generator", "content", "equipment_profiles", "tests", "build"),
}
UNTRACKED = re.compile(r"__pycache__|.*\.egg-info|\..*_cache|\.hypothesis|\.venv|\.git|.*\.register|.*\.pyc")


# --- constraints


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_constraints_hold_names_and_versions_only() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][0-9a-z.]*", line) for line in lines)
    names = [normal(line.split("==")[0]) for line in lines]
    assert len(names) == len(set(names))


def test_constraints_pin_everything_that_is_needed() -> None:
    """Every declared dependency and all that those need in turn, on this platform."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pinned = {normal(line.split("==")[0]): line.split("==")[1] for line in lines}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    queue = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    seen: set[str] = set()
    while queue:
        requirement = queue.pop()
        name = normal(re.split(r"[^A-Za-z0-9._-]", requirement)[0])
        if name in seen or "extra ==" in requirement or not here(requirement):
            continue
        seen.add(name)
        assert name in pinned, f"{requirement} is not pinned"
        assert metadata.version(name) == pinned[name]
        queue += metadata.requires(name) or []
    assert len(seen) > len(project["dependencies"])


def here(requirement: str) -> bool:
    """Whether the requirement's marker, if it has one, holds for this interpreter."""
    from packaging.requirements import Requirement

    marker = Requirement(requirement).marker
    return marker is None or marker.evaluate({"extra": ""})


# --- the tree


def test_top_level_is_what_was_agreed() -> None:
    there = {path.name for path in ROOT.iterdir() if not UNTRACKED.fullmatch(path.name)}
    assert {name for name in there if not name.startswith(".")} == TOP_LEVEL


def tracked_texts() -> Iterator[tuple[Path, str]]:
    """Every text file of the tree but caches, output and what lies in .venv and .git."""
    folders = [ROOT]
    while folders:
        for path in folders.pop().iterdir():
            if UNTRACKED.fullmatch(path.name) or (path.parent == ROOT / "build" and path.name != "README.md"):
                continue
            if path.is_dir():
                folders.append(path)
            else:
                yield path, path.read_bytes().decode("utf-8", errors="replace")


def test_no_registry_host_and_no_machine_path_in_the_tree() -> None:
    hosts = "|".join(
        (r"pypi\.(?:org|python)", r"python[h]osted", r"npmjs\.", r"deb\.[d]ebian", r"archive\.ubuntu")
    )
    paths = r"(?<![\w.\-/>}*])/(?:work|root|tmp|home|Users)(?:/|\b)"
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path, text in tracked_texts()
        if path != Path(__file__).resolve()
        for number, line in enumerate(text.splitlines(), 1)
        if re.search(f"{hosts}|{paths}", line)
    ]
    assert found == []


def test_ci_takes_nothing_for_granted() -> None:
    script = ROOT / ".ci" / "run"
    assert script.stat().st_mode & 0o111
    assert script.read_text(encoding="utf-8").splitlines()[-1] == "exec python3 make.py test"
