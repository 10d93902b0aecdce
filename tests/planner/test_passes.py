"""How the passes of a plan hang together: between two of them, and over a deeper old dish."""

import math
from itertools import pairwise

import pytest

from toolpath.forms import sections
from toolpath.geometry.chain import Chain, stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line
from toolpath.moves import Arc, Move, Rapid, Stop
from toolpath.moves import Line as Feed
from toolpath.planner.passes import FINISH_RAMP, Rules, bite
from toolpath.planner.plan import Plan, Work, planned
from toolpath.planner.steps import Running, steps_of
from toolpath.planner.stock import Stock

RADIUS, OUTER, CLEARANCE = 4.0, 45.0, 1.0
RULES = Rules(
    skim_depth=0.25, dish_depth=0.5, allowance=0.15, ramp=math.radians(3), clearance=CLEARANCE, beyond=0.5
)
RUNNING = Running(
    *(0.1, 0.1, 200.0, 200.0, 2000.0, 800.0, 800.0, "cw", False, True),
    safe_z=RADIUS + 2.0,
    clearance=CLEARANCE,
    air_feed=0.3,
    start_x=60.0,
    start_z=60.0,
)
BLANK = Chain.flat(0.5, OUTER)
WIDE_BOWL = sections.spherical(24.0, 3.5, OUTER)  # over a flat cut 3 mm deep it is deeper in the middle


def moves_of(plan: Plan) -> tuple[Move, ...]:
    return tuple(step.move for step in steps_of(plan, RUNNING))


def plan_of(old: Chain, cut: Chain, mouth: float, *, skim: float = 0.0, unsure: float = 0.2) -> Plan:
    stock = Stock.received(old, RADIUS, off_centre=unsure, depth_uncertain=unsure)
    return planned(Work(stock, skim, cut, mouth), RULES)


def drawn(*corners: tuple[float, float]) -> Chain:
    return Chain(tuple(Line(*a, *b) for a, b in pairwise(corners)))


def in_a_blank() -> Plan:
    return plan_of(BLANK, sections.flat(25.0, 3.0, OUTER, corner=RADIUS), 25.0, skim=0.5)


def in_an_old_bowl() -> Plan:
    """A shelf round a bowl that stays deeper in the middle."""
    return plan_of(WIDE_BOWL, sections.flat(30.0, 2.0, OUTER, corner=RADIUS), 30.0)


PLANS = {"in a blank": in_a_blank, "in an old bowl": in_an_old_bowl}


@pytest.mark.parametrize("made", PLANS.values(), ids=PLANS.keys())
def test_rapids_across_stay_clear_of_what_may_stand(made):
    plan = made()
    x, z, low = RUNNING.start_x, RUNNING.start_z, 0
    standing = iter([p.before for p in plan.passes])
    metal, fed = next(standing), False
    for move in moves_of(plan):
        if isinstance(move, Rapid) and fed:
            metal, fed = next(standing, plan.left), False
        if isinstance(move, Rapid) and move.x is not None:
            lo, hi = sorted((x, move.x))
            stands = metal.wary_centre
            if lo < stands.outer:
                low += z < RUNNING.safe_z
                assert z >= stands.clipped(lo, min(hi, stands.outer)).highest + CLEARANCE - 1e-9
        fed = fed or isinstance(move, Feed | Arc)
        if isinstance(move, Rapid | Feed | Arc):
            x, z = x if move.x is None else move.x, z if move.z is None else move.z
    assert low >= len(plan.passes) - 4  # all but the first of the skim, of the dish and of finishing


def test_between_two_levels_the_insert_stays_in_the_dish():
    across, height = [], RUNNING.start_z
    for move in moves_of(in_a_blank()):
        if isinstance(move, Rapid) and move.z is not None:
            height = move.z
        elif isinstance(move, Rapid):
            across.append(height)
    assert any(z < RADIUS + CLEARANCE for z in across)  # lower than over the finished crown


def test_finishing_starts_where_a_deeper_old_dish_ends():
    plan = plan_of(WIDE_BOWL, sections.flat(30.0, 3.0, OUTER, corner=RADIUS), 30.0)
    path = centre_curve(plan.work.cut, RADIUS)
    (ring,) = stretches_above(plan.work.stock.centre, path, by=1e-4)
    assert ring[0] > 5.0  # nothing to cut inside
    runs = [p for p in plan.passes if p.kind == "finish"]
    assert len(runs) == 1
    assert runs[0].cut.starts_at > 5.0


def test_finishing_leaps_over_a_deeper_groove():
    """An old groove lies between the floor in the middle and the ring outside it."""
    hub = drawn((0.0, -1.0), (8.0, -1.0), (12.0, -4.0), (20.0, -4.0), (24.0, 0.0), (OUTER, 0.0))
    cut = sections.flat(30.0, 2.0, OUTER, corner=RADIUS)
    plan = plan_of(hub, cut, 30.0)
    runs = [p for p in plan.passes if p.kind == "finish"]
    assert len(runs) == 2
    assert runs[0].cut.ends_at + 1.0 < runs[1].cut.starts_at
    assert plan.contour is not None
    assert (plan.contour.inner, plan.contour.outer) == (runs[0].cut.path.inner, runs[1].cut.path.outer)
    assert not stretches_above(plan.left.centre, centre_curve(cut, RADIUS).clipped(0.0, 30.0), by=1e-4)
    looks = [m for m in moves_of(plan) if isinstance(m, Stop) and m.optional]
    assert len(looks) == 1  # before the first of them, not between


@pytest.mark.parametrize("depth", [3.55, 3.8, 4.3])
def test_a_ramp_over_an_old_bowl_is_as_short_as_its_slope_allows(depth):
    """Over the rising bowl it is tilted, so that it goes into what may stand by the stated slope.

    Not within two and a half insert radii of the axis: there it is as steep as stated, counted from level.
    """
    plan = plan_of(WIDE_BOWL, sections.flat(24.0, depth, OUTER, corner=RADIUS), 24.0)
    ramps = [p for p in plan.passes if p.kind == "rough" and not p.legs[0].outward]
    assert ramps
    for one in ramps:
        ramp = one.legs[0].path
        thick = one.before.wary_centre.at(ramp.inner) - ramp.segments[0].z1
        assert thick <= math.tan(RULES.ramp) * (ramp.outer - ramp.inner) + 1e-6
        if ramp.inner > 2.5 * RADIUS:
            assert thick >= 0.9 * math.tan(RULES.ramp) * (ramp.outer - ramp.inner)
        else:
            assert ramp.segments[0].end_direction == pytest.approx(RULES.ramp)


def test_finishing_slopes_down_through_the_allowance():
    plan = in_a_blank()
    down, contour = plan.passes[-1].legs
    (slope,) = down.path.segments
    assert slope.start_direction == pytest.approx(FINISH_RAMP)
    assert down.path.outer == pytest.approx(RULES.allowance / math.tan(FINISH_RAMP), rel=0.02)
    assert contour.starts_at == 0.0


def test_finishing_without_roughing_comes_down_at_the_stated_ramp():
    """A dish so shallow that no level was cut is solid metal, however thin."""
    plan = plan_of(Chain.flat(0.0, OUTER), sections.flat(25.0, 0.25, OUTER, corner=RADIUS), 25.0)
    assert [p.kind for p in plan.passes] == ["finish"]
    (slope,) = plan.passes[0].legs[0].path.segments
    assert slope.start_direction == pytest.approx(RULES.ramp)


def test_one_contour_never_takes_more_than_the_depth_of_cut():
    """Between two steep slopes the allowance of both meets: 0.25 mm on each is more than 0.5 mm across."""
    rules = Rules(0.25, 0.5, 0.25, RULES.ramp, CLEARANCE, 0.5)
    cut = drawn((0.0, -1.0), (13.0, -25.0), (24.0, 0.0), (OUTER, 0.0))
    path = centre_curve(cut, RADIUS)
    stock = Stock.received(Chain.flat(0.0, OUTER), RADIUS, off_centre=0, depth_uncertain=0)
    plan = planned(Work(stock, 0.0, cut, 24.0), rules)
    assert [p.kind for p in plan.passes][-2:] == ["semi", "finish"]
    assert max(p.bite for p in plan.passes) <= 0.5 + 1e-3
    assert bite(plan.passes[-1].before, plan.left.after([path])) <= 0.5
