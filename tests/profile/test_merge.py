"""``based_on``: mappings merge, lists replace, nothing removes, every value keeps its own file and line."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.problems import FillmarkError
from generator.profile.merge import MAX_CHAIN, Merged, read


def write(folder: Path, **files: str) -> Path:
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / f"{next(iter(files))}.yaml"


def codes(path: Path) -> list[tuple[str, str, int]]:
    with pytest.raises(FillmarkError) as caught:
        read(path)
    places = [(p.code, p.place) for p in caught.value.problems]
    return [(code, Path(place.file).stem, place.line) for code, place in places if place is not None]


@pytest.fixture
def family(tmp_path: Path) -> Merged:
    return read(
        write(
            tmp_path,
            rig=(
                "based_on: base.yaml\nname: two\nvessels:\n  a:\n    size: 3 L\n    list: [z]\n"
                "  b:\n  c: {size: 9 L}\n"
            ),
            base=(
                "name: one\nkept: yes\nvessels:\n"
                "  a:\n    size: {value: 1 L, how: assumed}\n    wall: {value: 2 mm, how: measured}\n"
                "    list: [x, y]\n  b: {size: 2 L}\n"
            ),
        )
    )


def test_mappings_merge_lists_replace_nothing_removes(family: Merged) -> None:
    assert family.tree.data == {
        "name": "two",
        "kept": "yes",
        "vessels": {"a": {"size": "3 L", "wall": "2 mm", "list": ["z"]}, "c": {"size": "9 L"}},
    }
    assert [file.stem for file in family.files] == ["rig", "base"]
    assert family.text.startswith("based_on")


def test_every_value_keeps_its_file_and_line(family: Merged) -> None:
    def where(*trail: str | int) -> tuple[str, int]:
        place = family.tree.place(trail)
        return Path(place.file).stem, place.line

    assert where("kept") == ("base", 2)
    assert where("vessels", "a", "size") == ("rig", 5)
    assert where("vessels", "a", "wall") == ("base", 6)
    assert where("vessels", "a", "list", 0) == ("rig", 6)
    assert where("vessels", "a") == ("rig", 4)
    assert ("vessels", "a", "list", 1) not in family.tree.places
    assert ("vessels", "b", "size") not in family.tree.places


def test_how_a_value_is_known_goes_with_the_value(family: Merged) -> None:
    assert set(family.tree.known) == {("vessels", "a", "wall")}


def test_a_chain_of_three_and_a_folder(tmp_path: Path) -> None:
    (tmp_path / "shared").mkdir()
    write(tmp_path / "shared", mid="based_on: low.yaml\nb: 2\n", low="a: 1\nb: 1\nc: 1\n")
    merged = read(write(tmp_path, top="based_on: shared/mid.yaml\nc: 3\n"))
    assert merged.tree.data == {"a": "1", "b": "2", "c": "3"}
    assert len(merged.files) == 3


@pytest.mark.parametrize("base", ["/etc/x", "~/x.yaml", "'C:\\x'", "http://x/y", "[a]", "{a: b}", "''"])
def test_only_relative_paths(tmp_path: Path, base: str) -> None:
    assert codes(write(tmp_path, rig=f"a: 1\nbased_on: {base}\n")) == [("base_not_relative", "rig", 2)]


def test_circles_and_long_chains(tmp_path: Path) -> None:
    assert codes(write(tmp_path, rig="based_on: rig.yaml\n")) == [("base_circle", "rig", 1)]
    circle = write(tmp_path, one="based_on: two.yaml\n", two="a: 1\nbased_on: ./one.yaml\n")
    assert codes(circle) == [("base_circle", "two", 2)]
    chain = {f"c{n}": f"based_on: c{n + 1}.yaml\n" for n in range(MAX_CHAIN + 1)}
    assert codes(write(tmp_path, **chain)) == [("base_chain_long", f"c{MAX_CHAIN}", 1)]
    chain[f"c{MAX_CHAIN}"] = "a: 1\n"
    assert read(write(tmp_path, **chain)).tree.data == {"a": "1"}


def test_a_bad_base_says_who_asked_for_it(tmp_path: Path) -> None:
    path = write(tmp_path, rig="a: 1\na: 2\nbased_on: gone.yaml\n")
    assert codes(path) == [("duplicate_key", "rig", 2), ("base_missing", "rig", 3)]
    path = write(tmp_path, rig="based_on: base.yaml\n", base="x: [\n")
    assert codes(path)[0][1] == "base"
    assert codes(write(tmp_path, rig="based_on: .\n")) == [("not_a_file", tmp_path.stem, 0)]


def test_a_misspelt_base_is_told_with_the_files_that_are_there(tmp_path: Path) -> None:
    path = write(tmp_path, rig="based_on: quilmere.yaml\n", quillmere="a: 1\n", other="a: 1\n")
    with pytest.raises(FillmarkError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert (problem.code, problem.place and problem.place.line) == ("base_missing", 1)
    assert str(problem.facts["near"]).startswith("quillmere.yaml")


def test_an_empty_value_that_takes_out_nothing_is_told(tmp_path: Path) -> None:
    path = write(tmp_path, rig="based_on: base.yaml\nv:\n  v99:\n  w: {x: }\n", base="v: {v01: 1, v02: 2}\n")
    merged = read(path)
    (problem,) = merged.problems
    assert (problem.code, problem.place and problem.place.line) == ("nothing_to_remove", 3)
    assert problem.facts["near"] == "v01, v02"
    assert merged.tree.removed == {}


def test_what_a_file_takes_out_is_known_until_another_puts_it_back(tmp_path: Path) -> None:
    files = {"mid": "based_on: low.yaml\nv:\n  a:\n  b:\n", "low": "v: {a: 1, b: 2, c: 3}\n"}
    merged = read(write(tmp_path, rig="based_on: mid.yaml\nv: {b: 4}\n", **files))
    assert merged.tree.data == {"v": {"c": "3", "b": "4"}}
    assert {trail: place.line for trail, place in merged.tree.removed.items()} == {("v", "a"): 3}


def test_an_empty_value_without_a_base_stays_empty(tmp_path: Path) -> None:
    assert read(write(tmp_path, rig="a:\nbased_on:\n")).tree.data == {"a": None}
