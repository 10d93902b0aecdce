"""The lower boundary of a disc swept along a path, as pieces in closed form.

Every piece is z = z0 + slope (r - r0) + side sqrt(rho^2 - (r - r0)^2) on an interval of r: a
disc or an arc (slope 0, side -1 below, +1 above its centre) or a line (side 0). What lies above
a piece is removed. Derivation: the lower boundary of the sweep is where the path's normal points
down. A line is shifted by R along that normal; an arc of radius q in its lower half (hollow side
up) grows to q + R; one in its upper half shrinks to q - R when q > R and leaves only the discs
at its ends when not.
"""

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from toolpath.readback.motions import Motion

Floats = NDArray[np.float64]
Piece = tuple[float, float, float, float, float, float, float]  # lo, hi, r0, z0, slope, rho, side

AXIS = 1e-6  # mm; a centre further than this beyond the axis has passed it


def disc(x: float, z: float, radius: float) -> Piece:
    """The lower half of a disc about (x, z)."""
    return (x - radius, x + radius, x, z, 0.0, radius, -1.0)


def line_pieces(x1: float, z1: float, x2: float, z2: float, radius: float) -> list[Piece]:
    """The path's own edge and the disc at its end; the disc at the start is not included."""
    pieces = [disc(x2, z2, radius)]
    if x1 != x2:
        if x1 > x2:
            x1, z1, x2, z2 = x2, z2, x1, z1
        slope = (z2 - z1) / (x2 - x1)
        down = math.hypot(1.0, slope)
        shift, drop = radius * slope / down, radius / down
        pieces.append((x1 + shift, x2 + shift, x1 + shift, z1 - drop, slope, 0.0, 0.0))
    return _mirrored(pieces, min(x1, x2))


def arc_pieces(motion: Motion, radius: float) -> list[Piece]:
    """As `line_pieces`, for the path of an arc."""
    pieces = [disc(motion.x2, motion.z2, radius)]
    first, last = sorted((motion.start, motion.start + motion.sweep))
    inner = range(math.ceil(first / math.pi), math.floor(last / math.pi) + 1)
    angles = [first, *(a for k in inner if first < (a := k * math.pi) < last), last]
    xc, zc, q = motion.xc, motion.zc, motion.radius
    for a, b in itertools.pairwise(angles):
        lo, hi = sorted((math.cos(a), math.cos(b)))
        if math.sin((a + b) / 2) < 0:
            rho, side = q + radius, -1.0
        elif q > radius:
            rho, side = q - radius, 1.0
        else:
            rho = 0.0
        if rho:
            pieces.append((xc + rho * lo, xc + rho * hi, xc, zc, 0.0, rho, side))
    pieces += [disc(xc + q * math.cos(a), zc + q * math.sin(a), radius) for a in angles[1:-1]]
    pieces.append(
        disc(
            xc + q * math.cos(motion.start + motion.sweep),
            zc + q * math.sin(motion.start + motion.sweep),
            radius,
        )
    )
    # the far end of a path whose radii differ within the rule
    pieces += line_pieces(
        xc + q * math.cos(motion.start + motion.sweep),
        zc + q * math.sin(motion.start + motion.sweep),
        motion.x2,
        motion.z2,
        radius,
    )[1:]
    return _mirrored(pieces, motion.least_x)


def _mirrored(pieces: list[Piece], least_x: float) -> list[Piece]:
    """With the reflections of the pieces when the centre passes the axis: the work turns."""
    if least_x >= -AXIS:
        return pieces
    return pieces + [(-hi, -lo, -r0, z0, -slope, rho, side) for lo, hi, r0, z0, slope, rho, side in pieces]


def heights(piece: Sequence[float], r: Floats) -> Floats:
    """z of a piece at r, (N,) -> (N,), mm; r within the piece's interval."""
    _, _, r0, z0, slope, rho, side = piece
    across = r - r0
    if not rho:
        across *= slope
        across += z0
        return across
    across *= across
    np.subtract(rho * rho, across, out=across)
    np.maximum(across, 0.0, out=across)
    np.sqrt(across, out=across)
    return z0 - across if side < 0 else z0 + across


def spans(pieces: Floats, r: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Of pieces (P, 7): from and to index of each piece's interval in the rising r (N,)."""
    return np.searchsorted(r, pieces[:, 0], side="left"), np.searchsorted(r, pieces[:, 1], side="right")


def lower_to(z: Floats, r: Floats, pieces: Floats) -> None:
    """Lower z (N,) in place to the envelope of pieces (P, 7) over the rising r (N,)."""
    starts, ends = spans(pieces, r)
    for k in np.flatnonzero(starts < ends):
        here = slice(starts[k], ends[k])
        np.minimum(z[here], heights(pieces[k].tolist(), r[here]), out=z[here])
