"""Every layout is scored: nothing overlaps, no line runs through or along what is not its own."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from typing import get_args

import pytest

from generator.handbook.book import Book
from generator.handbook.drawing import legend, lettering, symbols
from generator.handbook.drawing.drawings import NARROW, line_up_drawing, plant_drawing
from generator.handbook.drawing.gather import PROCESS, whole
from generator.handbook.drawing.layout import lay_out
from generator.handbook.drawing.placed import Box, Layout, Line
from generator.handbook.drawing.route_view import nozzles_in_order, of_line_up
from generator.handbook.drawing.routing import taken
from generator.plant.plant import Plant
from generator.profile.vessels import Role
from generator.publish import fonts
from generator.register.survey import survey
from tests.handbook.drawing.made_up import made_up
from tests.handbook.drawing.score import score
from tests.rigs import PROFILES, edited, rig

DEMOS = ("quillmere", "larkstead", "withyburn")
# Vessels, valves, seed: from a rig of four valves to one of forty.
SIZES = [
    (2, 4, 0),
    (3, 6, 0),
    (4, 9, 1),
    (5, 12, 2),
    (7, 16, 3),
    (9, 22, 4),
    (11, 28, 5),
    (14, 34, 6),
    (16, 40, 7),
]


@cache
def book(name: str) -> Book:
    """A demo rig with all the line-ups that its procedures ask for."""
    return survey(PROFILES / f"{name}.yaml").book


def demo(name: str) -> Plant:
    return Plant(rig(name))


def drawn_valves(layout: Layout) -> Counter[str]:
    """How often each valve of the profile is drawn, joints' valves included."""
    ids = [s.id for s in layout.symbols if s.kind != "joint"]
    ids += [f.id for s in layout.symbols if s.item is not None and s.kind == "joint" for f in s.item.fittings]
    return Counter(ids)


@pytest.mark.parametrize(("name", "most_crossings"), [("quillmere", 9), ("larkstead", 1), ("withyburn", 6)])
def test_demo_plants_are_drawn_without_fault(name: str, most_crossings: int) -> None:
    found = score(lay_out(whole(demo(name))))
    assert found.faults == ()
    assert found.crossings <= most_crossings


@pytest.mark.parametrize(("vessels", "valves", "seed"), SIZES)
def test_made_up_plants_are_drawn_without_fault(vessels: int, valves: int, seed: int) -> None:
    plant = made_up(vessels, valves, seed)
    layout = lay_out(whole(plant))
    found = score(layout)
    assert found.faults == ()
    assert found.crossings <= 2 * valves
    drawn = drawn_valves(layout)
    assert {id_: drawn[id_] for id_ in plant.profile.valves} == dict.fromkeys(plant.profile.valves, 1)
    labels = Counter(" ".join(label.lines) for label in layout.labels)
    assert {valve.label for valve in plant.profile.valves.values()} <= set(labels)


@pytest.mark.parametrize("name", DEMOS)
def test_line_ups_are_drawn_without_fault(name: str) -> None:
    made = book(name)
    for line_up in made.line_ups.values():
        view = of_line_up(made.plant, line_up)
        layout = lay_out(view.diagram, NARROW)
        assert score(layout).faults == (), line_up.id
        states = {s.id: s.state for s in layout.symbols if s.state}
        kinds = made.profile.valves
        assert {v for v in line_up.open if kinds[v].kind != "check"} <= {
            v for v in states if states[v] == "open"
        }
        assert {*line_up.touching, *line_up.guard} == {v for v, state in states.items() if state == "closed"}


@pytest.mark.parametrize("name", DEMOS)
def test_the_way_of_the_liquid_is_one_piece_from_source_to_destination(name: str) -> None:
    made = book(name)
    for line_up in made.line_ups.values():
        view = of_line_up(made.plant, line_up)
        layout = lay_out(view.diagram, NARROW)
        courses = [nozzles_in_order(view, course) for course in view.courses]
        lines, leaves = taken(layout, courses)
        on_way = {line.nozzle for line in lines if line.nozzle is not None}
        assert on_way == {key for course in courses for key in course}, line_up.id
        first, last = courses[0][0], courses[0][-1]
        assert leaves[first] and not leaves[last]
        assert first[0] == line_up.streams[0].source and last[0] == line_up.streams[0].destination


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda d: replace(d, labels=(*d.labels, d.labels[0])), "overlaps"),
        (lambda d: replace(d, symbols=(*d.symbols, d.symbols[0])), "overlaps"),
        (lambda d: replace(d, lines=(*d.lines, _across(d.labels[0].box))), "runs through label"),
        (lambda d: replace(d, lines=(*d.lines, _across(d.symbols[0].box))), "runs through symbol"),
        (lambda d: replace(d, lines=(*d.lines, _across(d.vessels[0].box))), "runs through vessel"),
        (lambda d: replace(d, lines=(*d.lines, replace(d.lines[0], net="other"))), "run along"),
        (lambda d: replace(d, lines=(*d.lines, _onto(d.lines[0]))), "touches"),
        (lambda d: replace(d, width=10.0), "outside"),
    ],
)
def test_the_score_sees_what_is_wrong(spoil: object, said: str) -> None:
    layout = lay_out(whole(demo("quillmere")))
    assert callable(spoil)
    assert any(said in fault for fault in score(spoil(layout)).faults)


def _across(box: Box) -> Line:
    middle = (box.top + box.bottom) / 2
    return Line("stray", (box.left - 30, middle), (box.right + 30, middle), "pipe")


def _onto(line: Line) -> Line:
    x, y = line.start
    return Line("stray", (x, y), (x, y + 3) if line.level else (x + 3, y), "pipe")


@pytest.mark.parametrize("name", DEMOS)
def test_a_drawing_is_the_same_in_every_run(name: str) -> None:
    assert plant_drawing(demo(name)).svg == plant_drawing(demo(name)).svg


def test_a_change_elsewhere_leaves_a_line_ups_drawing_alone() -> None:
    made = book("quillmere")
    line_up = made.line_ups["around-finisher"]
    other = edited(
        "quillmere",
        {
            "vessels.oil_drum.label": "OIL DRUM 2",
            "vessels.dryer.shape.height": "1.4 m",
            "valves.v01.label": "first valve",
            "lines.dryer_sample": None,
            "drawing": {"positions": {"finisher": {"column": "1"}}},
        },
    )
    assert line_up_drawing(Plant(other), line_up, "x").svg == line_up_drawing(made.plant, line_up, "x").svg
    renamed = edited("quillmere", {"valves.v11.label": "11 new"})
    assert line_up_drawing(Plant(renamed), line_up, "x").svg != line_up_drawing(made.plant, line_up, "x").svg


def test_every_shape_has_its_words() -> None:
    shapes = symbols.shapes()
    said = set(legend.words()["legend"]) - {"heading"}
    lines = {
        "open",
        "closed",
        "tee",
        "choice",
        "hop",
        "vapour",
        "element",
        "dip",
        "mark",
        "heel",
        "three_way",
    }
    assert said == {*shapes["fittings"], *shapes["blocks"], *lines}


def test_every_role_has_its_place_in_the_process() -> None:
    assert set(PROCESS) == set(get_args(Role))


def test_the_owner_may_pin_places() -> None:
    pins = {
        "fuel_tank": {"column": "1", "row": "1"},
        "oil_drum": {"column": "2", "row": "1"},
        "p1": {"column": "1", "row": "0"},
    }
    layout = lay_out(whole(Plant(edited("quillmere", {"drawing": {"positions": pins}}))))
    assert score(layout).faults == ()
    top = min(vessel.base for vessel in layout.vessels)
    first = sorted((v for v in layout.vessels if v.base == top), key=lambda v: v.x)
    assert [v.item.id for v in first[:2]] == ["fuel_tank", "oil_drum"]
    pump = next(s for s in layout.symbols if s.id == "p1")
    assert pump.y < min(v.box.top for v in layout.vessels)


def test_a_label_never_takes_more_room_than_it_is_given() -> None:
    from fontTools.ttLib import TTFont

    with TTFont(fonts.folder() / fonts.WEIGHTS[700]) as font:
        glyphs, metrics, per_em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        for code in range(32, 0x250):
            if code in glyphs:
                real = lettering.SIZE * metrics[glyphs[code]][0] / per_em
                assert lettering.width(chr(code)) >= real, chr(code)
