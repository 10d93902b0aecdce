"""The gap of a stated holder to the metal, motion by motion of a program as it was read back.

The metal is that of the moment: what all motions before have left, less what this one has swept so far.
Within a motion the gap cannot change faster than the holder moves, so only the stretches that can hold
its smallest gap are halved, down to 0.25 mm: what is found is at most 0.125 mm over the true gap.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

import numpy as np

from toolpath.clearance.metal import BESIDE, Silhouette, radii_of
from toolpath.clearance.travel import FIRST_STEP, STEP, Polygons, nearest, signed
from toolpath.geometry.arrays import distinct
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Floats
from toolpath.readback.motions import Motion

if TYPE_CHECKING:
    from shapely import Polygon

BETWEEN = 0.1  # mm between radii at which the metal is known, beside its corners
PART = 0.25  # mm of path after which the metal is taken anew
MOST_PARTS = 400  # of one motion
MOST_ENDS = 1000  # radii at which walls may stand, so that a program of any length is got through

Heights: TypeAlias = Floats


class Gap(NamedTuple):
    """The smallest gap of one motion, mm; below 0 the holder is in the metal.

    `share` says where on the path it is; `x` and `z` are of the metal there.
    """

    gap: float
    share: float
    x: float
    z: float


def gaps(
    motions: Sequence[Motion],
    sections: tuple[Chain, Chain],
    insert_radius: float,
    shape: "Polygon",
    below: float,
) -> tuple[Gap | None, ...]:
    """The smallest gap of each motion; None where the text has not said where it starts.

    `sections` are the stock and the finished section, `shape` the holder about the insert's centre
    and `below` how far down it goes under the edge, mm.
    """
    stock = sections[0]
    reaches = sorted({m.x2 + side * insert_radius for m in motions for side in (-1, 1)})
    ends = np.array(reaches[:: -(-len(reaches) // MOST_ENDS) or 1])
    corners = distinct(
        np.concatenate(
            (np.arange(0.0, stock.outer, BETWEEN), radii_of(*sections), ends - BESIDE, ends + BESIDE)
        )
    )
    work = Silhouette(corners[(corners >= 0) & (corners <= stock.outer)], below)
    heights = stock.heights(work.r)
    out: list[Gap | None] = []
    for motion in motions:
        one = _Moment(motion, heights, work, insert_radius)
        known = motion.x1 is not None and motion.z1 is not None
        out.append(one.smallest(shape) if known else None)
        heights = one.heights[-1]
    return tuple(out)


class _Moment:
    """The metal while one motion is under way."""

    def __init__(self, motion: Motion, before: Heights, work: Silhouette, radius: float) -> None:
        self.motion, self.work, self.radius, self.before = motion, work, radius, before
        self.parts = min(MOST_PARTS, max(1, int(np.ceil(motion.length / PART))))
        swept = self._discs(np.linspace(0.0, 1.0, self.parts + 1))
        np.minimum(swept[0], before, out=swept[0])
        self.heights: Heights = np.minimum.accumulate(swept, axis=0)
        self.idle = bool((self.heights[-1] >= before - 1e-9).all())  # nothing is cut

    def _discs(self, share: Floats) -> Heights:
        """The underside of the insert at these shares of the path, (N, K); +inf beside it."""
        x, z = self.motion.places(share)
        inside = self.radius**2 - (self.work.r[None, :] - x[:, None]) ** 2
        return np.where(inside > 0, z[:, None] - np.sqrt(np.maximum(inside, 0.0)), np.inf)

    def _metal(self, share: Floats) -> Polygons:
        """The metal with the insert at these shares: one polygon for all where nothing is cut."""
        if self.idle:
            return self.work.polygons(self.before[None, :])
        swept = self.heights[np.floor(share * self.parts).astype(np.intp)]
        return self.work.polygons(np.minimum(swept, self._discs(share)))

    def _gaps(self, shape: "Polygon", share: Floats) -> Floats:
        import shapely

        holders, metal = self._holders(shape, share), self._metal(share)
        shapely.prepare(holders)
        return signed(holders, metal)

    def _holders(self, shape: "Polygon", share: Floats) -> Polygons:
        import shapely

        centres = np.column_stack(self.motion.places(share))
        corners = np.array(shape.exterior.coords)
        return np.asarray(shapely.polygons(corners[None, :, :] + centres[:, None, :]))

    def smallest(self, shape: "Polygon") -> Gap:
        """Where the holder comes nearest."""
        length = self.motion.length
        parts = max(1, int(np.ceil(length / FIRST_STEP)))
        half = 0.5 / parts
        share = np.concatenate(([0.0, 1.0], (2 * np.arange(parts) + 1) * half))
        found = self._gaps(shape, share)
        k = int(np.argmin(found))
        best, at = float(found[k]), float(share[k])
        share, found = share[2:], found[2:]
        while best > 0 and 2 * half * length > STEP:
            keep = found - half * length < best
            if not keep.any():
                break
            half /= 2
            share = np.concatenate((share[keep] - half, share[keep] + half))
            found = self._gaps(shape, share)
            k = int(np.argmin(found))
            if found[k] < best:
                best, at = float(found[k]), float(share[k])
        here = np.array([at])
        x, z = nearest(self._holders(shape, here)[0], self._metal(here)[0])
        return Gap(best, at, x, z)
