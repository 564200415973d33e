"""Files change in one go or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.publish import files


def everything(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def fail() -> bytes:
    raise RuntimeError("in the middle")


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "manual.pdf"
    files.write(target, b"one")
    files.write(target, b"two")
    assert everything(tmp_path) == {"deep/manual.pdf": b"two"}


def test_a_failed_write_leaves_the_old_file_and_no_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "manual.pdf"
    files.write(target, b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.write(target, b"new")
    assert everything(tmp_path) == {"manual.pdf": b"old"}


def test_a_folder_is_swapped_whole(tmp_path: Path) -> None:
    site = tmp_path / "site"
    files.write_folder(site, {"index.html": b"1", "gone.html": b"x"})
    files.write_folder(site, {"index.html": b"2", "theme/a.css": lambda: b"c"})
    assert everything(tmp_path) == {"site/index.html": b"2", "site/theme/a.css": b"c"}


def test_a_failure_half_way_leaves_the_old_folder(tmp_path: Path) -> None:
    site = tmp_path / "site"
    files.write_folder(site, {"index.html": b"old", "b.html": b"old"})
    with pytest.raises(RuntimeError):
        files.write_folder(site, {"index.html": b"new", "b.html": fail})
    assert everything(tmp_path) == {"site/index.html": b"old", "site/b.html": b"old"}


def test_a_failed_swap_puts_the_old_folder_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site = tmp_path / "site"
    files.write_folder(site, {"index.html": b"old"})
    replace = Path.replace

    def refuse(self: Path, target: Path) -> Path:
        if ".new." in self.name:
            raise PermissionError(13, "Permission denied")
        return replace(self, target)

    monkeypatch.setattr(files, "_exchanged", lambda *_: False)  # a system that cannot exchange two names
    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(PermissionError):
        files.write_folder(site, {"index.html": b"new"})
    assert everything(tmp_path) == {"site/index.html": b"old"}


@pytest.mark.parametrize("name", ["../out.html", "/nowhere/out.html", "a/../../out.html"])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="out"):
        files.write_folder(tmp_path / "site", {name: b"x"})
    assert everything(tmp_path) == {}
