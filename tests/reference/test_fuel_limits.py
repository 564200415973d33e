"""The fuel standards' limits in content/ against a second reading of the published sheets and the code."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from generator.chemistry import plain_boiling, verdicts
from generator.problems import CONTENT
from tests.reference.check import HERE

ROWS: list[dict[str, Any]] = yaml.safe_load(
    (CONTENT / "limits" / "fuel_standards.yaml").read_text(encoding="utf-8")
)
SHEETS = yaml.safe_load((HERE / "fuel_limits.yaml").read_text(encoding="utf-8"))


def named(row: dict[str, Any]) -> str:
    return f"{row['property']} {row['grade']}" if "grade" in row else str(row["property"])


def test_limits_equal_the_sheets() -> None:
    ours: dict[str, dict[str, list[Any]]] = {}
    for row in ROWS:
        both = [row.get("least"), row.get("greatest")]
        assert ours.setdefault(row["standard"], {}).setdefault(named(row), both) == both
    assert ours == SHEETS["limits"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['standard']} {named(row)}")
def test_every_limit_has_unit_edition_and_source(row: dict[str, Any]) -> None:
    assert set(row) <= {
        "standard", "edition", "property", "unit", "least", "greatest", "grade", "method", "source",
    }  # fmt: skip
    assert row["unit"] and row["edition"] and ("least" in row or "greatest" in row)
    remembered = f"{row['standard']} {row['property']}" in SHEETS["from_memory"]
    assert row["source"].startswith("from memory:" if remembered else "published:")


def limit(standard: str, of: str) -> dict[str, Any]:
    return next(row for row in ROWS if row["standard"] == standard and row["property"] == of)


def test_constants_of_the_code_are_those_of_the_standards() -> None:
    assert limit("EN 14214", "sodium_and_potassium")["greatest"] * 1e-6 == pytest.approx(
        verdicts.METAL_LIMIT_FRACTION
    )
    assert limit("ASTM D6751", "acid_value")["greatest"] == verdicts.ACID_VALUE_LIMIT_MG_G
    assert limit("EN 14214", "methanol")["greatest"] / 100 == pytest.approx(
        plain_boiling.FUEL_METHANOL_LIMIT_FRACTION
    )
    for test, of, scale in (
        ("water", "water", 1e-6),
        ("density_15", "density_15", 1.0),
        ("methanol", "methanol", 0.01),
    ):
        ours = verdicts.pass_limit(test, "standard", "KOH", 0.0)  # type: ignore[arg-type]
        assert ours is not None
        assert ours.greatest == pytest.approx(limit("EN 14214", of)["greatest"] * scale)
        assert ours.least == limit("EN 14214", of).get("least", 0.0)
