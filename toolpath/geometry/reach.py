"""What a disc can reach: the curve of its centre over a section, and the surface it leaves.

The disc of radius R may have its centre at (x, z) if it stays out of the metal:
C(x) = max over |u| <= R of [height(x + u) + sqrt(R^2 - u^2)]. That is the upper boundary of the
section swept by the disc: each line shifted by its normal, each concave arc of radius p shrunk to
p - R (gone when p <= R), each convex one grown to p + R, and an arc of radius R about every corner
that stands proud; the exact upper envelope of these is the curve.
"""

import math
from collections.abc import Sequence
from functools import reduce

from toolpath.geometry.chain import Chain, deeper, higher_pieces
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN, SLIVER, TURN


def centre_curve(section: Chain, radius: float) -> Chain:
    """The lowest centre of a disc of `radius` (mm) over a section, from x = 0 to section.outer + radius.

    The section starts on the axis (its mirror image across the axis counts too) and ends at a land
    that falls straight down.
    """
    near_axis = [s.mirrored() for s in section.segments if s.r1 < radius]
    whole = [*reversed(near_axis), *section.segments]
    pieces = _envelope(_shifted(whole, radius, before=None, after=-HALF_PI))
    return Chain.from_pieces(p.clipped(max(0.0, p.r1), p.r2) for p in pieces if p.r2 > SLIVER)


def swept(path: Chain, radius: float, outer: float) -> Chain:
    """The lowest surface that a disc of `radius` (mm) leaves when its centre follows `path`.

    It covers what the disc covers, from r >= 0 to at most `outer`.
    """
    below = path.upside_down().segments
    pieces = _envelope(_shifted(below, radius, before=HALF_PI, after=-HALF_PI))
    kept = [
        p.clipped(max(0.0, p.r1), min(outer, p.r2))
        for p in pieces
        if min(outer, p.r2) - max(0.0, p.r1) > SLIVER
    ]
    return Chain.from_pieces(kept).upside_down()


def as_cut(section: Chain, radius: float) -> Chain:
    """What a disc of `radius` (mm) leaves when it follows a section as closely as it can."""
    return deeper(
        swept(centre_curve(section, radius), radius, section.outer),
        Chain.flat(section.highest, section.outer),
    )


def contact(surface: Chain, r: float, radius: float) -> float:
    """The x of the disc's centre, going outward, while it leaves the point of its `surface` at r, mm.

    Where a wall stands at r the disc's side is against it.
    """
    if any(s.is_wall and abs(s.r1 - r) < 2 * JOIN and s.z2 > s.z1 for s in surface.segments):
        return r - radius
    inward = [p for p in surface.pieces if p.r1 < r - JOIN]
    if not inward:
        return r
    here = inward[-1]
    if isinstance(here, Arc):
        t = math.atan2(here.at(r) - here.zc, r - here.rc)
        direction = t + (HALF_PI if here.lower else -HALF_PI)
    else:
        direction = here.start_direction
    return r - radius * math.sin(direction)


def widened(section: Chain, by: float) -> Chain:
    """The highest metal where a section may sit up to `by` mm to either side of where it is drawn."""
    if by <= 0:
        return section
    whole = [*(s.mirrored() for s in reversed(section.segments) if s.r1 < by), *section.segments]
    levels = [Line(s.r2 - by, s.z2, s.r2 + by, s.z2) for s in whole]
    aside = [s.aside(d) for s in whole if not s.is_wall for d in (-by, by)]
    pieces = _envelope([*aside, *levels])
    outer = section.outer
    return Chain.from_pieces(
        p.clipped(max(0.0, p.r1), min(outer, p.r2))
        for p in pieces
        if min(outer, p.r2) - max(0.0, p.r1) > SLIVER
    )


def _shifted(
    segments: Sequence[Segment], radius: float, *, before: float | None, after: float
) -> list[Segment]:
    """Every piece of the offset to the left of travel (upwards), not yet cut against each other.

    `before` and `after` are the directions (rad) in which the boundary arrives and goes on.
    """
    out: list[Segment] = []
    arrives = before
    for s in segments:
        if arrives is not None:
            out += _about_corner(s.r1, s.z1, radius, arrives, s.start_direction)
        if isinstance(s, Arc):
            shrunk = s.radius - radius if s.lower else s.radius + radius
            if shrunk > JOIN:
                out.append(Arc(s.rc, s.zc, shrunk, s.t1, s.t2))
        elif not s.is_wall:
            along = s.length
            dr, dz = -(s.z2 - s.z1) / along * radius, (s.r2 - s.r1) / along * radius
            out.append(Line(s.r1 + dr, s.z1 + dz, s.r2 + dr, s.z2 + dz))
        arrives = s.end_direction
    last = segments[-1]
    return out + _about_corner(last.r2, last.z2, radius, last.end_direction, after)


def _about_corner(r: float, z: float, radius: float, arrives: float, leaves: float) -> list[Segment]:
    """The arc about a corner that stands proud (the boundary turns right there), else nothing."""
    if leaves > arrives - TURN:
        return []
    first, last = min(math.pi, arrives + HALF_PI), max(0.0, leaves + HALF_PI)
    return [Arc(r, z, radius, first, last)] if radius * (first - last) > JOIN else []


def _envelope(pieces: list[Segment]) -> list[Segment]:
    """The upper envelope of pieces in any order, by halves."""
    layers = [[p] for p in pieces if p.r2 - p.r1 > SLIVER]
    while len(layers) > 1:
        layers = [reduce(higher_pieces, layers[k : k + 2]) for k in range(0, len(layers), 2)]
    return layers[0]
