"""Pydantic's errors as problems with places, over small models of the tests' own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from generator.problems import FillmarkError, Problem
from generator.profile import load as loading
from generator.profile.merge import read
from generator.profile.nodes import parse
from generator.profile.salvage import UNKNOWN
from generator.profile.schema import schema_of
from generator.profile.validate import Result, validate


def _litres(value: Any, info: Any) -> float:
    if not isinstance(value, str):
        raise PydanticCustomError("wrong_shape", "not a quantity", {"kind": "volume"})
    number, _, unit = value.partition(" ")
    if unit != "L":
        facts = {"unit": unit, "units": (info.context or {}).get("units")}
        raise PydanticCustomError("made_up", "a unit of another kind", facts)
    return float(number)


Litres = Annotated[float, BeforeValidator(_litres)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$")]


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Drum(Part):
    kind: Literal["drum"]
    width: Litres


class Cone(Part):
    kind: Literal["cone"]
    angle: float = Field(gt=0, le=90)


class Tank(Part):
    label: str = Field(min_length=1, max_length=8)
    volume_l: Litres = Field(alias="volume")
    shape: Annotated[Drum | Cone, Field(discriminator="kind")]
    material: Literal["steel", "stainless", "plastic"] = "steel"
    closed: bool = True
    count: int | None = None
    notes: str | list[str] | None = None
    bolts: list[Drum | Cone] = Field(default_factory=list)

    @model_validator(mode="after")
    def _plastic(self) -> Tank:
        if self.material == "plastic" and self.closed:
            raise PydanticCustomError("plastic_closed", "plastic", {"at": "material"})
        return self


class Site(Part):
    altitude: Litres
    place: str
    mains: Drum | None = None


class Rig(Part):
    name: str
    site: Site
    tanks: dict[Id, Tank] = Field(min_length=1)
    lines: dict[Id, list[str]] = Field(default_factory=dict)


SHAPE = "shape: {kind: drum | cone, …}"
GOOD = """name: rig
site: {altitude: 3 L, place: barn}
tanks:
  a:
    label: A
    volume: 20 L
    shape: {kind: cone, angle: 30}
"""


def result_of(text: str) -> Result[Rig]:
    tree, problems = parse(text, "p.yaml")
    assert tree is not None and not problems
    return validate(tree, Rig, {"units": "us"})


def told(text: str) -> list[tuple[str, int]]:
    return [(p.code, p.place.line if p.place else -1) for p in result_of(text).problems]


def only(text: str) -> Problem:
    (problem,) = result_of(text).problems
    assert problem.what
    assert problem.code in ("made_up", "plastic_closed") or "<" not in problem.mend
    return problem


def test_a_good_file_gives_an_instance() -> None:
    result = result_of(GOOD)
    assert result.problems == () and result.broken == frozenset()
    assert result.instance is result.partial is not None
    assert result.instance.tanks["a"].volume_l == 20.0


@pytest.mark.parametrize(
    ("lines", "code", "line", "facts"),
    [
        ("    colour: red", "unknown_key", 8, {"key": "colour"}),
        ("    materiel: steel", "unknown_key", 8, {"near": "material", "closest": "material"}),
        ("    material: stainles", "not_one_of", 8, {"allowed": "stainless, steel, plastic"}),
        ("    material: [steel]", "wrong_shape", 8, {"where": "tanks.a.material"}),
        ("    material:", "empty_value", 8, {"example": "material: steel | stainless | plastic"}),
        ("    closed: maybe", "not_yes_no", 8, {"text": "maybe"}),
        ("    count: 1.5", "not_whole", 8, {"text": "1.5"}),
        ("    notes: {a: b}", "wrong_shape", 8, {}),
        ("    bolts: [{kind: cone, angle: 200}]", "out_of_range", 8, {"limit": "≤ 90"}),
        ("    bolts: [{kind: cone, angle: 0}]", "out_of_range", 8, {"where": "tanks.a.bolts[1].angle"}),
        ("    bolts: [{kind: cone, angle: wide}]", "not_a_number", 8, {"text": "wide"}),
        ("    bolts: [{kind: cone, angel: 20}]", "unknown_key", 8, {"near": "angle"}),
        ("    bolts: {kind: cone}", "wrong_shape", 8, {"wanted": "bolts: […, …]"}),
        ("    material: plastic", "plastic_closed", 8, {}),
    ],
)
def test_one_mistake_in_a_tank(lines: str, code: str, line: int, facts: dict[str, str]) -> None:
    problem = only(GOOD + lines + "\n")
    assert problem.place is not None
    assert (problem.code, problem.place.line) == (code, line)
    assert {key: problem.facts[key] for key in facts} == facts


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "facts"),
    [
        ("volume: 20 L", "volume: 20 gal", "made_up", 6, {"unit": "gal", "units": "us"}),
        ("volume: 20 L", "volume:", "empty_value", 6, {"where": "tanks.a.volume"}),
        ("volume: 20 L", "volume: [1, 2]", "wrong_shape", 6, {"key": "volume"}),
        ("volume: 20 L\n    ", "", "missing_key", 4, {"key": "volume", "where": "tanks.a"}),
        ("volume: 20 L", "volum: 20 L", "unknown_key", 6, {"near": "volume"}),
        ("label: A", "label: ''", "text_too_short", 5, {"limit": 1}),
        ("label: A", "label: much too long a label", "text_too_long", 5, {"limit": 8}),
        ("kind: cone", "kind: kone", "not_one_of", 7, {"key": "kind", "allowed": "cone, drum"}),
        ("kind: cone, ", "", "missing_key", 7, {"key": "kind", "where": "tanks.a.shape"}),
        ("kind: cone", "kind: ", "empty_value", 7, {"key": "kind"}),
        ("{kind: cone, angle: 30}", "round", "wrong_shape", 7, {"where": "tanks.a.shape"}),
        ("angle: 30", "angle: 30, cone: 4", "unknown_key", 7, {"key": "cone"}),
        ("angle: 30", "", "missing_key", 7, {"key": "angle", "example": "angle: …"}),
        ("shape: {kind: cone, angle: 30}", "", "missing_key", 4, {"example": SHAPE}),
        ("  a:\n", "  A b:\n", "id_not_fit", 4, {"key": "A b"}),
        ("name: rig\n", "", "missing_section", 0, {"key": "name"}),
        ("{altitude: 3 L, place: barn}", "x", "wrong_shape", 2, {"wanted": "site: {altitude: …, place: …}"}),
        (", place: barn", "", "missing_key", 2, {"key": "place", "where": "site"}),
    ],
)
def test_one_mistake_elsewhere(old: str, new: str, code: str, line: int, facts: dict[str, Any]) -> None:
    assert old in GOOD
    problem = only(GOOD.replace(old, new))
    assert problem.place is not None
    assert (problem.code, problem.place.line) == (code, line)
    assert {key: problem.facts[key] for key in facts} == facts


TEN = """name:
site: {altitude: 3 ft, place: barn}
tanks:
  a:
    label: A
    volume: 20 gal
    shape: {kind: kone}
    material: stel
  b:
    label: B
    shape: {kind: cone, angle: -4}
    closed: perhaps
    colour: red
  C: {label: C, volume: 1 L, shape: {kind: drum, width: 2 L}}
lines: {x: y}
"""


def test_ten_mistakes_ten_messages_each_with_its_line() -> None:
    assert sorted(told(TEN), key=lambda pair: (pair[1], pair[0])) == [
        ("empty_value", 1),
        ("made_up", 2),
        ("made_up", 6),
        ("not_one_of", 7),
        ("not_one_of", 8),
        ("missing_key", 9),
        ("out_of_range", 11),
        ("not_yes_no", 12),
        ("unknown_key", 13),
        ("id_not_fit", 14),
        ("wrong_shape", 15),
    ]


def test_what_is_sound_can_still_be_used() -> None:
    tank = "  b: {label: B, volume: 1 gal, shape: {kind: cone, angle: 4}}\n"
    text = GOOD + tank + "lines: {x: [a, b], y: z}\nlimes: {q: []}\n"
    result = result_of(text.replace("altitude: 3 L", "altitude: 3"))
    assert result.instance is None and result.partial is not None
    assert set(result.partial.tanks) == {"a"}
    assert result.partial.lines == {"x": ["a", "b"]}
    assert result.partial.site.place == "barn"
    assert result.partial.site.mains is None
    assert result.broken == {"b", "y", "q"}


def test_a_section_that_is_no_mapping_is_named_as_broken() -> None:
    result = result_of(GOOD + "lines: []\n")
    assert result.partial is not None and result.partial.lines == {}
    assert result.broken == {"lines"}


def test_missing_sections_still_leave_a_stand_in() -> None:
    result = result_of("name: x\n")
    assert [p.code for p in result.problems] == ["missing_section", "missing_section"]
    assert result.partial is not None and result.partial.tanks == {} and result.partial.site.mains is None


def test_a_faulty_part_of_a_section_reads_as_unknown() -> None:
    text = GOOD.replace("altitude: 3 L, place: barn", "altitude: 3 L, mains: {kind: dram}")
    result = result_of(text)
    assert result.partial is not None
    place: Any = result.partial.site.place
    mains: Any = result.partial.site.mains
    assert mains.width is UNKNOWN
    assert not place and place is UNKNOWN and list(place.anything["x"].items()) == []
    assert place != "barn" and "barn" not in place and not place < 3


def test_what_the_tree_reported_is_not_told_twice() -> None:
    tree, problems = parse(GOOD.replace("volume: 20 L", "volume: !litre 20"), "p.yaml")
    assert tree is not None
    assert [p.code for p in problems] == ["tag_refused"]
    result = validate(tree, Rig)
    assert result.problems == () and result.instance is None and result.broken == {"a"}


def test_an_error_points_at_the_file_that_holds_it(tmp_path: Path) -> None:
    (tmp_path / "base.yaml").write_text(GOOD.replace("20 L", "20 gal"), encoding="utf-8")
    (tmp_path / "rig.yaml").write_text("based_on: base.yaml\ntanks:\n  a: {colour: red}\n", encoding="utf-8")
    found = {p.code: p.place for p in validate(read(tmp_path / "rig.yaml").tree, Rig).problems}
    unit, unknown = found["made_up"], found["unknown_key"]
    assert unit is not None and (Path(unit.file).name, unit.line) == ("base.yaml", 6)
    assert unknown is not None and (Path(unknown.file).name, unknown.line) == ("rig.yaml", 3)


def test_markup_in_text_is_only_text() -> None:
    result = result_of(GOOD.replace("place: barn", 'place: "<script>alert(1)</script>"'))
    assert result.instance is not None and result.instance.site.place == "<script>alert(1)</script>"
    problem = only(GOOD + "    material: '{0.__class__} {text}'\n")
    assert "{0.__class__} {text}" in problem.what


def test_at_most_fifty_and_how_many_more() -> None:
    text = GOOD + "".join(f"    k{n:03}: 1\n" for n in range(80))
    shown = loading.capped(result_of(text).problems, "p.yaml")
    assert len(shown) == loading.MOST_SHOWN + 1
    assert shown[-1].code == "more_problems" and shown[-1].facts == {"count": 30}
    assert [p.place.line for p in shown[:3] if p.place] == [8, 9, 10]


_WORDS = st.sampled_from(["cone", "drum", "20 L", "steel", "a", "[key]", "x"])
_LEAF = st.one_of(st.none(), _WORDS, st.text(max_size=5))
_KEYS = st.sampled_from(["name", "site", "tanks", "lines", "a", "shape", "kind", "cone", "volume", "bolts"])


def _grown(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.lists(inner, max_size=3), st.dictionaries(_KEYS, inner, max_size=5))


_TREES = st.recursive(_LEAF, _grown, max_leaves=25)


@settings(max_examples=400, deadline=None)
@given(st.dictionaries(_KEYS, _TREES, max_size=5), st.dictionaries(_KEYS, _TREES, max_size=5))
def test_any_tree_gives_an_instance_or_worded_problems(data: dict[str, Any], tank: dict[str, Any]) -> None:
    tree, _ = parse("a: 1", "p.yaml")
    assert tree is not None
    tree.data = {**data, "tanks": {"a": tank}}
    result = validate(tree, Rig)
    assert (result.instance is None) == bool(result.problems)
    assert result.partial is not None
    assert all(p.what and p.mend for p in result.problems)


def test_loading_ten_megabytes_is_one_problem(tmp_path: Path) -> None:
    file = tmp_path / "my_rig.yaml"
    file.write_bytes(b"a: 1\n" * 2_000_000)
    with pytest.raises(FillmarkError) as caught:
        loading.load(file)
    assert [p.code for p in caught.value.problems] == ["file_too_big"]


def test_schema_accepts_what_the_loader_accepts() -> None:
    made = schema_of(Rig, "rig")
    whole = made["$defs"]["Whole"]
    tank = made["$defs"]["Tank"]
    assert made["$schema"].endswith("2020-12/schema") and made["then"] == {"$ref": "#/$defs/WholeDifference"}
    assert whole["required"] == ["name", "site", "tanks"] and whole["additionalProperties"] is False
    label = tank["properties"]["label"]["anyOf"]
    assert label[0] == {"type": ["string", "number"], "minLength": 1, "maxLength": 8}
    assert label[1] == {"$ref": "#/$defs/KnownValue"}
    assert tank["properties"]["closed"]["anyOf"][0] == {"type": ["boolean", "string"]}
    assert tank["properties"]["material"]["anyOf"][0]["enum"] == ["steel", "stainless", "plastic"]
    loose = made["$defs"]["TankDifference"]
    assert "required" not in loose and {"type": "null"} in loose["properties"]["volume"]["anyOf"]
    assert _references(made) <= {f"#/$defs/{name}" for name in made["$defs"]}


def _references(node: Any) -> set[str]:
    if isinstance(node, list):
        return set().union(*map(_references, node)) if node else set()
    if not isinstance(node, dict):
        return set()
    here = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
    return here.union(*map(_references, node.values())) if node else here
