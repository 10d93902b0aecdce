"""What a disc reaches: against brute force, and against offset tables worked by hand."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import as_cut, centre_curve, swept
from toolpath.geometry.segments import HALF_PI, Arc, Line

COMMON = settings(max_examples=25, deadline=None)
OUTER = 20.0


def pan(mouth: float, depth: float, corner: float, outer: float) -> Chain:
    """A level floor, a corner radius, an upright wall and the rim."""
    floor = Line(0.0, -depth, mouth - corner, -depth)
    rest = [Line(mouth, corner - depth, mouth, 0.0), Line(mouth, 0.0, outer, 0.0)]
    if corner == 0:
        return Chain((floor, *rest))
    return Chain((floor, Arc(mouth - corner, corner - depth, corner, -HALF_PI, 0.0), *rest))


def bowl(mouth: float, depth: float, outer: float) -> Chain:
    sphere = (mouth**2 + depth**2) / (2 * depth)
    arc = Arc(0.0, sphere - depth, sphere, -HALF_PI, -math.acos(mouth / sphere))
    return Chain((arc, Line(mouth, 0.0, outer, 0.0)))


@st.composite
def sections(draw: st.DrawFn) -> Chain:
    """Dishes of lines, arcs of both kinds and walls, some with an edge break, with their rim at z = 0."""
    cuts = [0.0, *sorted(draw(st.lists(st.integers(2, 15), min_size=1, max_size=4, unique=True)))]
    z = draw(st.integers(-16, -1)) / 4
    pieces = []
    for r1, r2 in itertools.pairwise(cuts):
        z1 = draw(st.one_of(st.just(z), st.integers(-16, 0).map(lambda k: k / 4)))
        z = draw(st.integers(-16, 0)) / 4
        bulge = draw(st.sampled_from([0.0, 0.05, 0.5, 3.0, -0.05, -0.5]))
        chord = math.dist((r1, z1), (r2, z))
        h = (abs(z - z1) / (2 * (r2 - r1)) + abs(bulge)) * chord * (1 if bulge > 0 else -1)
        rc, zc = (r1 + r2) / 2 - h * (z - z1) / chord, (z1 + z) / 2 + h * (r2 - r1) / chord
        if bulge == 0 or (bulge < 0 and zc + math.hypot(h, chord / 2) > 0):
            pieces.append(Line(r1, z1, r2, z))
        else:
            t1, t2 = math.atan2(z1 - zc, r1 - rc), math.atan2(z - zc, r2 - rc)
            pieces.append(Arc(rc, zc, math.hypot(h, chord / 2), t1, t2))
    edge = draw(st.sampled_from([0.0, 0.5, 1.0]))
    pieces.append(Line(cuts[-1], 0.0, OUTER - edge, 0.0))
    if edge:
        pieces.append(Line(OUTER - edge, 0.0, OUTER, -edge))
    return Chain.from_pieces(pieces)


def along(section: Chain) -> np.ndarray:
    """Points along a chain by the plain formulas, (N, 2)."""
    points = []
    for s in section.segments:
        u = np.linspace(0.0, 1.0, max(2, int(s.length / 0.004)))
        if isinstance(s, Arc):
            t = s.t1 + u * (s.t2 - s.t1)
            points.append(np.column_stack((s.rc + s.radius * np.cos(t), s.zc + s.radius * np.sin(t))))
        else:
            points.append(np.column_stack((s.r1 + u * (s.r2 - s.r1), s.z1 + u * (s.z2 - s.z1))))
    return np.vstack(points)


def metal(section: Chain) -> np.ndarray:
    """Points on the boundary of the metal, both sides of the axis and down the land, (N, 2)."""
    z = np.linspace(section.segments[-1].z2, section.segments[-1].z2 - 8, 500)
    half = np.vstack((along(section), np.column_stack((np.full(500, section.outer), z))))
    return np.vstack((half * (-1, 1), half))


def brute_centre(points: np.ndarray, x: np.ndarray, radius: float) -> np.ndarray:
    """max over |u| <= R of height(x + u) + sqrt(R^2 - u^2), over points: never over the true curve."""
    out = np.full(x.shape, -np.inf)
    for k, at in enumerate(x):
        near = points[np.abs(points[:, 0] - at) <= radius]
        if len(near):
            out[k] = np.max(near[:, 1] + np.sqrt(radius**2 - (near[:, 0] - at) ** 2))
    return out


@COMMON
@given(sections(), st.sampled_from([0.8, 2.0, 3.5, 5.0]))
def test_centre_curve_against_brute_force(section: Chain, radius: float) -> None:
    curve = centre_curve(section, radius)
    assert curve.inner == pytest.approx(0, abs=1e-12)
    assert curve.outer == pytest.approx(section.outer + radius, abs=1e-6)
    walls = np.array([s.r1 for s in curve.segments if s.is_wall] or [-1.0])
    x = np.linspace(0.0, section.outer + radius, 121)[:-1] + 0.0123
    x = x[np.min(np.abs(x[:, None] - walls), axis=1) > 1e-6]
    got, points, step = curve.heights(x), metal(section), 0.01
    here = brute_centre(points, x, radius)
    assert (got >= here - 1e-9).all()  # never in the metal
    around = np.maximum(brute_centre(points, x - step, radius), brute_centre(points, x + step, radius))
    assert (got <= np.maximum(here, around) + 1e-3).all()  # and never higher than it must be


@COMMON
@given(sections(), st.sampled_from([0.8, 2.0, 3.5, 5.0]))
def test_centre_curve_keeps_its_radius_from_the_section(section: Chain, radius: float) -> None:
    """Exact, not sampled: along the curve the nearest metal is the radius away, no more and no less."""
    points = centre_curve(section, radius).points(1e-2)
    inside = points[points[:, 0] <= section.outer]
    mirrored = inside * (-1, 1)
    gap = np.minimum(section.distances(inside), section.distances(mirrored))
    assert gap.min() >= radius - 1e-7
    on_pieces = np.array([p for p in inside if p[1] == pytest.approx(centre_curve(section, radius).at(p[0]))])
    nearest = np.minimum(section.distances(on_pieces), section.distances(on_pieces * (-1, 1)))
    assert nearest.max() <= radius + 1e-6


@COMMON
@given(sections(), st.sampled_from([0.8, 2.0, 3.5, 5.0]))
def test_as_cut_against_brute_force(section: Chain, radius: float) -> None:
    cut = as_cut(section, radius)
    curve = centre_curve(section, radius)
    x = np.unique(np.concatenate([np.linspace(0.0, curve.outer, 6001), [s.r1 for s in curve.segments]]))
    centres = curve.heights(x)
    walls = np.array([s.r1 for s in (*cut.segments, *section.segments) if s.is_wall] or [-1.0])
    r = np.linspace(0.0, OUTER, 151)[:-1] + 0.0123

    def closed(at: float) -> float:
        near = np.abs(x - at) <= radius
        return min(0.0, float(np.min(centres[near] - np.sqrt(radius**2 - (x[near] - at) ** 2))))

    for at in r[np.min(np.abs(r[:, None] - walls), axis=1) > 1e-3]:
        height = cut.at(at)
        assert height >= section.at(at) - 1e-7  # never a gouge
        assert height <= closed(at) + 1e-7  # everything that the disc can take is taken
        assert height >= min(closed(at - 0.004), closed(at), closed(at + 0.004)) - 2e-3


@COMMON
@given(sections(), st.sampled_from([0.8, 2.0, 5.0]))
def test_cutting_twice_changes_nothing(section: Chain, radius: float) -> None:
    once = as_cut(section, radius)
    assert as_cut(once, radius).volume_below() == pytest.approx(once.volume_below(), rel=1e-9, abs=1e-6)
    assert once.volume_below() <= section.volume_below() + 1e-6


def test_swept_by_a_level_path_is_its_floor_and_two_flanks() -> None:
    path = Chain((Line(4.0, 3.0, 10.0, 3.0),))
    surface = swept(path, 2.0, 20.0)
    assert surface.inner == pytest.approx(2.0)
    assert surface.outer == pytest.approx(12.0)
    assert surface.at(7.0) == pytest.approx(1.0)
    assert surface.at(3.0) == pytest.approx(3 - math.sqrt(3))
    assert surface.at(11.0) == pytest.approx(3 - math.sqrt(3))
    assert swept(path, 2.0, 11.0).outer == pytest.approx(11.0)


@COMMON
@given(sections(), st.sampled_from([0.5, 2.0]))
def test_swept_against_brute_force(path: Chain, radius: float) -> None:
    """Any chain may be a path; the least of the disc's underside over every centre on it."""
    surface = swept(path, radius, path.outer)
    centres = along(path)
    walls = np.array([s.r1 for s in surface.segments if s.is_wall] or [-1.0])
    for at in np.linspace(0.0, OUTER, 81)[:-1] + 0.0123:
        if np.min(np.abs(at - walls)) < 0.02:
            continue

        def under(r: float) -> float:
            near = centres[np.abs(centres[:, 0] - r) <= radius]
            return float(np.min(near[:, 1] - np.sqrt(radius**2 - (near[:, 0] - r) ** 2)))

        assert surface.at(at) <= under(at) + 1e-7
        assert surface.at(at) >= min(under(at - 0.004), under(at), under(at + 0.004)) - 2e-3


# offsets worked by hand


def test_offset_table_of_arc_and_taper() -> None:
    """Pure offsetting by hand, tool radius 4 (nothing published with an arc and a taper was found)."""
    profile = Chain(
        (
            Line(0.0, 0.0, 15.0, 0.0),
            Arc(15.0, -10.0, 10.0, HALF_PI, math.radians(30)),
            Line(23.660254037844386, -5.0, 33.660254037844386, -22.320508075688775),
        )
    )
    curve = centre_curve(profile, 4.0)
    arc, taper = curve.segments[1], curve.segments[2]
    assert isinstance(arc, Arc)
    assert (arc.rc, arc.zc, arc.radius) == pytest.approx((15.0, -10.0, 14.0))
    assert (arc.r1, arc.z1) == pytest.approx((15.0, 4.0))
    assert (arc.r2, arc.z2) == pytest.approx((27.1244, -3.0), abs=5e-5)
    assert isinstance(taper, Line)
    assert (taper.r2, taper.z2) == pytest.approx((37.1244, -20.3205), abs=5e-5)


def test_taper_corrections_of_the_imaginary_point() -> None:
    """Trade discussion, two copies: A 60 deg, R 0.015 in: X correction 0.011 in.

    Unrounded, by its formulas: X 0.010981, Z 0.006340 in.
    A taper 60 degrees from the axis, facing the tool: the centre's offset less R in X and Z.
    """
    radius, angle = 0.015, math.radians(60)
    slope = math.tan(math.radians(30))  # fall of z over r for a line 60 degrees from the axis
    profile = Chain((Line(0.0, 0.0, 1.0, -slope),))
    curve = centre_curve(profile, radius)
    line = next(s for s in curve.segments if isinstance(s, Line))
    x = (line.r1 + line.r2) / 2
    # the imaginary point is the centre less R in X and in Z: how far it stands inside the profile
    point_r, point_z = x - radius, line.at(x) - radius
    inside_z = -slope * point_r - point_z
    assert inside_z == pytest.approx(radius * (1 - math.tan(angle / 2)), rel=1e-9)
    assert inside_z == pytest.approx(0.006340, abs=5e-7)
    assert inside_z / slope == pytest.approx(0.010981, abs=5e-7)
    assert inside_z / slope == pytest.approx(radius * (1 - math.tan((math.pi / 2 - angle) / 2)), rel=1e-9)


def test_fillet_of_6_under_an_insert_of_4_gives_an_arc_of_2() -> None:
    curve = centre_curve(pan(30.0, 9.0, 6.0, 45.2), 4.0)
    floor, corner, wall, lip, crown = curve.segments[:5]
    assert floor == Line(0.0, -5.0, 24.0, -5.0)
    assert isinstance(corner, Arc)
    assert (corner.rc, corner.zc, corner.radius) == pytest.approx((24.0, -3.0, 2.0))
    assert wall.is_wall
    assert (wall.r1, wall.z1, wall.z2) == pytest.approx((26.0, -3.0, 0.0))
    assert isinstance(lip, Arc)  # about the sharp lip
    assert (lip.rc, lip.zc, lip.radius) == pytest.approx((30.0, 0.0, 4.0))
    assert (crown.z1, crown.z2) == pytest.approx((4.0, 4.0))


@pytest.mark.parametrize("radius", [3.0, 5.0, 6.35])
def test_corner_of_the_insert_is_one_point(radius: float) -> None:
    section = pan(34.0, 9.0, radius, 45.2)
    curve = centre_curve(section, radius)
    assert all(s.length > 1e-3 for s in curve.segments)
    assert not any(isinstance(s, Arc) and s.lower for s in curve.segments)
    assert (curve.segments[0].r2, curve.segments[0].z2) == pytest.approx((34 - radius, radius - 9))
    assert as_cut(section, radius).volume_below() == pytest.approx(section.volume_below(), rel=1e-9)


def test_convex_lip_grows_by_the_insert() -> None:
    lip = Arc(30.8, -0.8, 0.8, math.pi, HALF_PI)
    section = Chain(
        (
            Line(0.0, -6.0, 25.0, -6.0),
            Arc(25.0, -1.0, 5.0, -HALF_PI, 0.0),
            Line(30.0, -1.0, 30.0, -0.8),
            lip,
            Line(30.8, 0.0, 45.2, 0.0),
        )
    )
    grown = [
        s for s in centre_curve(section, 3.0).segments if isinstance(s, Arc) and s.rc < 40 and not s.lower
    ]
    (arc,) = grown
    assert (arc.rc, arc.zc, arc.radius) == pytest.approx((30.8, -0.8, 3.8))
    assert (arc.r1, arc.z1) == pytest.approx((27.0, -0.8), abs=1e-6)


def test_sphere_keeps_its_centre() -> None:
    old = bowl(32.0, 5.5, 45.2)
    first = centre_curve(old, 5.0).segments[0]
    assert isinstance(first, Arc)
    assert isinstance(old.segments[0], Arc)
    assert (first.rc, first.zc) == pytest.approx((0.0, old.segments[0].zc))
    assert first.radius == pytest.approx(old.segments[0].radius - 5)


@pytest.mark.parametrize(
    "section",
    [pan(34.0, 4.0, 6.0, 45.2), pan(34.0, 4.0, 0.0, 45.2), bowl(32.0, 5.5, 45.2)],
    ids=["pan", "sharp pan", "bowl"],
)
def test_as_many_pieces_as_the_section_and_at_most_3_more(section: Chain) -> None:
    assert len(centre_curve(section, 5.0).segments) <= len(section.segments) + 3


def test_sharp_corner_is_left_with_the_fillet_of_the_insert() -> None:
    """Area (1 - pi/4) R^2 with its centroid 0.223368 R off the wall (centroid table; sum by hand)."""
    section = pan(30.0, 9.0, 0.0, 45.2)
    left = section.volume_below() - as_cut(section, 5.0).volume_below()
    assert left == pytest.approx(973.64, abs=0.005)


def test_an_edge_break_is_within_reach() -> None:
    """The centre goes past the crown's edge; a chamfer there is cut to its end."""
    section = Chain((Line(0.0, 0.0, 44.2, 0.0), Line(44.2, 0.0, 45.2, -1.0)))
    assert as_cut(section, 5.0).volume_below() == pytest.approx(section.volume_below(), rel=1e-9)


def test_a_bowl_tighter_than_the_disc_keeps_its_rim_and_mirror_on_the_axis() -> None:
    """A pit of radius 1 under a disc of 2: it touches both lips, so the axis is cut 2 - sqrt(3) deep."""
    pit = Chain((Line(0.0, -3.0, 1.0, -3.0), Line(1.0, -3.0, 1.0, 0.0), Line(1.0, 0.0, 10.0, 0.0)))
    assert centre_curve(pit, 2.0).at(0.0) == pytest.approx(math.sqrt(3))
    assert as_cut(pit, 2.0).at(0.0) == pytest.approx(math.sqrt(3) - 2)


def test_a_constant_stop_gouges_where_the_curve_does_not() -> None:
    """Corner 8, insert radius 5, allowance 0.15: at the lowest level a constant X stop bites 1.03 mm."""
    mouth, depth, corner, radius, allowance = 34.0, 10.0, 8.0, 5.0, 0.15
    section = pan(mouth, depth, corner, 45.2)
    level = -depth + radius + allowance

    def gouge(x: float) -> float:
        return radius - float(section.distances(np.array([[x, level]]))[0])

    constant = mouth - radius - allowance
    assert gouge(constant) == pytest.approx(1.03, abs=0.005)
    # the same from the corner's own centre, without the chain: reach of the disc beyond the arc
    by_hand = math.hypot(constant - (mouth - corner), level - (corner - depth)) + radius - corner
    assert gouge(constant) == pytest.approx(by_hand, rel=1e-9)

    grown = centre_curve(section, radius + allowance)
    points = grown.points(1e-4)
    stop = points[points[:, 1] <= level + 1e-9][:, 0].max()
    assert gouge(stop) == pytest.approx(-allowance, abs=1e-6)
