"""The change notice: what it says of equipment, labels, figures, paper, training and checks."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
import yaml

from generator.operations.steps import plain
from generator.problems import CONTENT, FillmarkError
from generator.register import log, notice_files, notice_text
from generator.register.approval import Approval
from generator.register.compare import side, sides
from generator.register.make import make_handbook
from generator.register.notice import Notice, notice
from generator.register.snapshot import name_of

RIGS = CONTENT.parent / "equipment_profiles"
Compare = Callable[..., Notice]


@pytest.fixture
def compare(profile: Path) -> Compare:
    """The notice between a copy of a rig and the same with texts replaced."""

    def made(*edits: tuple[str, str]) -> Notice:
        text = profile.read_text(encoding="utf-8")
        for old, new in edits:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        changed = profile.with_name("changed.yaml")
        changed.write_text(text, encoding="utf-8")
        return notice(side(str(profile)), side(str(changed)))

    return made


def texts(some: tuple[str, ...]) -> list[str]:
    return [plain(text) for text in some]


def line_of(profile: Path, text: str) -> int:
    return next(n for n, line in enumerate(profile.read_text().split("\n"), 1) if text in line)


def test_an_element_of_other_power_is_traced_to_its_line(compare: Compare, profile: Path) -> None:
    made = compare(("rated_power: 4.5 kW", "rated_power: 5.5 kW"))
    (item,) = made.items
    assert plain(item.title) == "Heater [H] · [TANK] Processing tank"
    (row,) = item.rows
    where = f"changed.yaml:{line_of(profile, 'rated_power')}"
    assert (row.what, row.old, row.new, row.where) == ("rated power", "4.5 kW", "5.5 kW", where)
    assert made.figures
    for figure in made.figures:
        assert texts(figure.because) == [f"Heater [H] · [TANK] Processing tank · rated power ({where})"]
        assert figure.old != figure.new
    power = next(f for f in made.figures if f.title.startswith("Heater power"))
    assert plain(power.title).endswith("[TANK]")
    checks = texts(made.checks)
    assert any(text.startswith("[H]: switch off and lock") for text in checks)
    assert any("cover level" in text and "[TANK]" in text for text in checks)
    assert not any("line-up" in text for text in checks)
    assert not any("new card" in text for text in checks)
    assert {"page-cards", "cover"} <= {chapter.id for chapter in made.chapters}


def test_a_watt_density_that_stayed_with_another_power_is_asked_for(compare: Compare, profile: Path) -> None:
    power = ("rated_power: 4.5 kW", "rated_power: 5.5 kW")
    stated = re.search(r"rated_watt_density: [^#\n]+", profile.read_text(encoding="utf-8"))
    assert stated is not None
    asked = [text for text in texts(compare(power).checks) if "still states the old watt density" in text]
    assert len(asked) == 1 and asked[0].startswith("[H]:")
    both = compare(power, (stated[0], "rated_watt_density: 14 W/in2 "))
    assert not any("still states" in text for text in texts(both.checks))


def test_a_renumbered_valve_is_the_same_valve(compare: Compare) -> None:
    made = compare(('v6: {label: "6"', 'v6: {label: "16"'), ("name: Fuel hose", "name: Fuel hose at valve 6"))
    labels = texts(made.labels)
    assert "[6] is retired. [16] is the same valve under its new label." in labels
    assert any(text.startswith("changed.yaml:") and "still says [6]" in text for text in labels)
    assert len(labels) == 2
    assert not made.figures
    assert made.down and {card.id for card in made.down} == {card.id for card in made.up}
    assert any(pair.old != pair.new and "\ue00016\ue001" in pair.new for s in made.steps for pair in s.pairs)
    assert any(text.startswith("[16]: hang the new label") for text in texts(made.checks))
    assert "Walk each changed line-up" in " ".join(texts(made.checks))


def test_a_tank_swapped_under_its_old_label_is_another_tank(compare: Compare) -> None:
    made = compare(
        ("  fuel_drum:\n", "  new_fuel_drum:\n"),
        ("name: Fuel drum", "name: Fuel drum of the second kind"),
        ("ends: [fuel_drum.top]", "ends: [new_fuel_drum.top]"),
    )
    (swap,) = [text for text in texts(made.labels) if text.startswith("[FUEL]")]
    assert "another thing now" in swap and "Fuel drum of the second kind" in swap
    assert any(row.what == "another one in its place" for item in made.items for row in item.rows)
    assert any("[FUEL]: check the vent" in text for text in texts(made.checks))


def test_a_label_that_meant_another_valve_is_told(compare: Compare) -> None:
    made = compare(('v6: {label: "6"', 'v6: {label: "5"'), ('v5: {label: "5"', 'v5: {label: "6"'))
    told = [text for text in texts(made.labels) if "Take every old card" in text]
    assert len(told) == 2 and any(text.startswith("[5] meant valve v5") for text in told)


def test_what_came_and_went_is_named(compare: Compare) -> None:
    made = compare(
        ("  sampler: {label: S", '  v8: {label: "8", kind: ball, place: Pump outlet}\n  sampler: {label: S'),
        ("to: discharge, holds: 0.1 gal}", "to: discharge, valves: [v8], holds: 0.1 gal}"),
        ("    agitator: {label: CRANK, kind: hand, rated_for_vapour: yes}\n", ""),
    )
    rows = {(plain(item.title), row.what) for item in made.items for row in item.rows}
    assert ("Valve [8]", "new") in rows
    assert ("Line pump.out → discharge", "valves") in rows
    assert any(what.startswith("agitator") for _, what in rows)
    assert any(text.startswith("[8]: turn it") for text in texts(made.checks))


def test_nothing_changed_says_so(compare: Compare) -> None:
    made = compare()
    assert made.nothing and not made.summary and not made.down
    assert "Nothing has changed" in "\n".join(notice_text.lines(made))
    assert "Nothing has changed" in notice_files.html(made)


def test_a_change_of_a_base_is_traced_to_the_base(tmp_path: Path) -> None:
    for folder, altitude in (("old", "180 m"), ("new", "190 m")):
        (tmp_path / folder).mkdir()
        for name in ("quillmere", "highfold"):
            text = (RIGS / f"{name}.yaml").read_text(encoding="utf-8").replace("180 m", altitude)
            if folder == "new":
                text = text.replace("rated_power: 4 kW", "rated_power: 3.5 kW")
            (tmp_path / folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    made = notice(*sides(*(str(tmp_path / f / "highfold.yaml") for f in ("old", "new"))))
    assert {row.where.split(":")[0] for item in made.items for row in item.rows} == {"quillmere.yaml"}
    assert len(made.items) == 1  # highfold states its own altitude
    assert all("quillmere.yaml:" in why for figure in made.figures for why in figure.because)


# --- issues of the register


@pytest.mark.usefixtures("plain_pdfs")
def test_the_last_issue_is_compared_with_the_profile_as_it_stands(profile: Path) -> None:
    def issue(day: int, **given: str) -> None:
        make_handbook(profile, profile.parent / "build", today=date(2030, 4, day), approval=Approval(**given))

    def change(old: str, new: str) -> None:
        profile.write_text(profile.read_text().replace(old, new))

    with pytest.raises(FillmarkError) as caught:
        sides(str(profile), None)
    assert caught.value.problems[0].code == "nothing_issued"
    issue(2)
    change('v6: {label: "6"', 'v6: {label: "16"')
    first = notice(*sides(str(profile), None))
    assert first.old == "issue 1 of 2030-04-02" and first.new.endswith("larkstead.yaml as it stands")
    assert {card.issue for card in first.down} == {"1"}
    assert {card.issue for card in first.up} == {"next issue"}
    assert {card.issue for card in first.leave} == {"1"}
    issue(3, by="A. Keeper", reason="New labels", until="2030-06-01")
    second = notice(*sides(f"{profile}@1", f"{profile}@last"))
    assert [card.id for card in second.down] == [card.id for card in first.down]
    assert {card.issue for card in second.up} == {"2"}
    assert (second.approved, second.reason, second.until) == ("A. Keeper", "New labels", "2030-06-01")
    # The label 6 comes back on another valve: an old card with it may still hang somewhere.
    change('v7: {label: "7"', 'v7: {label: "6"')
    third = notice(*sides(str(profile), None))
    assert any("[6] meant valve v6 until issue 1" in text for text in texts(third.labels))
    with pytest.raises(FillmarkError) as caught:
        sides(f"{profile}@7", f"{profile}@1")
    assert caught.value.problems[0].code == "no_such_issue"


@pytest.mark.usefixtures("plain_pdfs")
def test_an_issue_that_an_earlier_version_recorded_is_compared_by_its_documents(profile: Path) -> None:
    make_handbook(profile, profile.parent / "build", today=date(2030, 4, 2))
    folder = log.folder_of(profile)
    data = json.loads((folder / log.FILE).read_text())
    first = {key: data[key] for key in ("number", "date", "profile", "documents", "cards")}
    first["documents"]["card-dose"] = "0" * 64
    (folder / log.FILE).write_text(json.dumps({"schema": 1, **first}) + "\n")
    (folder / log.LAST).unlink()
    (folder / name_of(1)).unlink()
    made = notice(*sides(str(profile), None))
    assert [card.id for card in made.up] == ["card-dose"] and [c.id for c in made.chapters] == [
        "page-cards",
        "cover",
    ]
    assert any("no copy" in note for note in made.notes)
    assert not made.figures and not made.steps


def test_a_figure_that_the_program_moved_is_called_so(profile: Path) -> None:
    from dataclasses import replace

    old = side(str(profile))
    printed = {**old.record, "figures": {**old.record["figures"]}}
    printed["figures"]["ceiling"] = {**printed["figures"]["ceiling"], "shown": "1 °F"}
    made = notice(replace(old, record=printed), old)
    (moved,) = made.figures
    assert (moved.old, moved.because) == ("1 °F", ("the program or its wording was changed since",))


# --- words, page and command


def test_every_check_is_short_and_finds_its_facts() -> None:
    checks = yaml.safe_load((CONTENT / "change" / "checks.yaml").read_text(encoding="utf-8"))
    for entry in checks:
        assert entry["match"] and set(entry) <= {"match", "kinds", "unless", "do"}
        assert set(entry.get("kinds", ())) <= {"added", "removed", "changed", "relabelled", "swapped"}
        for text in entry["do"]:
            filled = text.format(label="[1]", vessel="[2]")
            for sentence in filled.split(". "):
                assert len(sentence.split()) <= 20, sentence


def test_the_page_holds_all_of_it_and_escapes_what_the_owner_wrote(compare: Compare) -> None:
    named = ("name: Fuel hose", "name: <b>Fuel</b> hose")
    made = compare(named, ("rated_power: 4.5 kW", "rated_power: 5 kW"))
    page = notice_files.html(made)
    assert "<b>Fuel</b>" not in page and "&lt;b&gt;Fuel" in page
    for card in made.down:
        assert card.id in page
    for figure in made.figures:
        assert figure.new in page
    assert "http" not in page and "<script" not in page
    assert page.count("<h2") >= 6


def test_the_command_prints_and_writes_the_notice(profile: Path) -> None:
    changed = profile.with_name("changed.yaml")
    changed.write_text(profile.read_text().replace("rated_power: 4.5 kW", "rated_power: 5.5 kW"))
    words = [sys.executable, "-m", "generator.cli", "compare", str(profile), str(changed)]
    out = profile.parent / "notice"
    done = subprocess.run(
        [*words, "--out", str(out), "--until", "2031-06-01"],
        cwd=CONTENT.parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "4.5 kW → 5.5 kW" in done.stdout and "Temporary change. It ends on 2031-06-01" in done.stdout
    assert (out / "change-notice.pdf").read_bytes().startswith(b"%PDF")
    assert "2031-06-01" in (out / "change-notice.html").read_text()
    wrong = subprocess.run(
        [*words, "--until", "soon"], cwd=CONTENT.parent, capture_output=True, text=True, check=False
    )
    assert wrong.returncode == 2 and "is not a date" in wrong.stderr and "Traceback" not in wrong.stderr
