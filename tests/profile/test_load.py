"""Whole profiles: the demo rigs load, and no way of spoiling one of them escapes as anything but problems."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.problems import CONTENT, FillmarkError, Problem
from generator.profile.load import load
from generator.profile.schema import schema

RIGS = sorted((CONTENT.parent / "equipment_profiles").glob("*.yaml"))


def problems_of(file: Path, text: str) -> tuple[Problem, ...]:
    file.write_text(text, encoding="utf-8")
    try:
        load(file)
    except FillmarkError as error:
        return error.problems
    return ()


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.stem)
def test_demo_rigs_load(path: Path) -> None:
    loaded = load(path)
    assert loaded.name == path.stem and loaded.files[0] == path
    assert loaded.text == path.read_text(encoding="utf-8")
    if len(loaded.files) > 1:
        return  # a profile that states differences only has none of its vessels in its own lines
    first = next(iter(loaded.profile.vessels))
    line = loaded.text.splitlines()[loaded.place("vessels", first).line - 1]
    assert line.strip().startswith(f"{first}:")
    assert loaded.place("vessels", first, "no_such_key") == loaded.place("vessels", first)


def test_units_that_are_wrong_are_told_once(tmp_path: Path) -> None:
    for path in (path for path in RIGS if len(load(path).files) == 1):
        lines = path.read_text(encoding="utf-8").splitlines()
        text = "\n".join("units: imperial" if line.startswith("units:") else line for line in lines)
        assert [p.code for p in problems_of(tmp_path / "rig.yaml", text)] == ["not_one_of"]


def test_schema_reads_the_version_as_an_editor_does() -> None:
    made = schema()
    version = made["$defs"]["Whole"]["properties"]["fillmark"]["anyOf"][0]
    assert version["enum"] == ["1", 1] and "type" not in version
    vessels = made["$defs"]["WholeDifference"]["properties"]["vessels"]["anyOf"][0]
    (ids,) = vessels["patternProperties"].values()
    assert {"type": "null"} in ids["anyOf"]


SPOILS = ("leave_out", "empty", "other_word", "list", "misspell")
EACH = 6  # every line is spoilt in one way, and some in none: a line out of so many for each way


@pytest.mark.parametrize("path", RIGS, ids=lambda path: path.stem)
@pytest.mark.parametrize("spoil", SPOILS)
def test_every_spoilt_line_is_told_in_words(path: Path, spoil: str, tmp_path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    for index, line in enumerate(lines):
        key, colon, value = line.partition(":")
        if not colon or line.lstrip().startswith("#") or index % EACH != SPOILS.index(spoil):
            continue
        spoilt = {
            "leave_out": "",
            "empty": f"{key}:",
            "other_word": f"{key}: zz",
            "list": f"{key}: [zz, {{a: b}}]",
            "misspell": f"{key}x:{value}",
        }[spoil]
        text = "\n".join([*lines[:index], spoilt, *lines[index + 1 :]])
        for problem in problems_of(tmp_path / "rig.yaml", text):
            words = problem.what + problem.mend
            assert "has no wording yet" not in words, problem.code
            assert not [f for f in ("<near>", "<kind>", "<text>", "<where>", "<example>") if f in words]


@pytest.mark.parametrize(
    ("text", "code", "own_line"),
    [
        ("valves:\n  v05:\n", "named_but_removed", None),
        ("vessels:\n  dryer:\n    ports:\n      suction:\n", "named_but_removed", None),
        ("valves:\n  v99:\n", "nothing_to_remove", 5),
        ("site:\n  works_alone:\n", "needed_but_removed", 5),
        ("routes:\n  - {from: dryer, to: reactor, via: [short_cut]}\n", "no_such_line", 5),
        ("lines:\n  dryer_out: {from: dryer.suktion}\n", "no_such_end", 5),
    ],
)
def test_a_difference_that_cannot_be_is_told_where_it_was_made(
    tmp_path: Path, text: str, code: str, own_line: int | None
) -> None:
    (tmp_path / "quillmere.yaml").write_text((RIGS[0].parent / "quillmere.yaml").read_text("utf-8"), "utf-8")
    path = tmp_path / "rig.yaml"
    (problem,) = problems_of(path, f"fillmark: 1\nbased_on: quillmere.yaml\nname: Differs\n{text}")
    assert problem.code == code and problem.place is not None
    assert "<" not in problem.what + problem.mend
    if own_line is None:  # it is named in the base and taken out in the file built on it
        assert Path(problem.place.file).stem == "quillmere"
        assert [Path(place.file).stem for place in problem.also] == ["rig"]
    else:
        assert (Path(problem.place.file).stem, problem.place.line) == ("rig", own_line)
