"""What a plan holds: the order of its passes, their number, bites and levels."""

import math
from itertools import pairwise

import pytest

from toolpath.forms import sections
from toolpath.geometry.chain import Chain, deeper, stretches_above
from toolpath.geometry.segments import Line
from toolpath.planner.passes import Rules, bite, break_passes, finish_passes, skim_passes
from toolpath.planner.plan import Work, finished_section, planned
from toolpath.planner.roughing import rough_passes
from toolpath.planner.stock import Stock

RADIUS, OUTER = 4.0, 45.0
RULES = Rules(
    skim_depth=0.25, dish_depth=0.5, allowance=0.15, ramp=math.radians(3), clearance=1.0, beyond=0.5
)
CUT = sections.flat(25.0, 3.0, OUTER, corner=RADIUS)
NO_CUT = Chain.flat(0.0, OUTER)
EDGE = Chain((Line(OUTER - 1.0, 0.0, OUTER, -1.0),))


def received(section, *, off_centre=0.0, depth_uncertain=0.0):
    return Stock.received(section, RADIUS, off_centre=off_centre, depth_uncertain=depth_uncertain)


BLANK = received(Chain.flat(0.5, OUTER))


def kinds(plan):
    seen = []
    for one in plan.passes:
        if not seen or seen[-1] != one.kind:
            seen.append(one.kind)
    return seen


def test_the_order_of_a_whole_plan():
    old_lip = Chain((Line(30.0, -1.0, 31.0, 0.0),))
    wide = received(Chain((Line(0, -1, 30, -1), Line(30, -1, 30, 0.5), Line(30, 0.5, OUTER, 0.5))))
    plan = planned(Work(wide, 0.5, CUT, 25.0, EDGE, old_lip), RULES)
    assert kinds(plan) == ["skim", "break", "rough", "finish", "break"]
    assert plan.work.patches == (EDGE, old_lip)
    assert plan.count("skim") == 2
    assert plan.count("skim", "finish") == 3
    assert plan.count("semi") == 0
    want = finished_section(plan.work)
    # the insert stands proud of the corner between the old floor and its lip, and nowhere else
    inside = want.points(0.05)[:, 0]
    left = plan.left.surface.heights(inside) - want.heights(inside)
    assert left.min() >= -1e-9
    assert left[(inside < 24.0) | (inside > 31.5)].max() < 1e-4


def test_a_crown_that_is_only_faced():
    plan = planned(Work(BLANK, 0.5, NO_CUT, 0.0), RULES)
    assert kinds(plan) == ["skim"]
    assert plan.contour is None
    assert plan.greatest_bite == pytest.approx(0.25)
    assert (plan.left.surface.lowest, plan.left.surface.highest) == pytest.approx((0.0, 0.0))


def test_nothing_to_cut():
    plan = planned(Work(received(NO_CUT), 0.0, NO_CUT, 0.0), RULES)
    assert plan.passes == ()
    assert plan.greatest_bite == 0.0


def test_the_contour_of_one_finishing_cut_is_its_path():
    plan = planned(Work(BLANK, 0.5, CUT, 25.0), RULES)
    assert plan.contour == plan.passes[-1].cut.path


def test_the_finished_section_holds_every_break():
    old_lip = Chain((Line(30.0, -1.0, 31.0, 0.0),))
    section = finished_section(Work(BLANK, 0.5, CUT, 25.0, EDGE, old_lip))
    assert section.at(10.0) == pytest.approx(-3.0)
    assert section.at(30.5) == pytest.approx(-0.5)
    assert section.at(40.0) == 0.0
    assert section.at(44.5) == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("skim", "depth", "levels"),
    [(0.5, 0.25, [0.25, 0.0]), (0.3, 0.25, [0.15, 0.0]), (0.1, 0.25, [0.0]), (0.75, 0.25, [0.5, 0.25, 0.0])],
)
def test_facing_is_in_equal_steps_from_beyond_the_land(skim, depth, levels):
    rules = Rules(depth, 0.5, 0.15, RULES.ramp, 1.0, 0.5)
    passes = [one for one, _ in skim_passes(received(Chain.flat(skim, OUTER)), skim, rules)]
    assert [p.level - RADIUS for p in passes] == pytest.approx(levels, abs=1e-9)
    thick = skim / len(levels)
    start = OUTER + 0.5 + math.sqrt(RADIUS**2 - (RADIUS - thick) ** 2) + 1.0  # where the insert touches
    for one in passes:
        (leg,) = one.legs
        assert not leg.outward
        assert (leg.starts_at, leg.ends_at) == (pytest.approx(start), 0.0)
        assert one.descend == one.level
        assert one.bite == pytest.approx(thick)
        met = stretches_above(one.before.centre, leg.path, by=1e-4)
        assert met == [pytest.approx((0.0, start - 1.5), abs=0.01)]


def test_a_facing_cut_deeper_than_the_insert_starts_by_its_radius():
    rules = Rules(5.0, 0.5, 0.15, RULES.ramp, 1.0, 0.5)
    ((one, _),) = skim_passes(received(Chain.flat(5.0, OUTER)), 5.0, rules)
    assert one.cut.starts_at == OUTER + 0.5 + RADIUS + 1.0


def test_facing_ends_inside_the_old_mouth_wherever_it_may_sit():
    """A cone 5 mm deep at r 0 and 0.5 mm over the new crown at r 22; 0.3 mm off centre, 0.2 shallower."""
    cone = Chain((Line(0.0, -5.0, 22.0, 0.5), Line(22.0, 0.5, OUTER, 0.5)))
    stock = received(cone, off_centre=0.3, depth_uncertain=0.2)
    ends = [one.cut.ends_at for one, _ in skim_passes(stock, 0.5, RULES)]
    assert ends == pytest.approx([(z + 5.0 - 0.2) * 4.0 - 0.3 for z in (0.25, 0.0)], abs=1e-6)


def test_roughing_levels_are_equal_and_end_at_the_allowance():
    stock = received(Chain.flat(0.0, OUTER))
    passes = [one for one, _ in rough_passes(stock, CUT, RULES)]
    assert [p.kind for p in passes] == ["rough"] * 6
    assert [p.level for p in passes] == pytest.approx([RADIUS - 2.85 * k / 6 for k in range(1, 7)], abs=1e-6)
    assert max(p.bite for p in passes) <= 0.5
    for one in passes:
        inward, outward = one.legs
        assert (inward.outward, outward.outward) == (False, True)
        assert inward.ends_at == outward.starts_at == 0.0
        assert inward.path.outer == pytest.approx(2.85 / 6 / math.tan(RULES.ramp), abs=1e-3)
    for above, below in pairwise(passes):
        assert below.cut.path.segments[-1].z2 <= above.level + 1e-6


def test_metal_within_the_allowance_is_not_roughed():
    stock = received(Chain.flat(0.0, OUTER))
    assert not list(rough_passes(stock, sections.flat(25.0, 0.3, OUTER, corner=RADIUS), RULES))
    assert list(rough_passes(stock, sections.flat(25.0, 0.31, OUTER, corner=RADIUS), RULES))


def test_every_pass_cuts_where_there_is_metal():
    """An old flat dish of r 15: the new one, as deep, cuts from there outward."""
    old = received(sections.flat(15.0, 3.0, OUTER, corner=RADIUS))
    plan = planned(Work(old, 0.0, CUT, 25.0), RULES)
    for one in plan.passes:
        assert one.cut.path.inner > 5.0
        met = stretches_above(one.before.centre, one.cut.path, by=1e-4)
        assert met
        assert all(lo >= 11.0 for lo, _ in met)


def test_finishing_ends_over_the_lip():
    """With the insert's own corner the wall stands upright at the mouth: the centre climbs it."""
    stock = received(Chain.flat(0.0, OUTER))
    rough = stock
    for _, after in rough_passes(stock, CUT, RULES):
        rough = after
    ((one, left),) = finish_passes(rough, CUT, 25.0, RULES)
    assert one.kind == "finish"
    assert one.level == pytest.approx(RADIUS - 3.0)
    assert bite(rough, left) == pytest.approx(one.bite)
    finished = deeper(NO_CUT, CUT)
    r = finished.points(0.01)[:, 0]
    assert left.surface.heights(r) == pytest.approx(finished.heights(r), abs=1e-4)


@pytest.mark.parametrize(("size", "steps"), [(0.5, 1), (1.0, 2), (2.0, 3)])
def test_a_broken_edge_is_cut_in_equal_steps(size, steps):
    """A chamfer of `size` by 45 degrees is size/sqrt(2) thick."""
    patch = Chain((Line(OUTER - size, 0.0, OUTER, -size),))
    passes = [one for one, _ in break_passes(received(NO_CUT), patch, RULES)]
    assert [p.kind for p in passes] == ["break"] * steps
    assert max(p.bite for p in passes) == pytest.approx(size / math.sqrt(2) / steps, abs=0.01)
    for one in passes:
        (leg,) = one.legs
        assert leg.outward
        assert one.descend == pytest.approx(leg.start_height + 1.0)


def test_between_equal_stocks_there_is_no_bite():
    stock = received(NO_CUT)
    assert bite(stock, stock) == 0.0
    deeper_one = received(Chain.flat(-0.3, OUTER))
    assert bite(stock, deeper_one) == pytest.approx(0.3)
