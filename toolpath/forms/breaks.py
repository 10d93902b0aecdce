"""Broken edges: at the dish mouth (lip) and at the crown's outer edge, chamfer or radius.

Each function gives the patch that the break cuts, as a chain to be laid over a section with
`deeper`; on a mouth that is not square a chamfer takes equal lengths of crown and wall.
"""

import math
from typing import Literal

from toolpath.findings import Finding
from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain
from toolpath.geometry.reach import as_cut
from toolpath.geometry.segments import HALF_PI, Arc, Line, Segment, crossings
from toolpath.geometry.tolerance import JOIN

BreakForm = Literal["chamfer", "radius"]


def lip_or_why(section: Chain, size: float, form: BreakForm) -> Chain | Finding:
    """The break of `size` mm at the mouth of a section whose crown is at z = 0, or why there is no room for it."""
    mouth = mouth_radius(section)
    if mouth <= JOIN or mouth + size > section.outer:
        return _too_large("dish.lip_break", size, section.outer - mouth, "rim")
    if form == "chamfer":
        begin = _along_wall(section, mouth, size)
        if begin is None:
            return _too_large("dish.lip_break", size, -section.lowest, "wall")
        r, z = begin
        within = r + 0.05 * (mouth - r)
        if mouth - r > JOIN and section.at(within) < z * (mouth + size - within) / (mouth + size - r) - JOIN:
            return _too_large("dish.lip_break", size, -z, "wall")
        return Chain((Line(r, z, mouth + size, 0.0),))
    rounded = as_cut(section.upside_down(), size).upside_down()
    for s in rounded.segments:
        if (
            isinstance(s, Arc)
            and not s.lower
            and s.r1 - JOIN <= mouth <= s.r2
            and abs(s.radius - size) < JOIN
        ):
            return Chain((s,))
    return _too_large("dish.lip_break", size, 0.0, "wall")


def edge_patch(outer: float, size: float, form: BreakForm) -> Chain:
    """The break of `size` mm at the crown's outer edge of radius `outer` mm, crown at z = 0."""
    if form == "chamfer":
        return Chain((Line(outer - size, 0.0, outer, -size),))
    return Chain((Arc(outer - size, -size, size, HALF_PI, 0.0),))


def _along_wall(section: Chain, mouth: float, size: float) -> tuple[float, float] | None:
    """The point of the wall that lies `size` mm from the mouth; None where it is not as high."""
    about = Arc(mouth, 0.0, size, -math.pi, 0.0)
    for s in reversed(section.segments):
        if s.r1 >= mouth and not s.is_wall:
            continue
        if s.is_wall:
            z = -math.sqrt(max(0.0, size**2 - (mouth - s.r1) ** 2))
            if mouth - s.r1 < size and s.z1 <= z <= s.z2:
                return s.r1, z
            continue
        point = _first_on(s, about)
        if point is not None:
            return point
    return None


def _first_on(s: Segment, about: Arc) -> tuple[float, float] | None:
    for r in sorted(crossings(s, about), reverse=True):
        if s.r1 - JOIN <= r <= s.r2 + JOIN and s.at(r) <= 0:
            z = s.at(min(max(r, s.r1), s.r2))
            if abs(math.hypot(r - about.rc, z) - about.radius) < 1e-6:
                return r, z
    return None


def _too_large(key: str, size: float, room: float, where: str) -> Finding:
    return Finding(
        "refused",
        "break-over-room",
        f"{key} of {size:.3f} mm is larger than the {where} it stands on",
        size,
        room,
        "mm",
        "state a smaller break",
    )
