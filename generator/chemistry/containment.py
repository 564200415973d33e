"""Spill containment: what a bund must hold, what it does hold beside the vessels in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from generator.chemistry.ranges import not_negative, positive, within

#: Room above the largest vessel (published: EPA SPCC Guidance for Regional Inspectors 2013, rule of thumb).
SPARE_FACTOR: Final = 1.10
#: Share of all that stands in the bund (published: Oil Storage (England) Regulations 2001).
ENGLAND_SHARE: Final = 0.25


@dataclass(frozen=True)
class Standing:
    """A vessel that stands in the bund and is not the leaking one: the room it takes up to a height."""

    footprint_m2: float
    bottom_above_floor_m: float
    top_above_floor_m: float


def containment_needed_m3(largest_m3: float, area_m2: float, rain_m: float) -> float:
    """Volume a bund must hold for its largest vessel, with room for rain or a tenth more.

    Equation: max(1.10 V_max, V_max + A r).
    Args:
        largest_m3: largest vessel in the bund [m3], above 0.
        area_m2: plan area of the bund [m2], above 0.
        rain_m: rain that may stand in it, 0 under a roof [m], 0 to 1.
    Returns: volume [m3].
    Source: published; 40 CFR 112.7(c) and EPA SPCC Guidance for Regional Inspectors (2013), ch. 4; the tenth
        is that guidance's rule of thumb.
    """
    positive(largest_m3=largest_m3, area_m2=area_m2)
    within("rain_m", rain_m, 0.0, 1.0)
    return max(SPARE_FACTOR * largest_m3, largest_m3 + area_m2 * rain_m)


def england_containment_m3(volumes_m3: Sequence[float]) -> float:
    """Volume a bund must hold in England for tanks and bulk containers.

    Equation: max(1.10 V_max, 0.25 sum V).
    Args:
        volumes_m3: all vessels in the bund, at least one [m3], each above 0.
    Returns: volume [m3].
    Source: published; Control of Pollution (Oil Storage) (England) Regulations 2001.
    """
    for volume in volumes_m3:
        positive(volumes_m3=volume)
    positive(count_of_vessels=len(volumes_m3))
    return max(SPARE_FACTOR * max(volumes_m3), ENGLAND_SHARE * math.fsum(volumes_m3))


def containment_there_m3(area_m2: float, height_m: float, standing: Sequence[Standing]) -> float:
    """Volume a bund holds beside the vessels that stand in it; the leaking one displaces nothing.

    Equation: A h - sum(footprint (min(h, top) - min(h, bottom))), never below 0.
    Args:
        area_m2: plan area of the bund inside [m2], above 0.
        height_m: height of its wall inside [m], above 0.
        standing: the other vessels [m2 and m, in the field names].
    Returns: volume [m3].
    Source: derived; geometry. Form of EPA SPCC Guidance for Regional Inspectors (2013), ch. 4.
    """
    positive(area_m2=area_m2, height_m=height_m)
    taken = []
    for vessel in standing:
        not_negative(footprint_m2=vessel.footprint_m2, bottom_above_floor_m=vessel.bottom_above_floor_m)
        within("top_above_floor_m", vessel.top_above_floor_m, vessel.bottom_above_floor_m, math.inf)
        wet = min(height_m, vessel.top_above_floor_m) - min(height_m, vessel.bottom_above_floor_m)
        taken.append(vessel.footprint_m2 * wet)
    return max(0.0, area_m2 * height_m - math.fsum(taken))


def wall_height_m(volume_m3: float, area_m2: float) -> float:
    """Height of wall that holds a volume on an empty floor.

    Equation: h = V / A.
    Args:
        volume_m3: volume to hold [m3], 0 or more.
        area_m2: plan area inside [m2], above 0.
    Returns: height [m].
    Source: published; worked example of EPA SPCC Guidance for Regional Inspectors (2013), Fig. 4-5.
    """
    not_negative(volume_m3=volume_m3)
    positive(area_m2=area_m2)
    return volume_m3 / area_m2
