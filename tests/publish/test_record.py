"""record.json has the shape that machines rely on, in SI, the same every time."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from generator.handbook.book import Book
from generator.handbook.pages import pages
from generator.problems import Place
from generator.publish.record import record, to_bytes
from generator.quantities import QUANTITIES
from generator.rehearsal.campaign import Report
from generator.rehearsal.violation import Violation
from generator.review.finding import Finding
from tests.handbook.stub import DRAFT, ISSUE, book

SHAPE: dict[str, Any] = {
    "schema": int,
    "plant": dict,
    "issue": {"number": int, "date": str, "draft": bool},
    "figures": dict,
    "line_ups": [
        {
            "id": str,
            "title": str,
            "streams": [{"from": str, "to": str, "driver": str, "opening": str}],
            "open": [str],
            "touching": [str],
            "guard": [str],
            "positions": dict,
            "hoses": list,
        }
    ],
    "procedures": [
        {
            "id": str,
            "title": str,
            "steps": [
                {
                    "number": str,
                    "text": str,
                    "expected": str,
                    "otherwise": str,
                    "operation": str,
                    "equipment": [str],
                    "valves": [str],
                }
            ],
        }
    ],
    "findings": [
        {
            "rule": str,
            "severity": str,
            "accepted": (dict, type(None)),
            "what": str,
            "where": str,
            "mend": str,
            "source": str,
        }
    ],
    "rehearsal": {
        "runs": [str],
        "violations": [
            {
                "rule": str,
                "severity": str,
                "run": str,
                "procedure": str,
                "step": str,
                "equipment": [str],
                "value": (float, type(None)),
                "limit": (float, type(None)),
                "unit": str,
            }
        ],
    },
    "documents": [{"id": str, "kind": str, "title": str, "file": str, "fingerprint": str}],
}
FIGURE = {"value": float, "unit": str, "shown": str, "formula": str, "inputs": list, "source": str}
FIGURE["own_value"] = bool


def fits(value: Any, shape: Any, where: str = "record") -> None:
    if isinstance(shape, dict):
        assert isinstance(value, dict), where
        assert set(value) == set(shape), where
        for key, inner in shape.items():
            fits(value[key], inner, f"{where}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), where
        for item in value:
            fits(item, shape[0], where)
    else:
        assert isinstance(value, shape), f"{where}: {value!r}"


@pytest.fixture(scope="module", params=("quillmere", "larkstead"))
def plant(request: pytest.FixtureRequest) -> Book:
    return book(request.param)


@pytest.fixture(scope="module")
def data(plant: Book) -> dict[str, Any]:
    made = record(plant, ISSUE, [page.document for page in pages(plant, ISSUE)])
    loaded: dict[str, Any] = json.loads(to_bytes(made))
    return loaded


def test_shape(data: dict[str, Any]) -> None:
    fits(data, SHAPE)
    assert data["schema"] == 1
    for figure_id, figure in data["figures"].items():
        fits(figure, FIGURE, figure_id)


def test_values_are_si(plant: Book, data: dict[str, Any]) -> None:
    oil, ceiling = data["figures"]["oil_volume"], data["figures"]["ceiling"]
    assert (oil["unit"], ceiling["unit"]) == ("m3", "degC")
    assert oil["value"] == plant.profile.recipe.batch.oil_m3
    assert ceiling["value"] == plant.figures["ceiling"].value


def test_every_kind_of_quantity_has_a_unit() -> None:
    from generator.publish.record import _UNITS

    assert set(_UNITS) == set(QUANTITIES)


def test_steps_are_plain_text(data: dict[str, Any]) -> None:
    texts = [step["text"] for procedure in data["procedures"] for step in procedure["steps"]]
    assert any("[" in text for text in texts)
    assert not any("\ue000" <= char <= "\ue00f" for text in texts for char in text)


def test_labels_not_ids(plant: Book, data: dict[str, Any]) -> None:
    labels = {valve.label for valve in plant.profile.valves.values()}
    for line_up in data["line_ups"]:
        for part in ("open", "touching", "guard"):
            assert set(line_up[part]) <= labels


def test_fingerprints_are_sha256_and_unique(data: dict[str, Any]) -> None:
    prints = [document["fingerprint"] for document in data["documents"]]
    assert all(len(found) == 64 and int(found, 16) for found in prints)
    assert len(set(prints)) == len(prints)


def test_same_bytes_twice(plant: Book) -> None:
    documents = [page.document for page in pages(plant, ISSUE)]
    assert to_bytes(record(plant, ISSUE, documents)) == to_bytes(record(plant, ISSUE, documents))


def test_a_draft_has_no_number(plant: Book) -> None:
    assert record(plant, DRAFT, [])["issue"] == {"number": None, "date": DRAFT.date, "draft": True}


def test_a_finding_names_file_and_line_and_no_folder(plant: Book) -> None:
    place = Place(str(plant.loaded.path.resolve()), 12)
    found = replace(plant, findings=(Finding("S36-site", "note", place, facts={"total": "1", "limit": "2"}),))
    assert record(found, ISSUE, [])["findings"][0]["where"] == f"{plant.loaded.path.name}:12"


def test_the_rehearsal_says_what_was_run_and_what_did_not_hold(plant: Book) -> None:
    place = Place("content/procedures/stub.yaml", 7)
    fault = Violation("fill", "batch", "charge", "2.4", place, ("tank",), 0.3, 0.25, "volume")
    made = record(replace(plant, report=Report(("batch",), (fault,), ())), ISSUE, [])
    fits(made["rehearsal"], SHAPE["rehearsal"])
    assert made["rehearsal"]["runs"] == ["batch"]
    (told,) = made["rehearsal"]["violations"]
    assert (told["rule"], told["value"], told["unit"]) == ("rehearsal-fill", 0.3, "m3")
    assert record(replace(plant, report=None), ISSUE, [])["rehearsal"] is None
