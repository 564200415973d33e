"""A drawing is read by its description; its shape counts in the fingerprint of its page."""

from __future__ import annotations

from generator.handbook.document import fingerprint, reading
from generator.handbook.drawing.drawings import plant_drawing
from generator.plant.plant import Plant
from generator.register.aligned import said
from tests.rigs import edited, rig


def test_a_drawing_reads_as_its_title_and_description() -> None:
    lines = said(reading(str(plant_drawing(Plant(rig("larkstead"))).svg)))
    assert len(lines) == 1
    assert lines[0].startswith("Drawing of the plant Larkstead barn rig")
    assert "Processing tank" in lines[0] and "red handle" in lines[0]


def test_another_shape_is_another_fingerprint() -> None:
    plants = [Plant(rig("larkstead")), Plant(edited("larkstead", {"vessels.tank.shape.diameter": "36 in"}))]
    pages = [str(plant_drawing(plant).svg) for plant in plants]
    assert said(reading(pages[0])) == said(reading(pages[1]))
    assert fingerprint("x", [pages[0]]) != fingerprint("x", [pages[1]])
