"""Demo rigs of each kind, expanded once."""

from __future__ import annotations

from functools import cache

import pytest

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.operations.expand import Expanded, expand, react_pump
from generator.plant.plant import Plant
from tests.rigs import rig

RIGS = ("quillmere", "larkstead", "withyburn")


@cache
def expanded(name: str) -> tuple[Plant, FigureBook, Expanded]:
    plant = Plant(rig(name))
    figures = compute(plant, react_pump=react_pump(plant), finish_pump=None)
    return plant, figures, expand(plant, figures)


@pytest.fixture(params=RIGS)
def demo(request: pytest.FixtureRequest) -> tuple[Plant, FigureBook, Expanded]:
    return expanded(request.param)
