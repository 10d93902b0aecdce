"""What the drawings show of a recut, in (r, z) of the section: metal, passes, places of the insert."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from toolpath.geometry.chain import Chain, stretches_above
from toolpath.geometry.segments import Arc
from toolpath.paper.canvas import Floats, View
from toolpath.paper.labels import Spot
from toolpath.planner.passes import Pass
from toolpath.recut import Recut


@dataclass(frozen=True)
class MetalOutlines:
    """The outlines of the metal in (r, z), mm, as far as a drawing needs them."""

    recut: Recut

    @cached_property
    def low(self) -> float:
        """z at which the drawing of the body ends."""
        floor, outer = self.recut.finished.lowest, self.recut.finished.outer
        most = floor - 0.4 * outer
        stated = self.stated_underside
        if stated is None:
            return floor - max(0.12 * outer, 0.6 * -floor)
        return max(most, min(z for _, z in stated) - 0.04 * outer)

    @cached_property
    def stated_underside(self) -> list[Spot] | None:
        """(r, z) of the underside as the job states it, or None."""
        piston, skim = self.recut.job.piston, self._skim
        if piston.underside_points is not None:
            return [(d / 2, skim - depth) for d, depth in piston.underside_points]
        if piston.underside_depth is not None:
            return [(0.0, skim - piston.underside_depth)]
        return None

    @cached_property
    def underside(self) -> Floats:
        """The visible stretch of the underside, (N, 2), from the axis outward; empty where it is not stated."""
        stated, outer = self.stated_underside, self.recut.finished.outer
        if stated is None or max(z for _, z in stated) < self.low:
            return np.empty((0, 2))
        spots = [(0.0, stated[0][1]), *(s for s in stated if s[0] > 0)]
        if len(spots) == 1:
            spots.append((0.72 * outer, spots[0][1]))
        return np.array([s for s in spots if s[0] < 0.98 * outer])

    @cached_property
    def break_line(self) -> Floats:
        """Where the drawing breaks the body off, from the underside out to the land, (N, 2)."""
        outer = self.recut.finished.outer
        start = (0.0, self.low) if not len(self.underside) else tuple(self.underside[-1])
        end = (outer, self.low)
        t = np.linspace(0.0, 1.0, 25)
        line: Floats = np.outer(1 - t, start) + np.outer(t, end)
        line[:, 1] += 0.006 * outer * np.sin(t * 6 * math.pi) * (1 - np.abs(2 * t - 1) ** 4)
        return line

    @property
    def _skim(self) -> float:
        return self.recut.design.skim

    @property
    def land_low(self) -> float | None:
        """z of the top ring groove."""
        land = self.recut.job.piston.top_land
        return None if land is None else self._skim - land

    def outline(self, top: Floats) -> Floats:
        """The metal under a surface (N, 2) from the axis to the edge, closed round the body."""
        return np.vstack((top, *self._side(), self.break_line[::-1], self.underside[::-1]))

    def side(self) -> Floats:
        """The land, the groove and the body below, from the crown down."""
        outer = self.recut.finished.outer
        top = self.recut.finished.segments[-1].z2
        return np.vstack((np.array([(outer, top)]), *self._side()))

    def _side(self) -> Iterator[Floats]:
        outer, land = self.recut.finished.outer, self.land_low
        root = self.recut.job.piston.groove_root_diameter
        if land is not None and land > self.low:
            depth = outer - (root / 2 if root is not None else 0.92 * outer)
            foot = max(self.low, land - 0.5 * depth)
            yield np.array([(outer, land), (outer - depth, land), (outer - depth, foot)])
            if foot > self.low:
                yield np.array([(outer, foot)])
        yield np.array([(outer, self.low)])


def surface_after(recut: Recut, number: int) -> Chain:
    """The stock's surface after pass `number`."""
    passes = recut.plan.passes
    return passes[number + 1].before.surface if number + 1 < len(passes) else recut.plan.left.surface


def level_traces(recut: Recut, view: View) -> list[Floats]:
    """What each skim and roughing pass leaves, where it took something."""
    out = []
    for k, one in enumerate(recut.plan.passes):
        if one.kind not in ("skim", "rough", "semi"):
            continue
        after = surface_after(recut, k)
        for lo, hi in stretches_above(one.before.surface, after, by=1e-3):
            if hi - lo > 0.01:
                out.append(view.chain(after.clipped(lo, hi)))
    return out


def finishing(recut: Recut) -> tuple[Pass, ...]:
    """The finishing contour, more than one pass where it leaps over an old dish; none where no dish is cut."""
    return tuple(p for p in recut.plan.passes if p.kind == "finish")


class Stations(NamedTuple):
    """Where the insert's centre is on the finishing pass, (r, z) in mm."""

    entry: Spot  # from here on at feed
    deepest: Spot  # the outermost of the deepest places
    leaving: Spot


def stations(contour: Sequence[Pass]) -> Stations:
    """The three places at which the insert is drawn."""
    segments = [s for one in contour for s in one.cut.path.segments]
    spots = [spot for s in segments for spot in ((s.r1, s.z1), (s.r2, s.z2))]
    for s in segments:
        if isinstance(s, Arc) and s.lower and s.r1 < s.rc < s.r2:
            spots.append((s.rc, s.zc - s.radius))
    low = min(z for _, z in spots)
    deepest = max(s for s in spots if s[1] < low + 1e-6)
    first, last = contour[0].legs[0], segments[-1]
    entry = (first.starts_at, max(first.start_height, contour[0].descend))
    return Stations(entry, deepest, (last.r2, last.z2))


def control_point(recut: Recut, r: float, z: float) -> Spot:
    """X (as radius) and Z of the control point, mm, when the insert's centre is at (r, z)."""
    touch = recut.touch_off
    aside = touch.x_over_rim - touch.rim_middle
    ahead = touch.z_to_set - touch.skim - touch.feeler - touch.insert_radius
    return (r + aside, z + ahead)
