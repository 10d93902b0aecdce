"""The smallest gap of a holder on its travel, where it can be checked by head."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from tests.clearance.travels import BAR, INSERT, OUTER, PAN, RUNNING, along, dished, holder, idle
from toolpath.clearance.holder import check, outline
from toolpath.clearance.travel import Course, HolderClearance
from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work, planned
from toolpath.planner.steps import CutStep, Step, steps_of
from toolpath.planner.stock import Stock


def swept(shape: shapely.Polygon, *places: tuple[float, float], below: float = 0.0) -> HolderClearance:
    return Course(idle(PAN), along(*places)).clearance(shape, below)


def test_the_gap_is_that_of_the_old_dish_at_its_worst_stated_place():
    """A bar 16 wide at X 20 stands 2 mm off a wall at 30, 1.5 mm if that sits 0.5 mm off centre."""
    bar = holder(direction=0.0, width=16.0, set_back=1.0)
    for off_centre, gap in ((0.0, 2.0), (0.5, 1.5)):
        stock = Stock.received(PAN, INSERT.radius, off_centre=off_centre, depth_uncertain=0.0)
        found, _ = check(stock, along((20.0, 10.0), (20.0, -3.0)), bar, INSERT)
        assert found is not None
        assert found.gap == pytest.approx(gap, abs=1e-3)


@pytest.mark.parametrize(
    ("places", "gap", "metal"),
    [
        pytest.param([(0.0, 40.0), (0.0, -3.0)], 3.0, (None, -10.0), id="floor"),
        pytest.param([(20.0, 40.0), (20.0, 1.0)], 6.0, (30.0, None), id="wall"),
        pytest.param([(37.0, 40.0), (37.0, 9.0)], 5.0, (None, 0.0), id="rim"),
        pytest.param([(22.0, 40.0), (22.0, 7.0)], 5.0, (30.0, 0.0), id="corner of the rim, 3-4-5"),
        pytest.param([(60.0, 40.0), (60.0, -20.0)], 11.0, (OUTER, None), id="land"),
        pytest.param([(60.0, 40.0), (60.0, 8.0), (-60.0, 8.0)], 4.0, (None, 0.0), id="rapid across"),
    ],
)
def test_gaps_one_can_check_by_head(
    places: Sequence[tuple[float, float]], gap: float, metal: tuple[float | None, float | None]
):
    found = swept(BAR, *places)
    assert found.gap == pytest.approx(gap, abs=1e-3)
    for seen, expected in zip((found.x, found.z), metal, strict=True):
        assert expected is None or seen == pytest.approx(expected, abs=1e-3)


def test_the_wall_beyond_the_axis_counts():
    wide = shapely.box(-25.0, -4.0, 4.0, 60.0)
    found = swept(wide, (0.0, 40.0), (0.0, 0.0))
    assert found.gap == pytest.approx(5.0, abs=1e-3)
    assert found.x == pytest.approx(-30.0, abs=1e-3)


@pytest.mark.parametrize("seed", range(12))
def test_the_smallest_gap_of_many_rapids_is_that_of_places_every_tenth_of_a_millimetre(seed: int):
    """Long ways over the pan and far from it, down into it and out; a bound in mind spares most of the looks."""
    rng = np.random.default_rng(seed)
    corners = [(30.0, -10.0), (30.0, 0.0), (45.0, 0.0), (45.0, -60.0)]
    work = shapely.Polygon([*((-x, z) for x, z in reversed(corners)), *corners])
    places = [(60.0, 50.0)]
    for _ in range(4):
        x, down = float(rng.uniform(0.0, 24.0)), float(rng.uniform(-4.0, 8.0))
        places += [(x, 30.0), (x, down), (x, 30.0), (float(rng.uniform(50.0, 80.0)), 30.0)]
    ways = [((x, z), (to_x, z)) for (x, z), (to_x, _) in pairwise(places)]
    ways += [((to_x, z), (to_x, to_z)) for (_, z), (to_x, to_z) in pairwise(places)]
    sampled = min(
        work.distance(translate(BAR, x + share * (to_x - x), z + share * (to_z - z)))
        for (x, z), (to_x, to_z) in ways
        for share in np.linspace(0.0, 1.0, 2 + int(10 * math.hypot(to_x - x, to_z - z)))
    )
    course = Course(idle(PAN), along(*places))
    gap = course.clearance(BAR, 0.0).gap
    assert sampled - 0.1 <= gap <= sampled + 0.01
    for margin in (0.5 * gap, 0.98 * gap, 1.02 * gap, 3.0 * gap):
        assert course.clears(BAR, 0.0, margin) == (margin <= gap)
        some = course.clearance(BAR, 0.0, under=margin).gap
        assert some == pytest.approx(gap) if gap < margin else some >= gap


RIDGE = Chain(
    (
        *(Line(0.0, -10.0, 19.0, -10.0), Line(19.0, -10.0, 20.0, -2.0), Line(20.0, -2.0, 21.0, -10.0)),
        *(Line(21.0, -10.0, 30.0, -10.0), Line(30.0, -10.0, 30.0, 0.0), Line(30.0, 0.0, OUTER, 0.0)),
    )
)


SPIKE = shapely.Polygon([(0.0, 0.0), (1.0, 8.0), (1.0, 60.0), (-1.0, 60.0), (-1.0, 8.0)])


@pytest.mark.parametrize("start", [8.0, 9.3, 12.1, 15.7, 18.9])
@pytest.mark.parametrize("end", [21.3, 23.6, 27.0])
def test_the_place_between_two_looks_is_found(start: float, end: float):
    """A spike passes over a ridge at 20 with its tip 0.7 mm over it, wherever the way begins and ends."""
    course = Course(idle(RIDGE), along((start, 40.0), (start, -1.3), (end, -1.3)))
    assert course.clearance(SPIKE, 0.0, under=0.75).gap == pytest.approx(0.7, abs=1e-3)
    found = course.clearance(SPIKE, 0.0)
    assert found.gap == pytest.approx(0.7, abs=1e-3)
    assert (found.x, found.z) == pytest.approx((20.0, -2.0), abs=5e-3)
    assert found.move == 4


def test_it_names_the_move():
    places = along((0.0, 40.0), (0.0, 0.0), (20.0, 0.0), (0.0, 40.0))
    assert Course(idle(PAN), places).clearance(BAR, 0.0).move == 4  # X to 20


@pytest.mark.parametrize("turn", [1.0, -1.0])
def test_a_contact_is_told_at_its_deepest_corner(turn: float):
    """A wedge with its point 3 mm under a face, at either end of what overlaps."""
    wedge = shapely.Polygon([(turn * 2.0, -3.0), (turn * -9.0, 5.0), (turn * 2.0, 5.0)])
    found = Course(idle(Chain.flat(0.0, OUTER)), along((20.0, 40.0), (20.0, 0.0))).clearance(wedge, 0.0)
    assert found.gap == pytest.approx(-3.0, abs=1e-3)
    assert (found.x, found.z) == pytest.approx((20.0 + turn * 2.0, -3.0), abs=1e-3)


def test_a_contact_tells_how_deep():
    assert swept(BAR, (28.0, 40.0), (28.0, 2.0)).gap == pytest.approx(-2.0, abs=1e-3)


def test_below_the_edge_the_wall_comes_in():
    # 18 mm below the edge the wall of radius 30 stands at 24
    course = Course(idle(sections.flat(30.0, 40.0, OUTER)), along((14.0, 40.0), (14.0, 0.0)))
    assert course.clearance(BAR, 0.0).gap == pytest.approx(12.0, abs=1e-3)
    assert course.clearance(BAR, 18.0).gap == pytest.approx(6.0, abs=1e-3)
    # 36 mm below the edge it is the rim alone, out to sqrt(45^2 - 36^2)
    assert swept(BAR, (0.0, 40.0), (0.0, 6.0), below=36.0).gap == pytest.approx(2.0, abs=1e-3)
    assert swept(BAR, (0.0, 40.0), (0.0, 2.0), below=36.0).gap == pytest.approx(-2.0, abs=1e-3)


def test_below_the_edge_a_slope_is_the_highest_of_its_heights():
    # floor to r 10, then up 1 in 1: 12 mm below the edge, at x = 9, it is at radius 15, 5 over the floor
    cone = Chain((Line(0.0, -20.0, 10.0, -20.0), Line(10.0, -20.0, 30.0, 0.0), Line(30.0, 0.0, OUTER, 0.0)))
    needle = shapely.box(-0.001, 0.0, 0.001, 50.0)
    course = Course(idle(cone), along((9.0, 40.0), (9.0, -15.0 + 0.01)))
    assert 0.0 < course.clearance(needle, 12.0).gap <= 0.01
    course = Course(idle(cone), along((9.0, 40.0), (9.0, -15.0 - 0.01)))
    assert course.clearance(needle, 12.0).gap < 0.0


def facing(step: float, skim: float = 0.5, beyond: float = 1.5) -> tuple[Stock, tuple[Step, ...]]:
    section = Chain.flat(skim, OUTER)
    stock = Stock(section, section, INSERT.radius)
    rules = Rules(step, 0.5, 0.15, math.radians(3.0), 1.0, beyond)
    plan = planned(Work(stock, skim, Chain.flat(0.0, OUTER), 0.0), rules)
    return stock, steps_of(plan, RUNNING)


def test_metal_ahead_of_the_insert_still_stands():
    stock, steps = facing(0.25)
    leading = shapely.box(-20.0, -4.0, 0.0, 60.0)
    assert Course(stock, steps).clearance(leading, 0.0).gap == pytest.approx(0.75, abs=0.005)


def test_metal_ahead_stands_while_the_insert_cuts_not_only_before():
    """From so far outside that nothing of a bar 8 mm ahead is over the crown before the feed begins."""
    stock, steps = facing(0.25, beyond=12.0)
    leading = shapely.box(-8.0, -4.0, 0.0, 60.0)
    assert Course(stock, steps).clearance(leading, 0.0).gap == pytest.approx(0.75, abs=0.005)


def test_metal_behind_the_insert_is_gone():
    stock, steps = facing(0.25)
    trailing = shapely.box(0.0, -4.9, 20.0, 60.0)
    assert Course(stock, steps).clearance(trailing, 0.0).gap == pytest.approx(0.1, abs=0.01)


def test_a_holder_within_the_inserts_circle_keeps_its_stand_back():
    stock, steps = dished(4.0)
    disc = shapely.Point(0.0, 0.0).buffer(4.6, quad_segs=64)
    assert Course(stock, steps).clearance(disc, 0.0).gap == pytest.approx(0.4, abs=0.01)


def test_the_gap_is_no_more_than_at_places_tried_one_by_one():
    stock, steps = dished(4.0)
    corners = sections.flat(30.0, 4.0, OUTER, corner=5.0).points(1e-3)
    solid = shapely.Polygon([*corners, (OUTER, -60.0), (0.0, -60.0)])
    shank = outline(holder(direction=math.pi / 2, width=20.0, set_back=4.5), INSERT)
    assert shank is not None
    path = next(s.run for s in reversed(steps) if isinstance(s, CutStep)).cut.path.points(1e-3)
    tried = min(shapely.affinity.translate(shank, x, z).distance(solid) for x, z in path)
    found = Course(stock, steps).clearance(shank, 0.0)
    assert found.gap == pytest.approx(tried, abs=0.02)
    assert found.gap == pytest.approx(0.5, abs=0.02)  # the shank 4.5 over the floor, 4 deep
