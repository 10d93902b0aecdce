"""First cuts of pistons that nobody read as received: how often they overshoot, over many sets.

The old dishes of a set scatter; either their spread is stated, or three neighbours were read. The first cut is worked
out by the commands' functions, the true volume by rings.
"""

import os

import numpy as np
import pytest
from scipy.stats import norm, t

from tests.shop.test_shop_through_commands import (
    FLAT,
    GRID,
    LIMIT,
    LINES,
    REPEAT,
    TIGHT,
    WALL,
    X_TOUCH,
    Case,
    design_of,
    turned,
)
from toolpath.findings import Stopped
from toolpath.readings.next_cut import first_step
from toolpath.readings.replay import standing
from toolpath.readings.sensitivity import UNREAD
from toolpath.readings.standing import Known

THOROUGH = os.environ.get("DISHPATH_THOROUGH") == "1"
PROMISED = 0.005
TOUCH_OFF = 0.02
# the true section at a cut is worked out on a grid of old dishes, cheap enough for many pistons
TABLE = np.linspace(-1500.0, 1500.0, 41)


class Cut:
    """What one depth of cut leaves over old dishes that differ, by a table; errors of the path by their slopes."""

    def __init__(self, case: Case, depth: float) -> None:
        def seen(
            more: float, z: float = 0.0, x: float = 0.0, insert: float = 0.0, show: float = 0.0
        ) -> float:
            old = case.old_depths(GRID, case.old_volume + more, case.skim + show)
            return turned(old, case.depths(GRID, depth, z, x, insert))

        self.volumes = np.array([seen(more) for more in TABLE])
        here = seen(0.0)
        self.z, self.x = (seen(0.0, z=0.01) - here) / 0.01, (seen(0.0, x=0.01) - here) / 0.01
        self.insert, self.show = (seen(0.0, insert=0.01) - here) / 0.01, (seen(0.0, show=0.01) - here) / 0.01

    def overshoots(self, case: Case, old: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        n = len(old)
        errors = (
            self.z * rng.normal(0, REPEAT, n)
            + self.x * rng.normal(0, X_TOUCH, n)
            + self.insert * rng.uniform(-TIGHT, TIGHT, n)
            + self.show * rng.normal(0, TOUCH_OFF, n)
        )
        return np.interp(old, TABLE, self.volumes) + errors > case.target


@pytest.mark.parametrize("case", [FLAT, WALL], ids=lambda c: c.name)
@pytest.mark.parametrize("spread", [50.0, 100.0, 300.0])
def test_where_the_spread_is_stated_half_a_percent_overshoots(case: Case, spread: float) -> None:
    design = design_of(case.text("fresh", TOUCH_OFF, f"setup.existing_u_cc = {spread / 1000}"))
    depth = first_step(standing(design, (), Known())).design.shape.depth or 0.0
    n = 1_000_000 if THOROUGH else 100_000
    rng = np.random.default_rng(3)
    share = Cut(case, depth).overshoots(case, rng.normal(0, spread, n), rng).mean()
    assert share <= PROMISED + 2 * np.sqrt(PROMISED / n)


@pytest.mark.parametrize("case", [FLAT, WALL], ids=lambda c: c.name)
@pytest.mark.parametrize(("spread", "read"), [(100.0, 3), (300.0, 3), (100.0, 5), (300.0, 7)])
def test_where_three_are_read_half_a_percent_overshoots(case: Case, spread: float, read: int) -> None:
    """Each set has a true mean and readings of its own; its unread pistons are cut by what these tell."""
    design = design_of(case.text("fresh", TOUCH_OFF, ""))
    sets, of_each = (1000 if THOROUGH else 60), 4000
    rng = np.random.default_rng(7)
    shares = []
    for _ in range(sets):
        mean, calibration = rng.normal(0, spread / 2), rng.uniform(-LIMIT, LIMIT)
        volumes = case.old_volume + mean + rng.normal(0, spread, read) + calibration
        others = tuple(float(v) for v in LINES * np.round(volumes / LINES))
        try:
            depth = first_step(standing(design, (), Known(others))).design.shape.depth or 0.0
        except Stopped:  # what three uneven neighbours tell is too little for any cut
            shares.append(0.0)
            continue
        shares.append(Cut(case, depth).overshoots(case, mean + rng.normal(0, spread, of_each), rng).mean())
    error = np.std(shares) / np.sqrt(sets)
    assert np.mean(shares) <= PROMISED + 2 * error
    assert shares.count(0.0) < sets  # some come near


@pytest.mark.parametrize("n", [3, 4, 7, 11, 12, 60])
def test_few_neighbours_tell_little_of_their_scatter(n: int) -> None:
    """Student's t of n - 1 degrees of freedom (scipy): the interval of one more after n of the same."""
    design = design_of(FLAT.text("fresh", TOUCH_OFF, ""))
    others = tuple(9000.0 + 100.0 * (k % 3) for k in range(n))
    quantile = t.ppf(0.995, n - 1) if n < 12 else norm.ppf(0.995)
    wanted = np.std(others, ddof=1) * np.sqrt(1 + 1 / n) * quantile / norm.ppf(0.995)
    now = standing(design, (), Known(others))
    shrunk = wanted * UNREAD / np.hypot(wanted, UNREAD)  # beside what is known without any reading
    assert now.old_u == pytest.approx(shrunk, rel=1e-3)
