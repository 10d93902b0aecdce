"""A section through measured or drawn points."""

import math
from collections.abc import Sequence
from itertools import pairwise

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN

Point = tuple[float, float]  # (r, z), mm


def through_points(points: Sequence[Point], outer: float) -> Chain:
    """A section through points (r, z) in order of r, with crown z = 0 from the last one outward.

    Threes of points are joined by the arc through them: chords through 5 points of a 64 mm bowl
    lose 0.20 cc. An arc that would leave the box of its points (a level floor beside a steep wall)
    is not what was measured; there straight lines join them. A first point off the axis is carried
    in level, a last point below the crown gets a wall.
    """
    pts = [(r, z) for r, z in points]
    if pts[0][0] > JOIN:
        pts.insert(0, (0.0, pts[0][1]))
    pieces: list[Segment] = []
    k = 0
    while k + 1 < len(pts):
        if k + 2 < len(pts):
            pieces += _through(pts[k], pts[k + 1], pts[k + 2])
            k += 2
        elif k > 0:  # one point left over: the last stretch of the arc through the last three
            pieces += [p for p in _through(pts[k - 1], pts[k], pts[k + 1]) if p.r2 > pts[k][0] + JOIN][-1:]
            pieces[-1] = pieces[-1].clipped(pts[k][0], pts[k + 1][0])
            k += 1
        else:
            pieces.append(Line(*pts[0], *pts[1]))
            k += 1
    if outer - pts[-1][0] > JOIN:
        pieces.append(Line(pts[-1][0], 0.0, outer, 0.0))
    elif abs(pts[-1][1]) > JOIN:
        return Chain((*Chain.from_pieces(pieces).segments, Line(pts[-1][0], pts[-1][1], pts[-1][0], 0.0)))
    return Chain.from_pieces(pieces)


def _through(a: Point, b: Point, c: Point) -> list[Segment]:
    """The arc through three points, or two lines where no arc keeps inside their box."""
    lines: list[Segment] = [Line(*p, *q) for p, q in pairwise((a, b, c))]
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    chord = math.dist(a, c)
    if abs(cross) < 1e-9 * chord:  # the middle point lies within a nanometre of the chord
        return [Line(*a, *c)]
    # circumcentre, relative to a
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    ux, uy = (cy * b2 - by * c2) / (2 * cross), (bx * c2 - cx * b2) / (2 * cross)
    rc, zc, radius = a[0] + ux, a[1] + uy, math.hypot(ux, uy)
    t1, t2 = math.atan2(a[1] - zc, a[0] - rc), math.atan2(c[1] - zc, c[0] - rc)
    if cross < 0:  # turns right: an upper arc
        t1 = math.pi if t1 < -math.pi / 2 else t1
        fits = 0 <= t2 < t1 <= math.pi
    else:
        t1 = -math.pi if t1 > math.pi / 2 else t1
        fits = -math.pi <= t1 < t2 <= 0
    if not fits:
        return lines
    arc = Arc(rc, zc, radius, t1, t2)
    low, high = min(a[1], b[1], c[1]), max(a[1], b[1], c[1])
    dips = arc.r1 < rc < arc.r2 and not (low - 0.02 <= zc + (radius if cross < 0 else -radius) <= high + 0.02)
    return lines if dips else [arc]
