"""Places that the owner sets in the plant drawing are checked like every other reference."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.problems import FillmarkError, Problem
from generator.profile.load import load
from tests.rigs import PROFILES


def problems(tmp_path: Path, places: str) -> list[Problem]:
    """What loading Larkstead's profile says when these places are added to it."""
    profile = tmp_path / "rig.yaml"
    text = (PROFILES / "larkstead.yaml").read_text("utf-8")
    profile.write_text(f"{text}\ndrawing:\n  positions:\n    {places}\n", "utf-8")
    with pytest.raises(FillmarkError) as raised:
        load(profile)
    return list(raised.value.problems)


def last_line(path: Path) -> int:
    return len(path.read_text("utf-8").splitlines())


@pytest.mark.parametrize(
    ("places", "code"),
    [
        ("tonk: {column: 1}", "no_such_drawn_part"),
        ("v1: {column: 1}", "no_such_drawn_part"),
        ("tank: {column: 1, row: 0}", "vessel_in_band"),
    ],
)
def test_a_wrong_place_is_told_on_its_line(tmp_path: Path, places: str, code: str) -> None:
    (problem,) = problems(tmp_path, places)
    assert problem.code == code
    assert problem.place is not None and problem.place.line == last_line(tmp_path / "rig.yaml")


def test_column_is_counted_from_one(tmp_path: Path) -> None:
    (problem,) = problems(tmp_path, "tank: {column: 0}")
    assert problem.place is not None and problem.place.line == last_line(tmp_path / "rig.yaml")
