"""A straight slope of the dish, turned with the top slide set over: one angle a job."""

import math
from typing import NamedTuple

from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line

LEAST_LENGTH = 3.0  # mm; a shorter slope is as well cut in steps
LEAST_ANGLE = math.radians(0.5)  # off the face and off the axis; no one sets a slide over by less
ANGLE_ERROR = math.radians(0.25)  # half-width within which a hand sets it; common practice, no source


class Slope(NamedTuple):
    """The angle off the cross slide's way, rad, and the line of the insert's centre on the finished section."""

    angle: float
    line: Line

    @property
    def from_face(self) -> bool:
        """Whether the angle is set against a true face rather than a bar along the axis."""
        return self.angle <= math.pi / 4

    def indicated(self, travel: float) -> float:
        """What an indicator on that face or bar shows over a travel of the slide, mm."""
        return travel * math.sin(self.angle if self.from_face else math.pi / 2 - self.angle)

    def answer(self, radius: float, mouth: float) -> float:
        """Volume (mm3) by which an insert of `radius` cuts more for each rad that the slide is set flatter.

        The slope then turns about its inner end: the surface a length s along it moves by s a rad, the integral
        of 2 pi r s ds, and the corner that the insert leaves at the outer end, as far as the `mouth`, goes down
        by the whole length.
        """
        length, sin, cos = self.line.length, math.sin(self.angle), math.cos(self.angle)
        ends = self.line.r2 + radius * sin  # where the insert touches the slope last
        corner = max(0.0, min(self.line.r2 + radius, mouth) ** 2 - ends**2)
        along = (self.line.r1 + radius * sin) * length**2 / 2 + cos * length**3 / 3
        return math.pi * (2 * along + corner * length * cos)


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
