"""Lines and arcs one at a time: what cannot be built, and volumes against quadrature."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from toolpath.errors import GeometryError
from toolpath.geometry.segments import HALF_PI, Arc, Line, crossings

COMMON = settings(max_examples=60, deadline=None)


def arc_between(r1: float, z1: float, r2: float, z2: float, radius: float, *, lower: bool) -> Arc:
    """The arc of a radius through two points, its centre over (lower) or under (upper) the chord."""
    chord = math.dist((r1, z1), (r2, z2))
    h = math.sqrt(radius**2 - chord**2 / 4) * (1 if lower else -1)
    rc = (r1 + r2) / 2 - h * (z2 - z1) / chord
    zc = (z1 + z2) / 2 + h * (r2 - r1) / chord
    return Arc(rc, zc, radius, math.atan2(z1 - zc, r1 - rc), math.atan2(z2 - zc, r2 - rc))


def quad_inner_volume(s: Line | Arc) -> float:
    """pi * integral of r^2 dz by quadrature, with no difference of large numbers in it."""
    if isinstance(s, Line):
        slope = (s.z2 - s.z1) / (s.r2 - s.r1)
        return math.pi * slope * quad(lambda r: r * r, s.r1, s.r2, epsabs=1e-11, epsrel=1e-12)[0]

    def ring(turn: float) -> float:  # r = r1 + p (cos t - cos t1) as a product
        r = s.r1 - 2 * s.radius * math.sin(s.t1 + turn / 2) * math.sin(turn / 2)
        return r * r * s.radius * math.cos(s.t1 + turn)

    return math.pi * quad(ring, 0.0, s.t2 - s.t1, epsabs=1e-11, epsrel=1e-12, limit=200)[0]


# constructors


@pytest.mark.parametrize(
    ("ends", "text"),
    [
        pytest.param((0.0, math.nan, 1.0, 0.0), "A line .* must have finite values", id="nan"),
        pytest.param((0.0, 0.0, math.inf, 0.0), "A line .* must have finite values", id="infinite"),
        pytest.param((-math.inf, 0.0, 1.0, 0.0), "A line .* must have finite values", id="infinite-start"),
        pytest.param((0.0, 0.0, 1.0, math.nan), "A line .* must have finite values", id="nan-end"),
        pytest.param((2.0, 0.0, 1.0, 0.0), "r falls from 2.0 to 1.0 mm", id="inward"),
        pytest.param((1.0, -2.0, 1.0, -2.0), "both are at r 1.0, z -2.0 mm", id="equal-ends"),
    ],
)
def test_line_failure(ends: tuple[float, float, float, float], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        Line(*ends)


@pytest.mark.parametrize(
    ("values", "text"),
    [
        pytest.param(
            (0.0, 0.0, math.inf, -1.0, -0.5), "An arc .* must have finite values", id="infinite-radius"
        ),
        pytest.param((math.nan, 0.0, 1.0, -1.0, -0.5), "An arc .* must have finite values", id="nan-centre"),
        pytest.param((0.0, math.inf, 1.0, -1.0, -0.5), "An arc .* must have finite values", id="far-centre"),
        pytest.param((0.0, 0.0, 1.0, math.nan, -0.5), "An arc .* must have finite values", id="nan-angle"),
        pytest.param((0.0, 0.0, 1.0, -1.0, math.nan), "An arc .* must have finite values", id="nan-end"),
        pytest.param((0.0, 0.0, 0.0, -1.0, -0.5), "radius must be above 0 mm, not 0.0 mm", id="no-radius"),
        pytest.param(
            (0.0, 0.0, -2.0, -1.0, -0.5), "radius must be above 0 mm, not -2.0 mm", id="negative-radius"
        ),
        pytest.param((0.0, 0.0, 1.0, -0.5, -1.0), "must run outward", id="lower-inward"),
        pytest.param((0.0, 0.0, 1.0, 0.5, 1.0), "must run outward", id="upper-inward"),
        pytest.param((0.0, 0.0, 1.0, -1.0, 0.5), "within one half of its circle", id="past-the-equator"),
        pytest.param((0.0, 0.0, 1.0, -4.0, -0.5), "within one half of its circle", id="over-half-a-turn"),
        pytest.param((0.0, 0.0, 1.0, -1.0, -1.0), "must run outward", id="no-angle"),
    ],
)
def test_arc_failure(values: tuple[float, float, float, float, float], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        Arc(*values)


def test_segments_are_frozen() -> None:
    with pytest.raises(AttributeError):
        Line(0.0, 0.0, 1.0, 0.0).r1 = 2.0  # type: ignore[misc]
    with pytest.raises(AttributeError):
        Arc(0.0, 0.0, 1.0, -1.0, -0.5).r1 = 2.0  # type: ignore[misc]


def test_arc_ends_and_sense() -> None:
    corner = Arc(10.0, 3.0, 5.0, -HALF_PI, 0.0)
    assert corner.lower
    assert (corner.r1, corner.z1, corner.r2, corner.z2) == pytest.approx((10, -2, 15, 3))
    assert corner.start_direction == pytest.approx(0)  # level off the floor
    assert corner.end_direction == pytest.approx(HALF_PI)  # up the wall
    lip = Arc(10.0, -2.0, 2.0, HALF_PI, 0.0)
    assert not lip.lower
    assert (lip.r1, lip.z1, lip.r2, lip.z2) == pytest.approx((10, 0, 12, -2))
    assert lip.start_direction == pytest.approx(0)
    assert lip.end_direction == pytest.approx(-HALF_PI)  # down the land
    assert corner.length == pytest.approx(2.5 * math.pi)


def test_replace_makes_a_checked_copy() -> None:
    with pytest.raises(GeometryError, match="r falls"):
        replace(Line(0.0, 0.0, 1.0, 0.0), r2=-1.0)


# heights, clipping, mirrors


@st.composite
def segments(draw: st.DrawFn) -> Line | Arc:
    r1 = draw(st.floats(0, 40))
    r2 = r1 + draw(st.floats(0.1, 20))
    z1, z2 = draw(st.floats(-10, 0)), draw(st.floats(-10, 0))
    if draw(st.booleans()):
        return Line(r1, z1, r2, z2)
    chord = math.dist((r1, z1), (r2, z2))
    least = abs(z2 - z1) * chord / (2 * (r2 - r1))  # centre no lower than the higher end
    h = least + chord * draw(st.floats(0.01, 20))
    return arc_between(r1, z1, r2, z2, math.hypot(h, chord / 2), lower=draw(st.booleans()))


@COMMON
@given(segments(), st.floats(0.1, 0.9))
def test_volume_is_that_of_quadrature(s: Line | Arc, share: float) -> None:
    # the absolute slack is 1e-12 of the cylinder around it: a level chord's volume is a small difference
    slack = 1e-12 * math.pi * s.r2**2 * 10
    assert s.inner_volume() == pytest.approx(quad_inner_volume(s), rel=1e-9, abs=slack)
    r = s.r1 + share * (s.r2 - s.r1)
    parts = s.clipped(s.r1, r).inner_volume() + s.clipped(r, s.r2).inner_volume()
    assert parts == pytest.approx(s.inner_volume(), rel=1e-9, abs=slack)


@COMMON
@given(segments())
def test_area_is_that_of_quadrature(s: Line | Arc) -> None:
    assert s.area_under() == pytest.approx(quad(s.at, s.r1, s.r2, epsabs=1e-9, epsrel=1e-10)[0], abs=1e-6)


@COMMON
@given(segments(), st.floats(0, 1))
def test_heights_clips_and_mirrors_agree(s: Line | Arc, share: float) -> None:
    r = s.r1 + share * (s.r2 - s.r1)
    z = s.at(r)
    # an arc stands upright at its rim, where the last digit of r is many of z
    near = 1e-9 + (1e-15 * s.radius**2 / max(1e-9, abs(z - s.zc)) if isinstance(s, Arc) else 0.0)
    assert s.heights(np.array([r]))[0] == pytest.approx(z, abs=1e-12)
    assert s.moved(2.5).at(r) == pytest.approx(z + 2.5, abs=1e-9)
    assert s.upside_down().at(r) == pytest.approx(-z, abs=1e-9)
    assert s.mirrored().at(-r) == pytest.approx(z, abs=near)
    assert s.aside(1.5).at(r + 1.5) == pytest.approx(z, abs=near)
    assert (s.aside(1.5).r1, s.aside(1.5).r2) == pytest.approx((s.r1 + 1.5, s.r2 + 1.5))
    assert s.upside_down().inner_volume() == pytest.approx(-s.inner_volume(), rel=1e-12, abs=1e-12)
    assert s.distances(np.array([[r, z]]))[0] == pytest.approx(0, abs=1e-9)
    if 0.01 < share < 0.99:
        inner = s.clipped(s.r1, r)
        assert (inner.r1, inner.z1) == pytest.approx((s.r1, s.z1), abs=1e-9)
        assert (inner.r2, inner.z2) == pytest.approx((r, z), abs=1e-9)
        if isinstance(s, Arc):  # the angle of an end that stays is not worked out again, and loses no digit
            assert (s.clipped(s.r1, r).t1, s.clipped(r, s.r2).t2) == (s.t1, s.t2)


@pytest.mark.parametrize("lower", [True, False])
@pytest.mark.parametrize("radius", [1e3, 5e3, 2e4, 1e5, 1e6])
@pytest.mark.parametrize(("r1", "r2", "z1", "z2"), [(0.5, 30.0, -3.0, -2.9), (28.0, 34.0, -1.0, 0.0)])
def test_nearly_flat_arcs_lose_no_digits(
    lower: bool, radius: float, r1: float, r2: float, z1: float, z2: float
) -> None:
    """The closed form in sines of design section 2 loses up to radius^2 / r^2 of its digits here."""
    arc = arc_between(r1, z1, r2, z2, radius, lower=lower)
    # the ends of the arc are themselves rounded to about radius * 2e-16; compare over the true ends
    frustum = math.pi * (arc.z2 - arc.z1) * (r1 * r1 + r1 * r2 + r2 * r2) / 3
    chord = math.dist((r1, z1), (r2, z2))
    # thin segment between chord and arc: area c^3/(12 R) with its centroid over the chord's middle
    segment = math.pi * (r1 + r2) * chord**3 / (12 * radius) * (1 if lower else -1)
    next_term = (chord / radius) ** 2 * (abs(frustum) + abs(segment))
    assert arc.inner_volume() == pytest.approx(frustum + segment, rel=1e-10, abs=next_term)
    assert arc.inner_volume() == pytest.approx(quad_inner_volume(arc), rel=1e-9)


def test_bulge_series_joins_the_closed_form() -> None:
    """The series for small angles and the plain formula give the same on both sides of their seam."""
    for angle in (0.0999999, 0.1000001):
        arc = Arc(5.0, 100.0, 100.0, -HALF_PI, -HALF_PI + angle)
        assert arc.inner_volume() == pytest.approx(quad_inner_volume(arc), rel=1e-12)


@pytest.mark.parametrize("lower", [True, False])
def test_a_stretch_too_short_for_the_angles_of_its_arc_is_its_chord(lower: bool) -> None:
    """At a radius of 1000 km the last digit of an angle is worth more than that: 2e-16 x 1e9 mm."""
    radius = 1e9
    bowl = Arc(0.0, radius, radius, -HALF_PI, -HALF_PI + 30 / radius)
    arc = bowl if lower else bowl.upside_down()
    part = arc.clipped(10.0, 10.0 + 1e-7)
    assert part == Line(10.0, arc.at(10.0), 10.0 + 1e-7, arc.at(10.0 + 1e-7))
    assert isinstance(arc.clipped(10.0, 20.0), Arc)


# distances and crossings


def test_distances_by_head() -> None:
    line = Line(0.0, 0.0, 4.0, 3.0)
    points = np.array([[0.0, 0.0], [-3.0, -4.0], [7.0, 7.0], [2.0 - 0.6, 1.5 + 0.8]])
    assert line.distances(points) == pytest.approx([0, 5, 5, 1])
    corner = Arc(0.0, 0.0, 5.0, -HALF_PI, 0.0)
    points = np.array([[0.0, 0.0], [3.0, -3.0], [8.0, 4.0], [5.0, 2.0], [6.0, -6.0]])
    assert corner.distances(points) == pytest.approx([5, 5 - 18**0.5, 5, 2, 72**0.5 - 5])
    lip = Arc(0.0, 0.0, 5.0, math.pi, 0.0)
    assert lip.distances(np.array([[0.0, 7.0], [-6.0, 0.0], [0.0, -12.0], [-4.0, 1e-9]])) == pytest.approx(
        [2, 1, 13, 1]
    )


@pytest.mark.parametrize("half", ["lower", "upper"])
def test_distances_against_dense_points(half: str) -> None:
    rng = np.random.default_rng(7)
    arc = Arc(3.0, -1.0, 4.0, -math.pi, -0.3) if half == "lower" else Arc(3.0, -1.0, 4.0, math.pi, 0.3)
    t = np.linspace(arc.t1, arc.t2, 20001)
    dense = np.column_stack((3 + 4 * np.cos(t), -1 + 4 * np.sin(t)))
    points = rng.uniform((-6, -8), (12, 6), (40, 2))
    nearest = np.min(np.hypot(*(points[:, None, :] - dense[None]).transpose(2, 0, 1)), axis=1)
    assert arc.distances(points) == pytest.approx(nearest, abs=1e-6)


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        pytest.param(Line(0, 0, 4, 4), Line(0, 4, 4, 0), [2], id="lines"),
        pytest.param(Line(0, 0, 4, 4), Line(0, 1, 4, 5), [], id="parallel"),
        pytest.param(Line(0, 3, 9, 3), Arc(5, 0, 5, math.pi, 0), [1, 9], id="line-arc"),
        pytest.param(Arc(5, 0, 5, math.pi, 0), Line(0, 3, 9, 3), [1, 9], id="arc-line"),
        pytest.param(Line(0, 6, 9, 6), Arc(5, 0, 5, math.pi, 0), [], id="line-over-arc"),
        pytest.param(Arc(0, 0, 5, math.pi, 0), Arc(6, 0, 5, math.pi, 0), [3, 3], id="circles"),
        pytest.param(Arc(0, 0, 5, math.pi, 0), Arc(0, 0, 4, math.pi, 0), [], id="concentric"),
        pytest.param(Arc(0, 0, 2, math.pi, 0), Arc(9, 0, 2, math.pi, 0), [], id="apart"),
    ],
)
def test_crossings(a: Line | Arc, b: Line | Arc, expected: list[float]) -> None:
    assert sorted(crossings(a, b)) == pytest.approx(expected)
