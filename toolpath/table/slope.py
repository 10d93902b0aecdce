"""A straight slope of the dish, turned with the top slide set over: one angle a job."""

import math
from dataclasses import dataclass

from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line

LEAST_LENGTH = 3.0  # mm; a shorter slope is as well cut in steps
LEAST_ANGLE = math.radians(0.5)  # off the face and off the axis; no one sets a slide over by less
TEST_LENGTH = 20.0  # mm of slide travel over which the angle is set with an indicator


@dataclass(frozen=True, slots=True)
class Slope:
    """The angle off the cross slide's way, rad, and the line of the insert's centre on the finished section."""

    angle: float
    line: Line

    @property
    def from_face(self) -> bool:
        """Whether the angle is set against a true face rather than a bar along the axis."""
        return self.angle <= math.pi / 4

    @property
    def indicated(self) -> float:
        """What an indicator on that face or bar shows over `TEST_LENGTH` of slide travel, mm."""
        return TEST_LENGTH * math.sin(self.angle if self.from_face else math.pi / 2 - self.angle)


def slope_of(cut: Chain, radius: float) -> Slope | None:
    """The longest slope that rises outward and that an insert of `radius` mm follows; None without one."""
    found = [line for line in _rising(cut, radius) if line.length >= LEAST_LENGTH]
    if not found:
        return None
    line = max(found, key=lambda one: one.length)
    return Slope(_angle(line), line)


def lifted(slope: Slope, cut: Chain, radius: float) -> Line | None:
    """The same slope for an insert larger by an allowance; None where nothing is left of it."""
    same = [line for line in _rising(cut, radius) if abs(_angle(line) - slope.angle) < 1e-6]
    return max(same, key=lambda one: one.length, default=None)


def _rising(cut: Chain, radius: float) -> list[Line]:
    curve = centre_curve(cut, radius).clipped(0.0, cut.outer)
    return [
        s
        for s in curve.segments
        if isinstance(s, Line) and not s.is_wall and LEAST_ANGLE < _angle(s) < math.pi / 2 - LEAST_ANGLE
    ]


def _angle(line: Line) -> float:
    return math.atan2(line.z2 - line.z1, line.r2 - line.r1)
