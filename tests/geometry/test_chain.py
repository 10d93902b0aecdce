"""Chains: volumes against quadrature and turned polygons, envelopes against dense sampling."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely import Polygon

from toolpath.errors import GeometryError
from toolpath.geometry.chain import Chain, deeper, higher, stretches_above
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN, SLIVER

COMMON = settings(max_examples=60, deadline=None)
OUTER = 10.0


def piece(r1: float, z1: float, r2: float, z2: float, bulge: float) -> Segment:
    """A line (bulge 0), a lower arc (positive) or an upper arc (negative), flatter the larger."""
    if bulge == 0:
        return Line(r1, z1, r2, z2)
    chord = math.dist((r1, z1), (r2, z2))
    h = abs(z2 - z1) * chord / (2 * (r2 - r1)) + abs(bulge) * chord
    side = math.copysign(1, bulge)
    rc = (r1 + r2) / 2 - side * h * (z2 - z1) / chord
    zc = (z1 + z2) / 2 + side * h * (r2 - r1) / chord
    t1, t2 = math.atan2(z1 - zc, r1 - rc), math.atan2(z2 - zc, r2 - rc)
    return Arc(rc, zc, math.hypot(h, chord / 2), t1, t2)


@st.composite
def chains(draw: st.DrawFn) -> Chain:
    """Lines, both kinds of arc and walls, on a coarse grid so that chains share ends and stretches."""
    inside = draw(st.lists(st.integers(1, 19), max_size=4, unique=True))
    cuts = [0.0, *(k / 2 for k in sorted(inside)), OUTER]
    height = st.integers(-20, 0).map(lambda k: k / 4)
    bulge = st.sampled_from([0.0, 0.0, 0.05, 0.5, 8.0, -0.05, -0.5, -8.0])
    z = draw(height)
    pieces = []
    for r1, r2 in itertools.pairwise(cuts):
        z1 = draw(st.one_of(st.just(z), height))
        z = draw(height)
        pieces.append(piece(r1, z1, r2, z, draw(bulge)))
    return Chain.from_pieces(pieces)


def height(chain: Chain, r: np.ndarray) -> np.ndarray:
    """Heights by the plain formulas, piece by piece; NaN outside the chain."""
    z = np.full(r.shape, np.nan)
    for s in chain.segments:
        here = (r >= s.r1) & (r <= s.r2)
        if isinstance(s, Arc):
            rise = np.sqrt(np.maximum(0.0, s.radius**2 - (r[here] - s.rc) ** 2))
            z[here] = s.zc - rise if s.lower else s.zc + rise
        elif s.r2 > s.r1:
            z[here] = s.z1 + (r[here] - s.r1) * (s.z2 - s.z1) / (s.r2 - s.r1)
    return z


def shells(chain: Chain) -> float:
    """2 pi * integral of r * (-z) dr over the pieces: a volume found another way."""
    total = 0.0
    for s in chain.segments:
        if s.r2 > s.r1:
            r1, r2 = s.r1, s.r2
            total += quad(lambda r, s=s: -2 * math.pi * r * s.at(r), r1, r2, epsabs=1e-11, epsrel=1e-12)[0]
    return total


def bowl(mouth: float, depth: float, outer: float) -> Chain:
    sphere = (mouth**2 + depth**2) / (2 * depth)
    arc = Arc(0.0, sphere - depth, sphere, -HALF_PI, -math.acos(mouth / sphere))
    return Chain((arc, Line(mouth, 0.0, outer, 0.0)))


def pan(mouth: float, depth: float, corner: float, outer: float) -> Chain:
    """A level floor, a corner radius, an upright wall and the rim."""
    return Chain(
        (
            Line(0.0, -depth, mouth - corner, -depth),
            Arc(mouth - corner, corner - depth, corner, -HALF_PI, 0.0),
            Line(mouth, corner - depth, mouth, 0.0),
            Line(mouth, 0.0, outer, 0.0),
        )
    )


# construction


@pytest.mark.parametrize(
    ("segments", "text"),
    [
        pytest.param((), "at least one segment", id="empty"),
        pytest.param((Line(-1.0, 0.0, 1.0, 0.0),), "start at r >= 0 mm, not -1.0 mm", id="past-the-axis"),
        pytest.param(
            (Line(0, 0, 1, 0), Line(1.1, 0, 2, 0)), r"no gap, but \(1, 0\) is not \(1.1, 0\)", id="gap-r"
        ),
        pytest.param((Line(0, 0, 1, 0), Line(1, -0.5, 2, 0)), "must have no gap", id="gap-z"),
    ],
)
def test_chain_failure(segments: tuple[Segment, ...], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        Chain(segments)


def test_a_start_within_the_width_of_a_joint_is_on_the_axis() -> None:
    assert Chain((Line(-JOIN, 0.0, 1.0, 0.0),)).inner == -JOIN


def test_from_pieces_makes_walls_of_steps() -> None:
    chain = Chain.from_pieces([Line(0, -3, 5, -3), Line(5, 0, 8, 0)])
    assert chain.segments[1] == Line(5, -3, 5, 0)
    assert len(chain.pieces) == 2


def test_height_at_a_wall_is_the_lower_end_and_outside_is_refused() -> None:
    chain = Chain.from_pieces([Line(0, -3, 5, -2), Line(5, 0, 8, 0)])
    assert chain.at(5.0) == -2
    assert chain.at(2.5) == -2.5
    assert chain.heights(np.array([5.0, 2.5, 8.0, 8.1, -0.1])) == pytest.approx([-2, -2.5, 0, np.inf, np.inf])
    falling = Chain.from_pieces([Line(0, -2, 5, -2), Line(5, -3, 8, -3)])
    for beside in (5.0 - SLIVER / 2, 5.0 + SLIVER / 2):  # a sliver from a wall is at it
        assert (chain.at(beside), falling.at(beside)) == pytest.approx((-2, -3))
        assert (chain.heights(np.array([beside]))[0], falling.heights(np.array([beside]))[0]) == (
            pytest.approx((-2, -3))
        )
    with pytest.raises(GeometryError, match=r"r 8.5 mm lies outside the chain \(0 to 8 mm\)"):
        chain.at(8.5)


@pytest.mark.parametrize(
    ("chain", "lowest", "highest"),
    [
        (pan(30, 4, 2, 40), -4, 0),
        (Chain((Arc(5, 0, 5, -math.pi, 0),)), -5, 0),  # lowest in its middle, not at an end
        (Chain((Arc(5, -5, 5, math.pi, 0),)), -5, 0),
    ],
)
def test_lowest_and_highest(chain: Chain, lowest: float, highest: float) -> None:
    assert chain.lowest == pytest.approx(lowest)
    assert chain.highest == pytest.approx(highest, abs=1e-12)


@COMMON
@given(chains(), st.sampled_from([-1.25, 0.0, 1.25]), st.floats(-2, 2))
def test_shifted_against_dense_sampling(chain: Chain, dr: float, dz: float) -> None:
    """What goes past the axis is cut off; what leaves it is carried in level."""
    moved = chain.shifted(dr, dz)
    r = np.linspace(0.0, OUTER + dr, 401)[:-1] + 1e-4 / math.pi
    expected = height(chain, np.maximum(r - dr, chain.inner)) + dz
    assert height(moved, r) == pytest.approx(expected, abs=1e-6)
    assert (moved.inner, moved.outer) == pytest.approx((0.0, OUTER + dr), abs=1e-6)


@pytest.mark.parametrize("dr", [-1.0, 0.0, 1.0])
def test_a_chain_off_the_axis_is_shifted_whole(dr: float) -> None:
    ring = Chain((Line(3.0, -1.0, 4.0, -2.0), Arc(9.0, -2.0, 5.0, -math.pi, -HALF_PI)))
    moved = ring.shifted(dr, 0.5)
    assert [(s.r1, s.z1, s.r2, s.z2) for s in moved.segments] == [
        pytest.approx((s.r1 + dr, s.z1 + 0.5, s.r2 + dr, s.z2 + 0.5)) for s in ring.segments
    ]


# volumes


def test_area_of_a_pan_is_its_rectangle_less_the_fillet() -> None:
    """(1 - pi/4) p^2 is left in the corner."""
    assert pan(30, 4, 2, 40).area_under() == pytest.approx(-(30 * 4 - (1 - math.pi / 4) * 4))


@COMMON
@given(chains())
def test_volume_against_quadrature(chain: Chain) -> None:
    slack = 1e-9 * math.pi * OUTER**2  # a chain may rise and fall about z = 0; scale is then the cylinder
    assert chain.volume_below() == pytest.approx(shells(chain), rel=1e-9, abs=slack)
    assert chain.volume_below(2.0) == pytest.approx(
        shells(chain) + 2 * math.pi * OUTER**2, rel=1e-9, abs=slack
    )
    assert chain.moved(-2.0).volume_below() == pytest.approx(chain.volume_below(2.0), rel=1e-9, abs=slack)


@COMMON
@given(chains(), st.lists(st.floats(0.01, 9.99), min_size=1, max_size=5))
def test_volume_does_not_change_when_segments_are_split(chain: Chain, at: list[float]) -> None:
    cuts = [0.0, *sorted(set(at)), OUTER]
    pieces: list[Segment] = []
    for lo, hi in itertools.pairwise(cuts):
        if hi - lo > 1e-6:
            pieces += chain.clipped(lo, hi).pieces
    whole = Chain.from_pieces(pieces)
    assert whole.volume_below() == pytest.approx(chain.volume_below(), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    "chain",
    [
        pytest.param(bowl(32, 5.5, 45.2), id="bowl"),
        pytest.param(pan(34, 4.0, 2.5, 45.2), id="pan"),
        pytest.param(
            Chain((Arc(32, -5.5, 32, math.pi, HALF_PI), Line(32, 26.5, 33, 26.5))).moved(-26.5), id="dome"
        ),
    ],
)
def test_volume_against_a_turned_polygon(chain: Chain) -> None:
    """Pappus (OpenStax Calculus 1, section 6.6): area times the path of its centroid, on finer chords."""
    errors = []
    for sagitta in (1e-2, 1e-4, 1e-6):
        points = [tuple(p) for p in chain.points(sagitta)]
        polygon = Polygon([*points, (chain.outer, 0.5), (0.0, 0.5)])
        turned = 2 * math.pi * polygon.centroid.x * polygon.area
        errors.append(
            abs(turned - math.pi * chain.outer**2 * 0.5 - chain.volume_below()) / chain.volume_below()
        )
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < 1e-6


def test_edge_break_counts_as_the_ring_that_it_is() -> None:
    """0.4 x 0.4 on diameter 90.4: triangle 0.08 mm2, centroid a third in: 0.023 cc, not -2.54 cc."""
    chain = Chain((Line(0, 0, 44.8, 0), Line(44.8, 0, 45.2, -0.4)))
    assert chain.volume_below() / 1000 == pytest.approx(0.023, abs=0.0005)
    assert chain.volume_below() == pytest.approx(2 * math.pi * (45.2 - 0.4 / 3) * 0.08, rel=1e-9)
    left_open = sum(s.inner_volume() for s in chain.segments)
    assert left_open / 1000 == pytest.approx(-2.54, abs=0.005)  # what the closing wall is there for


@pytest.mark.parametrize("depth", [0.05, 0.1, 0.5, 5.0])
def test_shallow_bowl_of_metre_radius(depth: float) -> None:
    """Cap pi h (3 a^2 + h^2)/6 (encyclopedia article, facts section 4); at 0.05 mm the sphere is 10 m."""
    cap = math.pi * depth * (3 * 32**2 + depth**2) / 6
    assert bowl(32, depth, 45.2).volume_below() == pytest.approx(cap, rel=1e-9)


# points and distances


@COMMON
@given(chains(), st.sampled_from([1e-1, 1e-2, 1e-3]))
def test_points_keep_within_the_sagitta(chain: Chain, sagitta: float) -> None:
    points = chain.points(sagitta)
    assert chain.distances(points) == pytest.approx(np.zeros(len(points)), abs=1e-9)
    middles = (points[1:] + points[:-1]) / 2
    assert chain.distances(middles).max() <= sagitta + 1e-9
    assert tuple(points[0]) == pytest.approx((0.0, chain.segments[0].z1))
    assert tuple(points[-1]) == pytest.approx((OUTER, chain.segments[-1].z2))


def test_distances_of_a_pan() -> None:
    chain = pan(30, 4, 2, 40)
    points = np.array([[0.0, -1.0], [28.0, -2.0], [29.0, -1.0], [35.0, 2.5], [27.0, -3.0]])
    assert chain.distances(points) == pytest.approx([3, 2, 1, 2.5, 1])
    assert chain.distances(points) == pytest.approx([3, 2, 1, 2.5, 1])


# envelopes


@settings(max_examples=150, deadline=None)
@given(chains(), chains())
def test_envelopes_against_dense_sampling(a: Chain, b: Chain) -> None:
    r = np.linspace(0.0, OUTER, 1501)[:-1] + OUTER / 3000 + 1e-4 / math.pi  # off the grid of walls
    one, other = height(a, r), height(b, r)
    assert height(deeper(a, b), r) == pytest.approx(np.minimum(one, other), abs=1e-6)
    assert height(higher(a, b), r) == pytest.approx(np.maximum(one, other), abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(chains(), chains())
def test_both_envelopes_hold_what_both_chains_hold(a: Chain, b: Chain) -> None:
    """min + max = a + b, so the volumes add up: a crossing found in the wrong place would show here."""
    both = deeper(a, b).volume_below() + higher(a, b).volume_below()
    assert both == pytest.approx(a.volume_below() + b.volume_below(), rel=1e-9, abs=1e-6)
    assert deeper(a, b).volume_below() == pytest.approx(deeper(b, a).volume_below(), rel=1e-9, abs=1e-6)


@COMMON
@given(chains())
def test_envelope_with_itself_adds_no_pieces(a: Chain) -> None:
    assert len(deeper(a, a).segments) == len(higher(a, a).segments) == len(a.segments)


def test_a_joint_of_the_lower_chain_does_not_split_the_upper_one() -> None:
    flat = Chain.flat(0.0, OUTER)
    roof = Chain((Line(0.0, -3.0, 4.0, -1.0), Line(4.0, -1.0, OUTER, -2.0)))
    assert higher(flat, roof).segments == higher(roof, flat).segments == flat.segments


def test_where_only_one_chain_is_that_one_counts() -> None:
    patch = Chain((Line(30.0, -1.0, 32.0, 0.0),))
    crown = Chain.flat(0.0, 40.0)
    cut = deeper(crown, patch)
    assert cut.at(31.0) == pytest.approx(-0.5)
    assert cut.at(29.0) == 0
    assert cut.at(35.0) == 0
    assert cut.outer == 40
    assert higher(Chain.flat(-2.0, 30.0), Chain.flat(-5.0, 40.0)).at(35.0) == -5


def test_bowl_and_pan_cross_where_a_hand_sum_says() -> None:
    """Sphere of 100 mm, 5 mm deep, against a floor 3 mm down: r^2 = 100^2 - 98^2."""
    old, new = bowl(math.sqrt(100**2 - 95**2), 5.0, 45.2), pan(36.0, 3.0, 2.0, 45.2)
    both = deeper(old, new)
    first = both.pieces[0]
    assert isinstance(first, Arc)
    assert first.r2 == pytest.approx(math.sqrt(100**2 - 98**2), rel=1e-12)


def test_stretches_above_by_hand() -> None:
    """A flat face over a bowl of 100 mm: more than 2 mm over it where the bowl is deeper than 2 mm."""
    old = bowl(math.sqrt(100**2 - 95**2), 5.0, 45.2)
    (stretch,) = stretches_above(Chain.flat(0.0, 45.2), old, by=2.0)
    assert stretch == pytest.approx((0.0, math.sqrt(100**2 - 97**2)))
    assert stretches_above(Chain.flat(0.0, 45.2), old, by=5.1) == []
    two = deeper(
        Chain((Line(0, -3, 10, -3), Line(10, -3, 10, 0), Line(10, 0, 45.2, 0))), Chain((Line(20, -1, 30, 0),))
    )
    assert stretches_above(Chain.flat(0.0, 45.2), two, by=0.5) == [
        pytest.approx((0.0, 10.0)),
        pytest.approx((20.0, 25.0)),
    ]


@COMMON
@given(chains(), chains(), st.sampled_from([0.0, 0.1, 1.0]))
def test_stretches_above_against_dense_sampling(a: Chain, b: Chain, by: float) -> None:
    r = np.linspace(0.0, OUTER, 801)[:-1] + OUTER / 1600 + 1e-4 / math.pi
    gap = height(a, r) - height(b, r) - by
    inside = np.zeros(r.shape, dtype=bool)
    for lo, hi in stretches_above(a, b, by=by):
        inside |= (r > lo) & (r < hi)
    clear = np.abs(gap) > 1e-6
    assert (inside[clear] == (gap[clear] > 0)).all()
