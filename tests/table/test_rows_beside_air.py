"""Rows where an old dish leaves air beside the metal: from which side, how far, and in which words."""

import math
import re
from itertools import pairwise

import numpy as np
import pytest

from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.planner.stock import Stock
from toolpath.table.readout import Readout
from toolpath.table.rows import APPROACH, rough_and_finish
from toolpath.table.terraces import Terraces, climbed
from toolpath.table.wording import worded

RADIUS, OUTER, OFF_CENTRE = 5.0, 45.2, 1.0
RULES = Rules(0.25, 0.5, 0.15, math.radians(3), 1.0, 0.5)
CENTRE = Readout("insert-centre", RADIUS, "mm", "radius", 0.01)  # shows what is worked out here
NEAR = 0.05  # mm: two cells of the grid on which metal is looked for, a count, and metal too thin to count


def rows(*corners):
    """The rows of a flat dish, 3 mm deep and 34 mm in radius, in an old section with these corners."""
    old = Chain(tuple(Line(*a, *b) for a, b in pairwise((*corners, (OUTER, 0.0)))))
    stock = Stock.received(old, RADIUS, off_centre=OFF_CENTRE, depth_uncertain=0.2)
    work = Work(stock, 0.0, sections.flat(34.0, 3.0, OUTER, corner=RADIUS), 34.0)
    return worded(rough_and_finish(work, RULES, 0.02, CENTRE), work, CENTRE)


def beside(row):
    """How far from an upright side the insert's centre is when it takes the infeed off its top, mm."""
    return math.sqrt(RADIUS**2 - (RADIUS - row.infeed) ** 2)


GROOVE = ((14.0, -4.0), (28.0, -4.0), (28.0, 0.0))


def test_a_hub_is_cut_inward_from_the_groove_round_it():
    made = rows((0.0, 0.0), (14.0, 0.0), *GROOVE)
    hub = [r for r in made if r.x_start < 21.0]
    assert [r.z for r in hub][-1] == 2.0
    assert len(hub) == 7
    for row in hub:
        assert row.how == "in to X stop"
        assert row.x_stop == 0.0
        assert row.x_start == pytest.approx(14.0 + OFF_CENTRE + beside(row) + APPROACH, abs=NEAR)
    assert {r.how for r in made if r not in hub} == {"out to X stop"}


def test_a_pit_too_narrow_to_be_sure_of_is_no_way_in():
    """At 0.5 mm the insert needs 2.2 mm to either side: a pit of 3 mm has them, 1 mm aside it has not."""
    made = rows((0.0, -4.0), (3.0, -4.0), (3.0, 0.0), (14.0, 0.0), *GROOVE)
    levels = [r for r in made if r.cut == "rough" and r.x_start < 21.0]
    assert len(levels) == 6
    *deep, last = levels
    assert last.how == "out past the metal"  # 0.35 needs 1.8
    for row in deep:
        assert row.how == "in past the metal"
        assert row.x_stop == pytest.approx(3.0 - beside(row) - APPROACH, abs=NEAR)


def test_a_ring_is_cut_outward_from_the_dish_inside_it_and_no_further_than_it_goes():
    made = rows((0.0, -4.0), (10.0, -4.0), (10.0, 0.0), (14.0, 0.0), *GROOVE)
    ring = [r for r in made if r.x_start < 14.0]
    assert len(ring) == 7
    for row in ring:
        assert row.how == "out past the metal"
        assert row.x_start == pytest.approx(10.0 - OFF_CENTRE - beside(row) - APPROACH, abs=NEAR)
        assert row.x_stop == pytest.approx(14.0 + beside(row) + APPROACH, abs=NEAR)
    assert {r.how for r in made if r not in ring} == {"out to X stop"}


def test_where_there_is_no_air_the_hand_takes_small_bites_off_the_axis():
    for row in rows((0.0, 0.0)):
        begin = float(re.fullmatch(r"bites X(.*), out", row.how)[1])
        assert begin >= RADIUS
        assert row.x_start == 0.0


def test_a_falling_wall_has_the_terraces_of_the_rising_one_that_mirrors_it():
    valley = Chain(tuple(Line(*a, *b) for a, b in pairwise([(0, 0), (12, 0), (20, -4), (28, 0), (OUTER, 0)])))
    terraces = Terraces.of(centre_curve(valley, 4.0).clipped(0.0, OUTER))
    falling, rising = terraces.walls
    assert (falling.rising, rising.rising) == (False, True)
    z = np.arange(rising.low, rising.top, 0.01)
    steps = [climbed(wall, z, wall.top, valley, 4.0, 0.02, 0.5) for wall in (falling, rising)]
    assert steps[0] == steps[1]
    assert len(steps[0]) > 3
