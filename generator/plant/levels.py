"""Checks of levels and volumes that all shapes share, and the search from a volume to its level."""

from __future__ import annotations

import math
from collections.abc import Callable

LEVEL_SLACK_M = 1e-9
VOLUME_SLACK_FRACTION = 1e-9
SEARCH_TOLERANCE_FRACTION = 1e-14


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
