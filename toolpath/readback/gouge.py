"""How deep the disc went into the finished section, and how much was left over it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.chain import Chain
from toolpath.readback.cutter import CutStock
from toolpath.readback.motions import Motion
from toolpath.readback.sweep import Floats

_CHORD = 0.0002  # mm; depth that may hide between two samples
_AT_ONCE = 2000  # motions
_COARSE = 2.0  # mm; length of the first pieces of a path


def penetrations(motions: Sequence[Motion], finished: Chain, insert_radius: float) -> Floats:
    """Greatest depth of the disc in the finished section for each motion, (M,), mm.

    Measured along the surface's normal; negative where the disc keeps clear (then a lower bound,
    exact only near the section). Each path is halved while its middle is near enough to matter:
    the depth changes no faster than the centre moves.
    """
    parts = [motions[k : k + _AT_ONCE] for k in range(0, len(motions), _AT_ONCE)]
    found, floor = [np.empty(0)], 0.0
    for part in parts:  # all at once would take a gigabyte for a hundred thousand blocks
        found.append(_penetrations(part, finished, insert_radius, floor))
        floor = max(floor, float(found[-1].max()))
    return np.concatenate(found)


def _penetrations(motions: Sequence[Motion], finished: Chain, insert_radius: float, least: float) -> Floats:
    """The same for a part of the motions; what stays below `least` (mm) is not followed further."""
    depth = np.full(len(motions), -np.inf)
    table = np.array([_row(m) for m in motions])
    length = np.array([m.length for m in motions])
    # twice the curvature that the path and the disc can give the depth between two samples
    bend = np.where(table[:, 7] > 0, np.minimum(table[:, 7], insert_radius), insert_radius)
    step = np.maximum(0.7 * np.sqrt(8 * _CHORD * bend), 0.005)
    for end in (np.zeros(len(motions)), np.ones(len(motions))):
        _deepen(depth, np.arange(len(motions)), table, end, finished, insert_radius)
    parts = np.maximum(1, np.ceil(length / _COARSE).astype(int))
    which = np.repeat(np.arange(len(motions)), parts)
    index = np.arange(which.size) - np.repeat(np.cumsum(parts) - parts, parts)
    half = 0.5 / parts[which]
    middle = (2 * index + 1) * half
    while which.size:
        here = _deepen(depth, which, table, middle, finished, insert_radius)
        floor = 0.9 * max(least, float(depth.max()), 0.0)
        reach = half * length[which]
        keep = (here + reach > floor) & (2 * reach > step[which])
        half = half[keep] / 2
        middle = np.concatenate((middle[keep] - half, middle[keep] + half))
        which, half = np.tile(which[keep], 2), np.tile(half, 2)
    return depth


def _row(m: Motion) -> tuple[float, ...]:
    x1 = m.x2 if m.x1 is None or m.z1 is None else m.x1
    z1 = m.z2 if m.x1 is None or m.z1 is None else m.z1
    return (x1, z1, m.x2, m.z2, m.xc, m.zc, m.start, m.radius, m.sweep)


def _deepen(
    depth: Floats, which: NDArray[np.intp], table: Floats, t: Floats, finished: Chain, radius: float
) -> Floats:
    """Depth at the fraction t of each path; notes it in `depth` where it is the greatest so far."""
    x1, z1, x2, z2, xc, zc, start, q, sweep = table[which].T
    angle = start + t * sweep
    arc = q > 0
    points = np.column_stack(
        (
            np.where(arc, xc + q * np.cos(angle), x1 + t * (x2 - x1)),
            np.where(arc, zc + q * np.sin(angle), z1 + t * (z2 - z1)),
        )
    )
    here = radius - clearance(finished, points)
    np.maximum.at(depth, which, here)
    return here


def clearance(finished: Chain, points: Floats) -> Floats:
    """Signed distance of points (N, 2) to the finished metal, (N,), mm; negative inside it.

    The metal lies under the chain and ends at the land, straight down from its outer end; the
    work turns, so a point past the axis counts on its other side.
    """
    x, z = np.abs(points[:, 0]), points[:, 1]
    outer, edge = finished.outer, finished.segments[-1].z2
    away = np.minimum(
        finished.distances(np.column_stack((x, z))),
        np.hypot(x - outer, np.maximum(0.0, z - edge)),
    )
    inside = x <= outer
    inside[inside] = z[inside] < finished.heights(x[inside])
    return np.where(inside, -away, away)


def left_over(cut: CutStock, finished: Chain) -> tuple[float, float]:
    """Greatest thickness (mm, along the normal) left over the finished section, and its radius (mm).

    Only where the section lies below the stock; nothing left is (0, 0).
    """
    wanted = finished.heights(cut.r)
    gap = np.where(cut.stock - wanted > 1e-6, cut.z - wanted, 0.0)
    candidates = np.flatnonzero(gap > 1e-6)
    if not candidates.size:
        return 0.0, 0.0
    # the thickness is never more than the gap, so most points need no distance
    some = candidates[:: max(1, candidates.size // 64)]
    least = float(clearance(finished, np.column_stack((cut.r[some], cut.z[some]))).max())
    candidates = candidates[gap[candidates] >= least - 1e-9]
    r, z = cut.r[candidates], cut.z[candidates]
    thick = clearance(finished, np.column_stack((r, z)))
    k = int(np.argmax(thick))
    return float(thick[k]), float(r[k])
