"""A section through measured or drawn points."""

import math
from collections.abc import Sequence
from itertools import pairwise

from toolpath.forms.sections import rim
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN

Point = tuple[float, float]  # (r, z), mm
STRAIGHT = 5e4  # mm; no control is asked to swing an arc of more than this radius


def through_points(points: Sequence[Point], outer: float, *, depth_scale: float = 1.0) -> Chain:
    """A section through points (r, z) in order of r, with crown z = 0 from the last one outward.

    Threes of points are joined by the arc through them: chords through 5 points of a 64 mm bowl
    lose 0.20 cc. An arc that would leave the box of its points (a level floor beside a steep wall)
    is not what was measured; there straight lines join them. A first point off the axis is carried
    in level, a last point below the crown gets a wall. `depth_scale` stretches the depths; whether
    arc or lines is settled on the points as they are given.

    Raises:
        Stopped: the last point lies beyond `outer`.
    """
    pts = list(points)
    level = rim(pts[-1][0], outer)
    if pts[0][0] > JOIN:
        pts.insert(0, (0.0, pts[0][1]))
    pieces: list[Segment] = []
    k = 0
    while k + 1 < len(pts):
        if k + 2 < len(pts):
            pieces += _through(pts[k], pts[k + 1], pts[k + 2], depth_scale)
            k += 2
            continue
        # one point left over: the last stretch of the arc through the last three
        pieces += _last_stretch(pts, k, depth_scale)
        k += 1
    last_r, last_z = pieces[-1].r2, pieces[-1].z2
    pieces += level
    if not level and abs(last_z) > JOIN:
        return Chain((*Chain.from_pieces(pieces).segments, Line(last_r, last_z, last_r, 0.0)))
    return Chain.from_pieces(pieces)


def _last_stretch(pts: Sequence[Point], k: int, depth_scale: float) -> list[Segment]:
    if k > 0:
        for piece in _through(pts[k - 1], pts[k], pts[k + 1], depth_scale):
            if piece.r2 > pts[k][0] + JOIN:
                return [piece.clipped(max(piece.r1, pts[k][0]), piece.r2)]
    return [_line(pts[k], pts[k + 1], depth_scale)]


def _line(a: Point, b: Point, depth_scale: float) -> Line:
    return Line(a[0], a[1] * depth_scale, b[0], b[1] * depth_scale)


def _through(a: Point, b: Point, c: Point, depth_scale: float) -> list[Segment]:
    """The arc through three points, or two lines where no arc keeps inside their box."""
    lines: list[Segment] = [_line(p, q, depth_scale) for p, q in pairwise((a, b, c))]
    drawn = _arc(a, b, c)
    if drawn is None or not _keeps_inside(drawn, min(a[1], b[1], c[1]), max(a[1], b[1], c[1])):
        return lines
    arc = _arc(*((r, z * depth_scale) for r, z in (a, b, c)))
    return lines if arc is None or arc.radius > STRAIGHT else [arc]


def _arc(a: Point, b: Point, c: Point) -> Arc | None:
    """The arc through three points, where they are not in line and it is single-valued in r."""
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    if abs(cross) < 1e-9 * math.dist(a, c):  # the middle point lies within a nanometre of the chord
        return None
    # circumcentre, relative to a
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    ux, uy = (cy * b2 - by * c2) / (2 * cross), (bx * c2 - cx * b2) / (2 * cross)
    rc, zc, radius = a[0] + ux, a[1] + uy, math.hypot(ux, uy)
    half = math.pi if cross < 0 else -math.pi  # an upper arc where it turns right
    t1, t2 = math.atan2(a[1] - zc, a[0] - rc), math.atan2(c[1] - zc, c[0] - rc)
    if abs(abs(t1) - math.pi) < 1e-9:  # either sign at the cut of the angle
        t1 = half
    if not (0 <= t2 < t1 <= half if cross < 0 else half <= t1 < t2 <= 0):
        return None
    return Arc(rc, zc, radius, t1, t2)


def _keeps_inside(arc: Arc, low: float, high: float) -> bool:
    """Whether an arc keeps within the heights of its points, give or take a twentieth, and under the crown."""
    if not arc.r1 < arc.rc < arc.r2:
        return True
    slack = (high - low) / 20
    if arc.lower:
        return arc.zc - arc.radius >= low - slack
    return arc.zc + arc.radius <= min(high + slack, 0.0)
