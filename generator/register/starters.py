"""The commented starter profiles, and writing one of them where there is no file yet."""

from __future__ import annotations

from pathlib import Path

from generator.problems import CONTENT, Place, Problem
from generator.publish import files
from generator.register.writing import CannotWrite, writing

FOLDER = CONTENT.parent / "equipment_profiles" / "starters"


def kinds() -> list[str]:
    """Names of the starters."""
    return sorted((path.stem for path in FOLDER.glob("*.yaml")), reverse=True)


def start(kind: str, file: Path) -> None:
    """Writes the starter of that kind. Raises CannotWrite where the file exists or cannot be written."""
    with writing(file):
        if file.exists() or file.is_symlink():
            raise CannotWrite([Problem("file_exists", Place(str(file)))])
        if not file.parent.is_dir():
            raise NotADirectoryError(20, "its folder does not exist", str(file))
        files.write(file, (FOLDER / f"{kind}.yaml").read_bytes())
