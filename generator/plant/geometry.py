"""Vessel geometry: liquid level to volume and back, shell area, footprint.

Every shape is a frozen dataclass that implements `Shape`. All figures are SI floats. A level is measured
upwards from the lowest inside point of the vessel, and a vessel holds liquid up to `inside_height_m`.

The volumes are derived by integrating the cross-section over the height. The tests hold them against
D. Jones, "Calculating Tank Volume" and "Compute Fluid Volumes in Vertical Tanks" (Chemical Processing, 2003).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Protocol

from generator.plant.bottoms import Bottom
from generator.plant.levels import checked_level, checked_volume, require_positive, search_level


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
