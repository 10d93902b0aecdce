"""The insert's heel on legs that can be checked by head."""

import math

import numpy as np
import pytest

from toolpath.clearance.heel import Rub, rub
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.moves import Line as Feed
from toolpath.planner.entry import Leg
from toolpath.planner.passes import Pass, PassKind
from toolpath.planner.steps import CutStep
from toolpath.planner.stock import Stock

OUTER, R = 40.0, 5.0
RELIEF = math.radians(7.0)


def leg(slope: float, *, outward: bool = False, kind: PassKind = "rough", inner: float = 0.0) -> CutStep:
    """A ramp of so many degrees, 20 mm along x, that ends 1 mm deep at its inner end."""
    low, rise = R - 1.0, 20.0 * math.tan(math.radians(slope))
    path = Chain((Line(inner, low, inner + 20.0, low + rise),))
    section = Chain.flat(0.0, OUTER)
    before = Stock(section, section, R)
    one = Leg(path, outward)
    run = Pass(kind, (one,), 10.0, 1.0, before)
    return CutStep(Feed(inner, low, 0.2), "cut", run, one, path.segments[0], before, before.after([path]))


def found(step: CutStep, relief: float = RELIEF, down_to: float = 4.0) -> Rub | None:
    return rub([step], R, relief, down_to)


@pytest.mark.parametrize("slope", [3.0, 5.0, 6.5])
def test_a_ramp_flatter_than_the_relief_is_clear(slope: float):
    """On the axis the floor behind the edge rises by the ramp's slope, and the flank falls back by the relief."""
    assert found(leg(slope)) is None


def first_dig(slope: float, relief: float) -> float:
    """The height below the edge at which a disc on the axis is 0.002 mm in the work, every 0.01 mm of both.

    Under the ramp's touching point at r = R sin slope stands the ramp, further in the insert's own circle.
    """
    s, x = math.radians(slope), np.arange(-R, R, 0.01)
    for h in np.arange(0.01, 4.0, 0.01):
        r = np.hypot(x, h)
        work = np.where(
            r >= R * math.sin(s),
            r * math.tan(s) + R - R / math.cos(s),
            R - np.sqrt(np.maximum(0, R**2 - r**2)),
        )
        square = (R - h * math.tan(math.radians(relief)) - 0.002) ** 2 - x**2
        if (np.where(square > 0, R - np.sqrt(np.maximum(square, 0.0)), np.inf) < work).any():
            return float(h)
    return math.inf


@pytest.mark.parametrize(
    ("slope", "relief"), [(10.0, 7.0), (8.0, 5.0), (15.0, 11.0), (12.0, 7.0), (20.0, 7.0), (25.0, 7.0)]
)
def test_a_ramp_steeper_than_the_relief_rubs_at_the_axis(slope: float, relief: float):
    seen = found(leg(slope), math.radians(relief))
    assert seen is not None
    assert seen.height == pytest.approx(first_dig(slope, relief), rel=0.03)
    assert seen.x == 0.0
    assert seen.where == "on the ramp in at X 0.00 (radius)"


def test_only_what_is_looked_at_can_rub():
    """The same height whether the insert ends far below it or a little; none where it ends above."""
    at = first_dig(10.0, 7.0)
    for down_to in (4.0, 1.1 * at):
        seen = found(leg(10.0), down_to=down_to)
        assert seen is not None
        assert seen.height == pytest.approx(at, rel=0.03)
    assert found(leg(10.0), down_to=0.9 * at) is None


def test_away_from_the_axis_the_floor_rises_less_below_the_edge():
    """At radius r it rises by h^2 / 2r instead of h: a ramp that ends 15 mm out is clear at 10 degrees."""
    assert found(leg(10.0, inner=15.0)) is None


def test_a_facing_pass_is_not_looked_at():
    assert found(leg(10.0, kind="skim")) is None


def test_the_same_slope_cut_outward_rubs_too_and_is_told_by_its_pass():
    seen = found(leg(10.0, outward=True, kind="finish"))
    assert seen is not None
    assert seen.where.startswith("in a finishing pass at X ")
