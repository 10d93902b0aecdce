"""Metal that stands over a cut: on a wall deeper than the insert's radius its side does not reach up.

The cutter keeps the work as one height over r, so what lies above a disc counts as gone. Where the
disc was lower than the metal over it, the band in between is kept here until a later motion takes it.
"""

import numpy as np

from toolpath.readback.motions import Motion
from toolpath.readback.sweep import Floats

THIN = 0.02  # mm; a band no taller is none
TOUCH = 1e-4  # mm2
PLACES = 33  # of the centre on a path that are looked at
WIDE = 0.05  # mm; a band no wider is a feed mark


class Bands:
    """The bands over r: one a column, from `low` to `high`; none where `high` is not over `low`."""

    def __init__(self, r: Floats, radius: float) -> None:
        self.r, self.radius = r, radius
        self.low = np.full(r.shape, np.inf)
        self.high = np.full(r.shape, -np.inf)
        self.owner = np.full(r.shape, -1)

    def after(self, number: int, motion: Motion, before: Floats, z: Floats) -> None:
        """Take what a motion leaves standing, and what it takes of that."""
        standing = np.isfinite(self.low)
        cut = (before - z > THIN) & (before > motion.lowest)
        looked = np.flatnonzero(standing | cut)
        if not looked.size:
            return
        under, top = self._reach(motion, self.r[looked])
        low, high = self.low[looked], self.high[looked]
        reached = standing[looked] & (under <= low + THIN)
        low[reached] = np.maximum(low[reached], top[reached])
        gone = standing[looked] & (high - low <= THIN)
        low[gone], high[gone] = np.inf, -np.inf
        left = cut[looked] & (before[looked] - top > THIN) & np.isfinite(top)
        low[left] = np.minimum(low[left], top[left])
        high[left] = np.maximum(high[left], before[looked][left])
        self.low[looked], self.high[looked] = low, high
        self.owner[looked[left]] = number

    def _reach(self, motion: Motion, r: Floats) -> tuple[Floats, Floats]:
        """From and to what z the disc passes each column on its way, +-inf where it does not, (N,) each."""
        x, z = motion.places(np.linspace(0.0, 1.0, PLACES))
        half2 = self.radius**2 - (r[:, None] - x) ** 2
        half = np.sqrt(np.maximum(0.0, half2))
        out = half2 < -TOUCH
        under = np.where(out, np.inf, z - half).min(axis=1)
        top = np.where(out, -np.inf, z + half).max(axis=1)
        return under, top

    def worst(self, outer: float) -> tuple[int, float, float] | None:
        """Motion, radius and height (mm) of the tallest band within `outer` that is wider than a feed mark."""
        there = np.isfinite(self.low) & (self.r <= outer)
        best: tuple[int, float, float] | None = None
        edges = np.flatnonzero(np.diff(np.concatenate(([0], there.astype(int), [0]))))
        for first, last in edges.reshape(-1, 2):
            if self.r[last - 1] - self.r[first] <= WIDE:
                continue
            k = first + int(np.argmax(self.high[first:last] - self.low[first:last]))
            height = float(self.high[k] - self.low[k])
            if best is None or height > best[2]:
                best = int(self.owner[k]), float(self.r[k]), height
        return best
