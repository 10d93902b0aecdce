"""Holders against dishes in which every gap can be checked by head."""

import math
import re
import subprocess
import sys
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from toolpath.clearance.holder import MARGIN, TOUCH, _least, check, outline
from toolpath.clearance.travel import Course, HolderClearance
from toolpath.errors import InputError
from toolpath.forms import sections
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.job.means import Holder
from toolpath.moves import Rapid
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work, planned
from toolpath.planner.steps import CutStep, Running, Step, steps_of
from toolpath.planner.stock import Stock
from toolpath.tool.insert import Insert

INSERT = Insert(radius=5.0, relief=math.radians(7.0), thickness=4.0)
OUTER = 45.0
RUNNING = Running(
    *(0.1, 0.1, None, None, 1000.0, 1000.0, 1000.0, "cw", False, False),
    safe_z=30.0,
    clearance=1.0,
    air_feed=0.3,
    start_x=80.0,
    start_z=60.0,
)


def holder(**stated: object) -> Holder:
    return Holder.model_construct(**stated)


def idle(section: Chain) -> Stock:
    """A piston to which nothing is done."""
    return Stock(section, section, INSERT.radius)


def along(*places: tuple[float, float]) -> tuple[Step, ...]:
    """Rapids from place to place of the insert's centre, X first."""
    return tuple(Step(move, "rapid") for x, z in places for move in (Rapid(x=x), Rapid(z=z)))


PAN = sections.flat(30.0, 10.0, OUTER)  # square corner at r 30, z -10


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


def test_outline_of_a_bar():
    bar = outline(holder(direction=0.0, width=8.0, set_back=1.0, overhang=50.0), INSERT)
    assert bar is not None
    assert bar.bounds == pytest.approx((-4.0, -4.0, 4.0, 45.0))


def test_outline_of_a_shank_over_the_crown():
    shank = outline(holder(direction=math.pi / 2, width=20.0, set_back=3.0, overhang=60.0), INSERT)
    assert shank is not None
    assert shank.bounds == pytest.approx((-5.0, -2.0, 55.0, 18.0))


def test_outline_aslant_leaves_between_x_and_z():
    shank = outline(holder(direction=math.radians(30.0), width=6.0, set_back=5.0, overhang=45.0), INSERT)
    assert shank is not None
    ends = [(0.0, 0.0), (20.0, 40.0 * math.sin(math.radians(60.0)))]  # 40 mm along 30 degrees from +z
    for x, z in ends:
        assert shank.exterior.distance(shapely.Point(x, z)) == pytest.approx(0.0, abs=1e-9)
    assert shank.area == pytest.approx(6.0 * 40.0)


def test_an_outline_is_taken_as_stated():
    shape = outline(holder(outline=((0.0, 0.0), (3.0, 0.0), (3.0, 9.0))), INSERT)
    assert shape is not None
    assert shape.equals(shapely.Polygon([(0, 0), (3, 0), (3, 9)]))


def test_an_outline_that_crosses_itself_is_refused():
    with pytest.raises(InputError, match="list its corners in order round it"):
        outline(holder(outline=((0.0, 0.0), (3.0, 9.0), (3.0, 0.0), (0.0, 9.0))), INSERT)


def test_a_holder_that_is_not_described_has_no_outline():
    assert outline(holder(direction=0.0), INSERT) is None
    assert check(idle(PAN), along((0.0, 20.0)), None, INSERT) == (None, [])


BAR = shapely.box(-4.0, -4.0, 4.0, 60.0)


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


@pytest.mark.parametrize("least", [1, 2, 5, 8])
def test_the_least_step_that_clears_is_found(least: int):
    assert _least(lambda k: k >= least, 8) == least


@pytest.mark.parametrize("most", [0, 3])
def test_where_no_step_clears_there_is_no_least(most: int):
    assert _least(lambda k: k > 3, most) is None


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


def dished(depth: float, mouth: float = 30.0) -> tuple[Stock, tuple[Step, ...]]:
    section = Chain.flat(0.0, OUTER)
    stock = Stock(section, section, INSERT.radius)
    rules = Rules(0.25, 0.5, 0.15, math.radians(3.0), 1.0, 1.5)
    plan = planned(Work(stock, 0.0, sections.flat(mouth, depth, OUTER, corner=5.0), mouth), rules)
    return stock, steps_of(plan, RUNNING)


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


@pytest.mark.parametrize(
    "stated",
    [
        pytest.param({"direction": 0.0, "width": 8.0, "set_back": 0.5, "height_below_edge": 20.0}, id="bar"),
        pytest.param(
            {"direction": math.pi / 2, "width": 20.0, "height_below_edge": 15.0}, id="shank over it"
        ),
        pytest.param({"direction": math.radians(40.0), "width": 8.0, "set_back": 1.0}, id="aslant"),
    ],
)
def test_a_shank_that_rubs_passes_once_it_is_ground_as_advised(stated: dict[str, float]):
    stock, steps = dished(3.3)
    found, (stop,) = check(stock, steps, holder(**stated), INSERT)
    assert found is not None
    assert (stop.severity, stop.code, stop.value, stop.limit) == (
        "refused",
        "holder-contact",
        found.gap,
        TOUCH,
    )
    back = float(re.findall(r"set_back = ([\d.]+) mm", stop.advice)[0])
    ground, none = check(stock, steps, holder(**{**stated, "set_back": back}), INSERT)
    assert none == []
    assert ground is not None
    assert ground.gap >= MARGIN
    barely, _ = check(stock, steps, holder(**{**stated, "set_back": back - 0.11}), INSERT)
    assert barely is not None
    assert barely.gap < MARGIN


def test_the_limit_of_contact():
    # the shank's front, 4 deep in the dish, over the rim
    stock, steps = dished(4.0)
    over = {"direction": math.pi / 2, "width": 20.0}
    assert check(stock, steps, holder(**over, set_back=4.0 + TOUCH + 0.005), INSERT)[1] == []
    stop = check(stock, steps, holder(**over, set_back=4.0 + TOUCH - 0.005), INSERT)[1][0]
    assert stop.code == "holder-contact"
    assert re.search(
        r"0\.015 mm \(limit 0\.02 mm\); grind the front back: holder.set_back = 4\.3", stop.line()
    )


def test_a_deep_dish_asks_for_a_narrower_shank():
    stock, steps = dished(12.0)
    stop = check(stock, steps, holder(direction=0.0, width=12.0, set_back=2.0), INSERT)[1][0]
    width = float(re.findall(r"narrower shank: holder.width = ([\d.]+) mm", stop.advice)[0])
    assert check(stock, steps, holder(direction=0.0, width=width, set_back=2.0), INSERT)[1] == []


def test_a_deep_shank_in_a_deep_dish_is_relieved_below():
    stock, steps = dished(12.0)
    bar = {"direction": 0.0, "width": 6.0, "set_back": 2.0}
    stop = check(stock, steps, holder(**bar, height_below_edge=20.0), INSERT)[1][0]
    height = float(re.findall(r"from ([\d.]+) mm below the edge down", stop.advice)[0])
    assert check(stock, steps, holder(**bar, height_below_edge=height), INSERT)[1] == []


def test_a_shank_that_just_clears_at_the_edge_is_not_ground_there():
    stock, steps = dished(12.0)
    bar = holder(direction=0.0, width=7.36, set_back=2.0, height_below_edge=20.0)
    shape = outline(bar, INSERT)
    assert shape is not None
    room = [Course(stock, steps).clearance(shape, below).gap for below in (0.0, 0.5)]
    assert room[0] > MARGIN > room[1]
    stop = check(stock, steps, bar, INSERT)[1][0]
    assert stop.advice == (
        "relieve it to the grinding template from 0 mm below the edge down, "
        "and state that as holder.height_below_edge"
    )


@pytest.mark.parametrize("set_back", [0.0, 1.0, 2.0])
def test_a_deep_shank_too_near_at_the_edge_too_is_ground_and_relieved(set_back: float):
    """Both together clear it, and either alone does not."""
    stock, steps = dished(12.0)
    bar = {"direction": 0.0, "width": 8.0}
    stop = check(stock, steps, holder(**bar, set_back=set_back, height_below_edge=20.0), INSERT)[1][0]
    told = re.fullmatch(
        r"grind the front back to holder\.set_back = ([\d.]+) mm and relieve it to the grinding template from "
        r"([\d.]+) mm below the edge down, and state that as holder\.height_below_edge",
        stop.advice,
    )
    assert told is not None
    ground, height = map(float, told.groups())
    assert check(stock, steps, holder(**bar, set_back=ground, height_below_edge=height), INSERT)[1] == []
    for back, below in ((ground, 20.0), (set_back, height)):
        assert check(stock, steps, holder(**bar, set_back=back, height_below_edge=below), INSERT)[1] != []


def test_an_outline_that_cannot_clear_asks_for_another_holder():
    stock, steps = dished(4.0)
    brick = holder(outline=((-20.0, -5.0), (20.0, -5.0), (20.0, 30.0), (-20.0, 30.0)))
    assert check(stock, steps, brick, INSERT)[1][0].advice.startswith("use another holder")


def test_shapely_is_not_loaded_without_a_holder():
    code = "import sys, toolpath.clearance.holder; sys.exit('shapely' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


BRICK = ((-20.0, -5.0), (20.0, -5.0), (20.0, 30.0), (-20.0, 30.0))  # level with the insert's foremost point
SMALL = (
    r"the \[holder\] leaves too small a gap \(below 0 it overlaps the work\) "
    r"at X -?\d+\.\d\d \(radius\), Z -?\d+\.\d\d"
)


@pytest.mark.parametrize(
    ("depth", "stated", "gap", "advice"),
    [
        pytest.param(
            4.0,
            {"direction": math.pi / 2, "width": 20.0, "set_back": 4.015},
            0.015,
            "grind the front back: holder.set_back = 4.315 mm clears it",
            id="rim",
        ),
        pytest.param(
            4.0, {"outline": BRICK}, -4.0, "use another holder, or a wider and shallower dish", id="brick"
        ),
        pytest.param(
            12.0,
            {"direction": 0.0, "width": 12.0, "set_back": 2.0},
            None,
            "use a narrower shank: holder.width = 7.3 mm clears it",
            id="too wide",
        ),
        pytest.param(
            12.0,
            {"direction": 0.0, "width": 6.0, "set_back": 2.0, "height_below_edge": 20.0},
            None,
            "relieve it to the grinding template from 6 mm below the edge down, "
            "and state that as holder.height_below_edge",
            id="too high",
        ),
    ],
)
def test_what_is_said(depth: float, stated: dict[str, object], gap: float | None, advice: str):
    """The tests above try the advice; a gap is given where it can be seen by head."""
    (stop,) = check(*dished(depth), holder(**stated), INSERT)[1]
    severity, code, what, value, *rest = stop
    assert (severity, code, *rest) == ("refused", "holder-contact", TOUCH, "mm", advice)
    assert re.fullmatch(SMALL, what)
    assert value < 0 if gap is None else value == pytest.approx(gap, abs=1e-3)
