"""Vessel volumes and areas against published figures and an independent library.

Published: D. Jones, "Calculating Tank Volume", and D. Jones, "Compute Fluid Volumes in Vertical Tanks",
Chemical Processing, 18 December 2003; Honeywell, "Calculate Surface Areas and Cross-sectional Areas in
Vessels with Dished Heads", white paper, 2014; all as quoted in the documentation of the library `fluids`.
Library-computed: `fluids.geometry`. Derived: closed forms of the solids, and numerical integration.
"""

import math
from collections.abc import Callable

import pytest
from fluids import geometry as library

from generator.plant.bottoms import (
    Bottom,
    CapBottom,
    ConeBottom,
    DishedInBottom,
    EllipsoidalBottom,
    TorisphericalBottom,
)
from generator.plant.geometry import HorizontalCylinder, VerticalCylinder

INCH_M = 0.0254
US_GALLON_M3 = 231 * INCH_M**3
LEVELS_M = [0.011 * n for n in range(1, 100)]
DIAMETERS_M = [0.3, 0.6, 1.1]


@pytest.mark.parametrize(
    ("diameter_in", "bottom", "level_in", "gallons"),
    [
        (132, ConeBottom(33 * INCH_M), 24, 250.674614),
        (132, EllipsoidalBottom(33 * INCH_M), 24, 783.358168),
        (132, TorisphericalBottom(1.0, 0.06), 24, 904.068828),
        (132, CapBottom(33 * INCH_M), 24, 583.601835),
        (113, DishedInBottom(33 * INCH_M), 15, 112.814054),
    ],
)
def test_published_volumes(diameter_in: float, bottom: Bottom, level_in: float, gallons: float) -> None:
    """Jones; the quoted figures are cut after six decimals."""
    tank = VerticalCylinder(diameter_in * INCH_M, 60 * INCH_M, bottom)
    volume_m3 = tank.volume_at(level_in * INCH_M)
    assert volume_m3 / US_GALLON_M3 == pytest.approx(gallons, abs=1.1e-6)
    assert tank.level_at(volume_m3) == pytest.approx(level_in * INCH_M, rel=1e-12)


def test_published_torispherical_area() -> None:
    """Honeywell white paper."""
    area_m2 = TorisphericalBottom(1.039370079, 0.062362205).area_m2(1.27)
    assert area_m2 == pytest.approx(6.00394283477063, rel=1e-12)


CONE = VerticalCylinder(0.6, 1.0, ConeBottom(0.3))
ELLIPSOID = VerticalCylinder(0.6, 1.0, EllipsoidalBottom(0.15))
TORISPHERE = VerticalCylinder(0.6, 1.0, TorisphericalBottom(1.0, 0.06))
LYING = HorizontalCylinder(0.6, 1.2)


@pytest.mark.parametrize(
    ("tank", "level_m", "litres"),
    [
        (VerticalCylinder(0.6, 1.0), 0.5, 141.372),
        (CONE, 0.2, 8.378),
        (CONE, 0.3, 28.274),
        (CONE, 0.6, 113.097),
        (ELLIPSOID, 0.05, 4.189),
        (ELLIPSOID, 0.10, 14.661),
        (ELLIPSOID, 0.40, 98.960),
        (TORISPHERE, 0.05, 4.581),
        (TORISPHERE, 0.10, 17.043),
        (TORISPHERE, 0.40, 101.866),
        (LYING, 0.15, 66.332),
        (LYING, 0.30, 169.646),
        (LYING, 0.45, 272.960),
        (LYING, 0.60, 339.292),
        (CONE, 0.525, 91.892),
        (VerticalCylinder(0.8, 1.0), 0.195, 98.018),
    ],
)
def test_derived_table(tank: VerticalCylinder | HorizontalCylinder, level_m: float, litres: float) -> None:
    """Derived from the closed forms (torispherical: library-computed), rounded to a millilitre."""
    assert 1000 * tank.volume_at(level_m) == pytest.approx(litres, abs=0.00051)


@pytest.mark.parametrize("diameter_m", DIAMETERS_M)
@pytest.mark.parametrize("part", [0.05, 0.5, 1.0])
def test_volumes_against_the_library(diameter_m: float, part: float) -> None:
    """Library-computed: every bottom of a given depth, over many levels."""
    depth_m = 0.5 * diameter_m * part
    pairs: list[tuple[Bottom, Callable[[float], float]]] = [
        (ConeBottom(depth_m), lambda h: library.V_vertical_conical(diameter_m, depth_m, h)),
        (EllipsoidalBottom(depth_m), lambda h: library.V_vertical_ellipsoidal(diameter_m, depth_m, h)),
        (CapBottom(depth_m), lambda h: library.V_vertical_spherical(diameter_m, depth_m, h)),
        (DishedInBottom(depth_m), lambda h: library.V_vertical_spherical_concave(diameter_m, -depth_m, h)),
    ]
    for bottom, theirs in pairs:
        tank = VerticalCylinder(diameter_m, 1.2, bottom)
        for level_m in LEVELS_M:
            volume_m3 = tank.volume_at(level_m)
            assert volume_m3 == pytest.approx(theirs(level_m), rel=1e-9)
            assert tank.level_at(volume_m3) == pytest.approx(level_m, rel=1e-12)


@pytest.mark.parametrize("diameter_m", DIAMETERS_M)
@pytest.mark.parametrize(("dish", "knuckle"), [(1.0, 0.06), (1.0, 0.1), (0.8, 0.154), (0.6, 0.4)])
def test_torispherical_volumes_against_the_library(diameter_m: float, dish: float, knuckle: float) -> None:
    """Library-computed."""
    tank = VerticalCylinder(diameter_m, 1.2, TorisphericalBottom(dish, knuckle))
    for level_m in LEVELS_M:
        volume_m3 = tank.volume_at(level_m)
        assert volume_m3 == pytest.approx(
            library.V_vertical_torispherical(diameter_m, dish, knuckle, level_m), rel=1e-9
        )
        assert tank.level_at(volume_m3) == pytest.approx(level_m, rel=1e-12)


@pytest.mark.parametrize("diameter_m", DIAMETERS_M)
def test_horizontal_volumes_against_the_library(diameter_m: float) -> None:
    """Library-computed."""
    tank = HorizontalCylinder(diameter_m, 1.7)
    for n in range(1, 101):
        level_m = diameter_m * n / 100
        theirs_m3 = library.V_from_h(level_m, diameter_m, 1.7, horizontal=True)
        assert tank.volume_at(level_m) == pytest.approx(theirs_m3, rel=1e-9)


@pytest.mark.parametrize("part", [0.001, 0.1, 0.5, 0.99, 1.0, 1.7])
def test_areas_against_the_library(part: float) -> None:
    """Library-computed."""
    radius_m = 0.3
    depth_m = radius_m * part
    assert ConeBottom(depth_m).area_m2(radius_m) == pytest.approx(
        library.SA_conical_head(0.6, depth_m), rel=1e-12
    )
    assert EllipsoidalBottom(depth_m).area_m2(radius_m) == pytest.approx(
        library.SA_ellipsoidal_head(0.6, depth_m), rel=1e-9
    )


@pytest.mark.parametrize("level_m", [0.02, 0.06, 0.11])
def test_dished_in_ring_by_numerical_integration(level_m: float) -> None:
    """Derived: Simpson's rule over the ring between the side and a sphere given by centre and radius."""
    radius_m, rise_m, steps = 0.25, 0.11, 2000
    sphere_m = (radius_m**2 + rise_m**2) / (2 * rise_m)
    centre_m = rise_m - sphere_m

    def ring_m2(z: float) -> float:
        return math.pi * (radius_m**2 - (sphere_m**2 - (z - centre_m) ** 2))

    width_m = level_m / steps
    inner = sum((4 if n % 2 else 2) * ring_m2(n * width_m) for n in range(1, steps))
    simpson_m3 = width_m / 3 * (ring_m2(0.0) + inner + ring_m2(level_m))
    tank = VerticalCylinder(2 * radius_m, 1.0, DishedInBottom(rise_m))
    assert tank.volume_at(level_m) == pytest.approx(simpson_m3, rel=1e-11)
