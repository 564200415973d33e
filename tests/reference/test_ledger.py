"""The chemistry's acceptance rows: all are there, none is wider than agreed, each says where it is from."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from tests.reference.check import HERE, examples

# Widest tolerance of each row: relative, or absolute in the example's unit where it is marked.
RELATIVE = {
    "T01": 0.01, "T02": 0.001, "T03": 1e-9, "T05": 0.015, "T06": 0.01, "T07": 0.01, "T08": 0.01, "T09": 0.01,
    "T11": 0.003, "T12": 1e-9, "T13": 1e-6, "T14": 1e-6, "T15": 1e-6, "T16": 1e-6, "T17": 1e-6, "T19": 0.002,
    "T21": 0.01, "T22": 1e-9, "T25": 0.005, "T26": 0.001, "T31": 0.01, "T32": 0.001, "T33": 0.001,
    "T34": 0.001, "T35": 0.001, "T36": 0.001, "T37": 0.002, "T38": 0.002, "T39": 0.005, "T40": 0.005,
    "T43": 0.005, "T44": 0.002, "T45": 0.001, "T46": 0.005, "T47": 0.005, "T48": 0.0001, "T49": 1e-9,
    "T50": 0.001, "T52": 0.001,
}  # fmt: skip
ABSOLUTE = {
    "T04": 1e-5, "T10": 1.0, "T18": 2.0, "T20": 0.1, "T23": 0.0, "T24": 0.1, "T27": 0.01, "T28": 0.0,
    "T29": 0.1, "T30": 0.2, "T41": 0.1, "T42": 0.1, "T51": 0.1,
}  # fmt: skip
#: Within a row: 1 % holds for the freeboard of T01 only; the pressure of T51 may cost a tenth of a kelvin.
TIGHTER = {"dike_freeboard": 0.01}
T01_WALLS = 0.005
PRESSURE_OF_A_TENTH_KELVIN = 0.004
ROWS = [f"T{n:02d}" for n in range(1, 53)]
OTHERS = [yaml.safe_load((HERE / name).read_text("utf-8")) for name in ("batches.yaml", "fuel_limits.yaml")]
ROWED = [example for example in examples() if "row" in example]


def test_every_row_is_there() -> None:
    there = {example["row"] for example in ROWED} | {other["row"] for other in OTHERS}
    assert sorted(there) == ROWS
    assert sorted([*RELATIVE, *ABSOLUTE]) == ROWS


@pytest.mark.parametrize("example", ROWED, ids=lambda example: f"{example['row']}-{example['id']}")
def test_no_row_is_looser_than_agreed(example: dict[str, Any]) -> None:
    row, size = example["row"], abs(example["expected"])
    used = max(example.get("relative", 0.0) * size, example.get("absolute", 0.0))
    allowed = RELATIVE[row] * size if row in RELATIVE else ABSOLUTE[row]
    if row == "T01" and example["id"] not in TIGHTER:
        allowed = T01_WALLS * size
    if example["unit"] == "Pa" and row == "T51":
        allowed = PRESSURE_OF_A_TENTH_KELVIN * size
    assert used <= allowed * (1.0 + 1e-9)


def test_batches_and_fuel_limits_are_held_as_agreed() -> None:
    batches, limits = OTHERS
    assert batches["relative"] <= RELATIVE["T38"]
    assert limits["tolerance"] == ABSOLUTE["T23"]


def test_sources_name_a_publication_or_a_call() -> None:
    for source in [example["source"] for example in examples()] + [other["source"] for other in OTHERS]:
        kind, _, named = source.partition(":")
        assert kind in {
            "published",
            "library-computed",
            "derived",
            "from memory",
            "common practice, no source",
        }
        assert len(named.strip()) > 5, source


def test_there_are_enough_independent_checks() -> None:
    """Published and library-computed examples alone; the checks over ranges come on top."""
    independent = [e for e in examples() if e["source"].startswith(("published", "library-computed"))]
    assert len(independent) >= 60
