"""Measured sections: arcs through threes of points."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.errors import GeometryError
from toolpath.findings import Stopped
from toolpath.forms.points import through_points
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
    """The circle through three steep points may have to turn back in r: there lines join them."""
    section = through_points(points, OUTER)
    for r, z in points:
        assert section.at(r) == pytest.approx(z, abs=1e-6)
    assert section.volume_below() == pytest.approx(chords(points), rel=0.15)  # arcs swing, but not far


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
    assert section.lowest >= points[0][1] - 0.5 * (points[-1][1] - points[0][1]) - 0.021


def test_points_on_a_line_make_a_line() -> None:
    section = through_points([(0.0, -6.0), (15.0, -3.0), (30.0, 0.0)], OUTER)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 6 / 3, rel=1e-9)


def test_two_points_at_one_radius_make_a_wall() -> None:
    section = through_points([(0.0, -4.0), (30.0, -4.0), (30.0, 0.0)], OUTER)
    assert section.volume_below() == pytest.approx(math.pi * 30**2 * 4, rel=1e-9)


def test_a_convex_stretch_is_an_upper_arc() -> None:
    top = [(20.0 + 10 * math.sin(a), -10 + 10 * math.cos(a)) for a in (-1.2, -0.8, -0.4)]
    section = through_points([(0.0, top[0][1] - 1), (top[0][0] - 2, top[0][1] - 1), *top], OUTER)
    arcs = [s for s in section.segments if isinstance(s, Arc) and not s.lower]
    (arc,) = arcs
    assert (arc.rc, arc.zc, arc.radius) == pytest.approx((20.0, -10.0, 10.0))


def test_two_points_are_a_cone() -> None:
    section = through_points([(0.0, -6.0), (30.0, 0.0)], OUTER)
    assert section.segments[0] == Line(0.0, -6.0, 30.0, 0.0)


def test_points_that_end_at_the_edge_below_the_crown_get_a_wall_there() -> None:
    section = through_points([(0.0, -3.0), (OUTER, -2.0)], OUTER)
    assert section.segments == (Line(0.0, -3.0, OUTER, -2.0), Line(OUTER, -2.0, OUTER, 0.0))


def test_a_hump_between_its_points_may_reach_the_crown_but_not_stand_over_it() -> None:
    """The middle point is the highest: the arc through 5-5-5 tops out on it, at the crown and no higher."""
    touching = through_points([(0.0, -5.0), (5.0, 0.0), (10.0, -5.0)], OUTER).segments[0]
    assert isinstance(touching, Arc)
    assert (touching.rc, touching.zc, touching.radius) == pytest.approx((5.0, -5.0, 5.0))
    over = through_points([(0.0, -5.0), (4.0, 0.0), (10.0, -5.0)], OUTER).segments[0]
    assert isinstance(over, Line)


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
