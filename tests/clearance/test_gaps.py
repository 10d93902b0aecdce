"""The holder's gap motion by motion of a program as it was read back."""

import math
from itertools import pairwise

import pytest
import shapely

from toolpath.clearance.gaps import gaps
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.readback.motions import Motion

OUTER, R = 40.0, 4.0
FLAT = Chain.flat(0.0, OUTER)
POCKET = Chain((Line(0.0, -6.0, 25.0, -6.0), Line(25.0, -6.0, 25.0, 0.0), Line(25.0, 0.0, OUTER, 0.0)))


def move(x1: float | None, z1: float | None, x2: float, z2: float, *, rapid: bool = False) -> Motion:
    return Motion(1, "", rapid, x1, z1, x2, z2)


def bar(half: float, front: float) -> shapely.Polygon:
    """A bar along +z, `half` wide to both sides of the insert's centre, its end `front` over it."""
    return shapely.box(-half, front, half, front + 40.0)


def smallest(
    motions: list[Motion], stock: Chain, shape: shapely.Polygon, below: float = 0.0
) -> list[float | None]:
    return [None if g is None else g.gap for g in gaps(motions, (stock, stock), R, shape, below)]


def test_over_a_flat_crown_the_gap_is_the_height_of_the_front():
    (gap,) = gaps([move(30.0, 10.0, 30.0, 5.0)], (FLAT, FLAT), R, bar(3.0, 1.0), 0.0)
    assert gap is not None
    assert (gap.gap, gap.share, gap.z) == pytest.approx((6.0, 1.0, 0.0), abs=1e-6)


@pytest.mark.parametrize("x", [18.0, 19.5, 20.5])
def test_beside_an_upright_wall_the_gap_is_the_distance_to_it(x):
    """From the bar's side to the wall at 25 mm, in a pocket that the insert itself does not touch."""
    found = smallest([move(10.0, -1.0, x, -1.0)], POCKET, bar(3.5, -0.5))
    assert found == pytest.approx([25.0 - x - 3.5], abs=1e-6)


def test_the_height_below_the_edge_brings_the_wall_in():
    """At h below the edge the wall of 25 mm stands at sqrt(25^2 - h^2): by Pythagoras."""
    below = 12.0
    found = smallest([move(10.0, -1.0, 15.0, -1.0)], POCKET, bar(3.5, -0.5), below)
    assert found == pytest.approx([math.sqrt(25.0**2 - below**2) - 18.5], abs=0.01)


def test_the_metal_is_that_of_the_moment():
    """A bar wider than the insert cannot follow it down into solid metal, but can where a cut went before.

    Seven down from a centre 4 over the crown: the bar's corners, half a mm outside the insert, come to
    -2.5; the metal beside the insert still stands at 0 in the first case, and is at -3 in the second.
    """
    down = [move(20.0, 10.0, 20.0, 1.0)]
    wide = bar(4.5, -3.5)
    assert smallest(down, FLAT, wide)[0] < -1.0
    way = ((10.0, 10.0), (10.0, 1.0), (30.0, 1.0), (20.0, 1.0), (19.0, 1.0))
    swept = [move(*a, *b) for a, b in pairwise(way)]
    assert smallest(swept, FLAT, wide)[-1] == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("start", [8.0, 9.3, 12.1, 15.7])
@pytest.mark.parametrize("end", [23.6, 25.1, 27.0, 31.9])
@pytest.mark.parametrize("over", [0.1, 0.6, 2.0])
def test_the_place_between_two_looks_is_found(start: float, end: float, over: float):
    """A spike passes `over` mm above a ridge at 20, wherever the way begins and ends; 0.125 mm may hide."""
    low = ((0.0, -9.0), (19.5, -9.0), (20.0, -3.0), (20.5, -9.0), (35.0, -9.0), (35.0, 0.0), (OUTER, 0.0))
    ridge = Chain(tuple(Line(*a, *b) for a, b in pairwise(low)))
    spike = shapely.Polygon([(0.0, 0.0), (0.3, 8.0), (0.3, 40.0), (-0.3, 40.0), (-0.3, 8.0)])
    (gap,) = gaps([move(start, over - 3.0, end, over - 3.0)], (ridge, ridge), 0.01, spike, 0.0)
    assert gap is not None
    assert over - 0.01 <= gap.gap <= over + 0.125
    assert gap.share == pytest.approx((20.0 - start) / (end - start), abs=0.15 / (end - start))


def test_what_the_insert_has_passed_is_gone_before_the_holder_comes():
    """A bar just narrower than the insert follows it through a cut at any depth."""
    motions = [move(20.0, 10.0, 20.0, 1.0), move(20.0, 1.0, 30.0, 1.0)]
    assert min(smallest(motions, FLAT, bar(2.0, 0.0))) > 0


def test_a_motion_from_an_unknown_place_has_no_gap():
    found = smallest(
        [move(None, 10.0, 30.0, 10.0, rapid=True), move(30.0, 10.0, 30.0, 5.0)], FLAT, bar(3.0, 1.0)
    )
    assert found[0] is None
    assert found[1] == pytest.approx(6.0, abs=1e-6)


def test_the_smallest_gap_within_a_long_motion_is_found():
    """A bar passes over a post of 0.4 mm; the gap is smallest where it is over it, wherever along the way."""
    post = Chain(
        (
            Line(0.0, -5.0, 21.3, -5.0),
            Line(21.3, -5.0, 21.3, -1.0),
            Line(21.3, -1.0, 21.7, -1.0),
            Line(21.7, -1.0, 21.7, -5.0),
            Line(21.7, -5.0, OUTER, -5.0),
        )
    )
    # the insert itself stays clear of the post: it is high, and the bar reaches under it
    shape = shapely.box(-0.5, -9.0, 0.5, 20.0)
    (gap,) = gaps([move(38.0, 9.0, 2.0, 9.0)], (post, post), R, shape, 0.0)
    assert gap is not None
    assert gap.gap == pytest.approx(1.0, abs=1e-6)
    assert abs(38.0 - 36.0 * gap.share - 21.5) < 0.8
