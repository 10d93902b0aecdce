"""The metal while a table is laid out: sampled heights, good enough to say where a row meets metal.

What the rows leave is measured on the exact sections, not here.
"""

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.segments import Floats
from toolpath.planner.stock import Stock

CELLS = 4000  # between the axis and the crown's edge
Mask = NDArray[np.bool_]


class Heights:
    """Heights of the stock over r, mm, lowered row by row."""

    def __init__(self, stock: Stock) -> None:
        self.radius = stock.radius
        self.r: Floats = np.linspace(0.0, stock.surface.outer, CELLS + 1)
        self.step = float(self.r[1])
        self.metal = stock.surface.heights(self.r)
        self.wary = stock.wary.heights(self.r)

    def lower(self, x1: float, x2: float, z: float) -> None:
        """Cut with the insert's centre at height z from x1 out to x2, mm."""
        first, last = np.searchsorted(self.r, (x1 - self.radius, x2 + self.radius))
        here = slice(int(first), int(last))
        aside = np.maximum(0.0, np.maximum(x1 - self.r[here], self.r[here] - x2))
        cut = z - np.sqrt(np.maximum(0.0, self.radius**2 - aside**2))
        for surface in (self.metal, self.wary):
            np.minimum(surface[here], cut, out=surface[here])

    def met(self, z: float, lo: float, hi: float, *, thin: float, gap: float) -> list[tuple[float, float]]:
        """Where between lo and hi a centre at height z meets metal thicker than `thin`, mm.

        Stretches less than `gap` (mm) apart are one.
        """
        return self._runs(self._touched(self.metal - thin, z), lo, hi, gap)

    def air(self, z: float, lo: float, hi: float) -> list[tuple[float, float]]:
        """Where between lo and hi a centre at height z is sure to be clear of metal, mm."""
        return self._runs(~self._touched(self.wary - 1e-6, z), lo, hi, 0.0)

    def _touched(self, surface: Floats, z: float) -> Mask:
        """Whether a disc with its centre at (r, z) touches metal, for each r of the grid."""
        rise = z - surface
        some = np.flatnonzero(rise < self.radius)
        half = np.sqrt(self.radius**2 - np.maximum(0.0, rise[some]) ** 2) / self.step
        size = self.r.size
        begins = np.clip(np.ceil(some - half), 0, size).astype(np.intp)
        ends = np.clip(np.floor(some + half) + 1, 0, size).astype(np.intp)
        change = np.bincount(begins, minlength=size + 1) - np.bincount(ends, minlength=size + 1)
        touched: Mask = np.cumsum(change)[:size] > 0
        return touched

    def _runs(self, mask: Mask, lo: float, hi: float, gap: float) -> list[tuple[float, float]]:
        first, last = int(np.ceil(lo / self.step - 1e-9)), int(np.floor(hi / self.step + 1e-9))
        inside = np.flatnonzero(mask[max(first, 0) : last + 1]) + max(first, 0)
        if not inside.size:
            return []
        parted = np.flatnonzero(np.diff(inside) * self.step > max(gap, 1.5 * self.step))
        begins = inside[np.concatenate(([0], parted + 1))]
        ends = inside[np.concatenate((parted, [inside.size - 1]))]
        return [(float(self.r[a]), float(self.r[b])) for a, b in zip(begins, ends, strict=True)]
