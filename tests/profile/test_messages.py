"""Mistakes that people make in a whole profile: each is told once, on its line, by its likely cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from generator.problems import CONTENT, FillmarkError, Problem
from generator.profile.load import load
from generator.register.survey import survey

TEXT = (CONTENT.parent / "equipment_profiles" / "quillmere.yaml").read_text(encoding="utf-8")
GAUGE = "gauge: {kind: sight_tube, resolution: 5 L}"
DIAL = "thermometer: {label: TI1, resolution: 1 K}"
LAYERS = "GLYCERIN: [inlet, to_drum]"
BOTH = f"{LAYERS}\n      FUEL: [inlet, to_pump]"
OIL = "batch: {oil: 180 L, measured_at: 20 degC}"
DOSE = "methanol: {percent: 22 %, measured_at: 20 degC}"

ONE = [
    # A gauge reads volumes: marks that lie so far apart are no answer; nor is a volume for a thermometer.
    (GAUGE, GAUGE.replace("5 L", "5 mm"), "gauge_resolution", "`resolution: 5 L`"),
    (DIAL, DIAL.replace("1 K", "1 L"), "thermometer_resolution", "`resolution: 1 degC`"),
    # In braces a comma ends a value.
    (DIAL, DIAL.replace("TI1", "TI1, by the door"), "comma_in_braces", '`label: "TI1, by the door"`'),
    (DIAL, DIAL.replace("1 K", "0,5 K"), "comma_in_number", "`resolution: 0.5 K`"),
    (DIAL, DIAL.replace("{label", "{grey, label"), "key_without_colon", "`key: value`"),
    (DIAL, "thermometer: {label: TI1, resolution: {value: 0,5 K, how: assumed}}", "comma_in_number", "0.5 K"),
    # A three-way valve: one port alone, none at all, and a port that only a line knows.
    (LAYERS, "GLYCERIN: [to_drum]", "position_one_port", "`GLYCERIN: [to_drum, …]`"),
    (LAYERS, "GLYCERIN: []", "no_such_valve_port", "`GLYCERIN: [to_drum, …]`"),
    (BOTH, BOTH.replace("inlet", "inlt"), "no_such_valve_port", "inlt"),
    (OIL, OIL.replace("20 degC", "10 degC"), "oil_measured_at", "15 °C or more"),
    (DOSE, DOSE.replace("20 degC", "62 degC"), "out_of_range", "≤ 60\N{NO-BREAK SPACE}°C"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "code", "mend"), ONE)
def test_it_is_told_once_on_its_line(old: str, new: str, code: str, mend: str, tmp_path: Path) -> None:
    told = _problems(tmp_path, TEXT.replace(old, new, 1))
    assert [problem.code for problem in told] == [code]
    assert mend in told[0].mend and "<" not in told[0].what + told[0].mend
    first = TEXT[: TEXT.index(old)].count("\n") + 1
    assert told[0].place is not None and abs(told[0].place.line - first) <= 1


def test_what_only_looks_like_a_comma_too_many_is_read(tmp_path: Path) -> None:
    quoted = DIAL.replace("TI1", '"TI1, by the door"')
    assert _problems(tmp_path, TEXT.replace(DIAL, quoted, 1)) == ()


def test_a_value_that_no_formula_holds_for_is_told_on_its_line(tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(TEXT.replace("purity: 90 %", "purity: 51 %"), encoding="utf-8")
    with pytest.raises(FillmarkError) as caught:
        survey(file)
    (told,) = caught.value.problems
    assert told.code == "formula_out_of_range" and told.place is not None
    assert told.place.line == TEXT[: TEXT.index("purity: 90 %")].count("\n") + 1


def _problems(folder: Path, text: str) -> tuple[Problem, ...]:
    assert text != TEXT
    file = folder / "rig.yaml"
    file.write_text(text, encoding="utf-8")
    try:
        load(file)
    except FillmarkError as error:
        return error.problems
    return ()
