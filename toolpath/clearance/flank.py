"""Below the cutting edge: where the insert's own flank, or the shank under it, meets the work.

The edge lies in the plane through the spindle axis. At height h below that plane a flank of relief a
leaves the insert a disc of radius R - h tan a about the same centre, and the work shows the section
that it has at radius sqrt(x^2 + h^2): it comes in towards the tool as h grows. A wall of radius r is
met at h = r sin 2a (from r - h tan a = sqrt(r^2 - h^2)), a bowl of sphere radius Rs at Rs sin 2a.

For a given h the disc is nearest to the work where the line between them is square to the path of the
insert's centre, or at an end or corner of that path. So it is enough to follow the straight lines of
the flank that run down from the points at which the edge itself cuts, and, at ends and corners, those
of every direction between. All lengths are mm, angles rad.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from toolpath.findings import Finding
from toolpath.geometry.arrays import bends
from toolpath.geometry.chain import Chain
from toolpath.geometry.roots import root
from toolpath.geometry.segments import HALF_PI, Arc, Floats, Line, Segment
from toolpath.geometry.tolerance import TURN

MARGIN = 0.25  # mm, that a ground holder is to stay clear by
STEP = 0.25  # mm along the section, and along the path until the contact is nearly known
TURN_STEP = math.radians(1)  # at most between two directions, the same
BACK = 0.9  # of the height found so, from which the contact is then sought
PATH_STEP = 0.1  # mm between two centres from which the room is measured
ROOM_ERROR = 0.002  # mm that the room may be out by
HEIGHT_STEP = 0.5  # mm, rows of the template
DEFAULT_HEIGHT = 25.0  # mm, template of a shank whose height is not stated
FIRST = 1e-3  # mm below the edge, where the search starts: at the edge itself the insert cuts
RATIO = 1.06  # between two heights of the search
HALVINGS = 25  # of a bracket of 6 %: 2e-9 of the height
FINISHED = "in the finished dish"
TOUCHING = 1e-6  # mm between edge and section where it cuts

Rows: TypeAlias = NDArray[np.intp]
Bools: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True)
class Flank:
    """How the tool fares below the edge plane; mm."""

    contact_height: float  # below the edge, where a flank that went on for ever meets the work
    at_x: float  # radius of the insert's centre there
    meets: bool  # False: the flank leaves the dish first, and the height is that on its surface carried on
    underside_room: float | None  # between flank and work at the insert's underside; None without thickness
    down_to: float  # height of the shank below the edge
    radius: float  # of the insert
    room_at: Callable[[float], float] = field(repr=False, compare=False)  # from the path at a height
    where: str = FINISHED  # the flank meets the work there

    def met_earlier(self, height: float, x: float, where: str) -> "Flank":
        """The same flank that meets the work already at that height, on the way."""
        return replace(self, contact_height=height, at_x=x, meets=True, where=where)

    def stand_back(self, height: float) -> float:
        """How far a shank must stand back from the cutting circle at a height below the edge."""
        return max(0.0, self.radius + MARGIN - self.room_at(height))

    @cached_property
    def template(self) -> tuple[tuple[float, float], ...]:
        """Rows of height below the edge and stand-back; only a picture asks for them."""
        heights = [*np.arange(0.0, self.down_to, HEIGHT_STEP).tolist(), self.down_to]
        return tuple((h, self.stand_back(h)) for h in heights)


def below_edge(
    section: Chain,
    radius: float,
    relief: float,
    thickness: float | None,
    path: Chain,
    height_below_edge: float | None = None,
) -> Flank:
    """Follow the flank of a round insert down along the finishing `path` of its centre.

    `section` is the finished section, `radius` and `thickness` are the insert's, `relief` (rad) is the
    angle of its flank plus the tilt of its seat; without any the contact is at the edge itself. The
    contact height is right to 0.04 mm, room and template to 0.002 mm.
    """
    tangent = math.tan(relief)
    room_at = _rooms(section, path, radius)

    def beside(h: float) -> float:
        """The room beside the flank at a height below the edge."""
        return room_at(h) - (radius - h * tangent)

    if tangent > 0:
        contact, at_x, meets = _contact(section, radius, tangent, path)
        if meets:
            contact = _touch(beside, contact)
    else:
        contact, at_x, meets = 0.0, path.outer, True
    room = None if thickness is None else beside(thickness)
    down_to = height_below_edge if height_below_edge is not None else DEFAULT_HEIGHT
    return Flank(contact, at_x, meets, room, down_to, radius, room_at)


def findings(flank: Flank, thickness: float | None, height_below_edge: float | None) -> list[Finding]:
    """Contact of the insert's flank is a stop; what was not stated, and so not checked, is a note."""
    if flank.contact_height <= 0:
        return [
            Finding(
                "refused",
                "no-relief",
                "the insert has no relief angle and no tilt of its seat is stated, so it rubs just below its edge",
                flank.contact_height,
                0.0,
                "mm",
                "use an insert with relief, or state tool.seat_tilt",
            )
        ]
    out: list[Finding] = []
    height = flank.contact_height
    below = "" if flank.where == FINISHED else f" {flank.where}"
    if thickness is None:
        out.append(
            Finding(
                "note",
                "insert-thickness-not-stated",
                f"the insert is clear of the work down to {height:.2f} mm below its cutting edge{below}; whether "
                "it is thinner than that was not checked",
                advice="state tool.thickness",
            )
        )
    elif flank.meets and height <= thickness:
        out.append(
            Finding(
                "refused",
                "flank-contact",
                f"the insert's side rubs on the work{below}; below its cutting edge it is clear only down to",
                height,
                thickness,
                "mm",
                "use a smaller or thinner insert (tool.insert) or one with more relief"
                + (
                    ""
                    if flank.where == FINISHED
                    else ", or state less cutting.dish_depth_of_cut or ramp_angle"
                ),
            )
        )
    if height_below_edge is None:
        down, back = flank.down_to, flank.stand_back(flank.down_to)
        out.append(
            Finding(
                "note",
                "holder-height-not-stated",
                f"the tool is clear of the work down to {height:.2f} mm below its cutting edge{below}; a shank "
                f"that reaches {down:g} mm below the edge must there stand {back:.2f} mm behind the edge of the "
                "insert",
                advice="grind the shank to the template on the sheet, or state holder.height_below_edge to have "
                "it checked",
            )
        )
    return out


def _samples(s: Segment, step: float) -> tuple[Floats, Floats]:
    """Points every `step` mm along a segment with both its ends, (N, 2), and directions of travel (N,)."""
    share = np.linspace(0.0, 1.0, max(2, math.ceil(s.length / step) + 1))
    if isinstance(s, Arc):
        t = s.t1 + share * (s.t2 - s.t1)
        points = np.column_stack((s.rc + s.radius * np.cos(t), s.zc + s.radius * np.sin(t)))
        return points, t + (HALF_PI if s.lower else -HALF_PI)
    points = np.column_stack((s.r1 + share * (s.r2 - s.r1), s.z1 + share * (s.z2 - s.z1)))
    return points, np.full(share.shape, s.start_direction)


def _travel(s: Segment, points: Floats) -> Floats:
    """Directions of travel along a segment at points on it, (N, 2) -> (N,), rad."""
    if isinstance(s, Arc):
        towards = np.arctan2(points[:, 1] - s.zc, points[:, 0] - s.rc)
        turned: Floats = towards + (HALF_PI if s.lower else -HALF_PI)
        return turned
    return np.full(len(points), s.start_direction)


def _fan(first: float, last: float) -> Floats:
    return np.linspace(first, last, max(2, math.ceil(abs(last - first) / TURN_STEP) + 1))


def _contacts(path: Chain) -> tuple[Floats, Floats]:
    """Centres (N, 2) and the directions (N,), rad, in which the edge may be nearest to the work."""
    places: list[Floats] = []
    directions: list[Floats] = []

    def add(points: Floats, towards: Floats) -> None:
        places.append(points)
        directions.append(towards)

    def turn(r: float, z: float, first: float, last: float) -> None:
        fan = _fan(first, last)
        add(np.tile((r, z), (fan.size, 1)), fan)

    first, last = path.segments[0], path.segments[-1]
    turn(first.r1, first.z1, -math.pi, first.start_direction - HALF_PI)
    before = first.start_direction
    for s in path.segments:
        if abs(s.start_direction - before) > TURN:
            turn(s.r1, s.z1, before - HALF_PI, s.start_direction - HALF_PI)
        points, travel = _samples(s, min(STEP, s.radius * TURN_STEP) if isinstance(s, Arc) else STEP)
        add(points, travel - HALF_PI)
        before = s.end_direction
    turn(last.r2, last.z2, before - HALF_PI, 0.0)
    return np.concatenate(places), np.concatenate(directions)


def _least_height(
    entered: Callable[[Rows, Floats], Bools], count: int, limit: float
) -> tuple[float, int | None]:
    """The least height (mm) at which one of `count` lines of the flank has entered, and which line it is.

    `entered` answers for lines (N,) at heights (N,), broadcast against each other.
    """
    h: Floats = FIRST * RATIO ** np.arange(math.ceil(math.log(limit / FIRST) / math.log(RATIO)) + 1.0)
    inside = entered(np.arange(count)[:, None], h[None, :])
    rows = np.flatnonzero(inside.any(axis=1))
    if not rows.size:
        return math.inf, None
    entry = inside[rows].argmax(axis=1)
    near = entry <= entry.min() + 1  # only these can be the first
    rows, entry = rows[near], entry[near]
    low, high = np.where(entry > 0, h[entry - 1], 0.0), h[entry]
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        within = entered(rows, middle)
        low, high = np.where(within, low, middle), np.where(within, middle, high)
    best = int(np.argmin(high))
    return float(high[best]), int(rows[best])


def _touch(beside: Callable[[float], float], height: float) -> float:
    """Where the room beside the flank ends, at or above a `height` (mm) found by lines from single points.

    Lines a step apart may all miss the place where it ends first, so the height found lies too low.
    """
    above = BACK * height
    if beside(height) >= -ROOM_ERROR or beside(above) <= 0:
        return height
    return root(beside, above, height, near=ROOM_ERROR / 10)


def _contact(section: Chain, radius: float, tangent: float, path: Chain) -> tuple[float, float, bool]:
    """Contact height, x of the insert's centre there, and whether the dish is still there at that height."""
    places, directions = _contacts(path)
    height, which = _met(section, radius, tangent, places, directions)
    if which is not None:
        return height, float(places[which, 0]), True
    height, which = _carried_on(section, radius, tangent, places, directions)
    return height, float(places[which, 0]), False


def _met(
    section: Chain, radius: float, tangent: float, places: Floats, directions: Floats
) -> tuple[float, int | None]:
    """Where a line of the flank first enters the work."""
    cos, sin = np.cos(directions), np.sin(directions)

    def entered(rows: Rows, h: Floats) -> Bools:
        shrunk = radius - h * tangent
        r = np.hypot(places[rows, 0] + shrunk * cos[rows], h)
        over = section.heights(r.ravel()).reshape(r.shape)
        # beyond the crown's edge `heights` is infinite, and there is no work
        inside: Bools = (places[rows, 1] + shrunk * sin[rows] < over) & np.isfinite(over)
        return inside

    apex = radius / tangent
    return _least_height(entered, len(places), min(apex, section.outer))


def _carried_on(
    section: Chain, radius: float, tangent: float, places: Floats, directions: Floats
) -> tuple[float, int]:
    """As `_met`, on each line and arc of the section carried on beyond its ends.

    A shallow bowl ends before the flank can meet it; its sphere does not, and gives Rs sin 2a.
    Where nothing rises the answer is the crown's radius: no work lies further below the edge.
    """
    best, which = section.outer, 0
    found = False
    cos, sin = np.cos(directions), np.sin(directions)
    touch = places + radius * np.column_stack((cos, sin))
    for s in section.segments:
        square = np.abs(np.cos(directions - _travel(s, touch))) < TOUCHING
        own = np.flatnonzero((s.distances(touch) < TOUCHING) & square & (cos > TURN))
        if not own.size:
            continue

        def entered(rows: Rows, h: Floats, s: Segment = s, own: Rows = own) -> Bools:
            k = own[rows]
            r = np.hypot(touch[k, 0] - h * tangent * cos[k], h)
            z = touch[k, 1] - h * tangent * sin[k]
            return _beyond(s, r, z)

        size = s.radius if isinstance(s, Arc) else 0.0
        height, row = _least_height(entered, own.size, section.outer + size)
        if row is not None and (height < best or not found):
            best, which, found = height, int(own[row]), True
    return best, which


def _beyond(s: Segment, r: Floats, z: Floats) -> Bools:
    """Whether (r, z) lies in the metal under a segment carried on, a hollow arc to its half circle."""
    beyond: Bools
    if isinstance(s, Line):
        beyond = (r - s.r1) * (s.z2 - s.z1) > (z - s.z1) * (s.r2 - s.r1)
    elif s.lower:
        beyond = (np.hypot(r - s.rc, z - s.zc) > s.radius) & (z <= s.zc)
    else:
        beyond = np.hypot(r - s.rc, z - s.zc) < s.radius
    return beyond


def _rooms(section: Chain, path: Chain, radius: float) -> Callable[[float], float]:
    """The least distance from the path to the work in the plane h below the edge; negative in the metal."""
    centres = np.vstack([_samples(s, PATH_STEP)[0] for s in path.segments])
    near_axis = centres[:, 0] < 2 * radius
    drawn = np.vstack([_samples(s, STEP)[0] for s in section.segments])
    across = np.arange(0.0, section.outer, STEP)

    @cache
    def room(h: float) -> float:
        if h >= section.outer:
            return math.inf
        level = np.hypot(across, h)
        level = level[level < section.outer]
        more = np.column_stack((level, section.heights(level)))
        work = np.insert(drawn, np.searchsorted(drawn[:, 0], level), more, axis=0)
        work = work[work[:, 0] >= h]
        work = work[bends(work[:, 1])]
        # at the plane of h itself a square may come out a digit below 0
        work[:, 0] = np.sqrt(np.maximum(0.0, work[:, 0] ** 2 - h**2))
        gaps = _to_polyline(centres, work)
        across_axis = _to_polyline(centres[near_axis] * (-1.0, 1.0), work)
        gaps[near_axis] = np.minimum(gaps[near_axis], across_axis)
        over = section.heights(np.hypot(centres[:, 0], h))
        inside = (centres[:, 1] < over) & np.isfinite(over)
        return float(np.where(inside, -gaps, gaps).min())

    return room


def _to_polyline(points: Floats, line: Floats) -> Floats:
    """Distances of points (N, 2) to the polyline through (K, 2), (N,)."""
    run = np.diff(line, axis=0)
    run2 = np.maximum((run * run).sum(axis=1), 1e-18)
    x, z = points[:, 0, None] - line[:-1, 0], points[:, 1, None] - line[:-1, 1]
    share = np.clip((x * run[:, 0] + z * run[:, 1]) / run2, 0.0, 1.0)
    x -= share * run[:, 0]
    z -= share * run[:, 1]
    nearest: Floats = np.sqrt((x * x + z * z).min(axis=1))
    return nearest
