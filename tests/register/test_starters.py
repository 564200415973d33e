"""Starters: every blank is asked for by line and nothing else is; filled in, a starter issues."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from generator.problems import CONTENT, FillmarkError, Problem
from generator.profile import load as loading
from generator.profile import merge
from generator.profile.blanks import BLANK
from generator.profile.nodes import Tree
from generator.register.make import make_handbook
from generator.register.starters import FOLDER, kinds, start
from generator.register.survey import survey
from generator.register.writing import CannotWrite

KINDS = ("one-vessel", "multi-vessel")
DEMOS = {"one-vessel": "larkstead", "multi-vessel": "quillmere"}
# Starter's ids to the demo rig's, so that its values can stand in for an owner's.
IDS = {
    "one-vessel": {
        "tank_outlet": "v1", "oil_inlet": "v2", "can_outlet": "v3", "can_throttle": "v4", "tank_return": "v5",
        "fuel_outlet": "v6", "tank_drain": "v7", "water_inlet": "red_handle",
    },
    "multi-vessel": {
        "methoxide_can": "charge_can", "oil_pump": "p1", "fuel_pump": "p2", "condenser": "k1",
        "oil_inlet": "v01", "dryer_outlet": "v02", "reactor_outlet": "v03", "dryer_inlet": "v05",
        "reactor_inlet": "v06", "settler_inlet": "v07", "settler_outlet": "v08", "finisher_outlet": "v10",
        "finisher_inlet": "v11", "tower_inlet": "v12", "tower_outlet": "v13", "back_to_reactor": "v14",
        "fuel_tap": "v15",
    },
}  # fmt: skip
# What the demo rig does not say, or says of another kind of place.
OWN = {"placement": "open_shed", "flame_arrester": "yes", "self_priming": "yes", "insulated": "no"}


@cache
def blanks(kind: str) -> tuple[Problem, ...]:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(loading, "MOST_SHOWN", 1000)
        with pytest.raises(FillmarkError) as caught:
            loading.load(FOLDER / f"{kind}.yaml")
    return caught.value.problems


@cache
def demo(kind: str) -> Tree:
    return merge.read(CONTENT.parent / "equipment_profiles" / f"{DEMOS[kind]}.yaml").tree


def value(kind: str, where: str) -> str:
    """What the demo rig says at a blank's place."""
    trail: list[str | int] = []
    for part in where.split("."):
        name, *index = re.findall(r"[^\[\]]+", part)
        trail += [IDS[kind].get(name, name), *(int(i) - 1 for i in index)]
    found: Any = demo(kind).at(tuple(trail))
    if trail[-1] in OWN and (found is None or trail[-1] == "placement"):
        return OWN[str(trail[-1])]
    assert isinstance(found, str), where
    return f'"{found}"' if re.search(r"[:#,]|^\d+$", found) else found


def filled(kind: str) -> str:
    lines = (FOLDER / f"{kind}.yaml").read_text(encoding="utf-8").split("\n")
    for problem in sorted(blanks(kind), key=lambda p: p.place or 0, reverse=True):
        assert problem.place is not None
        row, column = problem.place.line - 1, problem.place.column - 1
        assert lines[row][column:].startswith(BLANK)
        typed = value(kind, problem.facts["where"])
        lines[row] = lines[row][:column] + typed + lines[row][column + len(BLANK) :]
    return "\n".join(lines)


def test_both_starters_are_there() -> None:
    assert kinds() == list(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_every_blank_is_asked_for_and_nothing_else_is(kind: str) -> None:
    found = blanks(kind)
    assert {problem.code for problem in found} == {"fill_in"}
    text = (FOLDER / f"{kind}.yaml").read_text(encoding="utf-8")
    uncommented = [line.split("#")[0] for line in text.split("\n")]
    assert len(found) == sum(line.count(BLANK) for line in uncommented)
    for problem in found:
        assert problem.place is not None
        assert BLANK in uncommented[problem.place.line - 1]
        assert str(problem.facts["where"]).split(".")[-1].partition("[")[0] in problem.mend
        assert "<" not in problem.what + problem.mend


@pytest.mark.parametrize(
    ("where", "example"),
    [
        ("site.altitude", "altitude: … m"),
        ("recipe.catalyst.purity", "purity: … %"),
        ("recipe.catalyst.base", "base: KOH | NaOH"),
        ("site.works_alone", "works_alone: yes | no"),
        ("vessels.tank.shape.diameter", "diameter: … m"),
        ("recipe.washing.temperature", "temperature: … degC"),
        ("safety.extinguishers[1].kind", "kind: alcohol_resistant_foam | dry_powder | carbon_dioxide"),
    ],
)
def test_a_blank_says_what_to_type(where: str, example: str) -> None:
    (problem,) = [problem for problem in blanks("one-vessel") if problem.facts["where"] == where]
    assert problem.facts["example"] == example


def test_a_blank_hides_no_other_mistake(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    text = filled("one-vessel").replace("eyewash_place:", "eyewash_spot:")
    text = text.replace("purity: 98 %", "purity: FILL-IN").replace("45 gal", "45 kg")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FillmarkError) as caught:
        loading.load(path)
    assert sorted(p.code for p in caught.value.problems) == ["fill_in", "unit_wrong_kind", "unknown_key"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_filled_in_starter_has_nothing_that_stops(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(filled(kind), encoding="utf-8")
    found = survey(path)
    assert found.stops == 0
    assert [f"{f.rule} {f.what}" for f in found.book.findings if f.severity == "stop"] == []


@pytest.mark.usefixtures("plain_pdfs")
@pytest.mark.parametrize("kind", KINDS)
def test_a_filled_in_starter_issues(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(filled(kind), encoding="utf-8")
    done = make_handbook(path, tmp_path / "build")
    assert done.issue.number == 1
    pages = [page.read_text(encoding="utf-8") for page in (done.folder / "site").glob("*.html")]
    assert pages and not any(BLANK in page for page in pages)


@pytest.mark.parametrize("kind", KINDS)
def test_start_writes_the_starter_and_never_over_a_file(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    start(kind, path)
    assert path.read_bytes() == (FOLDER / f"{kind}.yaml").read_bytes()
    path.write_text("mine")
    with pytest.raises(CannotWrite) as caught:
        start(kind, path)
    assert [p.code for p in caught.value.problems] == ["file_exists"]
    assert path.read_text() == "mine"


def test_start_makes_no_folder(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite) as caught:
        start("one-vessel", tmp_path / "nowhere" / "rig.yaml")
    assert [p.code for p in caught.value.problems] == ["cannot_write"]
    assert list(tmp_path.iterdir()) == []
