"""The metal that a holder may meet at one moment, as polygons in the section plane."""

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.arrays import bends, distinct
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Floats

GRID = 0.5  # mm between radii, beside the corners; the insert's circle then stands 0.007 mm too high
SAGITTA = 0.001  # mm between an arc and the straight edges that stand for it
BESIDE = 1e-7  # mm to either side of a wall
LAND = -60.0  # z down to which the land below the crown counts as metal


class Silhouette:
    """What a holder that goes `below` mm under the edge plane can meet of a work with heights over radii.

    At x the plane through the edge shows radius |x|, the plane h below it sqrt(x^2 + h^2): what a
    holder of that height can meet at x is the highest metal between the radii |x| and
    sqrt(x^2 + below^2). `corners` (K,) are radii, mm, to the edge of the crown.
    """

    def __init__(self, corners: Floats, below: float) -> None:
        self._below, outer = below, corners[-1]
        if below > 0:  # where a corner shows in the lowest plane
            seen = corners[corners > below]
            shown = np.sqrt((seen + BESIDE) * (seen + BESIDE) - below**2)
            corners = distinct(np.concatenate((corners, shown, [0.0])))
        self.r = corners[corners <= outer]  # (K,) radii at which heights are given

    def polygons(self, heights: Floats) -> NDArray[Any]:
        """The polygons (N,) of heights (N, K) over `r`."""
        import shapely

        seen = self._seen(heights)
        needed = bends(seen)
        seen, r = seen[:, needed], self.r[needed]
        n, k = seen.shape
        ring = np.empty((n, 2 * k + 2, 2))
        ring[:, :k, 0], ring[:, :k, 1] = -r[::-1], seen[:, ::-1]
        ring[:, k : 2 * k, 0], ring[:, k : 2 * k, 1] = r, seen
        ring[:, 2 * k :] = ((r[-1], LAND), (-r[-1], LAND))
        return np.asarray(shapely.polygons(ring))

    def _seen(self, heights: Floats) -> Floats:
        """The highest of each row (N, K) between r and sqrt(r^2 + below^2)."""
        if self._below == 0:
            return heights
        r = self.r
        far = np.minimum(np.hypot(r, self._below), r[-1])
        last = np.minimum(np.searchsorted(r, far, side="right") - 1, r.size - 2)
        share = (far - r[last]) / (r[last + 1] - r[last])
        at_far = heights[:, last] + share * (heights[:, last + 1] - heights[:, last])
        out: Floats = np.maximum(heights, at_far)
        here = np.arange(r.size)
        width = last - here + 1
        highest, span = heights, 1
        while True:  # highest[:, k] is that of k to k + span - 1
            now = (width >= span) & (width < 2 * span)
            k, end = here[now], last[now] - span + 1
            out[:, now] = np.maximum(out[:, now], np.maximum(highest[:, k], highest[:, end]))
            if 2 * span > width.max():
                return out
            highest = np.maximum(highest[:, :-span], highest[:, span:])
            span *= 2


class Metal:
    """Metal before and after a leg, down to `below` mm under the edge plane."""

    def __init__(self, before: Chain, after: Chain, radius: float, below: float) -> None:
        self._radius = radius
        cuts = after is not before
        self._shape = Silhouette(radii_of(before, after) if cuts else radii_of(before), below)
        self._r = self._shape.r
        self._before = before.heights(self._r)
        self._after = after.heights(self._r) if cuts else self._before

    @cached_property
    def standing(self) -> NDArray[Any]:
        """All the metal after the leg, one polygon (1,)."""
        return self._shape.polygons(self._after[None, :])

    def during(self, centres: Floats, climb: Floats, *, outward: bool) -> NDArray[Any]:
        """What is left of it with the insert at each centre (N, 2) of the leg, (N,) polygons.

        `climb` (N,) is the sine of the movement's angle to the face.
        """
        x, z = centres[:, 0, None], centres[:, 1, None]
        # the edge touches the work on the right of a path that runs outward
        touches = x + self._radius * climb[:, None] * (1.0 if outward else -1.0)
        aside = np.abs(self._r[None, :] - x)
        circle = np.where(
            aside < self._radius, z - np.sqrt(np.maximum(0.0, self._radius**2 - aside**2)), np.inf
        )
        behind = (self._r <= touches) == outward
        return self._shape.polygons(np.where(behind, self._after, np.minimum(self._before, circle)))


def radii_of(*chains: Chain) -> Floats:
    """Radii on which straight edges stand for the chains: every corner, both sides of every wall."""
    outer = chains[0].outer
    radii = [np.arange(0.0, outer, GRID), np.array([outer])]
    for chain in chains:
        r = chain.points(SAGITTA)[:, 0]
        walls = np.array([s.r1 for s in chain.segments if s.is_wall])
        radii += [r, walls - BESIDE, walls + BESIDE]
    whole = distinct(np.concatenate(radii))
    return whole[(whole >= 0.0) & (whole <= outer)]
