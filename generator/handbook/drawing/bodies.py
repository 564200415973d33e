"""A vessel's outline in drawing units: width, height, and how high its floor stands at each place across."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generator.handbook.drawing import lettering
from generator.plant.plant import Tank
from generator.profile import vessels as described

# Drawing units: the tallest and the widest outline, and the smallest that can still be labelled.
TALLEST, WIDEST, LEAST = 150.0, 170.0, 46.0
STEPS = 12
# Words inside stand under the fill limit, an element's over or under it; a vessel too low for them is drawn
# taller.
INSIDE, ABOUT_ELEMENT, MOST_STRETCHED = 5.0, 12.0, 260.0
# An element or a label may reach so far down into a bottom before its walls close in.
IN_BOTTOM = 0.5


@dataclass(frozen=True)
class Body:
    """``bottom`` is the shape's word for it, ``depth`` what it adds or takes; heights count from the floor.

    ``words_below``: its elements' labels stand under them.
    """

    width: float
    height: float
    bottom: str = "flat"
    depth: float = 0.0
    lying: bool = False
    words_below: bool = False

    def wider(self, width: float) -> Body:
        """The same body, at least so wide."""
        return Body(
            max(self.width, width), self.height, self.bottom, self.depth, self.lying, self.words_below
        )

    def floor(self, x: float) -> float:
        """Height of the inside bottom, ``x`` from the middle."""
        part = min(abs(x) / (self.width / 2), 1.0)
        if self.bottom == "cone":
            return self.depth * part
        if self.bottom == "sloping":
            return self.depth * (x / self.width + 0.5)
        if self.bottom == "dished_in":
            return self.depth * (1 - part * part)
        if self.depth:
            return self.depth * (1 - math.sqrt(1 - part * part))
        return 0.0

    def wall(self, height: float, right: bool) -> float:
        """How far from the middle the wall stands at a height; left of it is negative."""
        sign = 1.0 if right else -1.0
        half = self.width / 2
        if self.lying:
            # The ends bulge: half an ellipse as deep as `bulge`.
            across = 2 * height / self.height - 1
            return sign * (half - self.bulge * (1 - math.sqrt(max(1 - across * across, 0.0))))
        if self.bottom == "dished_in" or height >= self.floor(sign * half):
            return sign * half
        low, high = 0.0, half
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if self.floor(sign * middle) < height else (low, middle)
        return sign * high

    @property
    def bulge(self) -> float:
        """How deep the ends of a lying vessel are."""
        return self.height * 0.16 if self.lying else 0.0

    def outline(self, up_to: float | None = None) -> list[tuple[float, float]]:
        """Corners from the top left down and round, (x from the middle, height); cut at a height."""
        top = self.height if up_to is None else min(up_to, self.height)
        if self.lying:
            heights = [top * k / STEPS for k in range(STEPS + 1)]
            left = [(self.wall(h, False), h) for h in reversed(heights)]
            return left + [(self.wall(h, True), h) for h in heights]
        half = self.width / 2
        xs = [half * (2 * k / (2 * STEPS) - 1) for k in range(2 * STEPS + 1)]
        if self.bottom in ("flat", "sloping"):
            xs = [-half, half]
        elif self.bottom == "cone":
            xs = [-half, 0.0, half]
        floor = [(x, min(self.floor(x), top)) for x in xs]
        return [(-half if self.floor(-half) < top else floor[0][0], top), *floor, (half, top)]


def bodies(tanks: Sequence[Tank]) -> dict[str, tuple[Body, float]]:
    """Each vessel's body and drawing units a metre: one scale, but no vessel smaller than can be labelled."""
    sizes = {tank.id: _size_m(tank) for tank in tanks}
    if not sizes:
        return {}
    tallest, widest = max(tall for _, tall in sizes.values()), max(wide for wide, _ in sizes.values())
    scale = min(TALLEST / tallest, WIDEST / widest)
    return {tank.id: _body(tank, sizes[tank.id], scale) for tank in tanks}


def _size_m(tank: Tank) -> tuple[float, float]:
    shape, tall_m = tank.vessel.shape, tank.shape.inside_height_m
    if isinstance(shape, described.VerticalCylinder):
        return shape.diameter_m, tall_m
    if isinstance(shape, described.HorizontalCylinder | described.Box):
        return shape.length_m, tall_m
    return shape.plan_diameter_m, tall_m


def _body(tank: Tank, size_m: tuple[float, float], scale: float) -> tuple[Body, float]:
    shape = tank.vessel.shape
    tall, below = _room_for_words(tank, size_m[1], max(size_m[1] * scale, LEAST))
    per_m = tall / size_m[1]
    wide = max(size_m[0] * scale, LEAST)
    bottom, depth_m = "flat", 0.0
    if isinstance(shape, described.VerticalCylinder) and shape.bottom != "flat":
        bottom, depth_m = shape.bottom, _depth_m(tank)
    elif isinstance(shape, described.Box) and shape.floor_slope_m:
        bottom, depth_m = "sloping", _depth_m(tank)
    lying = isinstance(shape, described.HorizontalCylinder)
    return Body(round(wide), tall, bottom, depth_m * per_m, lying, below), per_m


def _depth_m(tank: Tank) -> float:
    """How far the bottom reaches up into the vessel."""
    shape = tank.vessel.shape
    if isinstance(shape, described.Box):
        return shape.floor_slope_m
    if not isinstance(shape, described.VerticalCylinder) or shape.bottom == "flat":
        return 0.0
    if shape.bottom == "torispherical":
        return tank.shape.inside_height_m - shape.height_m
    return shape.bottom_depth_m if shape.bottom_depth_m is not None else shape.diameter_m / 4


def element_heights(tank: Tank, per_m: float) -> dict[str, float]:
    """Height of each element's hot part by heater, moved apart where their labels would meet."""
    tops = sorted((heater.top_of_hot_part_m * per_m, id_) for id_, heater in tank.vessel.heaters.items())
    placed: dict[str, float] = {}
    low = 0.0
    for height, id_ in tops:
        placed[id_] = max(height, low)
        low = placed[id_] + lettering.block(tank.vessel.heaters[id_].label).height + ABOUT_ELEMENT
    return placed


def _room_for_words(tank: Tank, height_m: float, tall: float) -> tuple[float, bool]:
    """A height at which label, elements and their labels stand clear, and whether the latter stand below."""
    tall = float(round(tall))
    label = lettering.block(tank.label).height
    limit_m, depth_m = tank.shape.level_at(tank.limit_m3), _depth_m(tank)
    while tall < MOST_STRETCHED:
        per_m = tall / height_m
        heights = element_heights(tank, per_m)
        over = limit_m * per_m - label - INSIDE
        if not heights:
            if over >= depth_m * per_m * IN_BOTTOM + 2 or tank.vessel.shape.kind != "vertical_cylinder":
                return tall, False
        else:
            words = max(lettering.block(heater.label).height for heater in tank.vessel.heaters.values())
            lowest, highest = min(heights.values()), max(heights.values())
            if over - highest >= words + ABOUT_ELEMENT and lowest >= depth_m * per_m * IN_BOTTOM:
                return tall, False
            if over - highest >= 4 and lowest - depth_m * per_m >= words + ABOUT_ELEMENT:
                return tall, True
        tall += 4.0
    return tall, False
