"""Metal over a cut: a wall deeper than the insert's radius must be climbed."""

import math

import pytest

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.readback.cutter import MostBite, cut
from toolpath.readback.motions import Motion

FLAT = Chain.flat(0.0, 45.0)
ROUGHED = Chain(  # a bore 10 deep, 0.15 short of radius 30
    (Line(0.0, -10.0, 29.85, -10.0), Line(29.85, -10.0, 29.85, 0.0), Line(29.85, 0.0, 45.0, 0.0))
)
ANY = MostBite(over=9.0, anywhere=9.0)


def feed(x1: float, z1: float, x2: float, z2: float) -> Motion:
    return Motion(1, "", False, x1, z1, x2, z2)


FLOOR = feed(0.0, -5.0, 25.0, -5.0)


def test_a_wall_that_is_not_climbed_stands() -> None:
    done = cut([FLOOR], ROUGHED, 5.0, most_bite=ANY)
    assert done.standing is not None
    motion, r, height = done.standing
    assert motion == 0
    assert r == pytest.approx(30.0, abs=0.02)
    # by hand: the insert's side reaches up to its centre at the wall, 5 mm under the crown
    assert height == pytest.approx(5.0, abs=math.sqrt(2 * 5 * 0.02))


@pytest.mark.parametrize("top", [0.0, 2.0])
def test_a_climbed_wall_is_gone(top: float) -> None:
    assert cut([FLOOR, feed(25.0, -5.0, 25.0, top)], ROUGHED, 5.0, most_bite=ANY).standing is None


def test_half_a_climb_leaves_the_rest() -> None:
    done = cut([FLOOR, feed(25.0, -5.0, 25.0, -2.0)], ROUGHED, 5.0, most_bite=ANY)
    assert done.standing is not None
    assert done.standing[2] == pytest.approx(2.0, abs=0.5)


def test_a_shallow_cut_leaves_nothing_standing() -> None:
    assert cut([feed(0.0, 2.0, 25.0, 2.0)], FLAT, 5.0, most_bite=ANY).standing is None


def test_the_tallest_of_two_bands_is_told() -> None:
    """Under the crown a disc moves sideways, its sides 6 mm deep; FLOOR's wall stands 5 mm over its cut."""
    tunnel = feed(38.0, -6.0, 38.5, -6.0)
    for motions, number in (([FLOOR, tunnel], 1), ([tunnel, FLOOR], 0)):
        standing = cut(motions, ROUGHED, 5.0, most_bite=ANY).standing
        assert standing is not None
        assert standing[0] == number
        assert standing[2] == pytest.approx(6.0, abs=math.sqrt(2 * 5 * 0.02))
