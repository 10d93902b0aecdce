"""Strokes end to end: from loose lines and arcs on one side of an axis to a chain outward from it.

What stands in the way of that is a fault with its place and size: a gap, a crossing, a branch, an
open end, an undercut. Places are told as the sheet has them.
"""

import math
from collections.abc import Callable, Sequence
from itertools import combinations, pairwise
from typing import TypeAlias

import numpy as np

from toolpath.drawing.sheet import DrawingError, Round, Spot, Straight, Stroke
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment
from toolpath.geometry.tolerance import GAP

CLOSE = 0.005  # mm; ends no further apart are one point, and what is no thicker is a matter of the last digit
NEARLY = 1e-6  # rad; an arc that passes the upright by less ends there
Tell: TypeAlias = Callable[[Spot], str]
End: TypeAlias = tuple[int, int]  # which stroke, and its first or second end


def chain_of(strokes: Sequence[Stroke], tell: Tell) -> Chain:
    """The chain of strokes that begins on x = 0 and runs towards +x, every step of it outward or upright.

    Raises:
        DrawingError: they make no such chain.
    """
    ordered = _in_order([s for s in strokes if not _on_axis(s)], tell)
    segments = [_segment(stroke, start, tell) for stroke, start in ordered]
    return Chain(tuple(_joined(segments)))


def mirrored(stroke: Stroke) -> Stroke:
    """The stroke on the other side of x = 0."""
    if isinstance(stroke, Straight):
        return Straight(-stroke.x1, stroke.y1, -stroke.x2, stroke.y2)
    return Round(-stroke.cx, stroke.cy, stroke.radius, math.pi - stroke.a2, math.pi - stroke.a1)


def moved(stroke: Stroke, dx: float) -> Stroke:
    """The stroke dx mm further to the right."""
    if isinstance(stroke, Straight):
        return Straight(stroke.x1 + dx, stroke.y1, stroke.x2 + dx, stroke.y2)
    return stroke._replace(cx=stroke.cx + dx)


def right_of_axis(stroke: Stroke) -> list[Stroke]:
    """The parts of a stroke that lie right of x = 0."""
    xs = [x for x, _ in stroke.ends]
    if isinstance(stroke, Straight):
        if min(xs) >= -CLOSE:
            return [stroke]
        if max(xs) <= CLOSE:
            return []
        share = stroke.x1 / (stroke.x1 - stroke.x2)
        y = stroke.y1 + share * (stroke.y2 - stroke.y1)
        return [Straight(0.0, y, *max(stroke.ends))]
    half = math.acos(max(-1.0, min(1.0, -stroke.cx / stroke.radius)))
    cuts = sorted(
        a
        for turn in range(-2, 3)
        for a in (half + 2 * math.pi * turn, -half + 2 * math.pi * turn)
        if stroke.a1 + CLOSE / stroke.radius < a < stroke.a2 - CLOSE / stroke.radius
    )
    parts = [stroke._replace(a1=a, a2=b) for a, b in pairwise((stroke.a1, *cuts, stroke.a2))]
    return [part for part in parts if part.spot((part.a1 + part.a2) / 2)[0] > 0]


def _on_axis(stroke: Stroke) -> bool:
    return isinstance(stroke, Straight) and max(abs(stroke.x1), abs(stroke.x2)) <= CLOSE


class _Ends:
    """Which end of which stroke meets which, each with the nearest that is no further than `CLOSE`."""

    def __init__(self, strokes: Sequence[Stroke]) -> None:
        import shapely  # only where there is a drawing: its import takes longer than many a job

        self.spots = {(k, side): spot for k, s in enumerate(strokes) for side, spot in enumerate(s.ends)}
        keys = list(self.spots)
        tree = shapely.STRtree([shapely.Point(self.spots[key]) for key in keys])
        near = tree.query(
            shapely.points([self.spots[key] for key in keys]), predicate="dwithin", distance=CLOSE
        )
        pairs = [(keys[i], keys[j]) for i, j in zip(*near, strict=True) if keys[i][0] < keys[j][0]]
        self.mate: dict[End, End] = {}
        self.crowd: Spot | None = None
        for a, b in sorted(pairs, key=lambda pair: math.dist(self.spots[pair[0]], self.spots[pair[1]])):
            if a not in self.mate and b not in self.mate:
                self.mate[a], self.mate[b] = b, a
        for a, b in pairs:
            alone, met = (b, a) if a in self.mate else (a, b)
            # a stroke shorter than the tolerance lies with both ends where it meets the next
            if alone not in self.mate and met in self.mate and self.mate[met][0] != alone[0]:
                self.crowd = self.spots[alone]

    @property
    def free(self) -> list[End]:
        """The ends that meet no other."""
        return [end for end in self.spots if end not in self.mate]


def _in_order(strokes: Sequence[Stroke], tell: Tell) -> list[tuple[Stroke, Spot]]:
    """The strokes from the axis outward, each with the end that it begins at."""
    ends = _Ends(strokes)
    if ends.crowd is not None:
        raise DrawingError(
            f"more than two lines meet at {tell(ends.crowd)}; leave only the section on its layer"
        )
    _stop_at_crossing(strokes, ends, tell)
    free = ends.free
    if not free:
        raise DrawingError("the section is a closed outline; leave only the line of the dish itself")
    on_axis = [end for end in free if abs(ends.spots[end][0]) <= CLOSE]
    if len(free) > 2:
        _stop_at_gap([(ends.spots[end], end[0]) for end in free], tell)
    if not on_axis:
        spot = min(ends.spots[end] for end in free)
        raise DrawingError(
            f"the section has an open end at {tell(spot)}, {spot[0]:.3f} mm from the axis; draw it up to the axis"
        )
    k, side = min(on_axis, key=lambda end: ends.spots[end][1])
    ordered = [(strokes[k], ends.spots[k, side])]
    while (k, 1 - side) in ends.mate:
        k, side = ends.mate[k, 1 - side]
        ordered.append((strokes[k], ends.spots[k, side]))
    return ordered


def _stop_at_gap(free: Sequence[tuple[Spot, int]], tell: Tell) -> None:
    size, a, b = min((math.dist(a, b), a, b) for (a, i), (b, j) in combinations(free, 2) if i != j)
    raise DrawingError(
        f"the section has a gap of {size:.3f} mm between {tell(a)} and {tell(b)}; join the two ends, and leave "
        "nothing else on its layer"
    )


def _stop_at_crossing(strokes: Sequence[Stroke], ends: _Ends, tell: Tell) -> None:
    """Refuse strokes that meet anywhere but at their ends."""
    import shapely

    lines = [shapely.LineString(_drawn(stroke)) for stroke in strokes]
    tree = shapely.STRtree(lines)
    for i, j in zip(*tree.query(lines, predicate="intersects"), strict=True):
        joined = any(ends.mate.get((i, side), (-1, 0))[0] == j for side in (0, 1))
        if i < j and not joined:
            meet = shapely.intersection(lines[i], lines[j])
            x, y = shapely.get_coordinates(shapely.centroid(meet))[0]
            raise DrawingError(f"two lines cross at {tell((x, y))}; leave only the section on its layer")


def _drawn(stroke: Stroke) -> list[Spot]:
    if isinstance(stroke, Straight):
        return list(stroke.ends)
    step = 2 * math.acos(max(-1.0, 1 - CLOSE / (4 * stroke.radius)))
    angles = np.linspace(stroke.a1, stroke.a2, max(3, int((stroke.a2 - stroke.a1) / step) + 2))
    return [stroke.spot(float(a)) for a in angles]


def _segment(stroke: Stroke, start: Spot, tell: Tell) -> Segment:
    """The stroke as a segment outward from one of its ends."""
    end = stroke.ends[1] if start == stroke.ends[0] else stroke.ends[0]
    if isinstance(stroke, Straight):
        back = start[0] - end[0]
        if back > CLOSE:
            raise _undercut(back, end, tell)
        return Line(*start, start[0] if back > 0 else end[0], end[1])
    # counter-clockwise is outward on the lower half of a circle alone
    forward = start == stroke.ends[0]
    turns = math.floor((stroke.a1 + stroke.a2) / (4 * math.pi) + 0.5)
    first, last = stroke.a1 - 2 * math.pi * turns, stroke.a2 - 2 * math.pi * turns
    lower = first + last < 0
    low, high = (-math.pi, 0.0) if lower else (0.0, math.pi)
    if forward != lower:
        raise _undercut(start[0] - end[0], end, tell)
    for beyond, angle, near in (
        (low - first, low, stroke.ends[0]),
        (last - high, high, stroke.ends[1]),
    ):
        if beyond > NEARLY:
            spot = stroke.spot(angle)
            raise _undercut(abs(spot[0] - near[0]), spot, tell)
    first, last = max(first, low), min(last, high)
    return Arc(stroke.cx, stroke.cy, stroke.radius, *((first, last) if lower else (last, first)))


def _undercut(size: float, spot: Spot, tell: Tell) -> DrawingError:
    return DrawingError(
        f"the section turns back by {size:.3f} mm at {tell(spot)}: a tool from the front cannot cut an undercut"
    )


def _joined(segments: list[Segment]) -> list[Segment]:
    """The segments with ends that differ by the drawing's rounding made one."""
    out: list[Segment] = []
    for s in segments:
        if out:
            a = out[-1]
            if abs(a.r2 - s.r1) > GAP or abs(a.z2 - s.z1) > GAP:
                s = _from(a.r2, a.z2, s)
        elif s.r1 != 0.0:
            s = _from(0.0, s.z1, s)
        out.append(s)
    return out


def _from(r: float, z: float, s: Segment) -> Segment:
    """The segment from a place within `CLOSE` of its start: a line moved there, an arc bent there."""
    if isinstance(s, Line):
        return Line(r, z, r if s.is_wall else max(r, s.r2), s.z2)
    turn = s.t2 - s.t1
    size, slope = math.hypot(s.r2 - r, s.z2 - z), math.atan2(s.z2 - z, s.r2 - r)
    radius, side = size / (2 * math.sin(abs(turn) / 2)), math.copysign(HALF_PI, turn)
    first, last = slope - turn / 2 - side, slope + turn / 2 - side
    low, high = (-math.pi, 0.0) if s.lower else (0.0, math.pi)
    first, last = min(max(first, low), high), min(max(last, low), high)
    return Arc(r - radius * math.cos(first), z - radius * math.sin(first), radius, first, last)
