"""Measured sections: the arc spline through points."""

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.errors import GeometryError
from toolpath.findings import Stopped
from toolpath.forms.points import PointLike, through_points
from toolpath.forms.sections import cap_volume, mouth_radius, spherical
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line

OUTER = 45.2


def on_bowl(mouth: float, depth: float, radii: list[float]) -> list[tuple[float, float]]:
    sphere = (mouth**2 + depth**2) / (2 * depth)
    return [(r, sphere - depth - math.sqrt(sphere**2 - r**2)) for r in radii]


def chords(points: list[tuple[float, float]]) -> float:
    """Volume inside straight lines between points: the sum of the cone frustums."""
    return sum(
        math.pi * (z2 - z1) * (r1**2 + r1 * r2 + r2**2) / 3
        for (r1, z1), (r2, z2) in itertools.pairwise(points)
    )


def test_five_points_of_a_bowl_lose_nothing() -> None:
    """Chords through 5 points of a 64 mm bowl of 9.3 cc lose 0.20 cc (design, section 2)."""
    mouth, depth = 32.0, 5.7
    assert cap_volume(mouth, depth) == pytest.approx(9300, abs=50)
    points = on_bowl(mouth, depth, [0.0, 8.0, 16.0, 24.0, 32.0])
    assert (cap_volume(mouth, depth) - chords(points)) / 1000 == pytest.approx(0.20, abs=0.01)
    ours = through_points(points, OUTER)
    assert ours.volume_below() == pytest.approx(cap_volume(mouth, depth), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(10.0, 44.0),
    st.floats(0.02, 0.6),
    st.lists(st.floats(0.05, 0.95), min_size=1, max_size=6, unique=True),
)
def test_any_points_of_a_bowl_give_it_back(mouth: float, share: float, inside: list[float]) -> None:
    """Odd and even numbers of points, evenly spaced or not."""
    radii = [0.0]
    for r in sorted(inside):
        if r * mouth - radii[-1] > 0.5 and mouth - r * mouth > 0.5:
            radii.append(r * mouth)
    if len(radii) == 1:
        radii.append(mouth / 2)
    section = through_points(on_bowl(mouth, mouth * share, [*radii, mouth]), OUTER)
    assert section.volume_below() == pytest.approx(cap_volume(mouth, mouth * share), rel=1e-6)
    assert mouth_radius(section) == pytest.approx(mouth)


@settings(max_examples=100, deadline=None)
@given(
    st.floats(-10.0, 30.0),
    st.floats(4.0, 200.0),
    st.booleans(),
    st.lists(st.floats(0.02, 0.98), min_size=4, max_size=8, unique=True),
)
def test_a_circle_sampled_anywhere_comes_back(
    centre: float, radius: float, lower: bool, shares: list[float]
) -> None:
    """Any stretch of any circle, its centre on the axis or not, over four points or more."""
    lo, hi = max(1.0, centre - 0.9 * radius), min(40.0, centre + 0.9 * radius)
    radii = [lo + (hi - lo) * share for share in sorted(shares)]
    if hi - lo < 4 or min(b - a for a, b in itertools.pairwise(radii)) < 0.05 * (hi - lo):
        return
    side = -1 if lower else 1
    heights = [side * math.sqrt(radius**2 - (r - centre) ** 2) for r in radii]
    lift = max(radius, *heights) + 1.0
    section = through_points([(r, z - lift) for r, z in zip(radii, heights, strict=True)], OUTER)
    r = np.linspace(radii[0], radii[-1], 200)[1:-1]
    circle = side * np.sqrt(radius**2 - (r - centre) ** 2) - lift
    assert section.heights(r) == pytest.approx(circle, abs=1e-9 * max(1.0, radius))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.5, 30.0), st.lists(st.floats(0.03, 0.97), min_size=1, max_size=8, unique=True))
def test_a_line_sampled_anywhere_comes_back(depth: float, shares: list[float]) -> None:
    inside = sorted({round(share, 3) for share in shares})
    points = [(32.0 * s, -depth * (1 - s)) for s in (0.0, *inside, 1.0)]
    section = through_points(points, OUTER)
    r = np.linspace(0.0, 32.0, 200)
    assert section.heights(r) == pytest.approx(-depth * (1 - r / 32), abs=1e-9)


SMOOTH = {
    "bowl to the fourth": lambda r: -5.0 * (1 - (r / 32) ** 4),
    "bowl that runs out gently": lambda r: -2.5 * (1 + math.cos(math.pi * r / 32)),
    "bowl with a hub": lambda r: (1.5 * math.exp(-((r / 8) ** 2)) - 5) * (1 - (r / 32) ** 6),
    "torus": lambda r: -2.0 - math.sqrt(400 - (r - 14) ** 2) / 5 if r < 32 else 0.0,
}
SEEN = 30.0  # mm3; a 25 ml burette of class A is right to 0.05 ml, half of its division is 0.025


@pytest.mark.parametrize("shape", SMOOTH.values(), ids=SMOOTH)
@pytest.mark.parametrize("count", [6, 7, 8, 11])
def test_a_point_added_on_the_curve_changes_nothing_that_a_burette_sees(
    shape: Callable[[float], float], count: int
) -> None:
    points = [(r, shape(r)) for r in np.linspace(0.0, 31.0, count)]
    section = through_points(points, OUTER)
    for r in np.linspace(0.7, 30.3, 25):
        if min(abs(r - p) for p, _ in points) > 0.2:
            more = sorted([*points, (float(r), section.at(float(r)))])
            assert through_points(more, OUTER).volume_below() == pytest.approx(
                section.volume_below(), abs=SEEN
            )


@pytest.mark.parametrize("shape", SMOOTH.values(), ids=SMOOTH)
def test_eight_points_of_a_smooth_dish_hold_what_it_holds(shape: Callable[[float], float]) -> None:
    r = np.linspace(0.0, 31.0, 20001)
    exact = -2 * math.pi * np.trapezoid(r * np.array([shape(x) for x in r]), r)
    wall_and_rim = through_points([(x, shape(x)) for x in np.linspace(0.0, 31.0, 8)], OUTER)
    assert wall_and_rim.volume_below() == pytest.approx(exact, abs=80)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(2, 63), min_size=2, max_size=7, unique=True),
    st.lists(st.integers(5, 60), min_size=9, max_size=9),
    st.integers(0, 7),
    st.booleans(),
)
def test_the_volume_does_not_jump(halves: list[int], tenths: list[int], which: int, outward: bool) -> None:
    """A point moved by a nanometre moves the volume next to nothing, wherever the others lie."""
    radii = [0.0, *(r / 2 for r in sorted(halves)), 32.5]
    points = [(r, -z / 10) for r, z in zip(radii, tenths, strict=False)]
    at = min(which, len(points) - 2) if outward else min(which, len(points) - 1)
    r, z = points[at]
    moved = list(points)
    moved[at] = (r + 1e-9, z) if outward and at else (r, z + 1e-9)
    off = through_points(moved, OUTER).volume_below() - through_points(points, OUTER).volume_below()
    assert abs(off) < 1e-3


def test_a_point_on_the_straight_line_between_two_does_not_throw_the_volume() -> None:
    """It did: threes of points were joined by arcs, and one point more changed every three after it."""
    hub = [(0.0, -2.0), (8.0, -2.6), (16.0, -4.2), (24.0, -4.0), (32.0, 0.0)]
    more = sorted([*hub, (4.0, -2.3)])
    assert through_points(more, OUTER).volume_below() == pytest.approx(
        through_points(hub, OUTER).volume_below(), abs=30
    )


def test_a_sharp_point_is_a_corner() -> None:
    """A level floor and a wall of 45 degrees, each measured in three places, and a bowl over a cone."""
    pan: list[PointLike] = [(0, -4), (14, -4), (28, -4, True), (30, -2), (32, 0)]
    assert through_points(pan, OUTER).volume_below() == pytest.approx(
        math.pi * 4 * (28**2 + 28 * 32 + 32**2) / 3, rel=1e-12
    )
    arc = on_bowl(32.0, 5.0, [10.0, 17.0, 25.0, 32.0])
    tip = through_points([(0.0, arc[0][1] - 2.0), (*arc[0], True), *arc[1:]], OUTER)
    assert tip.segments[0] == Line(0.0, arc[0][1] - 2.0, *arc[0])
    r = np.linspace(10.0, 32.0, 50)
    sphere = (32.0**2 + 5.0**2) / 10
    assert tip.heights(r) == pytest.approx(sphere - 5.0 - np.sqrt(sphere**2 - r**2), abs=1e-9)


@pytest.mark.parametrize("depth", [0.02, 0.1, 0.5])
def test_a_nearly_flat_bowl_keeps_its_digits(depth: float) -> None:
    """Spheres of 1 to 25 m through three points."""
    section = through_points(on_bowl(32.0, depth, [0.0, 16.0, 32.0]), OUTER)
    assert section.volume_below() == pytest.approx(cap_volume(32.0, depth), rel=1e-7)


def test_the_section_goes_through_its_points() -> None:
    points = [(0.0, -6.0), (12.0, -5.4), (20.0, -4.5), (26.0, -3.0), (30.0, -1.5), (33.0, 0.0)]
    section = through_points(points, OUTER)
    for r, z in points:
        assert section.at(r) == pytest.approx(z, abs=1e-9)


def test_a_first_point_off_the_axis_is_carried_in_level() -> None:
    section = through_points([(20.0, -3.0), (30.0, -3.0)], OUTER)
    assert section.at(0.0) == pytest.approx(-3.0)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 3, rel=1e-9)  # with a wall to the crown


def test_points_of_a_pan_are_joined_by_lines_where_an_arc_would_leave_them() -> None:
    """A level floor beside a steep wall: an arc through its three points would dip under the floor."""
    section = through_points([(0.0, -4.0), (28.0, -4.0), (30.0, 0.0)], OUTER)
    assert section.lowest == pytest.approx(-4.0, abs=0.021)
    assert all(isinstance(s, Line) for s in section.segments)
    assert section.volume_below() == pytest.approx(math.pi * 4 * (28**2 + 28 * 30 + 30**2) / 3, rel=1e-9)


@pytest.mark.parametrize(
    "points",
    [
        pytest.param(
            [(0, -3.4), (15, -3.4), (16.72, -3.378), (17.045, -2.794), (17.127, -1.6), (33.1, 0)], id="wall"
        ),
        pytest.param(
            [(0, -1.3), (2.68, -0.9), (6.7271, -0.8), (6.7394, -0.7), (6.8228, -0.6), (15, 0)], id="step"
        ),
        pytest.param([(0, -4), (20, -4), (20.5, -3), (20.51, -1), (20.52, 0)], id="steeper and steeper"),
        pytest.param([(0, -4), (20, -4), (20.01, -1), (20.5, -0.2), (30, 0)], id="steep, then level"),
    ],
)
def test_steep_points_make_a_section(points: list[tuple[float, float]]) -> None:
    """The circle through three steep points may have to turn back in r: the curve never does."""
    section = through_points(points, OUTER)
    for r, z in points:
        assert section.at(r) == pytest.approx(z, abs=1e-6)
    assert section.volume_below() == pytest.approx(
        chords(points), rel=0.15, abs=60
    )  # arcs swing, but not far


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(1, 300), min_size=3, max_size=8, unique=True),
    st.lists(st.integers(0, 60), min_size=8, max_size=8),
)
def test_any_falling_readings_make_a_section(radii: list[int], depths: list[int]) -> None:
    """Readings to a tenth, as uneven as they like: the section exists and goes through them."""
    points = [(r / 10, -z / 10) for r, z in zip(sorted(radii), sorted(depths, reverse=True), strict=False)]
    section = through_points(points, OUTER)
    assert [section.at(r) for r, _ in points[:-1]] == pytest.approx([z for _, z in points[:-1]], abs=1e-6)
    assert section.highest <= 1e-9
    assert section.lowest >= points[0][1] - (points[-1][1] - points[0][1]) - 0.021


def test_points_on_a_line_make_a_line() -> None:
    section = through_points([(0.0, -6.0), (15.0, -3.0), (30.0, 0.0)], OUTER)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 6 / 3, rel=1e-9)


def test_two_points_at_one_radius_make_a_wall() -> None:
    section = through_points([(0.0, -4.0), (30.0, -4.0), (30.0, 0.0)], OUTER)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 4, rel=1e-9)


def test_a_convex_stretch_is_an_upper_arc() -> None:
    top = [(20.0 + 10 * math.sin(a), -10 + 10 * math.cos(a)) for a in (-1.2, -0.8, -0.4)]
    start: list[PointLike] = [(0.0, top[0][1] - 1), (top[0][0] - 2, top[0][1] - 1)]
    section = through_points([*start, (*top[0], True), *top[1:]], OUTER)
    arcs = [s for s in section.segments if isinstance(s, Arc)]
    assert [s.lower for s in arcs] == [False, False]
    for arc in arcs:
        assert (arc.rc, arc.zc, arc.radius) == pytest.approx((20.0, -10.0, 10.0))


def test_two_points_are_a_cone() -> None:
    section = through_points([(0.0, -6.0), (30.0, 0.0)], OUTER)
    assert section.segments[0] == Line(0.0, -6.0, 30.0, 0.0)


def test_points_that_end_at_the_edge_below_the_crown_get_a_wall_there() -> None:
    section = through_points([(0.0, -3.0), (OUTER, -2.0)], OUTER)
    assert section.segments == (Line(0.0, -3.0, OUTER, -2.0), Line(OUTER, -2.0, OUTER, 0.0))


def test_a_hump_between_its_points_may_reach_the_crown_but_not_stand_over_it() -> None:
    """The middle point is the highest: the arc through 5-5-5 tops out on it, at the crown and no higher."""
    touching = through_points([(0.0, -5.0, True), (5.0, 0.0), (10.0, -5.0)], OUTER).segments[0]
    assert isinstance(touching, Arc)
    assert (touching.rc, touching.zc, touching.radius) == pytest.approx((5.0, -5.0, 5.0))
    over = through_points([(0.0, -5.0, True), (4.0, 0.0), (10.0, -5.0)], OUTER)
    assert over.highest <= 1e-9
    assert over.at(4.0) == pytest.approx(0.0, abs=1e-9)


def test_points_that_run_inward_are_refused() -> None:
    with pytest.raises(GeometryError, match="must run outward"):
        through_points([(0.0, -4.0), (30.0, -2.0), (20.0, -3.0), (32.0, 0.0)], OUTER)


def test_a_section_wider_than_the_crown_is_a_stop() -> None:
    with pytest.raises(Stopped, match="runs beyond the crown"):
        through_points([(0.0, -4.0), (30.0, -3.0), (46.0, 0.0)], OUTER)


def test_the_mouth_of_points_with_a_level_end_is_where_the_level_begins() -> None:
    section = through_points([(0.0, -4.0), (28.0, -4.0), (30.0, 0.0), (36.0, 0.0)], OUTER)
    assert mouth_radius(section) == pytest.approx(30.0)


def test_no_point_stands_over_the_crown() -> None:
    """A rounded lip that runs out gently: an arc through its points must not swing over the crown."""
    section = through_points([(0.0, -3.0), (10.0, -2.0), (20.0, -0.19), (26.0, -0.005), (32.0, 0.0)], OUTER)
    assert section.highest <= 1e-9


def test_readings_to_a_hundredth_change_the_volume_by_no_more_than_they_can() -> None:
    rng = np.random.default_rng(3)
    points = on_bowl(32.0, 5.7, [0.0, 8.0, 16.0, 24.0, 32.0])
    bound = math.pi * 32**2 * 0.01 * 1.5  # an arc swings past its points by less than half of their error
    for _ in range(50):
        rough = [(r, z + rng.uniform(-0.01, 0.01) if z < 0 else z) for r, z in points]
        assert abs(through_points(rough, OUTER).volume_below() - cap_volume(32.0, 5.7)) < bound


def test_spherical_and_its_points_are_one_section() -> None:
    one: Chain = spherical(32.0, 5.7, OUTER)
    other = through_points(on_bowl(32.0, 5.7, [0.0, 11.0, 21.0, 32.0]), OUTER)
    r = np.linspace(0.0, OUTER, 500)
    assert other.heights(r) == pytest.approx(one.heights(r), abs=1e-9)
