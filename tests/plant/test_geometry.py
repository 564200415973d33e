"""Vessel shapes: laws that every shape obeys, refusals, areas. All derived."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.plant.bottoms import (
    Bottom,
    CapBottom,
    ConeBottom,
    DishedInBottom,
    EllipsoidalBottom,
    TorisphericalBottom,
)
from generator.plant.dip_table import DipTable
from generator.plant.geometry import Box, HorizontalCylinder, Shape, VerticalCylinder

sizes = st.floats(0.05, 5.0)
# Zero or a share that a vessel could hold: below a molecule or so the squares and cubes underflow.
shares = st.just(0.0) | st.floats(1e-24, 1.0)


@st.composite
def bottoms(draw: st.DrawFn, radius_m: float) -> Bottom:
    depth_m = draw(st.floats(0.01, 1.0)) * radius_m
    dish = draw(st.floats(0.5, 2.0))
    knuckle = draw(st.floats(0.01, 0.49))
    kinds = (ConeBottom, EllipsoidalBottom, CapBottom, DishedInBottom)
    made = [Bottom(), TorisphericalBottom(dish, knuckle), *(kind(depth_m) for kind in kinds)]
    return draw(st.sampled_from(made))


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    a, b, c = draw(sizes), draw(sizes), draw(sizes)
    bottom = draw(bottoms(0.5 * a))
    steps = draw(st.lists(st.tuples(st.floats(0.01, 1.0), st.floats(0.01, 1.0)), min_size=2, max_size=8))
    levels = tuple(sum(step[0] for step in steps[: n + 1]) for n in range(len(steps)))
    volumes = tuple(sum(step[1] for step in steps[: n + 1]) for n in range(len(steps)))
    made: list[Shape] = [
        VerticalCylinder(a, bottom.zone_height_m(0.5 * a) + b, bottom),
        HorizontalCylinder(a, b),
        Box(a, b, c, draw(shares) * c),
        DipTable(levels, volumes),
    ]
    return draw(st.sampled_from(made))


@given(shapes(), shares, shares)
def test_more_level_is_more_volume(shape: Shape, one: float, other: float) -> None:
    low, high = sorted((one * shape.inside_height_m, other * shape.inside_height_m))
    assert shape.volume_at(low) <= shape.volume_at(high)
    if low + 1e-6 * shape.inside_height_m < high:
        assert shape.volume_at(low) < shape.volume_at(high)


@given(shapes())
def test_ends_of_the_scale(shape: Shape) -> None:
    assert shape.volume_at(0.0) == 0.0
    assert shape.level_at(0.0) == 0.0
    assert shape.volume_at(shape.inside_height_m) == shape.capacity_m3()
    assert shape.level_at(shape.capacity_m3()) == pytest.approx(shape.inside_height_m, rel=1e-9)
    # Rounding above full is full, not an error.
    assert shape.volume_at(shape.inside_height_m + 0.9e-9) == shape.capacity_m3()
    assert shape.level_at(shape.capacity_m3() * (1.0 + 0.9e-9)) <= shape.inside_height_m


@given(shapes(), st.floats(1e-6, 0.98))
def test_level_comes_back_from_its_volume(shape: Shape, share: float) -> None:
    level_m = share * shape.inside_height_m
    assert shape.level_at(shape.volume_at(level_m)) == pytest.approx(level_m, rel=1e-10)


@given(shapes(), shares)
def test_volume_comes_back_from_its_level(shape: Shape, share: float) -> None:
    volume_m3 = share * shape.capacity_m3()
    assert shape.volume_at(shape.level_at(volume_m3)) == pytest.approx(volume_m3, rel=1e-11, abs=0.0)


@given(shapes())
def test_no_volume_beyond_footprint_times_height(shape: Shape) -> None:
    assert shape.capacity_m3() <= shape.plan_area_m2() * shape.inside_height_m * (1.0 + 1e-12)


@given(shapes())
def test_shell_encloses_its_volume(shape: Shape) -> None:
    # Isoperimetric inequality: no body has less surface than the sphere of its volume.
    assert shape.shell_area_m2() ** 3 >= 36.0 * math.pi * shape.capacity_m3() ** 2 * (1.0 - 1e-12)


@given(shapes(), st.sampled_from([math.nan, math.inf, -math.inf, -1e-9]))
def test_levels_and_volumes_outside_are_refused(shape: Shape, value: float) -> None:
    for ask in (shape.volume_at, shape.level_at):
        with pytest.raises(ValueError, match="outside 0 to"):
            ask(value)
    with pytest.raises(ValueError, match="level_m"):
        shape.volume_at(shape.inside_height_m + 1e-8)
    with pytest.raises(ValueError, match="volume_m3"):
        shape.level_at(shape.capacity_m3() * (1.0 + 1e-8))


@given(sizes, st.floats(0.01, 1.0), sizes)
def test_dished_in_and_its_cap_make_a_flat_tank(diameter_m: float, share: float, side_m: float) -> None:
    rise_m = 0.5 * diameter_m * share
    height_m = rise_m + side_m
    dished_in = VerticalCylinder(diameter_m, height_m, DishedInBottom(rise_m))
    cap_m3 = CapBottom(rise_m).volume_below(0.5 * diameter_m, rise_m)
    flat_m3 = VerticalCylinder(diameter_m, height_m).capacity_m3()
    assert dished_in.capacity_m3() + cap_m3 == pytest.approx(flat_m3, rel=1e-12)
    assert dished_in.crown_height_m == rise_m


@given(sizes, sizes, shares)
def test_horizontal_halves_add_up(diameter_m: float, length_m: float, share: float) -> None:
    shape = HorizontalCylinder(diameter_m, length_m)
    parts_m3 = shape.volume_at(share * diameter_m) + shape.volume_at(diameter_m - share * diameter_m)
    assert parts_m3 == pytest.approx(shape.capacity_m3(), rel=1e-12)


def test_horizontal_keeps_its_digits_when_nearly_empty() -> None:
    # A thin segment tends to 2/3 * chord * height: chord = 2*sqrt(2*r*h).
    shape = HorizontalCylinder(0.6, 1.2)
    level_m = 1e-10
    segment_m2 = 4 / 3 * level_m * math.sqrt(0.6 * level_m)
    assert shape.volume_at(level_m) == pytest.approx(1.2 * segment_m2, rel=1e-9)
    assert shape.level_at(shape.volume_at(level_m)) == pytest.approx(level_m, rel=1e-12)


@pytest.mark.parametrize("angle_rad", [0.2999999, 0.3, 0.3000001])
def test_horizontal_series_meets_the_closed_form(angle_rad: float) -> None:
    shape = HorizontalCylinder(1.0, 8.0)
    level_m = math.sin(angle_rad / 4.0) ** 2
    assert shape.volume_at(level_m) == pytest.approx(angle_rad - math.sin(angle_rad), rel=1e-13)


def test_sloping_floor_of_a_box() -> None:
    box = Box(length_m=1.2, width_m=1.0, inside_height_m=1.0, floor_fall_m=0.1)
    assert box.volume_at(0.05) == pytest.approx(0.015)
    assert box.volume_at(0.1) == pytest.approx(0.06)
    assert box.capacity_m3() == pytest.approx(1.14)
    floor_m2 = math.hypot(1.2, 0.1)
    sides_m2 = 2 * (1.2 * 0.9 + 0.5 * 1.2 * 0.1) + 1.0 + 0.9
    assert box.shell_area_m2() == pytest.approx(floor_m2 + sides_m2 + 1.2)


def test_only_a_dished_in_bottom_has_a_crown() -> None:
    deep = [kind(0.1) for kind in (ConeBottom, EllipsoidalBottom, CapBottom)]
    others = [Bottom(), TorisphericalBottom(1.0, 0.06), *deep]
    assert [VerticalCylinder(0.6, 1.0, bottom).crown_height_m for bottom in others] == [0.0] * 5
    assert HorizontalCylinder(0.6, 1.2).crown_height_m == Box(1.0, 1.0, 1.0).crown_height_m == 0.0


def test_hemispheres_agree_with_each_other() -> None:
    half_m3, half_m2 = 2 / 3 * math.pi * 0.3**3, 2 * math.pi * 0.3**2
    torus = TorisphericalBottom(dish_fraction=1.0, knuckle_fraction=0.5)
    for bottom in (CapBottom(0.3), EllipsoidalBottom(0.3), EllipsoidalBottom(0.3 * (1 - 1e-11)), torus):
        assert bottom.volume_below(0.3, bottom.zone_height_m(0.3)) == pytest.approx(half_m3, rel=1e-10)
        assert bottom.area_m2(0.3) == pytest.approx(half_m2, rel=1e-10)


def test_shell_of_flat_dished_in_and_horizontal_cylinders() -> None:
    flat_m2 = VerticalCylinder(0.6, 1.0).shell_area_m2()
    assert flat_m2 == pytest.approx(math.pi * 0.6 * 1.0 + 2 * math.pi * 0.09)
    # A cap of height a on a rim of radius r has the surface pi*(r^2 + a^2); the side still starts at the rim.
    dished_in_m2 = VerticalCylinder(0.6, 1.0, DishedInBottom(0.1)).shell_area_m2()
    assert dished_in_m2 == pytest.approx(flat_m2 + math.pi * 0.1**2)
    # Dished out, the side is shorter by the cap's depth.
    dished_out_m2 = VerticalCylinder(0.6, 1.0, CapBottom(0.1)).shell_area_m2()
    assert dished_out_m2 == pytest.approx(dished_in_m2 - math.pi * 0.6 * 0.1)
    assert HorizontalCylinder(0.6, 1.0).shell_area_m2() == pytest.approx(flat_m2)


@pytest.mark.parametrize("bad", [0.0, -0.1, math.nan, math.inf])
def test_sizes_must_be_positive_and_finite(bad: float) -> None:
    makers: list[Callable[[], object]] = [
        lambda: VerticalCylinder(bad, 1.0),
        lambda: VerticalCylinder(0.6, bad),
        lambda: ConeBottom(bad),
        lambda: EllipsoidalBottom(bad),
        lambda: CapBottom(bad),
        lambda: DishedInBottom(bad),
        lambda: TorisphericalBottom(bad, 0.06),
        lambda: TorisphericalBottom(1.0, bad),
        lambda: HorizontalCylinder(bad, 1.0),
        lambda: HorizontalCylinder(1.0, bad),
        lambda: Box(bad, 1.0, 1.0),
        lambda: Box(1.0, bad, 1.0),
        lambda: Box(1.0, 1.0, bad),
        lambda: DipTable((0.1, 0.2), (0.1, 0.2), footprint_m2=bad),
    ]
    for make in makers:
        with pytest.raises(ValueError, match="finite and above 0"):
            make()


@pytest.mark.parametrize(
    ("diameter_m", "height_m", "bottom"),
    [
        (0.6, 1.0, CapBottom(0.31)),
        (0.6, 1.0, DishedInBottom(0.31)),
        (0.6, 0.2, ConeBottom(0.21)),
        (0.6, 0.1, DishedInBottom(0.11)),
        (0.6, 0.1, TorisphericalBottom(1.0, 0.06)),
    ],
)
def test_bottoms_that_do_not_fit_are_refused(diameter_m: float, height_m: float, bottom: Bottom) -> None:
    with pytest.raises(ValueError, match=r"radius|top of the bottom"):
        VerticalCylinder(diameter_m, height_m, bottom)


@pytest.mark.parametrize(("dish", "knuckle"), [(0.49, 0.06), (1.0, 0.51), (0.5, 0.5)])
def test_impossible_torispherical_heads_are_refused(dish: float, knuckle: float) -> None:
    with pytest.raises(ValueError, match="knuckle"):
        TorisphericalBottom(dish, knuckle)


@pytest.mark.parametrize("fall_m", [-0.01, 1.01, math.nan])
def test_impossible_floor_slopes_are_refused(fall_m: float) -> None:
    with pytest.raises(ValueError, match="floor_fall_m"):
        Box(1.0, 1.0, 1.0, fall_m)


def test_dip_table_hits_its_marks_and_joins_them() -> None:
    table = DipTable((0.1, 0.3, 0.5), (0.01, 0.05, 0.10))
    assert [table.volume_at(level_m) for level_m in table.levels_m] == [0.01, 0.05, 0.10]
    assert [table.level_at(volume_m3) for volume_m3 in table.volumes_m3] == [0.1, 0.3, 0.5]
    assert table.volume_at(0.2) == pytest.approx(0.03)
    assert table.volume_at(0.05) == pytest.approx(0.005)
    assert table.lowest_mark_m == 0.1
    assert DipTable((0.0, 0.3), (0.0, 0.05)).volume_at(0.15) == pytest.approx(0.025)


def test_dip_table_of_a_drum_has_the_drum_s_areas() -> None:
    drum = VerticalCylinder(0.57, 0.85)
    levels_m = (0.0, 0.2, 0.5, 0.85)
    table = DipTable(levels_m, tuple(drum.volume_at(level_m) for level_m in levels_m))
    assert table.plan_area_m2() == pytest.approx(drum.plan_area_m2())
    assert table.shell_area_m2() == pytest.approx(drum.shell_area_m2())
    assert DipTable((0.1, 0.2), (0.1, 0.2), footprint_m2=0.7).plan_area_m2() == 0.7


@pytest.mark.parametrize(
    ("levels_m", "volumes_m3"),
    [
        ((0.1,), (0.01,)),
        ((), ()),
        ((0.1, 0.2), (0.01,)),
        ((0.1, 0.1), (0.01, 0.02)),
        ((0.1, 0.2), (0.02, 0.02)),
        ((0.2, 0.1), (0.01, 0.02)),
        ((0.0, 0.1), (0.01, 0.02)),
        ((0.1, 0.2), (0.0, 0.02)),
        ((-0.1, 0.2), (0.01, 0.02)),
        ((0.1, math.nan), (0.01, 0.02)),
        ((0.1, 0.2), (0.01, math.inf)),
    ],
)
def test_bad_dip_tables_are_refused(levels_m: tuple[float, ...], volumes_m3: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match=r"dip table|rise strictly"):
        DipTable(levels_m, volumes_m3)
