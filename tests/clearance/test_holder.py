"""A holder's outline, its contact, and what is advised against it."""

import math
import re
import subprocess
import sys

import pytest
import shapely

from tests.clearance.travels import INSERT, PAN, along, dished, holder, idle
from toolpath.clearance.holder import MARGIN, TOUCH, _least, check, outline
from toolpath.clearance.travel import Course
from toolpath.errors import InputError


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


@pytest.mark.parametrize("least", [1, 2, 5, 8])
def test_the_least_step_that_clears_is_found(least: int):
    assert _least(lambda k: k >= least, 8) == least


@pytest.mark.parametrize("most", [0, 3])
def test_where_no_step_clears_there_is_no_least(most: int):
    assert _least(lambda k: k > 3, most) is None


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
