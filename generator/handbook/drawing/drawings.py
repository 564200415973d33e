"""The drawings of a handbook: the whole plant, and one for each line-up, with titles and descriptions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from generator.handbook.drawing.gather import whole
from generator.handbook.drawing.layout import lay_out
from generator.handbook.drawing.legend import Meaning, legend, words
from generator.handbook.drawing.parts import Diagram, Fitting, Nozzle
from generator.handbook.drawing.placed import Key, Layout
from generator.handbook.drawing.route_view import LineUpView, nozzles_in_order, of_line_up
from generator.handbook.drawing.routing import taken
from generator.handbook.drawing.svg import svg
from generator.handbook.marks import clean
from generator.plant.lineup import LineUp
from generator.plant.plant import Plant

# The sheet a line-up is drawn for: half a page's width, so that its type keeps its size.
NARROW = ((500.0, 620.0),)


@dataclass(frozen=True)
class Drawing:
    """``lying``: it is wider than high and wants its sheet turned. Sizes are in px at 96 to the inch."""

    svg: Markup
    legend: tuple[Meaning, ...]
    width: float
    height: float

    @property
    def lying(self) -> bool:
        return self.width > self.height


def plant_drawing(plant: Plant) -> Drawing:
    """The whole plant, valves as they normally stand."""
    diagram = whole(plant)
    layout = lay_out(diagram)
    texts = words()["plant"]
    title = str(texts["title"]).format(plant=clean(plant.profile.name))
    described = str(texts["described"]).format(
        vessels=", ".join(f"{v.item.shown} {v.item.name}" for v in layout.vessels),
        lines="; ".join(_lines_in_words(diagram)),
    )
    return _made(layout, svg(layout, title, described))


def line_up_drawing(plant: Plant, line_up: LineUp, title: str) -> Drawing:
    """One line-up: the way of the liquid heavy, valves as they stand while it runs; ``title`` is text."""
    view = of_line_up(plant, line_up)
    layout = lay_out(view.diagram, NARROW)
    courses = [nozzles_in_order(view, course) for course in view.courses]
    lines, leaves = taken(layout, courses)
    named = str(words()["line_up"]["title"]).format(title=title)
    drawn = svg(layout, named, _flow_in_words(view, courses), lines, leaves)
    return _made(layout, drawn)


def _made(layout: Layout, drawn: Markup) -> Drawing:
    return Drawing(drawn, tuple(legend(layout)), layout.width, layout.height)


def _shown(fittings: tuple[Fitting, ...]) -> list[str]:
    return [fitting.shown for fitting in fittings if fitting.shown]


def _lines_in_words(diagram: Diagram) -> Iterator[str]:
    """Every line from end to end with the labels in it, in the profile's order."""
    texts, shown = words()["plant"], {item.id: item.shown for item in diagram.items}
    by_net: dict[str, list[Nozzle]] = {}
    for nozzle in diagram.nozzles:
        by_net.setdefault(nozzle.net or f"{nozzle.item}.{nozzle.run}", []).append(nozzle)
    for nozzles in by_net.values():
        starts = [n for n in nozzles if n.flow == "out"]
        ends = [n for n in nozzles if n.flow == "in"]
        labels = [label for n in (*starts, *ends) for label in _shown(n.fittings)]
        where = " + ".join(dict.fromkeys(shown[n.item] for n in starts if shown[n.item]))
        to = " + ".join(dict.fromkeys(shown[n.item] for n in ends if shown[n.item]))
        if not labels and not (where and to):
            continue
        pattern = texts["through"] if labels else texts["line"]
        spout = texts["spout"]
        yield str(pattern).format(start=where or spout, end=to or spout, fittings=", ".join(labels))


def _flow_in_words(view: LineUpView, courses: list[list[Key]]) -> str:
    """Labels in the order in which the liquid passes them, then which valves are open and closed."""
    texts = words()["line_up"]
    nozzles = {nozzle.key: nozzle for nozzle in view.diagram.nozzles}
    shown = {item.id: item.shown for item in view.diagram.items}
    flows = []
    for keys, course in zip(courses, view.courses, strict=True):
        at, said = course.ends[0].partition(".")[0], [shown.get(course.ends[0].partition(".")[0], "")]
        for key in keys:
            nozzle = nozzles[key]
            if nozzle.item == at:
                said += _shown(nozzle.fittings)
                at = ""
            else:
                said += [*_shown(nozzle.fittings[::-1]), shown[nozzle.item]]
                at = nozzle.item
        flows.append(" → ".join(text for text in said if text))
    flow = flows[0] + "".join(str(texts["also"]).format(flow=other) for other in flows[1:])
    fittings = [f for nozzle in view.diagram.nozzles for f in nozzle.fittings]
    stand = {
        state: ", ".join(dict.fromkeys(f.shown for f in fittings if f.state == state)) or texts["no_valve"]
        for state in ("open", "closed")
    }
    turned = ", ".join(
        str(texts["turned_one"]).format(valve=item.shown, position=item.position)
        for item in view.diagram.items
        if item.position
    )
    said_turned = str(texts["turned"]).format(turned=turned) if turned else ""
    return str(texts["described"]).format(flow=flow, **stand) + said_turned
