"""Bottoms of an upright cylinder: volume below a level within them, and its inverse. SI floats.

Derived by integrating the cross-section over the height; held against the sources named in ``geometry``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.plant.levels import require_positive, search_level


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
