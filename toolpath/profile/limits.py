"""What the crown keeps: metal under the dish and beside the ring groove, top land and rim.

Sections are in the finished crown's frame (crown at z = 0); depths of the piston are stated from the
as-received crown, which stands at z = skim. All lengths are mm. Distances to arcs go by points that
lie within 0.001 mm of them, and are right to 0.002 mm.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from toolpath.findings import Finding
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.geometry.tolerance import JOIN
from toolpath.job.work import Piston

SAGITTA = 1e-3  # mm
SKIRT = 100.0  # mm that the root of the groove is taken to go on downwards: as far as any dish


class Limits(NamedTuple):
    """What is left of the crown, mm; None where the job does not say enough."""

    floor_thickness: float | None  # finished section to underside, shortest line; negative: cut through
    wall_to_groove: float | None  # dish to the root of the top ring groove, shortest line
    top_land: float | None  # finished crown to the groove
    rim: float  # width of the flat ring between dish and crown edge, breaks off


def limits(section: Chain, piston: Piston, skim: float) -> Limits:
    """Measure a finished section against the piston that it is cut into."""
    mouth, edge = _rim(section)
    wall = None
    if piston.groove_root_diameter is not None and piston.top_land is not None and mouth > JOIN:
        wall = _to_groove(
            section.clipped(0.0, mouth), piston.groove_root_diameter / 2, skim - piston.top_land
        )
    return Limits(
        floor_thickness=_floor(section, piston, skim),
        wall_to_groove=wall,
        top_land=None if piston.top_land is None else piston.top_land - skim,
        rim=edge - mouth,
    )


def findings(left: Limits, piston: Piston) -> list[Finding]:
    """What is less than the job allows: a stop each; a note where nothing is known of the underside."""
    return list(_findings(left, piston))


def _findings(left: Limits, piston: Piston) -> Iterator[Finding]:
    floor = left.floor_thickness
    if floor is None:
        yield Finding(
            "note",
            "floor-not-checked",
            "the metal left between dish and underside was not checked",
            advice="measure from the crown to the underside and state piston.underside_depth",
        )
    elif floor <= 0:
        yield _less(
            "floor-too-thin",
            f"the dish goes through the underside of the crown, {_underside_key(piston)}",
            floor,
            piston.min_floor,
            "take a shallower dish or a smaller skim",
        )
    elif _short(floor, piston.min_floor):
        yield _less(
            "floor-too-thin",
            "less than piston.min_floor is left between dish and underside",
            floor,
            piston.min_floor,
            "take a shallower, wider dish or a smaller skim",
        )
    if left.wall_to_groove is not None and _short(left.wall_to_groove, piston.min_wall_to_groove):
        yield _less(
            "wall-to-groove",
            f"{_left('min_wall_to_groove', piston)} between the dish and the root of the top ring groove",
            left.wall_to_groove,
            piston.min_wall_to_groove,
            "take a smaller mouth diameter or a larger corner radius",
        )
    if left.top_land is not None and _short(left.top_land, piston.min_top_land):
        yield _less(
            "top-land",
            f"{_left('min_top_land', piston)} of the top land after the skim",
            left.top_land,
            piston.min_top_land,
            "take a smaller skim",
        )
    if piston.min_rim is not None and _short(left.rim, piston.min_rim):
        yield _less(
            "rim-width",
            f"{_left('min_rim', piston)} of the flat rim between dish and crown edge",
            left.rim,
            piston.min_rim,
            "take a smaller mouth diameter or smaller breaks",
        )


def _short(value: float, least: float | None) -> bool:
    """Whether nothing is left, or less than the job allows."""
    return value <= 0 or (least is not None and value < least - JOIN)


def _left(key: str, piston: Piston) -> str:
    """Half a sentence with the key of a limit; where that is not stated nothing at all is left."""
    stated = getattr(piston, key) is not None
    return f"less than piston.{key} is left" if stated else f"nothing is left (piston.{key} is not stated)"


def _underside_key(piston: Piston) -> str:
    return "piston.underside" if piston.underside is not None else "piston.underside_depth"


def _less(code: str, what: str, value: float, least: float | None, advice: str) -> Finding:
    return Finding("refused", code, what, value, least or 0.0, "mm", advice)


def _rim(section: Chain) -> tuple[float, float]:
    """From and to radius of the outermost level stretch at the crown; both the outer radius without one."""
    for s in reversed(section.segments):
        if isinstance(s, Line) and not s.is_wall and abs(s.z1) < JOIN and abs(s.z2) < JOIN:
            return s.r1, s.r2
    return section.outer, section.outer


def _floor(section: Chain, piston: Piston, skim: float) -> float | None:
    if piston.underside_points is not None:
        corners = [(diameter / 2, skim - depth) for diameter, depth in piston.underside_points]
        return _apart(section, _underside(corners, section.outer))
    if piston.underside_depth is not None:
        return section.lowest - (skim - piston.underside_depth)
    return None


def _underside(corners: list[tuple[float, float]], outer: float) -> Chain:
    """Straight lines between the measured points, level from the first one in to the axis."""
    if corners[0][0] > 0:
        corners = [(0.0, corners[0][1]), *corners]
    whole = Chain(tuple(Line(*a, *b) for a, b in pairwise(corners)))
    return whole.clipped(0.0, outer) if whole.outer > outer else whole


def _apart(section: Chain, under: Chain) -> float:
    """Shortest line between the section and the underside below it; 0 or less where they cross, mm."""
    drawn, corners = section.points(SAGITTA), under.points(SAGITTA)
    r = np.concatenate((drawn[:, 0], corners[:, 0]))
    r = r[r <= under.outer]
    upright = float((section.heights(r) - under.heights(r)).min())
    if upright <= 0:
        return upright
    return float(min(under.distances(drawn).min(), section.distances(corners).min()))


def _to_groove(dish: Chain, root: float, z: float) -> float:
    """Shortest line from the dish to the groove's root: its upper corner at z and straight down from there."""
    if root <= dish.outer and dish.at(root) <= z:
        return 0.0
    down = Line(root, z - SKIRT, root, z)
    corner = np.array([(root, z)])
    return float(min(down.distances(dish.points(SAGITTA)).min(), dish.distances(corner).min()))
