"""What the reader hands to the cutter: motions of the insert centre, and faults of the text."""

import math
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ControlPoint = Literal["insert-centre", "face-outer", "face-inner"]


class BrokenRule(NamedTuple):
    """A broken rule: line number (1-based), the text of the block, what is wrong and what would do."""

    line: int
    block: str
    why: str


class Mode(NamedTuple):
    """What a motion runs under: feed mm/rev, speed m/min where `surface`, else rev/min."""

    feed: float = 0.0
    turning: bool = False
    surface: bool = False
    speed: float = 0.0
    cap: float | None = None
    coolant: bool = False
    section: int = 0  # stops passed before it


AT_REST = Mode()


class Motion(NamedTuple):
    """One motion of the insert centre from (x1, z1) to (x2, z2), mm, x a radius.

    A coordinate of the start that no block has stated yet is None (rapids only). Arcs have a centre
    (xc, zc), the `radius` about it, the angle `start` of the start point (counter-clockwise from +x,
    z upwards) and the signed `sweep`, both rad; lines have radius 0.
    """

    line: int
    block: str
    rapid: bool
    x1: float | None
    z1: float | None
    x2: float
    z2: float
    xc: float = 0.0
    zc: float = 0.0
    radius: float = 0.0
    start: float = 0.0
    sweep: float = 0.0
    mode: Mode = AT_REST

    @property
    def length(self) -> float:
        """Length of the path, mm; 0 from an unknown start."""
        if self.radius:
            return self.radius * abs(self.sweep)
        if self.x1 is None or self.z1 is None:
            return 0.0
        return math.hypot(self.x2 - self.x1, self.z2 - self.z1)

    @property
    def least_x(self) -> float:
        """The least x of the path, mm."""
        least = self.x2 if self.x1 is None else min(self.x1, self.x2)
        if self.radius and self._passes(math.pi):
            least = min(least, self.xc - self.radius)
        return least

    @property
    def lowest(self) -> float:
        """The least z of the path, mm."""
        least = self.z2 if self.z1 is None else min(self.z1, self.z2)
        if self.radius and self._passes(-math.pi / 2):
            least = min(least, self.zc - self.radius)
        return least

    @property
    def highest(self) -> float:
        """The greatest z of the path, mm."""
        most = self.z2 if self.z1 is None else max(self.z1, self.z2)
        if self.radius and self._passes(math.pi / 2):
            most = max(most, self.zc + self.radius)
        return most

    def places(self, share: Floats) -> tuple[Floats, Floats]:
        """x and z of the centre at these shares of the path, (N,) each, mm."""
        if self.radius:
            angle = self.start + share * self.sweep
            return self.xc + self.radius * np.cos(angle), self.zc + self.radius * np.sin(angle)
        x1 = self.x2 if self.x1 is None else self.x1
        z1 = self.z2 if self.z1 is None else self.z1
        return x1 + share * (self.x2 - x1), z1 + share * (self.z2 - z1)

    def distances(self, x: Floats, z: Floats) -> Floats:
        """Shortest distances of points (N,), (N,) to the path, (N,), mm."""
        ends: Floats = np.hypot(x - self.x2, z - self.z2)
        if self.x1 is None or self.z1 is None:
            return ends
        if not self.radius:
            dx, dz = self.x2 - self.x1, self.z2 - self.z1
            run = dx * dx + dz * dz
            share = np.clip(((x - self.x1) * dx + (z - self.z1) * dz) / run, 0.0, 1.0) if run else 0.0
            gap: Floats = np.hypot(x - self.x1 - share * dx, z - self.z1 - share * dz)
            return gap
        ends = np.minimum(ends, np.hypot(x - self.x1, z - self.z1))
        first = min(self.start, self.start + self.sweep)
        turned = (np.arctan2(z - self.zc, x - self.xc) - first) % (2 * math.pi)
        aside = np.abs(np.hypot(x - self.xc, z - self.zc) - self.radius)
        return np.where(turned <= abs(self.sweep), aside, ends)

    def _passes(self, angle: float) -> bool:
        """True when the arc runs through this angle."""
        lo, hi = sorted((self.start, self.start + self.sweep))
        return lo < angle + 2 * math.pi * math.ceil((lo - angle) / (2 * math.pi)) < hi


def arc_motion(
    line: int,
    block: str,
    start: tuple[float, float],
    end: tuple[float, float],
    centre: tuple[float, float],
    *,
    clockwise: bool,
    mode: Mode = AT_REST,
) -> Motion:
    """An arc at feed; points are (x, z) of the insert centre, mm; start = end is a full circle.

    `clockwise` is the standard's sense, with Z drawn to the right and X up (NIST IR 6556, 3.5.3),
    so it is counter-clockwise with x to the right and z up.
    """
    xc, zc = centre
    first = math.atan2(start[1] - zc, start[0] - xc)
    turn = (math.atan2(end[1] - zc, end[0] - xc) - first) % (2 * math.pi)
    sweep = (turn or 2 * math.pi) if clockwise else turn - 2 * math.pi
    radius = math.hypot(start[0] - xc, start[1] - zc)
    return Motion(line, block, False, *start, *end, xc, zc, radius, first, sweep, mode)


def centre_offset(control_point: ControlPoint, insert_radius: float) -> tuple[float, float]:
    """What to add to programmed (x, z), mm, to get the insert centre.

    `face-outer` states the outermost side and the foremost point of the insert, `face-inner` its
    innermost side and foremost point.
    """
    if control_point == "insert-centre":
        return 0.0, 0.0
    if control_point == "face-outer":
        return -insert_radius, insert_radius
    return insert_radius, insert_radius
