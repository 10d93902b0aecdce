"""Every form of a dish against profiles written out from its description, by quadrature to 1e-9."""

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from shapely import Polygon

from toolpath.findings import Stopped
from toolpath.forms.sections import cap_depth, cap_volume, deepened, flat, mouth_radius, spherical
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc

OUTER = 45.2
COMMON = settings(max_examples=80, deadline=None)
Profile = Callable[[float], float]


def shells(z: Profile, knots: list[float]) -> float:
    """2 pi * integral of -r z dr between the knots of a profile.

    r = lo + (hi - lo)(1 - cos u)/2 takes the square-root end of an upright wall out of the integrand.
    """
    total = 0.0
    for lo, hi in itertools.pairwise(knots):
        if hi - lo > 1e-12:

            def ring(u: float, lo: float = lo, half: float = (hi - lo) / 2) -> float:
                r = lo + half * (1 - math.cos(u))
                return -2 * math.pi * r * z(r) * half * math.sin(u)

            total += quad(ring, 0.0, math.pi, epsabs=1e-10, epsrel=1e-12, limit=200)[0]
    return total


def pan_profile(
    mouth: float, depth: float, *, corner: float, wall: float, fall: float, tip: float
) -> tuple[Profile, list[float]]:
    """A dish from its words, and its knots.

    The floor falls to the axis by `fall`, rounded there by `tip` with its lowest point at `depth`. The
    corner touches the floor and the wall (which leans out by `wall` and ends at the mouth); where the
    corner would end over the crown there is no wall, and its arc runs out at the mouth.
    """
    slope = math.tan(fall)
    round_to = tip * math.sin(fall)
    foot = tip - depth - math.hypot(tip, tip * slope)  # a tangent tip apart, the line through the axis

    def floor(r: float) -> float:
        if r < round_to:
            return tip - depth - math.sqrt(tip**2 - r**2)
        return foot + slope * r

    lift = math.hypot(corner, corner * slope)  # a corner's centre over the floor line

    def centre(rc: float) -> tuple[float, float]:
        return rc, foot + slope * rc + lift

    def to_wall(rc: float) -> float:  # signed distance of the centre to the wall's line, less the corner
        r, z = centre(rc)
        return (mouth - r) * math.cos(wall) + z * math.sin(wall) - corner

    def to_mouth(rc: float) -> float:
        r, z = centre(rc)
        return math.hypot(mouth - r, z) - corner

    rc = brentq(to_wall, -500.0, mouth, xtol=1e-14, rtol=1e-14) if corner else mouth
    top = centre(rc)[1] - corner * math.sin(wall)
    if corner and top > 0:  # shallower than the corner
        nearest = (mouth - slope * (foot + lift)) / (1 + slope**2)  # of all centres to the mouth
        rc = brentq(to_mouth, -500.0, nearest, xtol=1e-14, rtol=1e-14)
        top, end = 0.0, mouth
    elif corner:
        end = rc + corner * math.cos(wall)
    else:
        end = mouth if wall == 0 else (mouth + math.tan(wall) * foot) / (1 - slope * math.tan(wall))
        top = floor(end)
    begin = rc + corner * math.sin(fall) if corner else end
    zc = centre(rc)[1]

    def z(r: float) -> float:
        if r <= begin:
            return floor(r)
        if r <= end:
            return zc - math.sqrt(max(0.0, corner**2 - (r - rc) ** 2))
        return min(0.0, (r - mouth) / math.tan(wall)) if r < mouth else 0.0

    return z, [0.0, min(round_to, begin), begin, end, mouth]


def check(chain: Chain, profile: tuple[Profile, list[float]]) -> None:
    z, knots = profile
    assert chain.volume_below() == pytest.approx(shells(z, knots), rel=1e-9)
    middles = [(a + b) / 2 for a, b in itertools.pairwise(knots) if b - a > 1e-6]
    assert [chain.at(r) for r in middles] == pytest.approx([z(r) for r in middles], abs=1e-9)


# spherical


@COMMON
@given(st.floats(1.0, 45.0), st.floats(1e-3, 1.0))
def test_spherical_is_the_cap(mouth: float, share: float) -> None:
    """Cap: pi h (3 a^2 + h^2)/6 = pi h^2 (3 R - h)/3 (encyclopedia article)."""
    depth = mouth * share
    sphere = (mouth**2 + depth**2) / (2 * depth)
    bowl = spherical(mouth, depth, OUTER)
    # rounding of the rim, 1e-16 of the sphere's radius, counts over the whole mouth of a very flat bowl
    slack = 1e-15 * sphere * math.pi * mouth**2
    assert bowl.volume_below() == pytest.approx(
        math.pi * depth**2 * (3 * sphere - depth) / 3, rel=1e-9, abs=slack
    )
    assert bowl.volume_below() == pytest.approx(cap_volume(mouth, depth), rel=1e-9, abs=slack)
    assert bowl.lowest == pytest.approx(-depth)
    assert mouth_radius(bowl) == pytest.approx(mouth)
    assert cap_depth(mouth, cap_volume(mouth, depth)) == pytest.approx(depth, rel=1e-9)


def test_half_ball_is_the_deepest_bowl() -> None:
    assert spherical(20.0, 20.0, OUTER).volume_below() == pytest.approx(2 / 3 * math.pi * 8000, rel=1e-9)
    with pytest.raises(
        Stopped, match=r"mouth 40.000 mm cannot be 20.100 mm deep.* at most half its mouth deep"
    ):
        spherical(20.0, 20.1, OUTER)
    with pytest.raises(Stopped, match=r"mouth 40.000 mm cannot hold 17.000 cc"):
        cap_depth(20.0, 17000.0)


@pytest.mark.parametrize(
    "make",
    [
        lambda: spherical(45.3, 5.0, OUTER),
        lambda: flat(45.3, 5.0, OUTER, corner=5.0),
        lambda: flat(45.3, 5.0, OUTER, corner=3.0, fall=0.1, tip=5.0),
    ],
    ids=["spherical", "flat", "tapered"],
)
def test_mouth_beyond_the_crown_is_a_stop(make: Callable[[], Chain]) -> None:
    with pytest.raises(Stopped, match=r"diameter 90.600 mm runs beyond the crown") as stop:
        make()
    assert stop.value.finding.code == "mouth-beyond-crown"
    assert (stop.value.finding.value, stop.value.finding.limit) == pytest.approx((90.6, 90.4))


def test_mouth_may_be_the_whole_crown() -> None:
    assert spherical(OUTER, 5.0, OUTER).outer == pytest.approx(OUTER)
    assert flat(OUTER, 5.0, OUTER, corner=5.0).outer == pytest.approx(OUTER)


# flat and tapered

JUST = 5 * (1 - math.sin(0.4))  # the depth at which a corner of 5 leaves no wall that leans 0.4 rad
PANS = {
    "no corner": {"mouth": 34.0, "depth": 4.0},
    "corner and upright wall": {"mouth": 34.0, "depth": 9.0, "corner": 5.0},
    "corner as deep as the floor": {"mouth": 34.0, "depth": 5.0, "corner": 5.0},
    "floor shallower than the corner": {"mouth": 34.0, "depth": 3.1, "corner": 5.0},
    "floor far shallower than the corner": {"mouth": 34.0, "depth": 0.05, "corner": 8.0},
    "leaning wall, no corner": {"mouth": 34.0, "depth": 4.0, "wall": 0.5},
    "leaning wall": {"mouth": 34.0, "depth": 6.0, "corner": 5.0, "wall": 0.4},
    "leaning wall just there": {"mouth": 34.0, "depth": JUST + 0.01, "corner": 5.0, "wall": 0.4},
    "leaning wall just gone": {"mouth": 34.0, "depth": JUST - 0.01, "corner": 5.0, "wall": 0.4},
    "shallow with a leaning wall": {"mouth": 34.0, "depth": 1.5, "corner": 5.0, "wall": 0.4},
    "tapered, pointed": {"mouth": 34.0, "depth": 7.0, "corner": 4.0, "fall": 0.12},
    "tapered, rounded tip": {"mouth": 34.0, "depth": 7.0, "corner": 5.0, "fall": 0.12, "tip": 5.0},
    "tapered, no corner": {"mouth": 34.0, "depth": 7.0, "fall": 0.12, "tip": 5.0},
    "tapered, leaning": {"mouth": 34.0, "depth": 9.0, "corner": 5.0, "fall": 0.1, "tip": 5.0, "wall": 0.3},
    "tapered, shallow": {"mouth": 34.0, "depth": 5.0, "corner": 5.0, "fall": 0.12, "tip": 5.0},
    "tapered, shallow, leaning": {
        "mouth": 34.0,
        "depth": 5.0,
        "corner": 5.0,
        "fall": 0.12,
        "tip": 5.0,
        "wall": 0.3,
    },
}


@pytest.mark.parametrize("pan", PANS.values(), ids=PANS.keys())
def test_flat_and_tapered_against_quadrature(pan: dict[str, float]) -> None:
    words = {"corner": 0.0, "wall": 0.0, "fall": 0.0, "tip": 0.0} | pan
    check(flat(**words, outer=OUTER), pan_profile(**words))


@settings(max_examples=150, deadline=None)
@given(
    mouth=st.floats(20.0, 44.0),
    depth=st.floats(0.01, 15.0),
    corner=st.sampled_from([0.0, 3.0, 5.0, 6.35]),
    wall=st.sampled_from([0.0, 0.1, 0.5]),
    fall=st.sampled_from([0.0, 0.05, 0.2]),
    tip=st.sampled_from([0.0, 3.0, 6.35]),
)
def test_any_pan(mouth: float, depth: float, corner: float, wall: float, fall: float, tip: float) -> None:
    if fall == 0:
        tip = 0.0
    words = {"corner": corner, "wall": wall, "fall": fall, "tip": tip}
    chain = flat(mouth, depth, OUTER, **words)
    assert chain.lowest == pytest.approx(-depth, abs=1e-9)
    assert chain.at(0.0) == pytest.approx(-depth, abs=1e-9)
    assert chain.highest == pytest.approx(0.0, abs=1e-9)
    foot = tip - depth - math.hypot(tip, tip * math.tan(fall))
    if foot + mouth * math.tan(fall) < -1e-3:  # else the floor itself comes up to the crown within the mouth
        assert mouth_radius(chain) == pytest.approx(mouth, abs=1e-9)
        check(chain, pan_profile(mouth, depth, **words))


@pytest.mark.parametrize("depth", [0.5, 2.0, 3.1, 4.9, 5.0])
def test_mouth_of_a_shallow_floor(depth: float) -> None:
    """The mouth lies sqrt(p^2 - (p - d)^2) outside the corner's centre, not p (design, section 2)."""
    chain = flat(34.0, depth, OUTER, corner=5.0)
    corner = chain.segments[1]
    assert isinstance(corner, Arc)
    assert mouth_radius(chain) - corner.rc == pytest.approx(math.sqrt(5**2 - (5 - depth) ** 2))
    assert (corner.r2, corner.z2) == pytest.approx((34.0, 0.0), abs=1e-9)
    assert not any(s.is_wall for s in chain.segments)


@COMMON
@given(st.floats(16.0, 45.0), st.sampled_from([1.6, 4.7625, 5.0, 6.35, 11.3]))
@example(31.45246767, 6.35)
@example(27.42583143, 6.35)
@example(14.44602219, 4.7625)
def test_upright_wall_is_a_wall_to_the_last_bit(mouth: float, corner: float) -> None:
    """(mouth - p) + p need not be the mouth again in floating point; the wall must not lean by that."""
    walls = [s for s in flat(mouth, 14.0, OUTER, corner=corner).segments if s.is_wall]
    (wall,) = walls
    assert wall.r1 == pytest.approx(mouth, abs=1e-12)
    assert (wall.z1, wall.z2) == pytest.approx((corner - 14.0, 0.0))


def test_corner_ends_where_the_leaning_wall_begins() -> None:
    """A wall 0.4 rad from vertical: wall while d > p (1 - sin w), none below it."""
    edge = 5 * (1 - math.sin(0.4))
    assert len(flat(34.0, edge + 1e-3, OUTER, corner=5.0, wall=0.4).segments) == 4
    assert len(flat(34.0, edge - 1e-3, OUTER, corner=5.0, wall=0.4).segments) == 3


@COMMON
@given(st.floats(0.05, 12.0), st.sampled_from([0.0, 0.3]), st.sampled_from([0.0, 0.12]))
def test_deeper_floors_hold_more(depth: float, wall: float, fall: float) -> None:
    """No jump where the corner takes over from the wall, nor where the falling floor meets the crown."""
    step = 1e-5

    def volume(d: float) -> float:
        return flat(34.0, d, OUTER, corner=5.0, wall=wall, fall=fall, tip=5.0).volume_below()

    rise = volume(depth + step) - volume(depth)
    assert 0 < rise <= math.pi * 34.0**2 * step * 1.0001


def test_falling_floor_that_meets_the_crown_inside_the_mouth_is_a_cone() -> None:
    """Depth 2, falling 0.1 rad, pointed: a cone of base radius 2/tan(0.1)."""
    base = 2.0 / math.tan(0.1)
    cone = flat(34.0, 2.0, OUTER, corner=5.0, fall=0.1)
    assert cone.volume_below() == pytest.approx(math.pi * base**2 * 2.0 / 3, rel=1e-9)
    assert mouth_radius(cone) == pytest.approx(base)


def test_a_floor_within_the_rounded_tip_is_a_small_bowl() -> None:
    depth = 5.0 * (1 - math.cos(0.12)) / 2
    bowl = flat(34.0, depth, OUTER, corner=5.0, fall=0.12, tip=5.0)
    assert bowl.volume_below() == pytest.approx(math.pi * depth**2 * (15.0 - depth) / 3, rel=1e-9)


@pytest.mark.parametrize("length", [1e-3, 2e-6, 1.0000002e-6, 1e-6, 9e-7, 1e-8, 0.0])
@pytest.mark.parametrize("fall", [0.0, 0.13])
def test_floor_as_short_as_it_can_be(length: float, fall: float) -> None:
    """Corner and rounded tip nearly meet: a section all the same, and its mouth where it was asked for."""
    tip, corner, depth = (4.7625 if fall else 0.0), 4.7625, 9.0
    foot = tip - depth - math.hypot(tip, tip * math.tan(fall))
    rc = tip * math.sin(fall) + length - corner * math.sin(fall)
    mouth = rc + corner  # the wall is upright, and the floor deeper than the corner
    chain = flat(mouth, depth, OUTER, corner=corner, fall=fall, tip=tip)
    assert mouth_radius(chain) == pytest.approx(mouth)
    assert chain.at(rc + corner * math.sin(fall)) == pytest.approx(
        foot + (rc + corner * math.sin(fall)) * math.tan(fall), abs=1e-6
    )


@pytest.mark.parametrize(
    ("depth", "fall", "tip", "corner"),
    [
        (9.726740921378292, 0.1415126467711563, 5.0, 6.0),
        (6.2202774655740285, 0.11519560042516085, 6.35, 7.35),
        (3.466040223320591, 0.15922244745557565, 5.0, 5.0),
        (8.0, 0.0, 0.0, 5.0),
    ],
)
def test_narrowest_mouth_is_a_section_or_a_stop(depth: float, fall: float, tip: float, corner: float) -> None:
    """Halving towards the mouth that leaves no floor, as a search does, never ends in a broken chain."""
    good, bad = 30.0, 1.0
    for _ in range(60):
        mouth = (good + bad) / 2
        try:
            flat(mouth, depth, OUTER, corner=corner, fall=fall, tip=tip)
        except Stopped:
            bad = mouth
        else:
            good = mouth
    assert good - bad < 1e-12


def test_corner_wider_than_the_mouth_is_a_stop() -> None:
    with pytest.raises(
        Stopped, match=r"mouth of diameter 10.000 mm leaves no floor inside the corner"
    ) as stop:
        flat(5.0, 8.0, OUTER, corner=6.0)
    assert stop.value.finding.limit == pytest.approx(12.0)


@pytest.mark.parametrize("pan", PANS.values(), ids=PANS.keys())
def test_forms_against_a_turned_polygon(pan: dict[str, float]) -> None:
    """Pappus (OpenStax Calculus 1, section 6.6) on ever finer chords."""
    chain = flat(**pan, outer=OUTER)
    errors = []
    for sagitta in (1e-2, 1e-3, 1e-5):
        polygon = Polygon([*map(tuple, chain.points(sagitta)), (OUTER, 1.0), (0.0, 1.0)])
        turned = 2 * math.pi * polygon.centroid.x * polygon.area - math.pi * OUTER**2
        errors.append(abs(turned - chain.volume_below()) / chain.volume_below())
    assert errors[-1] < 2e-5
    assert errors[-1] < errors[0] or errors[0] < 1e-9  # lines alone are exact at once


# deepened


def test_deepened_bowl_is_its_sphere_carried_on() -> None:
    old = spherical(32.0, 5.5, OUTER)
    sphere = (32**2 + 5.5**2) / 11
    deeper = deepened(old, 1.2, mouth=None)
    assert deeper.volume_below() == pytest.approx(math.pi * 6.7**2 * (3 * sphere - 6.7) / 3, rel=1e-9)
    assert mouth_radius(deeper) == pytest.approx(math.sqrt(sphere**2 - (sphere - 6.7) ** 2))


def test_deepened_bowl_after_a_skim_is_the_same_sphere() -> None:
    old = spherical(32.0, 5.5, OUTER).moved(0.5)
    sphere = (32**2 + 5.5**2) / 11
    assert deepened(old, 1.2, mouth=None).volume_below() == pytest.approx(
        math.pi * 6.2**2 * (3 * sphere - 6.2) / 3, rel=1e-9
    )


def test_deepened_past_the_half_ball_goes_on_as_a_bore() -> None:
    old = spherical(20.0, 19.0, OUTER)
    sphere = (20**2 + 19**2) / 38
    bore = deepened(old, 5.0, mouth=None)
    expected = 2 / 3 * math.pi * sphere**3 + math.pi * sphere**2 * (24.0 - sphere)
    assert bore.volume_below() == pytest.approx(expected, rel=1e-9)


def test_deepened_bowl_with_a_mouth_gets_a_wall() -> None:
    """Inside r = 30 the bowl 1.2 mm lower, with an upright wall: the cap's frustum plus a cylinder."""
    old = spherical(32.0, 5.5, OUTER)
    sphere = (32**2 + 5.5**2) / 11
    rise = sphere - math.sqrt(sphere**2 - 30**2)  # of the bowl over its lowest point at r = 30
    expected = math.pi * rise * (3 * 30**2 + rise**2) / 6 + math.pi * 30**2 * (6.7 - rise)
    assert deepened(old, 1.2, mouth=30.0).volume_below() == pytest.approx(expected, rel=1e-9)


def test_deepened_pan_is_the_pan_lower() -> None:
    old = flat(34.0, 6.0, OUTER, corner=5.0)
    expected = flat(34.0, 7.5, OUTER, corner=5.0).volume_below()
    assert deepened(old, 1.5, mouth=None).volume_below() == pytest.approx(expected, rel=1e-9)


def test_deepened_by_nothing_is_the_old_dish() -> None:
    for old in (spherical(32.0, 5.5, OUTER), flat(34.0, 6.0, OUTER, corner=5.0)):
        assert deepened(old, 0.0, mouth=None).volume_below() == pytest.approx(old.volume_below(), rel=1e-9)


def test_nothing_deepened_is_nothing() -> None:
    assert deepened(Chain.flat(0.0, OUTER), 3.0, mouth=None).volume_below() == 0
    assert deepened(spherical(32.0, 5.5, OUTER), -6.0, mouth=None).volume_below() == 0


def test_deepened_beyond_the_crown_is_a_stop() -> None:
    with pytest.raises(Stopped, match="runs beyond the crown"):
        deepened(spherical(44.0, 5.5, OUTER), 2.0, mouth=None)


# the mouth


def test_mouth_of_an_undished_crown_is_none() -> None:
    assert mouth_radius(Chain.flat(0.0, OUTER)) == 0


def test_every_part_has_finite_size() -> None:
    for pan in PANS.values():
        lengths = np.array([s.length for s in flat(**pan, outer=OUTER).segments])
        assert lengths.min() > 1e-6
