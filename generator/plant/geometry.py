"""Vessel geometry: liquid level to volume and back, shell area, footprint.

Every shape is a frozen dataclass that implements `Shape`. All figures are SI floats. A level is measured
upwards from the lowest inside point of the vessel, and a vessel holds liquid up to `inside_height_m`.

The volumes are derived by integrating the cross-section over the height. The tests hold them against
D. Jones, "Calculating Tank Volume" and "Compute Fluid Volumes in Vertical Tanks" (Chemical Processing, 2003).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

LEVEL_SLACK_M = 1e-9
VOLUME_SLACK_FRACTION = 1e-9
SEARCH_TOLERANCE_FRACTION = 1e-14


class Shape(Protocol):
    """What the rest of the program may ask of a vessel's inside."""

    @property
    def inside_height_m(self) -> float:
        """Height of the top of the straight side above the lowest inside point."""

    @property
    def crown_height_m(self) -> float:
        """Height of the highest point of a dished-in bottom above the lowest inside point; otherwise 0."""

    def volume_at(self, level_m: float) -> float:
        """Volume (m3) below `level_m`; ValueError below 0 or above the inside height."""

    def level_at(self, volume_m3: float) -> float:
        """Level (m) at which the vessel holds `volume_m3`; ValueError below 0 or above the capacity."""

    def capacity_m3(self) -> float:
        """Volume (m3) at `inside_height_m`."""

    def shell_area_m2(self) -> float:
        """Whole inside surface: bottom, sides and a flat top (m2). Meant for heat loss."""

    def plan_area_m2(self) -> float:
        """Footprint seen from above (m2)."""


def require_positive(**sizes: float) -> None:
    """Raise ValueError unless every named size is a finite number above zero."""
    for name, value in sizes.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} must be finite and above 0, got {value!r}")


def checked_level(level_m: float, inside_height_m: float) -> float:
    """Return the level, at most the inside height; ValueError outside the vessel or for NaN."""
    if not 0.0 <= level_m <= inside_height_m + LEVEL_SLACK_M:
        raise ValueError(f"level_m {level_m!r} is outside 0 to {inside_height_m!r}")
    return min(level_m, inside_height_m)


def checked_volume(volume_m3: float, capacity_m3: float) -> float:
    """Return the volume, at most the capacity; ValueError when the vessel cannot hold it or for NaN.

    A relative excess of 1e-9 counts as full, because volumes that are summed step by step carry rounding.
    """
    if not 0.0 <= volume_m3 <= capacity_m3 * (1.0 + VOLUME_SLACK_FRACTION):
        raise ValueError(f"volume_m3 {volume_m3!r} is outside 0 to {capacity_m3!r}")
    return min(volume_m3, capacity_m3)


def search_level(volume_below: Callable[[float], float], volume_m3: float, top_m: float) -> float:
    """Level (m) in 0..`top_m` where the rising function `volume_below` (m to m3) reaches `volume_m3`.

    Bisection cannot leave the bracket; its tolerance is relative to the level found, for near-empty vessels.
    """
    if volume_m3 <= 0.0:
        return 0.0
    low, high = 0.0, top_m
    while high - low > SEARCH_TOLERANCE_FRACTION * high:
        middle = 0.5 * (low + high)
        if volume_below(middle) < volume_m3:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@dataclass(frozen=True)
class Bottom:
    """Bottom of an upright cylinder; on its own a flat one. The other bottoms refine it.

    Methods take the cylinder's inside radius (m). The bottom zone is the height over which the cross-section
    is still growing; above it the cylinder is full width.
    """

    @property
    def crown_height_m(self) -> float:
        """Height (m) of a bottom that stands up in the middle; 0 for all others."""
        return 0.0

    def check(self, radius_m: float) -> None:
        """Raise ValueError if this bottom cannot fit a cylinder of that radius."""

    def zone_height_m(self, radius_m: float) -> float:
        """Height (m) of the bottom zone."""
        return 0.0

    def volume_below(self, radius_m: float, level_m: float) -> float:
        """Volume (m3) below a level within the bottom zone."""
        return 0.0

    def level_within(self, radius_m: float, volume_m3: float) -> float:
        """Inverse of `volume_below` (m)."""
        return search_level(lambda h: self.volume_below(radius_m, h), volume_m3, self.zone_height_m(radius_m))

    def area_m2(self, radius_m: float) -> float:
        """Surface (m2) of the bottom itself."""
        return math.pi * radius_m**2


@dataclass(frozen=True)
class DeepBottom(Bottom):
    """What the bottoms of a given depth (m) share."""

    depth_m: float

    def __post_init__(self) -> None:
        require_positive(depth_m=self.depth_m)

    def zone_height_m(self, radius_m: float) -> float:
        return self.depth_m


@dataclass(frozen=True)
class ConeBottom(DeepBottom):
    """Cone with its point down."""

    def volume_below(self, radius_m: float, level_m: float) -> float:
        return math.pi * radius_m**2 * level_m**3 / (3.0 * self.depth_m**2)

    def level_within(self, radius_m: float, volume_m3: float) -> float:
        return math.cbrt(3.0 * self.depth_m**2 * volume_m3 / (math.pi * radius_m**2))

    def area_m2(self, radius_m: float) -> float:
        return math.pi * radius_m * math.hypot(radius_m, self.depth_m)


@dataclass(frozen=True)
class EllipsoidalBottom(DeepBottom):
    """Half an ellipsoid of revolution, dished out; a 2:1 head is a quarter of the diameter deep."""

    def volume_below(self, radius_m: float, level_m: float) -> float:
        part = level_m / self.depth_m
        return math.pi * radius_m**2 * level_m * part * (1.0 - part / 3.0)

    def area_m2(self, radius_m: float) -> float:
        short, long = sorted((radius_m, self.depth_m))
        eccentricity = math.sqrt((long - short) * (long + short)) / long
        # Near a hemisphere both factors tend to 1; dividing by an eccentricity of 0 would not.
        if eccentricity < 1e-6:
            return 2.0 * math.pi * radius_m**2
        if self.depth_m < radius_m:
            # atanh(e) written with the short axis, so that a very shallow dish does not reach atanh(1).
            log_term = math.log((1.0 + eccentricity) * long / short) / eccentricity
            return math.pi * (radius_m**2 + self.depth_m**2 * log_term)
        return math.pi * radius_m * (radius_m + self.depth_m * math.asin(eccentricity) / eccentricity)


@dataclass(frozen=True)
class TorisphericalBottom(Bottom):
    """Dished head: a spherical dish of radius f*D that meets the side in a knuckle of radius k*D.

    Needs 0 < k <= 0.5 <= f and k < f.
    """

    dish_fraction: float
    knuckle_fraction: float

    def __post_init__(self) -> None:
        require_positive(dish_fraction=self.dish_fraction, knuckle_fraction=self.knuckle_fraction)
        if not self.knuckle_fraction <= 0.5 <= self.dish_fraction > self.knuckle_fraction:
            raise ValueError("needs knuckle_fraction <= 0.5 <= dish_fraction, and the knuckle the smaller")

    def _angle(self) -> float:
        """Half angle (rad) of the dish, where it touches the knuckle."""
        return math.asin((0.5 - self.knuckle_fraction) / (self.dish_fraction - self.knuckle_fraction))

    def _dish_height_m(self, radius_m: float) -> float:
        # 1 - cos, written so that a flat dish keeps its digits.
        return 4.0 * self.dish_fraction * radius_m * math.sin(0.5 * self._angle()) ** 2

    def _knuckle_height_m(self, radius_m: float) -> float:
        return 2.0 * self.knuckle_fraction * radius_m * math.cos(self._angle())

    def zone_height_m(self, radius_m: float) -> float:
        return self._dish_height_m(radius_m) + self._knuckle_height_m(radius_m)

    def volume_below(self, radius_m: float, level_m: float) -> float:
        dish_height_m = self._dish_height_m(radius_m)
        dish_radius_m = 2.0 * self.dish_fraction * radius_m
        in_dish_m = min(level_m, dish_height_m)
        volume_m3 = math.pi * in_dish_m**2 * (dish_radius_m - in_dish_m / 3.0)
        if level_m > dish_height_m:
            volume_m3 += self._knuckle_volume(radius_m, self.zone_height_m(radius_m) - level_m)
        return volume_m3

    def _knuckle_volume(self, radius_m: float, below_tangent_m: float) -> float:
        """Volume (m3) from the knuckle's lower edge up to `below_tangent_m` under the tangent line."""
        knuckle_m = 2.0 * self.knuckle_fraction * radius_m
        centre_m = radius_m - knuckle_m
        lower, upper = self._knuckle_height_m(radius_m), below_tangent_m

        def half_chord(w: float) -> float:
            root = math.sqrt(max(knuckle_m**2 - w**2, 0.0))
            return 0.5 * (w * root + knuckle_m**2 * math.asin(min(w / knuckle_m, 1.0)))

        # The cross-section is pi*(centre + sqrt(knuckle^2 - w^2))^2, w below the tangent line.
        square = (centre_m**2 + knuckle_m**2) * (lower - upper)
        cross = 2.0 * centre_m * (half_chord(lower) - half_chord(upper))
        return math.pi * (square + cross - (lower**3 - upper**3) / 3.0)

    def area_m2(self, radius_m: float) -> float:
        knuckle_m = 2.0 * self.knuckle_fraction * radius_m
        dish_m2 = 4.0 * math.pi * self.dish_fraction * radius_m * self._dish_height_m(radius_m)
        turn = 0.5 * math.pi - self._angle()
        torus = (radius_m - knuckle_m) * turn + self._knuckle_height_m(radius_m)
        return dish_m2 + 2.0 * math.pi * knuckle_m * torus


@dataclass(frozen=True)
class CapBottom(DeepBottom):
    """Spherical cap dished out; at most a half sphere."""

    def check(self, radius_m: float) -> None:
        if self.depth_m > radius_m:
            raise ValueError(f"depth_m {self.depth_m!r} is more than the radius {radius_m!r}")

    def volume_below(self, radius_m: float, level_m: float) -> float:
        sphere_m = (radius_m**2 + self.depth_m**2) / (2.0 * self.depth_m)
        return math.pi * level_m**2 * (sphere_m - level_m / 3.0)

    def area_m2(self, radius_m: float) -> float:
        return math.pi * (radius_m**2 + self.depth_m**2)


@dataclass(frozen=True)
class DishedInBottom(CapBottom):
    """The same cap turned up, as in domestic heaters: lowest at the rim, `depth_m` higher in the middle."""

    @property
    def crown_height_m(self) -> float:
        return self.depth_m

    def volume_below(self, radius_m: float, level_m: float) -> float:
        # The ring between cap and side has the area pi*z*(2*(sphere radius - depth) + z) at height z.
        sphere_less_depth_m = (radius_m - self.depth_m) * (radius_m + self.depth_m) / (2.0 * self.depth_m)
        return math.pi * level_m**2 * (sphere_less_depth_m + level_m / 3.0)


@dataclass(frozen=True)
class VerticalCylinder:
    """Upright cylinder with a flat top; its inside height includes the bottom."""

    diameter_m: float
    inside_height_m: float
    bottom: Bottom = field(default_factory=Bottom)

    def __post_init__(self) -> None:
        require_positive(diameter_m=self.diameter_m, inside_height_m=self.inside_height_m)
        self.bottom.check(self._radius_m)
        if self._zone_m > self.inside_height_m:
            raise ValueError(f"inside_height_m {self.inside_height_m!r} is below the top of the bottom")

    @property
    def _radius_m(self) -> float:
        return 0.5 * self.diameter_m

    @property
    def _zone_m(self) -> float:
        return self.bottom.zone_height_m(self._radius_m)

    @property
    def crown_height_m(self) -> float:
        return self.bottom.crown_height_m

    def volume_at(self, level_m: float) -> float:
        level_m, zone_m = checked_level(level_m, self.inside_height_m), self._zone_m
        in_bottom_m3 = self.bottom.volume_below(self._radius_m, min(level_m, zone_m))
        return in_bottom_m3 + self.plan_area_m2() * max(level_m - zone_m, 0.0)

    def level_at(self, volume_m3: float) -> float:
        volume_m3, zone_m = checked_volume(volume_m3, self.capacity_m3()), self._zone_m
        above_m3 = volume_m3 - self.bottom.volume_below(self._radius_m, zone_m)
        if above_m3 < 0.0:
            return min(self.bottom.level_within(self._radius_m, volume_m3), zone_m)
        return min(zone_m + above_m3 / self.plan_area_m2(), self.inside_height_m)

    def capacity_m3(self) -> float:
        return self.volume_at(self.inside_height_m)

    def shell_area_m2(self) -> float:
        side_m = self.inside_height_m - (self._zone_m - self.crown_height_m)
        ends_m2 = self.bottom.area_m2(self._radius_m) + self.plan_area_m2()
        return ends_m2 + math.pi * self.diameter_m * side_m

    def plan_area_m2(self) -> float:
        return math.pi * self._radius_m**2


def _angle_less_sine(angle_rad: float) -> float:
    """angle - sin(angle), by its series where the difference would lose digits (below 0.3 rad)."""
    if angle_rad >= 0.3:
        return angle_rad - math.sin(angle_rad)
    square = angle_rad * angle_rad
    tail = 1.0 - square / 42.0 * (1.0 - square / 72.0 * (1.0 - square / 110.0))
    return angle_rad * square / 6.0 * (1.0 - square / 20.0 * tail)


@dataclass(frozen=True)
class HorizontalCylinder:
    """Cylinder lying level, with flat ends."""

    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        require_positive(diameter_m=self.diameter_m, length_m=self.length_m)

    @property
    def inside_height_m(self) -> float:
        return self.diameter_m

    @property
    def crown_height_m(self) -> float:
        return 0.0

    def volume_at(self, level_m: float) -> float:
        level_m = checked_level(level_m, self.diameter_m)
        angle_rad = 4.0 * math.asin(math.sqrt(level_m / self.diameter_m))
        return self.length_m * self.diameter_m**2 / 8.0 * _angle_less_sine(angle_rad)

    def level_at(self, volume_m3: float) -> float:
        volume_m3 = checked_volume(volume_m3, self.capacity_m3())
        return search_level(self.volume_at, volume_m3, self.diameter_m)

    def capacity_m3(self) -> float:
        return self.volume_at(self.diameter_m)

    def shell_area_m2(self) -> float:
        return math.pi * self.diameter_m * (self.length_m + 0.5 * self.diameter_m)

    def plan_area_m2(self) -> float:
        return self.diameter_m * self.length_m


@dataclass(frozen=True)
class Box:
    """Upright box such as an IBC; its floor may fall evenly by `floor_fall_m` along the length."""

    length_m: float
    width_m: float
    inside_height_m: float
    floor_fall_m: float = 0.0

    def __post_init__(self) -> None:
        require_positive(length_m=self.length_m, width_m=self.width_m)
        require_positive(inside_height_m=self.inside_height_m)
        if not 0.0 <= self.floor_fall_m <= self.inside_height_m:
            raise ValueError(f"floor_fall_m {self.floor_fall_m!r} is outside 0 to the inside height")

    @property
    def crown_height_m(self) -> float:
        return 0.0

    def volume_at(self, level_m: float) -> float:
        level_m = checked_level(level_m, self.inside_height_m)
        if level_m < self.floor_fall_m:
            return self.plan_area_m2() * level_m**2 / (2.0 * self.floor_fall_m)
        return self.plan_area_m2() * (level_m - 0.5 * self.floor_fall_m)

    def level_at(self, volume_m3: float) -> float:
        mean_depth_m = checked_volume(volume_m3, self.capacity_m3()) / self.plan_area_m2()
        if mean_depth_m < 0.5 * self.floor_fall_m:
            return math.sqrt(2.0 * self.floor_fall_m * mean_depth_m)
        return min(mean_depth_m + 0.5 * self.floor_fall_m, self.inside_height_m)

    def capacity_m3(self) -> float:
        return self.volume_at(self.inside_height_m)

    def shell_area_m2(self) -> float:
        floor_m2 = self.width_m * math.hypot(self.length_m, self.floor_fall_m)
        perimeter_m = 2.0 * (self.length_m + self.width_m)
        mean_height_m = self.inside_height_m - 0.5 * self.floor_fall_m
        return floor_m2 + perimeter_m * mean_height_m + self.plan_area_m2()

    def plan_area_m2(self) -> float:
        return self.length_m * self.width_m
