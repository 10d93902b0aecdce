"""What the reader hands to the cutter: motions of the insert centre, and faults of the text."""

import math
from dataclasses import dataclass
from typing import Literal

ControlPoint = Literal["insert-centre", "face-outer", "face-inner"]


@dataclass(frozen=True, slots=True)
class Fault:
    """A broken rule: line number (1-based), the text of the block, what is wrong and what would do."""

    line: int
    block: str
    why: str


@dataclass(frozen=True, slots=True)
class Motion:
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
    return Motion(line, block, False, *start, *end, xc, zc, radius, first, sweep)


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
