"""YAML text to a tree: scalars stay text, keys and values have places, and nothing a file holds does harm."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.problems import FillmarkError, Place, Problem
from generator.profile.merge import read
from generator.profile.nodes import Tree, dotted, parse
from generator.profile.source import LIMIT_BYTES, read_text


def tree_of(text: str) -> Tree:
    tree, problems = parse(text, "p.yaml")
    assert problems == []
    assert tree is not None
    return tree


def told(text: str) -> list[tuple[str, int]]:
    _, problems = parse(text, "p.yaml")
    for problem in problems:
        assert "<" not in problem.what.replace("<<", "") and "wording" not in problem.mend
    return [(p.code, p.place.line if p.place else -1) for p in problems]


@pytest.mark.parametrize("text", ["off", "1:30", "010", "07", "1e3", "yes", "2024-01-01", "0x10", "1_000"])
def test_scalars_stay_text(text: str) -> None:
    assert tree_of(f"a: {text}\n").data == {"a": text}


@pytest.mark.parametrize("text", ["", "~", "null", "NULL"])
def test_plain_nothing_is_none_but_quoted_is_text(text: str) -> None:
    assert tree_of(f"a: {text}\n").data == {"a": None}
    assert tree_of(f"a: '{text}'\n").data == {"a": text}


def test_places_of_keys_and_values() -> None:
    tree = tree_of("one: 1\ntwo:\n  - x\n  - deep: y\n07: z\n")
    assert tree.places[("one",)] == Place("p.yaml", 1, 6)
    assert tree.places[("two", 1, "deep")] == Place("p.yaml", 4, 11)
    assert tree.key_places[("two", 1, "deep")] == Place("p.yaml", 4, 5)
    assert tree.place(("two", 1, "deep", "nowhere", 3)) == Place("p.yaml", 4, 11)
    assert tree.place(("two",)) == Place("p.yaml", 2, 1)
    assert tree.place(("absent",)) == Place("p.yaml")
    assert dotted(("two", 1, "deep")) == "two[2].deep"


def test_same_in_crlf_and_with_byte_order_mark(tmp_path: Path) -> None:
    file = tmp_path / "p.yaml"
    file.write_bytes(b"\xef\xbb\xbfa: 1\r\nb:\r\n  c: 2\r\n")
    assert read(file).tree.places[("b", "c")].line == 3
    assert read(file).text == "a: 1\r\nb:\r\n  c: 2\r\n"


def test_known_values() -> None:
    tree = tree_of("v:\n  volume: {value: 208 L, how: measured, by: K, date: 2024-05-01}\n  w: {value: 1}\n")
    assert tree.data == {"v": {"volume": "208 L", "w": {"value": "1"}}}
    known = tree.known[("v", "volume")]
    assert (known.how, known.by, str(known.date), known.place.line) == ("measured", "K", "2024-05-01", 2)
    assert tree.places[("v", "volume")] == Place("p.yaml", 2, 19)


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("a: 1\nb: {value: 1, how: guessed}", "how_unknown", 2),
        ("a: 1\nb: {value: 1, by: me}", "how_missing", 2),
        ("b: {value: 1, how: assumed, date: May}", "not_a_date", 1),
        ("b: {value: 1, how: assumed, by: [me]}", "known_not_text", 1),
        ("b: {value: 1, how: assumed, value: 2}", "duplicate_key", 1),
        ("a: 1\nb: 2\na: 3", "duplicate_key", 3),
        ("a: {b: 1,\n b: 2}", "duplicate_key", 2),
        ("[a, b]: 1", "key_not_text", 1),
        ("{a: b}: 1", "key_not_text", 1),
        ("a: 1\n~: 1", "key_empty", 2),
        ("a: &x {b: 1}\nc:\n  <<: *x", "merge_key", 3),
        ("a: !!python/object/apply:os.system ['touch harm']", "tag_refused", 1),
        ("a: 1\nb: !foo 3", "tag_refused", 2),
        ("!!map {a: 1}", "tag_refused", 1),
        ("!k a: 1", "tag_refused", 1),
        ("a: 1\n---\nb: 2", "second_document", 2),
        ("a: 1\nb: &x [*x]", "alias_of_itself", 2),
        ("a: *none", "alias_unknown", 1),
        ("", "empty_file", 0),
        ("# nothing\n", "empty_file", 0),
        ("~", "empty_file", 0),
        ("- a\n- b", "top_not_mapping", 1),
        ("just words", "top_not_mapping", 1),
        ("a:\n\tb: 1", "tab_character", 2),
        ("a: b: c", "stray_colon", 1),
        ("a: 1\nb: - c", "stray_dash", 2),
        ("a: 1\nwords\nb: 2", "missing_colon", 2),
        ("a: @x", "needs_quotes", 1),
        ("a: `x", "needs_quotes", 1),
        ("a: 1\nb: 'x\nc: 3\n", "unclosed_quote", 2),
        ("a: 1\nb: [x, y\nc: 3\n", "unclosed_bracket", 2),
        ("a:\n    b: 1\n  c: 2\n", "indentation", 3),
        ('a: 1\nb: "\\x1b[2J"', "control_character", 2),
        ('a: "\\ud800"', "control_character", 1),
        ("%YAML 9", "not_yaml", 1),
    ],
)
def test_refused_with_its_line(text: str, code: str, line: int) -> None:
    found = told(text)
    assert (code, line) in found or (code == "control_character" and found and found[0][0] == "not_yaml")
    assert len(found) == 1


def test_both_places_of_a_duplicate() -> None:
    tree, problems = parse("a: 1\nb: 2\na: 3", "p.yaml")
    assert problems[0].also == (Place("p.yaml", 1, 1),)
    assert tree is not None and tree.data == {"a": "1", "b": "2"}


def test_several_mistakes_in_one_go() -> None:
    assert told("a: !x 1\na: 2\n[k]: 3\nb: {value: 1, how: so}\n") == [
        ("tag_refused", 1),
        ("duplicate_key", 2),
        ("key_not_text", 3),
        ("how_unknown", 4),
    ]


def test_simple_aliases_are_fine() -> None:
    tree = tree_of("a: &x {b: [1, 2]}\nc: *x\n")
    assert tree.data == {"a": {"b": ["1", "2"]}, "c": {"b": ["1", "2"]}}
    assert tree.data["a"] is not tree.data["c"]
    assert tree.places[("c", "b", 0)].line == 1
    assert tree.key_places[("c",)].line == 2


def test_exploding_aliases_are_refused_at_once() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 12)]
    started = time.monotonic()
    assert [code for code, _ in told("\n".join(lines))] == ["alias_explodes"]
    assert time.monotonic() - started < 1.0


def test_aliases_that_nest_too_deep() -> None:
    lines = ["a0: &a0 [x]", *(f"a{n}: &a{n} [*a{n - 1}]" for n in range(1, 60))]
    assert [code for code, _ in told("\n".join(lines))] == ["too_deep"]


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
@pytest.mark.parametrize("times", [60, 100_000])
def test_deep_nesting_is_refused(opening: str, times: int) -> None:
    started = time.monotonic()
    assert [code for code, _ in told("a:\n " + opening * times)] == ["too_deep"]
    assert time.monotonic() - started < 5.0


def test_forty_levels_are_read() -> None:
    assert told("a: " + "[" * 38 + "x" + "]" * 38) == []


def codes(path: Path) -> list[tuple[str, int]]:
    with pytest.raises(FillmarkError) as caught:
        read(path)
    return [(p.code, p.place.line if p.place else -1) for p in caught.value.problems]


def test_files_that_are_no_profile(tmp_path: Path) -> None:
    file = tmp_path / "p.yaml"
    assert codes(file) == [("no_such_file", 0)]
    assert codes(tmp_path) == [("not_a_file", 0)]
    assert codes(Path("/dev/zero")) == [("not_a_file", 0)]
    assert codes(Path("a\0b")) == [("file_unreadable", 0)]
    assert codes(Path("n" * 5000)) == [("file_unreadable", 0)]
    file.write_bytes(os.urandom(300) + b"\0")
    assert codes(file) == [("not_text", 0)]
    file.write_bytes(b"a: 1\nb: 54 \xb0C\n")
    assert codes(file) == [("not_utf8", 2)]
    file.write_bytes("a: 1\nb: 2".encode("utf-16"))
    assert codes(file) == [("not_text", 0)]
    file.write_text("a: 1\nb: \u202egal\n\x1b: 2\n", encoding="utf-8")
    assert codes(file) == [("control_character", 2), ("control_character", 3)]


def test_ten_megabytes_are_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "p.yaml"
    file.write_bytes(b"a: 1\n" * 2_000_000)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("the file was opened")

    monkeypatch.setattr(Path, "open", never)
    assert codes(file) == [("file_too_big", 0)]


def test_reading_takes_no_longer_than_the_size_asks(tmp_path: Path) -> None:
    """Work goes with the size, not with its square: processor time for eight times as much, not the clock."""
    file, taken = tmp_path / "p.yaml", []
    for keys in (LIMIT_BYTES // 128, LIMIT_BYTES // 16):
        file.write_text("".join(f"k{n:06}: [a, b]\n" for n in range(keys)), encoding="utf-8")
        started = time.process_time()
        assert len(read(file).tree.data) == keys
        taken.append(time.process_time() - started)
    assert taken[1] < 24 * taken[0]


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda t: t.encode("utf-8", "replace"))))
def test_any_bytes_give_a_tree_or_problems(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    file = tmp_path_factory.getbasetemp() / "any.yaml"
    file.write_bytes(raw)
    told: tuple[Problem, ...] = ()
    try:
        tree = read(file).tree
    except FillmarkError as error:
        tree, told = None, error.problems
    assert (tree is None) == bool(told) and all(p.what and p.mend for p in told)


_YAMLISH = st.text(alphabet="ab:-?[]{}&*!|>'\"%@`#,~<0 \n\t\\xu", max_size=120)


@settings(max_examples=600, deadline=None)
@given(_YAMLISH)
def test_anything_like_yaml_gives_a_tree_or_problems(text: str) -> None:
    tree, problems = parse(text, "p.yaml")
    assert tree is not None or problems
    assert all(p.what and p.mend for p in problems)


def test_reading_is_bounded_even_if_the_size_lies(tmp_path: Path) -> None:
    file = tmp_path / "p.yaml"
    file.write_bytes(b"a: 1\n")
    assert read_text(file) == "a: 1\n"
