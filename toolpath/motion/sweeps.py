"""An arc as a swept angle, and the best place for its centre among the numbers that a program can state.

Angles are counted as on the page with Z to the right and X up, counter-clockwise (G03) positive.
Lengths are in mm, points are (x, z) with x as a radius.
"""

from math import atan2, cos, hypot, inf, pi, sin, sqrt, tau
from typing import NamedTuple

RADIUS_TOLERANCE = 0.002  # mm, largest difference of an arc's start and end radius: NIST IR 6556, 3.5.3.2
_SEARCH = range(-2, 3)  # steps to either side of a likely centre

Point = tuple[float, float]


class Sweep(NamedTuple):
    """An arc by centre, radius, start angle and signed sweep (rad; counter-clockwise positive)."""

    x: float
    z: float
    radius: float
    start: float
    sweep: float

    @staticmethod
    def about(centre: Point, start: Point, end: Point, clockwise: bool) -> "Sweep":
        """The arc from start to the direction of end; its radius is that of its start."""
        cx, cz = centre
        first, last = (atan2(x - cx, z - cz) for x, z in (start, end))
        sweep = -((first - last) % tau) if clockwise else (last - first) % tau
        return Sweep(cx, cz, hypot(start[0] - cx, start[1] - cz), first, sweep)

    @property
    def rise(self) -> float:
        """How far the arc stands off its chord, mm."""
        return self.radius * (1 - cos(self.sweep / 2))

    def x_at(self, angle: float) -> float:
        """The x of the point at that angle."""
        return self.x + self.radius * sin(angle)

    def within(self, *angles: float) -> list[float]:
        """Those of the angles that the arc passes, counted on from its start and in its order."""
        sense = 1 if self.sweep > 0 else -1
        forward = sorted((sense * (angle - self.start)) % tau for angle in angles)
        return [self.start + sense * f for f in forward if f < abs(self.sweep)]


def rounded_centre(true: Sweep, start: Point, end: Point, step: float) -> tuple[int, int] | None:
    """The centre, in whole steps (i, k) from `start`, that suits the rounded ends of an arc best.

    Best is where the arc strays least from the true circle, whichever of its two radii a control
    holds on to. None where no place near gives radii within 0.002 mm of each other, keeps
    the middle within a step, and leaves the arc the same (rounding must not turn a short arc into
    the long way round).
    """
    best, least = None, inf
    for x, z in (_centre_through(start, end, true), (true.x, true.z)):
        near_i, near_k = round((x - start[0]) / step), round((z - start[1]) / step)
        for i, k in ((near_i + di, near_k + dk) for di in _SEARCH for dk in _SEARCH):
            cost = _cost((start[0] + i * step, start[1] + k * step), start, end, true, step)
            if cost < least:
                best, least = (i, k), cost
    return best


def _cost(centre: Point, start: Point, end: Point, true: Sweep, step: float) -> float:
    """How far the arc about that centre may stray, mm; infinite where it will not do."""
    drawn = Sweep.about(centre, start, end, clockwise=true.sweep < 0)
    end_radius = hypot(end[0] - drawn.x, end[1] - drawn.z)
    if min(end_radius, drawn.radius) < step:
        return inf  # the centre sits on an end
    middle, sharp = drawn.start + drawn.sweep / 2, abs(drawn.sweep - true.sweep) > pi / 4
    if sharp or abs(end_radius - drawn.radius) > RADIUS_TOLERANCE:
        return inf
    if _stray(drawn, middle, (end_radius + drawn.radius) / 2, true) > step:
        return inf
    angles = (drawn.start, middle, drawn.start + drawn.sweep)
    strays = [_stray(drawn, angle, r, true) for angle in angles for r in (drawn.radius, end_radius)]
    # rounding puts an end off for every centre alike, so many are equally bad there
    return max(strays) + sum(strays) / 1000


def _stray(drawn: Sweep, angle: float, radius: float, true: Sweep) -> float:
    """How far the point at that angle and radius from the drawn centre lies off the true circle, mm."""
    x, z = drawn.x + radius * sin(angle), drawn.z + radius * cos(angle)
    return abs(hypot(x - true.x, z - true.z) - true.radius)


def _centre_through(start: Point, end: Point, true: Sweep) -> Point:
    """The centre of a circle of the true radius through both rounded ends, on the true centre's side."""
    (x0, z0), (x1, z1) = start, end
    half = hypot(x1 - x0, z1 - z0) / 2
    normal_x, normal_z = (z1 - z0) / (2 * half), (x0 - x1) / (2 * half)
    middle_x, middle_z = (x0 + x1) / 2, (z0 + z1) / 2
    away = sqrt(max(true.radius**2 - half**2, 0.0))
    if (true.x - middle_x) * normal_x + (true.z - middle_z) * normal_z < 0:
        away = -away
    return middle_x + away * normal_x, middle_z + away * normal_z
