"""Distances of points to a motion's path: by head, and against points along it."""

import math

import numpy as np
import pytest

from toolpath.readback.motions import Motion


def line(x1: float | None, z1: float | None, x2: float, z2: float) -> Motion:
    return Motion(1, "", True, x1, z1, x2, z2)


def arc(start: float, sweep: float) -> Motion:
    """About (10, 2), radius 5."""
    ends = [(10 + 5 * math.cos(a), 2 + 5 * math.sin(a)) for a in (start, start + sweep)]
    return Motion(1, "", False, *ends[0], *ends[1], 10.0, 2.0, 5.0, start, sweep)


@pytest.mark.parametrize(
    ("motion", "far"),
    [
        pytest.param(line(0.0, 0.0, 4.0, 3.0), (2.0 - 1.2, 1.5 + 1.6, 2.0), id="beside its middle"),
        pytest.param(line(0.0, 0.0, 4.0, 3.0), (-3.0, -4.0, 5.0), id="before its start"),
        pytest.param(line(0.0, 0.0, 4.0, 3.0), (7.0, 7.0, 5.0), id="past its end"),
        pytest.param(line(4.0, 3.0, 4.0, 3.0), (7.0, 7.0, 5.0), id="no length"),
        pytest.param(line(None, 3.0, 4.0, 3.0), (1.0, 7.0, 5.0), id="start not known"),
        pytest.param(arc(-math.pi / 2, math.pi / 2), (10 + 6.0, 2 - 8.0, 5.0), id="outside an arc"),
        pytest.param(arc(-math.pi / 2, math.pi / 2), (10.0, 2.0, 5.0), id="centre of an arc"),
        pytest.param(arc(-math.pi / 2, math.pi / 2), (15.0, 6.0, 4.0), id="over an arc's end"),
        pytest.param(arc(-math.pi / 2, math.pi / 2), (7.0, -3.0, 3.0), id="beside an arc's start"),
    ],
)
def test_distance_by_head(motion: Motion, far: tuple[float, float, float]) -> None:
    x, z, expected = far
    assert motion.distances(np.array([x]), np.array([z])) == pytest.approx([expected])


@pytest.mark.parametrize(
    "motion",
    [
        line(3.0, -2.0, 14.0, 4.0),
        line(14.0, 4.0, 14.0, -2.0),
        arc(-2.0, 1.5),
        arc(3.0, 1.0),
        arc(1.0, -2.5),
        arc(0.5, 5.0),
        arc(0.5, -2 * math.pi),
    ],
)
def test_distances_against_points_along_the_path(motion: Motion) -> None:
    rng = np.random.default_rng(11)
    x, z = rng.uniform(0, 20, 60), rng.uniform(-8, 12, 60)
    path = motion.places(np.linspace(0.0, 1.0, 20001))
    nearest = np.hypot(x[:, None] - path[0], z[:, None] - path[1]).min(axis=1)
    assert motion.distances(x, z) == pytest.approx(nearest, abs=1e-3)
    assert (motion.lowest, motion.highest) == pytest.approx((path[1].min(), path[1].max()), abs=1e-6)
    assert motion.least_x == pytest.approx(path[0].min(), abs=1e-6)
    steps = np.hypot(np.diff(path[0]), np.diff(path[1]))
    assert motion.length == pytest.approx(steps.sum(), rel=1e-6)
