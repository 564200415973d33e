"""An issue as it was is kept beside its line, and what was edited in it is told."""

from __future__ import annotations

import gzip
import shutil
from datetime import date
from pathlib import Path

import pytest

from generator.problems import CONTENT, FillmarkError
from generator.profile.load import load
from generator.register import log, snapshot
from generator.register.approval import Approval
from generator.register.made_by import made_by
from generator.register.make import Result, make_handbook

pytestmark = pytest.mark.usefixtures("plain_pdfs")


def issue(path: Path, approval: Approval) -> Result:
    return make_handbook(path, path.parent / "build", today=date(2030, 4, 2), approval=approval)


def test_an_issue_is_kept_as_it_was(profile: Path) -> None:
    done = issue(profile, Approval("A. Keeper\x1b", "New element", "2030-06-01"))
    (entry,) = log.read(log.folder_of(profile))
    assert (entry.approved, entry.reason, entry.until) == ("A. Keeper", "New element", "2030-06-01")
    assert entry.made_by == {**made_by(), "inputs": entry.made_by["inputs"]}
    assert set(made_by()) == {"version", "program", "content"}
    assert entry.labels["pumps.pump"] and entry.labels["vessels.tank.heaters.element"]
    kept = snapshot.read(log.folder_of(profile), entry)
    assert kept.sources == ((profile.name, profile.read_text()),)
    assert kept.record["issue"] == {"number": 1, "date": "2030-04-02", "draft": False}
    assert len(kept.record["figures"]) == len(list(done.found.book.figures))
    assert {key: said.fingerprint for key, said in kept.documents.items()} == dict(entry.documents)
    dose = kept.documents["card-dose"]
    assert dose.where and dose.sheets == ("card-dose",) and len(dose.reading) > 100
    tree = kept.tree()
    assert tree.data == load(profile).tree.data
    assert str(tree.place(("recipe", "batch"))).startswith(f"{profile.name}:")


def test_a_profile_and_what_it_is_based_on_are_kept(tmp_path: Path) -> None:
    for name in ("quillmere", "highfold"):
        shutil.copy(CONTENT.parent / "equipment_profiles" / f"{name}.yaml", tmp_path)
    loaded = load(tmp_path / "highfold.yaml")
    kept = snapshot.Snapshot(snapshot.sources(loaded), {}, {})
    again = snapshot.from_bytes(snapshot.to_bytes(kept), tmp_path)
    assert again == kept
    assert again.tree().data == loaded.tree.data
    assert str(again.tree().place(("site", "altitude"))).startswith("highfold.yaml:")
    assert str(again.tree().place(("pumps", "p1", "flow"))).startswith("quillmere.yaml:")


def test_a_copy_that_was_edited_or_lost_is_told(profile: Path) -> None:
    issue(profile, Approval())
    folder = log.folder_of(profile)
    (entry,) = log.read(folder)
    path = folder / snapshot.name_of(1)
    path.write_bytes(gzip.compress(b"{}"))
    with pytest.raises(FillmarkError) as caught:
        snapshot.read(folder, entry)
    assert [p.code for p in caught.value.problems] == ["snapshot_edited"]
    path.unlink()
    with pytest.raises(FillmarkError) as caught:
        snapshot.read(folder, entry)
    assert [p.code for p in caught.value.problems] == ["snapshot_missing"]


@pytest.mark.parametrize(("until", "code"), [("1 May", "not_a_day"), ("2030-04-02", "day_past")])
def test_a_temporary_change_ends_on_a_day_to_come(until: str, code: str, profile: Path) -> None:
    with pytest.raises(FillmarkError) as caught:
        issue(profile, Approval(until=until))
    assert [p.code for p in caught.value.problems] == [code]
    assert not log.folder_of(profile).exists()
