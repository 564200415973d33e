"""A vessel known only by its measured dip table: levels and the volumes they stand for."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

from generator.plant.levels import checked_level, checked_volume, require_positive


@dataclass(frozen=True)
class DipTable:
    """Measured marks, at least two, both columns rising; straight lines in between.

    Straight lines, because an operator can check them with a ruler and they invert exactly. Levels (m)
    count from the lowest inside point. A table that starts above level 0 is joined to (0 m, 0 m3); what it
    says below `lowest_mark_m` is then a guess. `footprint_m2` may be given; otherwise the steepest stretch
    stands for it. Raises ValueError for uneven columns, fewer than two marks, or marks that do not rise
    from 0.
    """

    levels_m: tuple[float, ...]
    volumes_m3: tuple[float, ...]
    footprint_m2: float | None = None

    def __post_init__(self) -> None:
        if len(self.levels_m) != len(self.volumes_m3) or len(self.levels_m) < 2:
            raise ValueError("a dip table needs at least two marks, each with a level and a volume")
        if not all(math.isfinite(value) for value in (*self.levels_m, *self.volumes_m3)):
            raise ValueError("a dip table's marks must be finite")
        for name, column in (("levels_m", self._levels), ("volumes_m3", self._volumes)):
            if column[0] != 0.0 or any(low >= high for low, high in pairwise(column)):
                raise ValueError(f"{name} must rise strictly from level 0, volume 0: {column!r}")
        if self.footprint_m2 is not None:
            require_positive(footprint_m2=self.footprint_m2)

    @property
    def lowest_mark_m(self) -> float:
        """Lowest measured level (m)."""
        return self.levels_m[0]

    @property
    def _levels(self) -> tuple[float, ...]:
        return self.levels_m if self.levels_m[0] == 0.0 else (0.0, *self.levels_m)

    @property
    def _volumes(self) -> tuple[float, ...]:
        return self.volumes_m3 if self.levels_m[0] == 0.0 else (0.0, *self.volumes_m3)

    @property
    def inside_height_m(self) -> float:
        """The highest mark (m)."""
        return self.levels_m[-1]

    @property
    def crown_height_m(self) -> float:
        """0: a dip table does not tell how its bottom is shaped."""
        return 0.0

    def volume_at(self, level_m: float) -> float:
        """Volume (m3) below a level; ValueError below 0 or above the highest mark."""
        return _interpolate(self._levels, self._volumes, checked_level(level_m, self.inside_height_m))

    def level_at(self, volume_m3: float) -> float:
        """Level (m) of a volume; ValueError below 0 or above the last mark's volume."""
        return _interpolate(self._volumes, self._levels, checked_volume(volume_m3, self.capacity_m3()))

    def capacity_m3(self) -> float:
        """Volume (m3) of the highest mark."""
        return self.volumes_m3[-1]

    def plan_area_m2(self) -> float:
        """Footprint (m2): as given, or the largest rise of volume per rise of level between two marks."""
        if self.footprint_m2 is not None:
            return self.footprint_m2
        marks = list(zip(self._levels, self._volumes, strict=True))
        return max((v1 - v0) / (h1 - h0) for (h0, v0), (h1, v1) in pairwise(marks))

    def shell_area_m2(self) -> float:
        """Estimate (m2): the upright round vessel with flat ends and the same footprint and height."""
        plan_m2 = self.plan_area_m2()
        return 2.0 * plan_m2 + 2.0 * math.sqrt(math.pi * plan_m2) * self.inside_height_m


def _interpolate(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    """Value at `x` on the straight lines through the points; `x` lies within `xs`, which rise strictly."""
    upper = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    x0, x1, y0, y1 = xs[upper - 1], xs[upper], ys[upper - 1], ys[upper]
    if x == x1:
        return y1
    return y0 + (y1 - y0) * ((x - x0) / (x1 - x0))
