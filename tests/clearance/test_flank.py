"""Below the edge: against the closed forms, and against points in space tried one by one."""

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy.optimize import brentq

from toolpath.clearance.flank import MARGIN, Flank, below_edge, findings
from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Floats, Line

RADIUS = 5.0


def flank_of(section: Chain, mouth: float, relief: float, thickness: float | None = None) -> Flank:
    path = centre_curve(section, RADIUS).clipped(0.0, mouth)
    return below_edge(section, RADIUS, math.radians(relief), thickness, path, 20.0)


@pytest.mark.parametrize("wall", [12.0, 20.0, 21.2, 34.0, 60.0])
@pytest.mark.parametrize("relief", [3.0, 5.0, 7.0, 11.0, 15.0, 20.0])
def test_an_upright_wall_is_met_at_r_sin_2a(wall: float, relief: float):
    # r - h tan a = sqrt(r^2 - h^2)
    section = sections.flat(wall, 12.0, wall + 10.0, corner=RADIUS)
    found = flank_of(section, wall, relief)
    assert found.contact_height == pytest.approx(wall * math.sin(2 * math.radians(relief)), abs=1e-6)
    assert found.at_x == pytest.approx(wall - RADIUS)
    # it is met as far down as the flank goes: the cone has its point at R / tan a
    assert found.meets == (found.contact_height < RADIUS / math.tan(math.radians(relief)))


@pytest.mark.parametrize("depth", [3.3, 8.0, 20.0, 30.0])
@pytest.mark.parametrize("relief", [3.0, 5.0, 7.0, 11.0, 15.0])
def test_a_bowl_is_met_at_its_radius_times_sin_2a(depth: float, relief: float):
    sphere = (34.0**2 + depth**2) / (2 * depth)
    found = flank_of(sections.spherical(34.0, depth, 45.0), 34.0, relief)
    expected = sphere * math.sin(2 * math.radians(relief))
    assert found.contact_height == pytest.approx(expected, abs=1e-6)


def test_a_shallow_bowl_ends_before_the_flank_meets_it():
    assert flank_of(sections.spherical(34.0, 20.0, 45.0), 34.0, 7.0).meets
    assert not flank_of(sections.spherical(34.0, 3.3, 45.0), 34.0, 7.0).meets


def arc_wall(mouth: float, depth: float, corner: float) -> Callable[[Floats], Floats]:
    """Height of a flat dish with its corner arc, written out anew."""
    foot = mouth - (corner if depth >= corner else math.sqrt(corner**2 - (corner - depth) ** 2))

    def height(r: Floats) -> Floats:
        up = corner - depth - np.sqrt(np.maximum(0.0, corner**2 - (r - foot) ** 2))
        return np.where(r <= foot, -depth, np.where(r < mouth, up, 0.0))

    return height


def slope(mouth: float, depth: float, angle: float) -> Callable[[Floats], Floats]:
    """Height of a flat dish with a straight sloping wall and a sharp corner."""

    def height(r: Floats) -> Floats:
        return np.clip((r - mouth) / math.tan(angle), -depth, 0.0)

    return height


def tried_in_space(height: Callable[[Floats], Floats], path: Chain, relief: float) -> float:
    """The least depth below the edge at which a point of the flank's cone lies inside the turned work."""
    centres = path.points(1e-3)
    more = np.linspace(0.0, 1.0, 12)[:, None]
    runs = [a + more * (b - a) for a, b in pairwise(centres)]
    centres = np.unique(np.round(np.vstack(runs), 6), axis=0)
    round_it = np.radians(np.arange(-180.0, 0.1, 0.6))
    for y in np.arange(0.1, RADIUS / math.tan(relief), 0.1):
        shrunk = RADIUS - y * math.tan(relief)
        x = centres[:, 0, None] + shrunk * np.cos(round_it)
        z = centres[:, 1, None] + shrunk * np.sin(round_it)
        if (z < height(np.sqrt(x**2 + y**2)) - 1e-4).any():
            return float(y)
    return math.inf


@pytest.mark.parametrize("relief", [5.0, 7.0, 11.0])
@pytest.mark.parametrize(
    ("section", "height"),
    [
        pytest.param(sections.flat(30.0, 3.3, 45.0, corner=5.0), arc_wall(30.0, 3.3, 5.0), id="all corner"),
        pytest.param(sections.flat(30.0, 6.0, 45.0, corner=8.0), arc_wall(30.0, 6.0, 8.0), id="wide corner"),
        pytest.param(sections.flat(14.0, 9.0, 45.0, corner=6.0), arc_wall(14.0, 9.0, 6.0), id="narrow, deep"),
    ],
)
def test_arc_walls_agree_with_points_in_space(
    section: Chain, height: Callable[[Floats], Floats], relief: float
):
    path = centre_curve(section, RADIUS).clipped(0.0, section.outer)
    found = below_edge(section, RADIUS, math.radians(relief), None, path)
    tried = tried_in_space(height, path, math.radians(relief))
    assert found.meets == math.isfinite(tried)
    if found.meets:
        assert found.contact_height == pytest.approx(tried, abs=0.12)


def test_a_sloping_wall_agrees_with_points_in_space():
    angle, mouth, depth = math.radians(20.0), 30.0, 9.0
    foot = mouth - depth * math.tan(angle)
    drawn = Chain(
        (Line(0.0, -depth, foot, -depth), Line(foot, -depth, mouth, 0.0), Line(mouth, 0.0, 45.0, 0.0))
    )
    path = centre_curve(drawn, RADIUS).clipped(0.0, mouth)
    found = below_edge(drawn, RADIUS, math.radians(7.0), None, path)
    tried = tried_in_space(slope(mouth, depth, angle), path, math.radians(7.0))
    assert found.contact_height == pytest.approx(tried, abs=0.12)


@pytest.mark.parametrize("corner", [5.0, 6.0, 9.0])
def test_an_arc_wall_lies_between_the_closed_forms(corner: float):
    # its circle of contact is nowhere wider than the mouth, nor flatter than the sphere through mouth and floor
    relief = 2 * math.radians(5.0)
    height = flank_of(sections.flat(34.0, 4.5, 45.0, corner=corner), 34.0, 5.0).contact_height
    sphere = (34.0**2 + 4.5**2) / 9.0
    assert 34.0 * math.sin(relief) <= height <= sphere * math.sin(relief)


def test_room_under_a_thin_insert_is_that_over_the_floor():
    found = flank_of(sections.flat(34.0, 12.0, 45.0, corner=RADIUS), 34.0, 7.0, thickness=3.0)
    wall = math.sqrt(34.0**2 - 3.0**2) - 29.0 - (RADIUS - 3.0 * math.tan(math.radians(7.0)))
    assert found.underside_room == pytest.approx(wall, abs=0.002)
    found = flank_of(sections.spherical(34.0, 1.0, 45.0), 34.0, 7.0, thickness=3.0)
    sphere = (34.0**2 + 1.0) / 2
    room = math.sqrt(sphere**2 - 9.0) - sphere + 3.0 * math.tan(math.radians(7.0))
    assert found.underside_room == pytest.approx(room, abs=0.002)


def test_room_in_the_middle_of_a_bowl():
    # on the axis the nearest work is straight below
    bowl = sections.spherical(34.0, 8.0, 45.0)
    sphere = (34.0**2 + 8.0**2) / 16
    path = centre_curve(bowl, RADIUS).clipped(0.0, 0.3)
    found = below_edge(bowl, RADIUS, math.radians(7.0), 4.0, path)
    room = math.sqrt(sphere**2 - 16.0) - sphere + 4.0 * math.tan(math.radians(7.0))
    assert found.underside_room == pytest.approx(room, abs=0.002)


def test_the_template_of_an_upright_wall():
    found = flank_of(sections.flat(34.0, 12.0, 45.0, corner=RADIUS), 34.0, 7.0)
    assert found.template[0] == (0.0, pytest.approx(MARGIN, abs=0.002))
    assert [h for h, _ in found.template[:3]] == [0.0, 0.5, 1.0]
    for h, back in found.template:
        assert back == pytest.approx(34.0 - math.sqrt(34.0**2 - h**2) + MARGIN, abs=0.01)
    assert found.template[-1][0] == 20.0


def test_no_work_below_the_radius_of_the_crown():
    found = below_edge(
        Chain.flat(0.0, 10.0), RADIUS, 0.1, None, Chain.flat(RADIUS, 10.0), height_below_edge=12.0
    )
    assert found.template[-1] == (12.0, 0.0)


def codes(flank: Flank, thickness: float | None, height: float | None) -> list[tuple[str, str]]:
    return [(f.severity, f.code) for f in findings(flank, thickness, height)]


def test_contact_of_the_flank_is_a_stop_and_its_neighbour_is_not():
    section = sections.flat(12.0, 12.0, 45.0, corner=RADIUS)  # met at 12 sin 14 deg = 2.903 mm
    assert codes(flank_of(section, 12.0, 7.0, 2.95), 2.95, 20.0) == [("refused", "flank-contact")]
    assert codes(flank_of(section, 12.0, 7.0, 2.85), 2.85, 20.0) == []
    line = findings(flank_of(section, 12.0, 7.0, 2.95), 2.95, 20.0)[0].line()
    assert "2.903 mm (limit 2.95 mm)" in line
    assert "smaller or thinner insert" in line


def test_no_relief_is_a_stop_and_a_tilted_seat_is_not():
    section = sections.flat(34.0, 3.3, 45.0, corner=RADIUS)
    assert codes(flank_of(section, 34.0, 0.0, 4.0), 4.0, 20.0) == [("refused", "no-relief")]
    assert codes(flank_of(section, 34.0, 5.0, 2.0), 2.0, 20.0) == []


def test_what_was_not_stated_is_a_note_with_the_figures():
    found = flank_of(sections.flat(34.0, 12.0, 45.0, corner=RADIUS), 34.0, 7.0)
    assert codes(found, None, 20.0) == [("note", "insert-thickness-not-stated")]
    note = findings(found, 3.0, None)[0]
    assert (note.severity, note.code) == ("note", "holder-height-not-stated")
    assert "8.23 mm below its cutting edge" in note.what
    assert "20 mm below the edge must there stand 6.75 mm" in note.what


NARROW = sections.flat(12.0, 12.0, 45.0, corner=RADIUS)  # met at 12 sin 14 deg = 2.903 mm


@pytest.mark.parametrize(
    ("relief", "thickness", "height", "said"),
    [
        pytest.param(
            0.0,
            4.0,
            20.0,
            (
                "refused",
                "no-relief",
                "the insert has no relief angle and no tilt of its seat is stated, so it rubs just below its edge",
                *(0.0, 0.0, "mm"),
                "use an insert with relief, or state tool.seat_tilt",
            ),
            id="no relief",
        ),
        pytest.param(
            7.0,
            None,
            20.0,
            (
                "note",
                "insert-thickness-not-stated",
                "the insert is clear of the work down to 2.90 mm below its cutting edge; "
                "whether it is thinner than that was not checked",
                *(None, None, ""),
                "state tool.thickness",
            ),
            id="no thickness",
        ),
        pytest.param(
            7.0,
            2.95,
            20.0,
            (
                "refused",
                "flank-contact",
                "the insert's side rubs on the work; below its cutting edge it is clear only down to",
                *(pytest.approx(12 * math.sin(math.radians(14))), 2.95, "mm"),
                "use a smaller or thinner insert (tool.insert) or one with more relief",
            ),
            id="contact",
        ),
        pytest.param(
            7.0,
            2.5,
            None,
            (
                "note",
                "holder-height-not-stated",
                # 20 mm down there is the rim alone, and the centre goes 7 under it: R + 7 + MARGIN
                "the tool is clear of the work down to 2.90 mm below its cutting edge; a shank that reaches "
                "20 mm below the edge must there stand 12.25 mm behind the edge of the insert",
                *(None, None, ""),
                "grind the shank to the template on the sheet, or state holder.height_below_edge to have it checked",
            ),
            id="no height",
        ),
    ],
)
def test_what_is_said(relief: float, thickness: float | None, height: float | None, said: tuple[object, ...]):
    (found,) = findings(flank_of(NARROW, 12.0, relief, thickness), thickness, height)
    assert found == said


def met_by_distances(section: Chain, path: Chain, relief: float) -> float:
    """The contact of another kind: shapely's distances from points of the work to the path, scipy's root."""
    line = shapely.LineString(path.points(1e-6))
    drawn = shapely.LineString(section.points(1e-6))
    work = shapely.get_coordinates(drawn.interpolate(np.arange(0.0, drawn.length, 0.01)))

    def beside(h: float) -> float:
        seen = work[work[:, 0] >= h]
        seen = np.column_stack((np.sqrt(seen[:, 0] ** 2 - h * h), seen[:, 1]))
        return float(shapely.distance(shapely.points(seen), line).min()) - (RADIUS - h * math.tan(relief))

    heights = np.arange(0.5, RADIUS / math.tan(relief), 0.25)
    first = next(h for h in heights if beside(h) <= 0)
    return brentq(beside, first - 0.25, first)


@pytest.mark.parametrize(
    ("mouth", "depth", "corner", "relief"),
    [
        pytest.param(34.0, 3.3, 5.0, 7.0, id="corner of the insert's radius"),
        pytest.param(32.0, 3.2, 6.0, 7.0, id="wider corner"),
        pytest.param(58.8, 3.1, 14.0, 5.5, id="shallow in a wide corner"),
        pytest.param(20.0, 6.0, 5.0, 7.0, id="wall"),
    ],
)
def test_contact_is_where_the_distances_say(mouth: float, depth: float, corner: float, relief: float):
    """It lay up to 0.3 mm too far below the edge while only lines from single points were followed."""
    section = sections.flat(mouth, depth, 65.0, corner=corner)
    path = centre_curve(section, RADIUS).clipped(0.0, mouth)
    angle = math.radians(relief)
    found = below_edge(section, RADIUS, angle, None, path).contact_height
    assert found == pytest.approx(met_by_distances(section, path, angle), abs=0.04)


@pytest.mark.parametrize("relief", [3.0, 4.0])
def test_a_shallow_slope_is_carried_on_as_its_cone(relief: float):
    """From r0 the flank is at r = hypot(r0 - h t sin b, h) and h t cos b higher: on the cone by h's square."""
    slope, foot, depth = math.radians(10.0), 25.0, 0.5
    mouth = foot + depth / math.tan(slope)
    dish = Chain(
        (Line(0.0, -depth, foot, -depth), Line(foot, -depth, mouth, 0.0), Line(mouth, 0.0, 45.0, 0.0))
    )
    found = flank_of(dish, mouth, relief)
    assert not found.meets
    t, s, c = math.tan(math.radians(relief)), math.sin(slope), math.cos(slope)
    nearest = foot + RADIUS * math.tan(slope / 2) * c  # where the edge first lies against the slope
    height = 2 * nearest * t / s / (1 + t**2 * (s**2 - c**4 / s**2))
    assert found.contact_height == pytest.approx(height, abs=0.01)
    assert found.at_x == pytest.approx(nearest - RADIUS * s, abs=0.01)
