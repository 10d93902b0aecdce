"""A section through measured or drawn points: an arc spline that depends on them without jumps.

In each point the curve has the direction of the circle through it and its two neighbours, and two arcs
join a point to the next in those directions. Points of one circle or one line so give it back. A sharp
point is a corner: the curve to either side of it knows nothing of the other.

Where a circle through three points is not what was measured (a level floor beside a steep wall) the
directions are held to what the next points say: no end of a stretch turns from its chord more than
`MOST_UNEVEN` times as far as the other end. That is the most at which both arcs still turn one way.
"""

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from toolpath.forms.sections import rim
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment
from toolpath.geometry.tolerance import JOIN, TIE, TURN

STRAIGHT = 5e4  # mm; no control is asked to swing an arc of more than this radius
MOST_UNEVEN = 3.0
TOLD = math.radians(
    50
)  # a chord that its curve would leave by more than this angle says less and less of it,
UNTOLD = math.radians(75)  # and from here on nothing: it is drawn straight
SURE = 0.9  # two curvatures this alike are one circle's; from half of that on they begin to be


class Point(NamedTuple):
    """A point of a section, mm; a sharp one is a corner."""

    r: float
    z: float
    sharp: bool = False


PointLike: TypeAlias = tuple[float, float] | tuple[float, float, bool]


def in_half(stated: Iterable[PointLike]) -> list[Point]:
    """Points of the half section from (diameter, depth) and, for a corner, True."""
    return [Point(p[0] / 2, -p[1], *p[2:]) for p in stated]


class Bend(NamedTuple):
    """How a curve turns in a point: the angles between its direction there and the chords before and after.

    They are those of the circle through the point and its neighbours, rad, positive where it turns
    left; the curvature is that circle's, 1/mm.
    """

    before: float
    after: float
    curvature: float


def through_points(points: Sequence[PointLike], outer: float, *, depth_scale: float = 1.0) -> Chain:
    """A section through points (r, z) in order of r, with crown z = 0 from the last one outward.

    On the axis the curve is level, unless the points say otherwise (a cone, an arc about a centre that
    is not on the axis, a sharp first point). A first point off the axis is carried in level, a last point
    below the crown gets a wall, and nothing stands over the crown. `depth_scale` stretches the depths.

    Raises:
        Stopped: the last point lies beyond `outer`.
        GeometryError: a point lies further in than the one before it.
    """
    pts = [Point(p.r, p.z * depth_scale, p.sharp) for p in (Point(*p) for p in points)]
    level = rim(pts[-1].r, outer)
    corners = [k for k, p in enumerate(pts) if p.sharp and 0 < k < len(pts) - 1]
    pieces: list[Segment] = [Line(0.0, pts[0].z, pts[0].r, pts[0].z)] if pts[0].r > JOIN else []
    for first, last in pairwise((0, *corners, len(pts) - 1)):
        pieces += _run(pts[first : last + 1], about_axis=first == 0 and not pts[0].sharp)
    curve = Chain.from_pieces(pieces)
    if curve.highest > TIE:
        curve = deeper(curve, Chain.flat(0.0, curve.outer))
    end = curve.segments[-1]
    if not level and abs(end.z2) > JOIN:
        return Chain((*curve.segments, Line(end.r2, end.z2, end.r2, 0.0)))
    return Chain.from_pieces((*curve.segments, *level))


def _run(run: Sequence[Point], *, about_axis: bool) -> list[Segment]:
    """The curve through points with no corner between them; about the axis it goes on as its mirror image."""
    chords = [Line(a.r, a.z, b.r, b.z) for a, b in pairwise(run)]
    bends = [_bend(*three) for three in zip(run, run[1:], run[2:], strict=False)]
    if not bends:
        return [*chords]
    start = _axis_bend(run[0], run[1]) if about_axis else None
    turns = [
        (_first_turn(start, bends), bends[0].before),
        *((a.after, b.before) for a, b in pairwise(bends)),
        (_end_turn(bends[-1].after, bends[-1], [start, *bends][-2]),) * 2,
    ]
    if start is None:
        turns[0] = (turns[0][0],) * 2
    return [piece for chord, turn in zip(chords, turns, strict=True) for piece in _stretch(chord, *turn)]


def _first_turn(start: Bend | None, bends: Sequence[Bend]) -> float:
    """How far the first stretch turns from its start to its chord, rad."""
    if start is None:
        return _end_turn(bends[0].before, bends[0], bends[1] if len(bends) > 1 else None)
    sure = _alike(bends[0].curvature, bends[1].curvature) if len(bends) > 1 else 0.0
    return (1 - sure) * start.after + sure * bends[0].before


def _end_turn(turn: float, bend: Bend, beside: Bend | None) -> float:
    """The turn of an end's stretch by the last bend, less where the bend beside that is of another kind, rad."""
    if beside is None or turn == 0:
        return turn
    share = MOST_UNEVEN * max(0.0, beside.curvature / bend.curvature)
    return turn * min(1.0, share, MOST_UNEVEN**2 / share if share else 0.0)


def _axis_bend(first: Point, second: Point) -> Bend:
    """The bend in the first point, the curve being mirrored in the axis."""
    if first.r > JOIN:
        return _bend((-first.r, first.z), first, second)
    return _bend((-second.r, second.z), first, second)


def _bend(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> Bend:
    """The circle through three points, as it bends in the middle one."""
    one, two = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    cross, along = one[0] * two[1] - one[1] * two[0], one[0] * two[0] + one[1] * two[1]
    size, next_size = math.hypot(*one), math.hypot(*two)
    # a chord of the circle turns by the angle over it that the circle is seen under from the third point
    return Bend(
        before=math.atan2(cross, next_size * next_size + along),
        after=math.atan2(cross, size * size + along),
        curvature=2 * cross / (size * next_size * math.hypot(c[0] - a[0], c[1] - a[1])),
    )


def _stretch(chord: Line, before: float, after: float) -> list[Segment]:
    """Two arcs over a chord: from the direction that turns by `before` to the chord's, to one `after` beyond.

    They meet on the chord's perpendicular bisector, so that two equal turns make one arc. No
    direction passes the upright: the curve stays a height over r.
    """
    slope = chord.start_direction
    before, after = (
        _within(before, slope - HALF_PI, slope + HALF_PI),
        _within(after, -HALF_PI - slope, HALF_PI - slope),
    )
    before, after = _held(before, after), _held(after, before)
    told = _within((UNTOLD - max(abs(before), abs(after))) / (UNTOLD - TOLD), 0.0, 1.0)
    before, after = before * told, after * told
    middle = (before - after) / 2
    steepest = HALF_PI - abs(slope)
    if abs(middle) > steepest and middle * slope > 0:
        before, after = before * steepest / abs(middle), after * steepest / abs(middle)
        middle = (before - after) / 2
    if abs(before - after) < TURN:
        return [_arc(chord.r1, chord.z1, chord.r2, chord.z2, before + after)]
    aside = -math.tan((before + after) / 4) / 2
    r = _within((chord.r1 + chord.r2) / 2 - aside * (chord.z2 - chord.z1), chord.r1, chord.r2)
    z = (chord.z1 + chord.z2) / 2 + aside * (chord.r2 - chord.r1)
    return [
        _arc(chord.r1, chord.z1, r, z, before + middle),
        _arc(r, z, chord.r2, chord.z2, after - middle),
    ]


def _arc(r1: float, z1: float, r2: float, z2: float, turn: float) -> Segment:
    """The arc from one place to another that turns by `turn` (rad, positive to the left); a line where flat."""
    size = math.hypot(r2 - r1, z2 - z1)
    bent = 2 * math.sin(abs(turn) / 2)
    if bent * STRAIGHT < size or bent * size < TIE:
        return Line(r1, z1, r2, z2)
    radius, slope = size / bent, math.atan2(z2 - z1, r2 - r1)
    side = math.copysign(HALF_PI, turn)
    first, last = slope - turn / 2 - side, slope + turn / 2 - side
    return Arc(r1 - radius * math.cos(first), z1 - radius * math.sin(first), radius, first, last)


def _within(value: float, low: float, high: float) -> float:
    return max(low, min(high, value))


def _held(turn: float, other: float) -> float:
    """A turn, at most `MOST_UNEVEN` times as far as another, to either side."""
    most = MOST_UNEVEN * abs(other)
    return _within(turn, -most, most)


def _alike(a: float, b: float) -> float:
    """Whether two curvatures are one circle's: 1 where they are, 0 where one is half the other or less."""
    if a * b <= 0:
        return 0.0
    share = min(a / b, b / a)
    return _within((share - SURE / 2) / (SURE / 2), 0.0, 1.0)
