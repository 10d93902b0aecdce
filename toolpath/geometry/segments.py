"""Lines and arcs in the (r, z) half plane, exact: no chords anywhere.

r is the radius from the spindle axis and z the height over the finished crown (positive away from
the chuck), both mm; angles are radians, counter-clockwise from +r. A segment runs outward: its r
never falls from start to end, and only a `Line` may stand vertical (a wall).
"""

import math
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from toolpath.errors import GeometryError

Floats: TypeAlias = NDArray[np.float64]
HALF_PI = math.pi / 2


def _turned(r: float, z: float, about_r: float, about_z: float, by: float) -> tuple[float, float]:
    dr, dz, cos, sin = r - about_r, z - about_z, math.cos(by), math.sin(by)
    return about_r + dr * cos - dz * sin, about_z + dr * sin + dz * cos


@dataclass(frozen=True, slots=True)
class Line:
    """Straight segment from (r1, z1) outward to (r2, z2), mm.

    Raises:
        GeometryError: a value is not finite, the ends are equal, or r falls.
    """

    r1: float
    z1: float
    r2: float
    z2: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.r1 + self.z1 + self.r2 + self.z2):  # one that is not makes the sum so
            raise GeometryError(
                f"A line from ({self.r1}, {self.z1}) to ({self.r2}, {self.z2}) must have finite values in mm."
            )
        if self.r2 < self.r1:
            raise GeometryError(f"A line must run outward, but r falls from {self.r1} to {self.r2} mm.")
        if self.r1 == self.r2 and self.z1 == self.z2:
            raise GeometryError(f"A line must have two ends, but both are at r {self.r1}, z {self.z1} mm.")

    @property
    def is_wall(self) -> bool:
        """True for a vertical line."""
        return self.r1 == self.r2

    @property
    def start_direction(self) -> float:
        """Direction of travel, rad, -pi/2 to pi/2."""
        return math.atan2(self.z2 - self.z1, self.r2 - self.r1)

    end_direction = start_direction

    @property
    def length(self) -> float:
        """Length, mm."""
        return math.hypot(self.r2 - self.r1, self.z2 - self.z1)

    def at(self, r: float) -> float:
        """Height at r, mm; the line must not be a wall."""
        return self.z1 + (self.z2 - self.z1) * ((r - self.r1) / (self.r2 - self.r1))

    def heights(self, r: Floats) -> Floats:
        """Heights at r, (N,) -> (N,), mm; the line must not be a wall."""
        return self.z1 + (self.z2 - self.z1) * ((r - self.r1) / (self.r2 - self.r1))

    def clipped(self, lo: float, hi: float) -> "Line":
        """The part between lo and hi (mm, within the segment, lo < hi)."""
        if lo <= self.r1 and hi >= self.r2:
            return self
        return Line(lo, self.at(lo), hi, self.at(hi))

    def moved(self, dz: float) -> "Line":
        """The same line dz mm higher."""
        return Line(self.r1, self.z1 + dz, self.r2, self.z2 + dz)

    def aside(self, dr: float) -> "Line":
        """The same line dr mm further out."""
        return Line(self.r1 + dr, self.z1, self.r2 + dr, self.z2)

    def turned(self, r: float, z: float, by: float) -> "Line":
        """The same line turned about (r, z), rad, from +r towards +z."""
        return Line(*_turned(self.r1, self.z1, r, z, by), *_turned(self.r2, self.z2, r, z, by))

    def upside_down(self) -> "Line":
        """Mirrored in z = 0."""
        return Line(self.r1, -self.z1, self.r2, -self.z2)

    def mirrored(self) -> "Line":
        """Mirrored in the axis, so that it still runs towards +r."""
        return Line(-self.r2, self.z2, -self.r1, self.z1)

    def inner_volume(self) -> float:
        """pi times the integral of r^2 dz, mm3: a cone frustum (signed by the rise)."""
        return math.pi * (self.z2 - self.z1) * (self.r1**2 + self.r1 * self.r2 + self.r2**2) / 3

    def area_under(self) -> float:
        """The integral of z dr, mm2."""
        return (self.z1 + self.z2) / 2 * (self.r2 - self.r1)

    def distances(self, points: Floats) -> Floats:
        """Shortest distances of points (N, 2) to the line, (N,), mm."""
        start = np.array((self.r1, self.z1))
        along = np.array((self.r2, self.z2)) - start
        share = np.clip((points - start) @ along / (along @ along), 0.0, 1.0)
        gap: Floats = np.hypot(*(points - start - share[:, None] * along).T)
        return gap


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular arc about (rc, zc) from angle t1 to t2, at most a half circle, single-valued in r.

    A *lower* arc (concave, as a bowl or a floor corner) has -pi <= t1 < t2 <= 0; an *upper* arc
    (convex, as a rounded lip) has pi >= t1 > t2 >= 0.

    Raises:
        GeometryError: a value is not finite, the radius is not positive, or the angles do not run
            outward within one half of the circle.
    """

    rc: float
    zc: float
    radius: float
    t1: float
    t2: float
    lower: bool = field(init=False)
    r1: float = field(init=False)
    z1: float = field(init=False)
    r2: float = field(init=False)
    z2: float = field(init=False)

    is_wall = False

    def __post_init__(self) -> None:
        if not math.isfinite(self.rc + self.zc + self.radius + self.t1 + self.t2):
            raise GeometryError(
                f"An arc about ({self.rc}, {self.zc}) with radius {self.radius} from {self.t1} to {self.t2} "
                "must have finite values in mm and rad."
            )
        if self.radius <= 0:
            raise GeometryError(f"An arc's radius must be above 0 mm, not {self.radius} mm.")
        low, slack = self.t1 < self.t2, 1e-12
        first, last = (self.t1, self.t2) if low else (-self.t1, -self.t2)
        if not (-math.pi - slack <= first < last <= slack):
            raise GeometryError(
                f"An arc must run outward within one half of its circle, not from {self.t1} to {self.t2} rad."
            )
        put = object.__setattr__
        put(self, "lower", low)
        put(self, "r1", self.rc + self.radius * math.cos(self.t1))
        put(self, "z1", self.zc + self.radius * math.sin(self.t1))
        put(self, "r2", self.rc + self.radius * math.cos(self.t2))
        put(self, "z2", self.zc + self.radius * math.sin(self.t2))

    @property
    def start_direction(self) -> float:
        """Direction of travel at the start, rad, -pi/2 to pi/2."""
        return self.t1 + (HALF_PI if self.lower else -HALF_PI)

    @property
    def end_direction(self) -> float:
        """Direction of travel at the end, rad, -pi/2 to pi/2."""
        return self.t2 + (HALF_PI if self.lower else -HALF_PI)

    @property
    def length(self) -> float:
        """Length along the arc, mm."""
        return self.radius * abs(self.t2 - self.t1)

    def at(self, r: float) -> float:
        """Height at r, mm; r beyond the circle is taken at its rim."""
        rise = math.sqrt(max(0.0, self.radius**2 - (r - self.rc) ** 2))
        return self.zc - rise if self.lower else self.zc + rise

    def heights(self, r: Floats) -> Floats:
        """Heights at r, (N,) -> (N,), mm."""
        rise = np.sqrt(np.maximum(0.0, self.radius**2 - (r - self.rc) ** 2))
        return self.zc - rise if self.lower else self.zc + rise

    def _angle(self, r: float) -> float:
        t = math.acos(max(-1.0, min(1.0, (r - self.rc) / self.radius)))
        return -t if self.lower else t

    def clipped(self, lo: float, hi: float) -> "Segment":
        """The part between lo and hi (mm, within the segment, lo < hi); its chord where angles cannot tell."""
        if lo <= self.r1 and hi >= self.r2:
            return self
        t1 = self.t1 if lo <= self.r1 else self._angle(lo)
        t2 = self.t2 if hi >= self.r2 else self._angle(hi)
        if t1 == t2 or (t1 < t2) != self.lower:  # a radius of kilometres
            return Line(lo, self.at(lo), hi, self.at(hi))
        return Arc(self.rc, self.zc, self.radius, t1, t2)

    def moved(self, dz: float) -> "Arc":
        """The same arc dz mm higher."""
        return Arc(self.rc, self.zc + dz, self.radius, self.t1, self.t2)

    def aside(self, dr: float) -> "Arc":
        """The same arc dr mm further out."""
        return Arc(self.rc + dr, self.zc, self.radius, self.t1, self.t2)

    def turned(self, r: float, z: float, by: float) -> "Arc":
        """The same arc turned about (r, z), rad, from +r towards +z."""
        return Arc(*_turned(self.rc, self.zc, r, z, by), self.radius, self.t1 + by, self.t2 + by)

    def upside_down(self) -> "Arc":
        """Mirrored in z = 0."""
        return Arc(self.rc, -self.zc, self.radius, -self.t1, -self.t2)

    def mirrored(self) -> "Arc":
        """Mirrored in the axis, so that it still runs towards +r."""
        turn = -math.pi if self.lower else math.pi
        return Arc(-self.rc, self.zc, self.radius, turn - self.t2, turn - self.t1)

    def inner_volume(self) -> float:
        """pi times the integral of r^2 dz, mm3 (signed by the rise).

        The frustum of the chord plus or less the circular segment between chord and arc, turned
        about the axis by Pappus' second theorem: unlike the closed form in sines this loses no
        digits when a measured bowl is nearly flat and its radius runs to metres.
        """
        chord = math.pi * (self.z2 - self.z1) * (self.r1**2 + self.r1 * self.r2 + self.r2**2) / 3
        bulge = self._bulge()
        angle = abs(self.t2 - self.t1)
        out = (
            2 * self.radius**3 * math.sin(angle / 2) ** 3 / (3 * bulge)
        )  # its centroid from the arc's centre
        turned = 2 * math.pi * (self.rc + out * math.cos((self.t1 + self.t2) / 2)) * bulge
        return chord + turned if self.lower else chord - turned

    def area_under(self) -> float:
        """The integral of z dr, mm2."""
        chord = (self.z1 + self.z2) / 2 * (self.r2 - self.r1)
        return chord - self._bulge() if self.lower else chord + self._bulge()

    def _bulge(self) -> float:
        """Area between chord and arc, mm2: radius^2 (angle - sin(angle)) / 2."""
        angle = abs(self.t2 - self.t1)
        if angle < 0.1:  # the difference by its series, to 1e-16 relative
            q = angle * angle
            return self.radius**2 * angle * q / 12 * (1 - q / 20 * (1 - q / 42 * (1 - q / 72)))
        return self.radius**2 * (angle - math.sin(angle)) / 2

    def distances(self, points: Floats) -> Floats:
        """Shortest distances of points (N, 2) to the arc, (N,), mm."""
        dr, dz = points[:, 0] - self.rc, points[:, 1] - self.zc
        first, last = sorted((self.t1, self.t2))
        t = np.arctan2(dz, dr)  # from -pi to pi, as the angles of an arc
        ends = np.minimum(
            np.hypot(points[:, 0] - self.r1, points[:, 1] - self.z1),
            np.hypot(points[:, 0] - self.r2, points[:, 1] - self.z2),
        )
        return np.where((t >= first) & (t <= last), np.abs(np.hypot(dr, dz) - self.radius), ends)


Segment: TypeAlias = Line | Arc


def crossings(a: Segment, b: Segment) -> list[float]:
    """The r (mm) where two segments that are not walls, each taken as far as its curve goes, may cross.

    Candidates only, in no order: a caller looks on which side the curves lie between them.
    """
    if isinstance(a, Arc):
        return _line_circle(b, a) if isinstance(b, Line) else _circle_circle(a, b)
    if isinstance(b, Line):
        slope_a = (a.z2 - a.z1) / (a.r2 - a.r1)
        slope_b = (b.z2 - b.z1) / (b.r2 - b.r1)
        if slope_a == slope_b:
            return []
        return [a.r1 + (b.at(a.r1) - a.z1) / (slope_a - slope_b)]
    return _line_circle(a, b)


def _line_circle(line: Line, arc: Arc) -> list[float]:
    size = line.length
    ur, uz = (line.r2 - line.r1) / size, (line.z2 - line.z1) / size
    to_r, to_z = arc.rc - line.r1, arc.zc - line.z1
    along, aside = to_r * ur + to_z * uz, to_r * uz - to_z * ur
    half2 = (arc.radius - aside) * (arc.radius + aside)
    if half2 <= 0:
        return []
    half = math.sqrt(half2)
    return [line.r1 + (along - half) * ur, line.r1 + (along + half) * ur]


def _circle_circle(a: Arc, b: Arc) -> list[float]:
    dr, dz = b.rc - a.rc, b.zc - a.zc
    gap = math.hypot(dr, dz)
    if gap == 0:
        return []
    along = (gap + (a.radius - b.radius) * (a.radius + b.radius) / gap) / 2
    half2 = (a.radius - along) * (a.radius + along)
    if half2 <= 0:
        return []
    half = math.sqrt(half2)
    foot = a.rc + along * dr / gap
    return [foot - half * dz / gap, foot + half * dz / gap]
