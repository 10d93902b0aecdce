"""The metal that a holder may meet: what stands at x down to a height below the edge, and about the insert."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from toolpath.clearance.metal import Metal
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line

OUTER = 30.0
# narrow ridges of any height, so that a height left out of a stretch shows
EDGES = [0.0, 2.0, 2.1, 2.2, 5.0, 5.3, 5.4, 9.0, 9.1, 9.3, 13.0, 13.2, 13.3, 20.0, 20.1, 20.2, 26.0, OUTER]
HEIGHTS = [
    -8.0,
    -7.0,
    -2.0,
    -7.5,
    -6.0,
    -1.0,
    -6.5,
    -6.0,
    -3.0,
    -6.6,
    -5.0,
    -0.5,
    -5.5,
    -4.0,
    -1.5,
    -4.4,
    -3,
    0,
]
RIDGED = Chain(tuple(Line(*a, *b) for a, b in pairwise(zip(EDGES, HEIGHTS, strict=True))))


def top(metal: shapely.Polygon, x: float) -> float:
    """The highest metal at x."""
    return shapely.intersection(metal, shapely.LineString([(x, -50.0), (x, 50.0)])).bounds[3]


@pytest.mark.parametrize("below", [0.0, 0.4, 1.0, 3.0, 7.0, 12.0, 19.0])
def test_what_stands_is_the_highest_between_two_radii(below: float):
    """At every corner of the polygon; between straight lines the highest is at an end or at an edge."""
    (metal,) = Metal(RIDGED, RIDGED, 5.0, below).standing
    corners = [(x, z) for x, z in shapely.get_coordinates(metal) if z > -50.0]
    assert len(corners) > 30
    for x, z in corners:
        far = min(math.hypot(x, below), OUTER)
        between = [height for r, height in zip(EDGES, HEIGHTS, strict=True) if abs(x) < r < far]
        expected = max(*RIDGED.heights(np.array([abs(x), far])), *between)
        assert z == pytest.approx(expected, abs=1e-3)


def test_a_level_floor_needs_no_corners_between_its_ends():
    """Either half of a flat crown has two, the land two, and the ring ends where it began."""
    (metal,) = Metal(Chain.flat(0.0, OUTER), Chain.flat(-1.0, OUTER), 5.0, 0.0).standing
    assert len(shapely.get_coordinates(metal)) == 2 + 2 + 2 + 1
    assert metal.bounds[3] == -1.0


def test_a_wall_that_the_leg_cuts_stands_where_it_is():
    """Off the grid of radii: 10.123 mm, 3 deep, cut by a leg that is done there."""
    walled = Chain(
        (Line(0.0, -3.0, 10.123, -3.0), Line(10.123, -3.0, 10.123, 0.0), Line(10.123, 0.0, OUTER, 0.0))
    )
    metal = Metal(Chain.flat(0.5, OUTER), walled, 5.0, 0.0)
    (left,) = metal.during(np.array([(20.0, 20.0)]), np.array([0.0]), outward=True)
    assert [top(left, x) for x in (10.12, 10.126)] == pytest.approx([-3.0, 0.0], abs=1e-6)


@pytest.mark.parametrize(
    ("travel", "outward", "touches"),
    [
        pytest.param((1.0, 0.0), True, 20.0, id="outward, level"),
        pytest.param((-1.0, 0.0), False, 20.0, id="inward, level"),
        pytest.param((0.8, 0.6), True, 23.0, id="outward, climbing 3 in 4"),
        pytest.param((0.8, -0.6), True, 17.0, id="outward, falling 3 in 4"),
        pytest.param((-0.8, -0.6), False, 23.0, id="inward, falling 3 in 4"),
        pytest.param((-0.8, 0.6), False, 17.0, id="inward, climbing 3 in 4"),
    ],
)
def test_about_the_insert(travel: tuple[float, float], outward: bool, touches: float):
    """Behind the place that the edge touches the leg is done; ahead of it the insert's circle is free."""
    radius, x, z = 5.0, 20.0, 3.0
    metal = Metal(Chain.flat(0.5, OUTER), Chain.flat(-2.5, OUTER), radius, 0.0)
    (left,) = metal.during(np.array([(x, z)]), np.array([travel[1]]), outward=outward)
    for r in (12.0, 15.5, 16.5, 17.5, 19.0, 20.5, 22.5, 23.5, 24.5, 27.0):
        behind = r < touches if outward else r > touches
        circle = z - math.sqrt(radius**2 - (r - x) ** 2) if abs(r - x) < radius else math.inf
        expected = -2.5 if behind else min(0.5, circle)
        assert top(left, r) == pytest.approx(expected, abs=1e-6)
