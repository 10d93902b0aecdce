"""The solver: every form and free value against brentq on a quadrature, the level stretch, the limits."""

import itertools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from toolpath.findings import Stopped
from toolpath.forms.sections import cap_depth, cap_volume, flat, mouth_radius, spherical
from toolpath.geometry.chain import Chain
from toolpath.profile.dish import Search, Shape, plan_area, skimmed_section

OUTER = 45.2
PLAIN = Chain.flat(0.0, OUTER)
BOWL = spherical(32.0, 5.5, OUTER)
SPHERE = (32**2 + 5.5**2) / 11
PAN = Shape(form="flat", insert_radius=5.0, mouth=34.0, corner=5.0)
Profile = Callable[[float], float]


def search(shape: Shape, received: Chain = PLAIN, skim: float = 0.0, deepest: float = 12.0) -> Search:
    return Search(shape=shape, received=received, skim=skim, deepest=deepest)


def solved(target: float, free: Any, *where: Any, **more: Any) -> tuple[Shape, float]:
    return search(*where, **more).solved(free, lambda skim: target)


def shells(z: Profile, *knots: float) -> float:
    """2 pi * integral of -r z dr; (1 - cos u)/2 takes the square-root end of an upright wall away."""
    total = 0.0
    for lo, hi in zip((0.0, *knots), (*knots, OUTER), strict=True):
        if hi - lo < 1e-12:
            continue

        def ring(u: float, lo: float = lo, half: float = (hi - lo) / 2) -> float:
            r = lo + half * (1 - math.cos(u))
            return -2 * math.pi * r * z(r) * half * math.sin(u)

        total += quad(ring, 0.0, math.pi, epsabs=1e-9, epsrel=1e-12, limit=200)[0]
    return total


def bowl(r: float, skim: float = 0.0) -> float:
    """BOWL after a skim, by the circle's own equation."""
    return min(0.0, SPHERE - 5.5 + skim - math.sqrt(SPHERE**2 - r**2)) if r < 40 else 0.0


def pan(mouth: float, depth: float, p: float) -> Profile:
    """Level floor, corner p, upright wall where there is room for one."""
    rc = mouth - p if depth >= p else mouth - math.sqrt(p**2 - (p - depth) ** 2)

    def z(r: float) -> float:
        if r <= rc:
            return -depth
        return p - depth - math.sqrt(max(0.0, p**2 - (r - rc) ** 2)) if r <= mouth else 0.0

    return z


def pan_volume(mouth: float, depth: float, p: float, skim: float | None = None) -> float:
    """The pan alone, or the deeper of it and the skimmed BOWL."""
    rc = mouth - p if depth >= p else mouth - math.sqrt(p**2 - (p - depth) ** 2)
    new = pan(mouth, depth, p)
    if skim is None:
        return shells(new, rc, mouth)
    floor_meets = SPHERE**2 - (SPHERE - 5.5 + skim + depth) ** 2
    rim = SPHERE**2 - (SPHERE - 5.5 + skim) ** 2
    gap = lambda r: new(r) - bowl(r, skim)  # noqa: E731
    knots = {rc, mouth, math.sqrt(max(floor_meets, 0.0)), math.sqrt(max(rim, 0.0))}
    grid = np.linspace(rc, mouth, 400)
    knots |= {brentq(gap, a, b, xtol=1e-13) for a, b in itertools.pairwise(grid) if gap(a) * gap(b) < 0}
    return shells(lambda r: min(new(r), bowl(r, skim)), *sorted(knots))


# solved against scipy


@pytest.mark.parametrize("target", [500.0, 5000.0, 11600.0, 15000.0, 30000.0])
def test_flat_depth_against_brentq(target: float) -> None:
    """Below 5 mm the floor is shallower than the corner (about 15 cc), above it there is a wall."""
    expected = brentq(lambda d: pan_volume(34.0, d, 5.0) - target, 1e-3, 12.0, xtol=1e-13)
    shape, skim = solved(target, "depth", PAN)
    assert shape.depth == pytest.approx(expected, rel=1e-9)
    assert skim == 0
    assert search(PAN).volume(shape, 0.0) == pytest.approx(target, rel=1e-9)


@pytest.mark.parametrize("target", [5000.0, 11600.0, 14000.0])
def test_flat_mouth_against_brentq(target: float) -> None:
    shape, _ = solved(target, "mouth", PAN._replace(mouth=None, depth=3.1))
    expected = brentq(lambda m: pan_volume(m, 3.1, 5.0) - target, 10.0, OUTER, xtol=1e-13)
    assert shape.mouth == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("skim", "target"), [(0.0, 11600.0), (0.5, 11600.0), (2.0, 9000.0), (5.6, 9000.0)])
def test_flat_over_an_old_bowl_against_brentq(skim: float, target: float) -> None:
    """With 0.5 mm off, the old bowl stays 1.9 mm below the new floor: only a ring is cut."""
    expected = brentq(lambda d: pan_volume(34.0, d, 5.0, skim) - target, 1e-3, 12.0, xtol=1e-12)
    shape, _ = solved(target, "depth", PAN, BOWL, skim)
    assert shape.depth == pytest.approx(expected, rel=1e-8)
    assert search(PAN, BOWL, skim).volume(shape, skim) == pytest.approx(target, rel=1e-9)
    assert pan_volume(34.0, shape.depth or 0.0, 5.0, skim) == pytest.approx(target, rel=1e-9)


def test_old_bowl_deeper_than_the_new_floor_leaves_a_ring() -> None:
    """By hand: cap under the floor, added to the pan. Sphere of 100, 5 deep; floor 3 down, mouth 36."""
    old = spherical(math.sqrt(100**2 - 95**2), 5.0, OUTER)
    shape = Shape(form="flat", insert_radius=5.0, mouth=36.0, depth=3.0)
    expected = math.pi * 36**2 * 3 + math.pi * 2**2 * (300 - 2) / 3  # cylinder and the cap of height 2
    assert search(shape, old).volume(shape, 0.0) == pytest.approx(expected, rel=1e-9)
    left = skimmed_section(old)
    ring = math.pi * (36**2 - (100**2 - 98**2))
    assert plan_area(shape.cut(old, left), left) == pytest.approx(ring, rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 3.0), st.floats(9600.0, 25000.0))
def test_any_target_is_hit_to_1e_9(skim: float, target: float) -> None:
    for shape in (
        PAN,
        PAN._replace(corner=8.0),
        Shape(form="spherical", insert_radius=5.0, mouth=36.0),
        Shape(form="tapered", insert_radius=5.0, mouth=36.0, corner=5.0, fall=0.05),
        Shape(form="deepened", insert_radius=5.0, mouth=33.0),
        Shape(
            form="points", insert_radius=5.0, points=((0.0, -4.0), (20.0, -3.5), (30.0, -2.0), (36.0, 0.0))
        ),
    ):
        here = search(shape, BOWL, skim, deepest=14.0)
        found, _ = here.solved("depth", lambda _: target)
        assert here.volume(found, skim) == pytest.approx(target, rel=1e-9)


@pytest.mark.parametrize("target", [4000.0, 11600.0, 20000.0])
def test_spherical_depth_and_mouth_are_those_of_the_cap(target: float) -> None:
    """Cap: pi h (3 a^2 + h^2)/6 (encyclopedia article)."""
    by_depth, _ = solved(target, "depth", Shape(form="spherical", insert_radius=5.0, mouth=34.0))
    assert by_depth.depth == pytest.approx(cap_depth(34.0, target), rel=1e-9)
    h = 6.5
    by_mouth, _ = solved(target, "mouth", Shape(form="spherical", insert_radius=5.0, depth=h))
    assert by_mouth.mouth == pytest.approx(math.sqrt((6 * target / (math.pi * h) - h * h) / 3), rel=1e-9)


@pytest.mark.parametrize("depth", np.linspace(3.0, 9.0, 13))
def test_spherical_mouth_at_any_depth(depth: float) -> None:
    """The search starts at the half ball, the least mouth of a bowl; its rounding must not stop it."""
    found, _ = solved(9000.0, "mouth", Shape(form="spherical", insert_radius=5.0, depth=depth))
    expected = math.sqrt((6 * 9000 / (math.pi * depth) - depth**2) / 3)
    assert found.mouth == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("depth", np.linspace(6.0, 9.0, 13))
@pytest.mark.parametrize("fall", [0.05, 0.13])
def test_tapered_mouth_at_any_depth(depth: float, fall: float) -> None:
    shape = Shape(form="tapered", insert_radius=4.7625, depth=depth, corner=4.7625, fall=fall)
    found, _ = solved(9000.0, "mouth", shape)
    assert search(shape).volume(found, 0.0) == pytest.approx(9000.0, rel=1e-9)


def test_deepened_bowl_against_the_sphere() -> None:
    """pi h^2 (3 R - h)/3 with the old sphere's R; the depth is counted from the finished crown."""
    expected = brentq(lambda h: math.pi * h * h * (3 * SPHERE - h) / 3 - 11600, 1.0, 12.0, xtol=1e-13)
    for skim in (0.0, 0.5, 2.0):
        shape, _ = solved(11600.0, "depth", Shape(form="deepened", insert_radius=5.0), BOWL, skim)
        assert shape.depth == pytest.approx(expected, rel=1e-9)


def test_points_are_scaled_in_depth() -> None:
    """A drawn cone of three points, 30 mm wide: V = pi r^2 h/3."""
    shape = Shape(form="points", insert_radius=5.0, points=((0.0, -2.0), (15.0, -1.0), (30.0, 0.0)))
    found, _ = solved(4000.0, "depth", shape)
    # the insert rounds the tip on the axis: what it leaves there is the form's as-cut section
    sharp = 4000 * 3 / (math.pi * 30**2)
    assert found.depth is not None
    assert sharp < found.depth < sharp * 1.02
    assert search(shape).volume(found, 0.0) == pytest.approx(4000.0, rel=1e-9)


def test_points_scaled_in_depth_never_jump() -> None:
    """Nothing in the curve may change over while the solver scales the depths of its points."""
    drawn = ((0.0, -3.0), (17.9451, -2.5), (32.30118, -1.0), (35.8902, 0.0))
    shape = Shape(form="points", insert_radius=3.0, points=drawn)
    here = search(shape)
    depths = np.linspace(0.5, 12.0, 231)
    volumes = np.array([here.volume(shape._replace(depth=float(d)), 0.0) for d in depths])
    steps = np.diff(volumes)
    assert np.abs(np.diff(steps)).max() < 0.02 * steps.mean()
    for target in np.linspace(volumes[0], volumes[-1], 50)[1:-1]:
        found, _ = here.solved("depth", lambda _, target=float(target): target)
        assert here.volume(found, 0.0) == pytest.approx(target, rel=1e-9)


@pytest.mark.parametrize("target", [9000.0, 10200.0])
def test_skim_against_brentq(target: float) -> None:
    """A fixed floor 2 mm under the finished crown, the old bowl deeper: the skim sets the volume."""
    shape = PAN._replace(depth=2.0)

    def after(skim: float) -> float:
        return pan_volume(34.0, 2.0, 5.0, skim)

    assert after(0.0) > target > after(5.5)
    expected = brentq(lambda s: after(s) - target, 0.0, 5.5, xtol=1e-12)
    found, skim = solved(target, "skim", shape, BOWL)
    assert found == shape
    assert skim == pytest.approx(expected, rel=1e-8)


def test_skim_alone_makes_the_old_bowl_smaller() -> None:
    """The cap that is left: pi h^2 (3 R - h)/3 at h = depth - skim."""
    _, skim = solved(5000.0, "skim", PAN._replace(depth=0.0), BOWL)
    expected = 5.5 - brentq(lambda h: math.pi * h * h * (3 * SPHERE - h) / 3 - 5000, 0.1, 5.5, xtol=1e-13)
    assert skim == pytest.approx(expected, rel=1e-9)


def test_target_that_moves_with_the_skim() -> None:
    """Pockets lose skim * area: the turned part must hold that much more."""
    here = search(PAN._replace(depth=0.0), BOWL)
    _, skim = here.solved("skim", lambda s: 5000.0 + 300.0 * s)
    assert here.volume(here.shape, skim) == pytest.approx(5000.0 + 300.0 * skim, rel=1e-9)


# the skim


@pytest.mark.parametrize("skim", [0.3, 2.0, 5.0])
def test_a_skim_takes_depth_and_mouth(skim: float) -> None:
    left = skimmed_section(BOWL.moved(skim))
    h = 5.5 - skim
    assert left.lowest == pytest.approx(-h)
    assert mouth_radius(left) == pytest.approx(math.sqrt(SPHERE**2 - (SPHERE - h) ** 2))
    assert left.volume_below() == pytest.approx(math.pi * h * h * (3 * SPHERE - h) / 3, rel=1e-9)


@pytest.mark.parametrize("skim", [5.5, 6.0])
def test_a_skim_can_take_the_old_dish_away(skim: float) -> None:
    left = skimmed_section(BOWL.moved(skim))
    assert left.volume_below() == pytest.approx(0.0, abs=1e-6)
    assert left.highest == pytest.approx(0.0, abs=1e-9)
    shape, _ = solved(11600.0, "depth", PAN, BOWL, skim)
    fresh, _ = solved(11600.0, "depth", PAN, PLAIN)
    assert shape.depth == pytest.approx(fresh.depth, rel=1e-8)


# the level stretch and what cannot be reached


@pytest.mark.parametrize("free", ["depth", "mouth"])
def test_no_cut_where_the_skimmed_dish_already_is_the_target(free: str) -> None:
    h = 5.0
    target = math.pi * h * h * (3 * SPHERE - h) / 3  # the bowl after 0.5 mm
    shape = PAN._replace(mouth=20.0) if free == "depth" else PAN._replace(mouth=None, depth=2.0)
    found, _ = solved(target, free, shape, BOWL, 0.5)
    assert found.depth == 0
    assert search(found, BOWL, 0.5).volume(found, 0.5) == pytest.approx(target, rel=1e-9)


def test_the_least_cut_just_over_the_level_stretch() -> None:
    """Inside the old bowl a cut changes nothing; one mm3 more starts where the pan comes out of it."""
    target = cap_volume(32.0, 5.5) + 1.0
    found, _ = solved(target, "depth", PAN._replace(mouth=20.0), BOWL)
    expected = brentq(lambda d: pan_volume(20.0, d, 5.0, 0.0) - target, 1.0, 8.0, xtol=1e-12)
    assert found.depth == pytest.approx(expected, abs=1e-6)
    level = search(PAN, BOWL).volume(PAN._replace(mouth=20.0, depth=expected - 0.5), 0.0)
    assert level == pytest.approx(cap_volume(32.0, 5.5), rel=1e-9)


def test_skim_already_right_is_no_skim() -> None:
    """The new cut alone makes the volume, whatever the skim: take none, a rounding away or not."""
    shape = PAN._replace(mouth=36.0, depth=7.0)
    exact = pan_volume(36.0, 7.0, 5.0)
    for target in (exact, exact * (1 - 1e-11), exact * (1 + 1e-11)):
        _, skim = solved(target, "skim", shape, BOWL)
        assert skim == pytest.approx(0.0, abs=1e-9)


def test_out_of_reach_says_the_range() -> None:
    least, most = cap_volume(32.0, 5.5) / 1000, pan_volume(34.0, 12.0, 5.0, 0.0) / 1000
    expected = rf"makes the turned dish 99.000 cc; {least:.3f} to {most:.3f} cc can be reached"
    with pytest.raises(Stopped, match=expected) as stop:
        solved(99000.0, "depth", PAN, BOWL)
    assert stop.value.finding.code == "target-out-of-reach"
    assert stop.value.finding.value == pytest.approx(99.0)
    assert stop.value.finding.limit == pytest.approx(most)


def test_metal_does_not_go_back() -> None:
    with pytest.raises(
        Stopped, match=r"no depth makes the turned dish 5.000 cc.* metal does not go back"
    ) as stop:
        solved(5000.0, "depth", PAN, BOWL)
    assert stop.value.finding.limit == pytest.approx(cap_volume(32.0, 5.5) / 1000)


def test_mouth_out_of_reach() -> None:
    shape = PAN._replace(mouth=None, depth=1.0)
    with pytest.raises(Stopped, match=r"no mouth diameter makes the turned dish 11.600 cc"):
        solved(11600.0, "mouth", shape)
    with pytest.raises(Stopped, match=r"no mouth diameter makes the turned dish 0.001 cc"):
        solved(1.0, "mouth", shape._replace(depth=6.0))


def test_skim_out_of_reach() -> None:
    with pytest.raises(Stopped, match=r"no skim makes the turned dish 12.000 cc"):
        solved(12000.0, "skim", PAN._replace(mouth=20.0, depth=1.0), BOWL)


def test_no_cut_goes_deeper_than_it_may() -> None:
    with pytest.raises(Stopped, match="can be reached"):
        solved(20000.0, "depth", PAN, deepest=4.0)


# with a broken lip


@pytest.mark.parametrize("lip_form", ["chamfer", "radius"])
@pytest.mark.parametrize("target", [1800.0, 3000.0, 11600.0, 25000.0])
def test_lip_break_counts_in_the_volume(lip_form: Any, target: float) -> None:
    shape = PAN._replace(lip=0.4, lip_form=lip_form)
    found, _ = solved(target, "depth", shape)
    here = search(shape)
    assert here.volume(found, 0.0) == pytest.approx(target, rel=1e-9)
    bare = found._replace(lip=0.0)
    assert here.volume(bare, 0.0) < target - 0.1


@pytest.mark.parametrize("lip_form", ["chamfer", "radius"])
@pytest.mark.parametrize("deepest", [1.0, 3.0, 12.0])
def test_floor_hardly_deeper_than_its_lip_break(lip_form: Any, deepest: float) -> None:
    """Floors that the break does not fit must not spoil the search for one that it fits."""
    shape = Shape(form="flat", insert_radius=0.4, mouth=34.0, lip=0.4, lip_form=lip_form)
    target = math.pi * 34**2 * 0.6
    found, _ = solved(target, "depth", shape, deepest=deepest)
    assert search(shape).volume(found, 0.0) == pytest.approx(target, rel=1e-9)
    assert found.depth == pytest.approx(0.6, abs=0.02)


@pytest.mark.parametrize("lip_form", ["chamfer", "radius"])
def test_mouth_solved_with_a_lip_break(lip_form: Any) -> None:
    """The widest mouth has no rim left for the break; that must not spoil the search."""
    shape = PAN._replace(mouth=None, depth=6.0, lip=0.4, lip_form=lip_form)
    found, _ = solved(15000.0, "mouth", shape)
    assert search(shape).volume(found, 0.0) == pytest.approx(15000.0, rel=1e-9)


def test_an_old_dish_too_shallow_for_the_lip_break() -> None:
    """Its wall is lower than the break; the new, wider cut has room for it."""
    shape = PAN._replace(lip=0.4)
    found, _ = solved(11600.0, "depth", shape, flat(20.0, 0.2, OUTER))
    alone, _ = solved(11600.0, "depth", shape)
    assert found.depth == pytest.approx(alone.depth, rel=1e-9)  # the old dish is all inside the cut


def test_a_lip_break_that_does_not_fit_the_answer_is_a_stop() -> None:
    shape = Shape(form="flat", insert_radius=5.0, mouth=34.0, lip=0.4)
    with pytest.raises(Stopped, match=r"lip_break of 0.400 mm is larger than the wall"):
        solved(math.pi * 34**2 * 0.2, "depth", shape)


def test_lip_ring_is_pappus_triangle() -> None:
    """0.4 x 0.4 outside r = 34, a triangle of 0.08 mm2 with its centroid a third out."""
    shape = PAN._replace(depth=7.0, lip=0.4)
    ring = search(shape).volume(shape, 0.0) - pan_volume(34.0, 7.0, 5.0)
    assert ring == pytest.approx(2 * math.pi * (34 + 0.4 / 3) * 0.08, rel=1e-6)
