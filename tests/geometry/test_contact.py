"""Where the disc touches what it leaves, and metal that may stand to either side: by head and by brute force."""

import math

import numpy as np
import pytest

from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import contact, widened
from toolpath.geometry.segments import HALF_PI, Arc, Line

CORNER = Chain(
    (
        Line(0.0, -9.0, 28.0, -9.0),
        Arc(28.0, -3.0, 6.0, -HALF_PI, 0.0),
        Line(34.0, -3.0, 34.0, 0.0),
        Line(34.0, 0.0, 45.2, 0.0),
    )
)
BOWL = Chain((Arc(0.0, 21.0, 25.0, -HALF_PI, -math.acos(0.5)), Line(12.5, 21 - 25 * math.sqrt(0.75), 20, 0)))
FALLING = Chain((Line(0.0, -4.0, 4.0, -7.0), Line(4.0, -7.0, 20.0, -7.0)))
RISING = Chain((Line(0.0, -4.0, 4.0, -1.0), Line(4.0, -1.0, 20.0, -1.0)))
LIP = Chain((Line(0.0, -2.0, 10.0, -2.0), Arc(12.0, -2.0, 2.0, math.pi, HALF_PI), Line(12.0, 0.0, 20.0, 0.0)))


@pytest.mark.parametrize(
    ("surface", "r", "x"),
    [
        pytest.param(CORNER, 20.0, 20.0, id="level floor"),
        pytest.param(CORNER, 0.0, 0.0, id="the axis"),
        # on the corner at 30 degrees from its bottom: the disc's centre lies on an arc of 6 - 4
        pytest.param(CORNER, 28 + 6 * math.sin(math.pi / 6), 28 + 2 * math.sin(math.pi / 6), id="corner"),
        pytest.param(CORNER, 34.0, 30.0, id="wall"),
        pytest.param(CORNER, 40.0, 40.0, id="crown"),
        pytest.param(FALLING, 2.0, 2 + 4 * 0.6, id="falling 3 in 4"),
        pytest.param(FALLING, 4.0, 4 + 4 * 0.6, id="at a joint the inner piece counts"),
        pytest.param(RISING, 2.0, 2 - 4 * 0.6, id="rising 3 in 4"),
        # on the convex lip at 60 degrees over its start: the centre lies on an arc of 2 + 4
        pytest.param(LIP, 12 - 2 * math.cos(math.pi / 3), 12 - 6 * math.cos(math.pi / 3), id="lip"),
        # a wall that falls outward is not one that the outgoing disc stands against
        pytest.param(LIP.upside_down(), 5.0, 5.0, id="upside down"),
        pytest.param(Chain((*FALLING.segments, Line(20.0, -7.0, 20.0, -9.0))), 20.0, 20.0, id="wall down"),
    ],
)
def test_contact(surface: Chain, r: float, x: float) -> None:
    assert contact(surface, r, 4.0) == pytest.approx(x, abs=1e-9)


@pytest.mark.parametrize("by", [0.3, 1.0, 2.5])
@pytest.mark.parametrize("section", [CORNER, FALLING, RISING, LIP, BOWL], ids=repr)
def test_widened_against_brute_force(section: Chain, by: float) -> None:
    """The highest of the heights within reach, those of the mirror image across the axis among them."""
    r = np.linspace(0.0, section.outer - by, 200) + 1e-3 / math.pi
    u = np.linspace(-by, by, 2001)
    expected = np.array([section.heights(np.abs(at + u[np.abs(at + u) <= section.outer])).max() for at in r])
    wide = widened(section, by)
    assert wide.heights(r) == pytest.approx(expected, abs=0.01)
    assert (wide.inner, wide.outer) == pytest.approx((0.0, section.outer))


def test_widened_by_head() -> None:
    """A pit of radius 6 that may stand 0.5 mm off is 5.5 wide at its floor for sure, and its rim stays."""
    pit = Chain.from_pieces((Line(0.0, -3.0, 6.0, -3.0), Line(6.0, 0.0, 20.0, 0.0)))
    assert [widened(pit, 0.5).at(r) for r in (0.0, 5.4, 5.6, 6.0)] == [-3.0, -3.0, 0.0, 0.0]
    cone = Chain((Line(0.0, -3.0, 6.0, 0.0), Line(6.0, 0.0, 20.0, 0.0)))
    assert [widened(cone, 0.5).at(r) for r in (0.0, 2.0, 5.5, 6.0)] == pytest.approx([-2.75, -1.75, 0.0, 0.0])
    assert widened(pit, 0.0) is pit
