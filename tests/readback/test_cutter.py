"""Volumes and contacts that can be worked out by hand."""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line
from toolpath.readback.cutter import CONTACT, CutStock, cut, passed_axis, volume_under
from toolpath.readback.motions import Motion

OUTER = 45.2
FLAT = Chain.flat(0.0, OUTER)


def feed(x1: float, z1: float, x2: float, z2: float, line: int = 1) -> Motion:
    return Motion(line, "", False, x1, z1, x2, z2)


def rapid(x1: float | None, z1: float | None, x2: float, z2: float) -> Motion:
    return Motion(1, "", True, x1, z1, x2, z2)


def removed(done: CutStock) -> float:
    return volume_under(done.r, done.stock - done.z)


def segment_area(radius: float, depth: float) -> float:
    """Area of a circular segment of this height (handbook formula)."""
    return radius**2 * math.acos((radius - depth) / radius) - (radius - depth) * math.sqrt(
        2 * radius * depth - depth**2
    )


@pytest.mark.parametrize("x", [6.0, 20.0, 38.0])
@pytest.mark.parametrize(("radius", "depth"), [(5.0, 0.3), (5.0, 2.5), (3.0, 3.0), (1.0, 0.9)])
def test_a_plunge_leaves_a_ring_of_a_circular_segment(x: float, radius: float, depth: float) -> None:
    """Second theorem of Pappus: area times the way of its centroid."""
    done = cut([feed(x, 10, x, radius - depth)], FLAT, radius)
    assert removed(done) == pytest.approx(2 * math.pi * x * segment_area(radius, depth), abs=2e-3)


def test_a_plunge_deeper_than_the_radius_has_upright_walls() -> None:
    radius, x, z = 2.0, 20.0, -3.0
    area = math.pi * radius**2 / 2 + 2 * radius * -z
    done = cut([feed(x, 10, x, z)], FLAT, radius)
    assert removed(done) == pytest.approx(2 * math.pi * x * area, abs=2e-3)


@pytest.mark.parametrize(("sphere", "depth", "volume"), [(10.0, 3.0, 254.4690), (82.0, 6.5, None)])
def test_a_bowl_is_a_spherical_cap(sphere: float, depth: float, volume: float | None) -> None:
    """Cap volume pi h^2 (3 S - h) / 3 (encyclopedia article; S 10, h 3 is 81 pi)."""
    radius = 4.0
    centre, q = sphere - depth, sphere - radius
    rim = math.acos(centre / sphere) + 0.02
    path = Motion(
        1,
        "",
        False,
        0.0,
        centre - q,
        q * math.sin(rim),
        centre - q * math.cos(rim),
        0.0,
        centre,
        q,
        -math.pi / 2,
        rim,
    )
    done = cut([feed(0, 20, 0, centre - q), path], FLAT, radius)
    expected = volume or math.pi * depth**2 * (3 * sphere - depth) / 3
    assert removed(done) == pytest.approx(expected, abs=5e-3)


def test_a_scalloped_cone_agrees_with_quadrature() -> None:
    """Discs in steps, as a manual table cuts; scipy integrates the lowest disc at each r."""
    radius, stops = 5.0, [(30 - 2.0 * k, 4.2 - 0.8 * k) for k in range(8)]
    done = cut([feed(x, 10, x, z) for x, z in stops], FLAT, radius)

    def ring(r: float) -> float:
        lows = [z - math.sqrt(radius**2 - (r - x) ** 2) for x, z in stops if abs(r - x) < radius]
        return 2 * math.pi * r * max(0.0, -min(lows, default=0.0))

    corners = np.linspace(8, 36, 57).tolist()
    expected = sum(quad(ring, a, b, limit=400)[0] for a, b in itertools.pairwise(corners))
    assert removed(done) == pytest.approx(expected, abs=5e-3)


def test_a_stock_with_an_old_dish_gives_only_what_is_there() -> None:
    """Cylinder of depth 2 in an old flat dish of depth 1: hand sums, walls exact."""
    stock = Chain((Line(0, -1, 30, -1), Line(30, -1, 30, 0), Line(30, 0, OUTER, 0)))
    done = cut([feed(0, 10, 0, 0), feed(0, 0, 20, 0)], stock, 2.0)
    height = 1.0  # of the disc's segment under the old floor
    half = math.sqrt(2.0**2 - 1.0**2)
    edge = quad(lambda u: 2 * math.pi * (20 + u) * (math.sqrt(4 - u**2) - 1), 0, half)[0]
    assert removed(done) == pytest.approx(math.pi * 20**2 * height + edge, abs=2e-3)


def test_volume_of_a_cone_is_exact() -> None:
    r = np.array([0.0, 3.0])
    assert volume_under(r, np.array([2.0, 0.0])) == pytest.approx(math.pi * 9 * 2 / 3, rel=1e-12)


def test_what_was_cut_last_at_a_radius() -> None:
    done = cut([feed(20, 9, 20, 4), feed(20, 4, 30, 4), feed(30, 4, 30, 3)], FLAT, 5.0)
    assert [done.last_at(r) for r in (20.0, 25.0, 30.0, 44.0)] == [0, 1, 2, None]


# ---- rapids -------------------------------------------------------------------------------------

RING = Chain((Line(0, -5, 20, -5), Line(20, -5, 20, 0), Line(20, 0, OUTER, 0)))  # wall at r = 20


@pytest.mark.parametrize(
    ("motion", "touches"),
    [
        pytest.param(rapid(30, 50, 30, 5.0), False, id="down until it kisses the crown"),
        pytest.param(rapid(30, 50, 30, 5.0 - 0.5 * CONTACT), False, id="within the tolerance"),
        pytest.param(rapid(30, 50, 30, 5.0 - 2 * CONTACT), True, id="just over the tolerance"),
        pytest.param(rapid(60, 4, 10, 4), True, id="across the crown"),
        pytest.param(rapid(60, 5, 10, 5), False, id="across, kissing the crown"),
        pytest.param(rapid(15, 10, 15, 0), False, id="along the wall of the old dish"),
        pytest.param(rapid(15.001, 10, 15.001, 0), True, id="a hair into the wall, between two grid points"),
        pytest.param(rapid(50.2, 10, 50.2, -20), False, id="down beside the land"),
        pytest.param(rapid(50.199, 10, 50.199, -20), True, id="down a hair into the land"),
        pytest.param(rapid(5, 0, 30, 30), True, id="slope out of the dish, x first touches"),
        pytest.param(rapid(30, 15, 10, 1), True, id="ramp into the dish, z first touches"),
        pytest.param(rapid(10, 6, 30, 12), False, id="slope above everything"),
        pytest.param(rapid(None, None, 10, 1), False, id="first word, both axes, in the old dish"),
        pytest.param(rapid(None, None, 30, 1), True, id="first word, both axes, in the metal"),
        pytest.param(rapid(30, None, 30, 6), False, id="z from far above"),
        pytest.param(rapid(None, 4, 10, 4), True, id="x comes from outside at a height that is too low"),
        pytest.param(rapid(None, 6, 10, 6), False, id="x comes from outside above the crown"),
    ],
)
def test_rapid_contact(motion: Motion, touches: bool) -> None:
    assert bool(cut([motion], RING, 5.0).contacts) is touches


def test_a_rapid_is_held_against_the_stock_at_that_moment() -> None:
    trench = [feed(10, 10, 10, 2), feed(10, 2, 30, 2)]
    back = [rapid(30, 2, 10, 2)]
    assert cut(trench + back, FLAT, 5.0).contacts == ()
    assert cut(back + trench, FLAT, 5.0).contacts == (0,)


def test_a_rapid_through_metal_removes_it_and_is_told_once() -> None:
    done = cut([rapid(60, 4, 10, 4), rapid(10, 4, 60, 4)], FLAT, 5.0)
    assert done.contacts == (0,)
    assert removed(done) > 0


def test_a_first_rapid_out_of_an_arc_shaped_bowl() -> None:
    rim = 25 - math.sqrt(500)
    bowl = Chain((Arc(0, 25, 30, -math.pi / 2, -math.acos(20 / 30)), Line(20, rim, OUTER, rim)))
    assert cut([rapid(None, 50, 0, 50), rapid(0, 50, 0, 0.001)], bowl, 5.0).contacts == ()
    assert cut([rapid(None, 50, 0, 50), rapid(0, 50, 0, -0.001)], bowl, 5.0).contacts == (1,)


# ---- axis ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("motions", "crossings"),
    [
        pytest.param([feed(5, 1, 0, 1)], (), id="reaches the axis"),
        pytest.param([feed(5, 1, -0.9e-6, 1)], (), id="within a millionth"),
        pytest.param([feed(5, 1, -1.1e-6, 1)], (0,), id="over a millionth"),
        pytest.param(
            [feed(5, 1, -2, 1), feed(-2, 1, -1, 1), feed(-1, 1, 5, 1)], (0,), id="once, though it stays there"
        ),
        pytest.param([rapid(5, 9, -2, 9)], (0,), id="a rapid too"),
        pytest.param(
            [Motion(1, "", False, 2, 5, 2, -1, 2, 2, 3.0, math.pi / 2, math.pi)],
            (0,),
            id="an arc between its ends",
        ),
    ],
)
def test_passed_axis(motions: list[Motion], crossings: tuple[int, ...]) -> None:
    assert passed_axis(motions) == crossings
