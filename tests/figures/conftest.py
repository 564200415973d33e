"""Books of figures of the demo rigs, as they stand or edited."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.plant.plant import Plant
from generator.profile.model import Profile

PROFILES = Path(__file__).resolve().parents[2] / "equipment_profiles"
PUMPS = {"quillmere": ("p1", "p2"), "larkstead": ("pump", "pump"), "withyburn": ("pump", "pump")}
REMOVE = object()

BookOf = Callable[..., FigureBook]


def make_book(name: str, edits: Mapping[str, Any] | None = None, *, pumps: bool = True) -> FigureBook:
    """Figures of a demo rig; ``edits`` maps a dotted path to its new text, or to REMOVE."""
    text = (PROFILES / f"{name}.yaml").read_text(encoding="utf-8")
    tree: dict[str, Any] = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - BaseLoader makes text only
    for path, value in (edits or {}).items():
        *way, last = path.split(".")
        part = tree
        for key in way:
            part = part[key]
        if value is REMOVE:
            del part[last]
        else:
            part[last] = value
    plant = Plant(Profile.model_validate(tree, context={"units": tree["units"]}))
    react, finish = PUMPS[name] if pumps else (None, None)
    return compute(plant, react_pump=react, finish_pump=finish)


@pytest.fixture(scope="session")
def book_of() -> BookOf:
    return make_book


@pytest.fixture(scope="session")
def remove() -> object:
    return REMOVE


@pytest.fixture(scope="session")
def quillmere() -> FigureBook:
    return make_book("quillmere")


@pytest.fixture(scope="session")
def larkstead() -> FigureBook:
    return make_book("larkstead")
