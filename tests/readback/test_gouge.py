"""Depth of the disc in the finished section and thickness left, against hand sums."""

import math

import pytest

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line
from toolpath.readback.cutter import cut
from toolpath.readback.gouge import left_over, penetrations
from toolpath.readback.motions import Motion

R = 5.0
OUTER = 45.2
WALLED = Chain((Line(0, -6, 30, -6), Line(30, -6, 30, 0), Line(30, 0, OUTER, 0)))
LIP = math.sqrt(60**2 - 50**2)
BOWL = Chain((Arc(0, 50, 60, -math.pi / 2, -math.acos(LIP / 60)), Line(LIP, 0, OUTER, 0)))


def feed(x1: float, z1: float, x2: float, z2: float) -> Motion:
    return Motion(1, "", False, x1, z1, x2, z2)


@pytest.mark.parametrize(
    ("section", "motion", "depth"),
    [
        pytest.param(WALLED, feed(0, 2, 20, 2), -3.0, id="clear of the floor by 3"),
        pytest.param(WALLED, feed(0, -1, 20, -1), 0.0, id="on the floor"),
        pytest.param(WALLED, feed(0, -1.3, 20, -1.3), 0.3, id="into the floor"),
        pytest.param(WALLED, feed(20, -1, 25.01, -1), 0.01, id="into the wall: measured across, not down"),
        # past the upper edge of the wall at 3.2 mm, 5.1 mm from the start of the path (3-4-5)
        pytest.param(WALLED, feed(24, -0.5, 34, 7), 1.8, id="over a sharp edge"),
        pytest.param(WALLED, feed(20, -1, 31, -1), 6.0, id="centre inside the metal"),
        pytest.param(WALLED, feed(26, 9, 26, 2), R - math.hypot(4, 2), id="about the lip"),
        pytest.param(WALLED, feed(20, 3.5, 40, 3.5), 1.5, id="deepest in the middle of the path"),
        pytest.param(WALLED, feed(48.2, 9, 48.2, -9), 2.0, id="into the land from outside"),
        pytest.param(WALLED, feed(48.2, -9, 48.2, -20), 2.0, id="into the land far below the crown"),
        pytest.param(WALLED, feed(6, -1.2, -6, -1.2), 0.2, id="past the axis"),
        pytest.param(
            WALLED,
            Motion(1, "", False, 30, 5.2, 34.5, 0.7, 30, 0.7, 4.5, math.pi / 2, -math.pi / 2),
            4.3,
            id="an arc over the lip",
        ),
        pytest.param(
            BOWL,
            Motion(
                1,
                "",
                False,
                0,
                -5.004,
                20,
                50 - math.sqrt(55.004**2 - 400),
                0,
                50,
                55.004,
                -math.pi / 2,
                math.asin(20 / 55.004),
            ),
            0.004,
            id="4 microns under a bowl, along all of it",
        ),
    ],
)
def test_penetration(section: Chain, motion: Motion, depth: float) -> None:
    assert penetrations([motion], section, R)[0] == pytest.approx(depth, abs=3e-4)


def test_a_gouge_that_is_deepest_between_far_ends_is_found() -> None:
    """A slope of 45 degrees passes the lip at R less 0.0123 mm; both ends are far from it."""
    near = (R - 0.0123) / math.sqrt(2)
    slope = feed(30 - near - 4, near - 4, 30 - near + 17, near + 17)
    assert penetrations([slope], WALLED, R)[0] == pytest.approx(0.0123, abs=3e-4)


def test_no_motion_has_no_depth() -> None:
    assert penetrations([], WALLED, R).size == 0


def test_left_in_a_sharp_corner() -> None:
    """The disc's point at 45 degrees is R - R / sqrt 2 from wall and floor."""
    motions = [feed(0, 9, 0, -1), feed(0, -1, 25, -1), feed(25, -1, 25, 9)]
    left, r = left_over(cut(motions, Chain.flat(0, OUTER), R), WALLED)
    assert left == pytest.approx(R - R / math.sqrt(2), abs=5e-3)
    assert r == pytest.approx(25 + R / math.sqrt(2), abs=0.01)


def test_a_wall_that_was_never_finished_is_left_by_its_thickness() -> None:
    motions = [feed(0, 9, 0, -1), feed(0, -1, 24.85, -1), feed(24.85, -1, 24.85, 9)]
    corner = Arc(25, -1, R, -math.pi / 2, 0)
    square = Chain((Line(0, -6, 25, -6), corner, Line(30, -1, 30, 0), Line(30, 0, OUTER, 0)))
    left, _ = left_over(cut(motions, Chain.flat(0, OUTER), R), square)
    assert left == pytest.approx(0.15, abs=1e-3)


def test_nothing_left_of_a_section_that_is_cut() -> None:
    flat = [feed(50, 4.5, 0, 4.5)]
    assert left_over(cut(flat, Chain.flat(0, OUTER), R), Chain.flat(-0.5, OUTER))[0] <= 1e-6


def test_an_old_dish_that_stays_is_not_left_over() -> None:
    assert left_over(cut([], WALLED, R), WALLED) == (0.0, 0.0)
