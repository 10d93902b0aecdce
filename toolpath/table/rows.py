"""The rows of a manual lathe: the same passes, each one cut at constant Z, laid out as a hand works.

The skim, then the dish: either roughing rows down by the depth of cut and the finished section after
them, or, where a curved wall would take too many rows that way, steps straight down to the finished
section. Every number is one that the readout can show, rounded away from a gouge: Z up, X stops off the wall.
"""

import math
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np

from toolpath.findings import Finding, Stopped
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Line
from toolpath.geometry.tolerance import JOIN, TIE
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.planner.slope import Slope, lifted
from toolpath.table.heights import Heights
from toolpath.table.readout import Readout
from toolpath.table.terraces import Terraces, Wall, climbed, downs

APPROACH = 0.2  # mm of air between the start of a row and the metal
JOIN_GAP = 1.0  # mm; metal parted by less air than this is one row
LEAST_RUN = 0.05  # mm; no row is shorter
LEAST_ABOUT_AXIS = 0.5  # mm; nor one about the axis than this: it would be a plunge there
SLOPE_BIT = 0.1  # mm, of a slope while metal is looked for
MOST_ROWS = 999
RowKind = Literal["skim", "rough", "finish", "step"]


class RowCut(NamedTuple):
    """A row in counts of the readout; X start and stop in the direction of the feed."""

    cut: RowKind
    z: int
    x_start: int
    x_stop: int
    how: str
    bites_from: int | None = None  # X out to which the infeed is wound in by bites, where all is solid
    slide: "Slide | None" = None  # None: at constant Z

    def path(self, readout: Readout) -> Line:
        """The path of the insert's centre, mm."""
        z = readout.z(self.z)
        if self.slide is None:
            first, last = sorted((readout.x(self.x_start), readout.x(self.x_stop)))
            return Line(first, z, last, z)
        return Line(readout.x(self.x_start), z, readout.x(self.x_stop), readout.z(self.slide.z_to))


class Slide(NamedTuple):
    """The travel of the top slide in a row, from its Z and X start."""

    z_to: int  # count of Z at X stop
    angle: float  # off the cross slide's way, rad


def skim_cuts(work: Work, rules: Rules, readout: Readout) -> tuple[RowCut, ...]:
    """Facing rows down to z = 0, from outside the land to inside the old mouth."""
    layout = _Layout(work, rules, readout, rules.skim_depth)
    layout.skim()
    return tuple(layout.cuts)


def rough_and_finish(work: Work, rules: Rules, step_height: float, readout: Readout) -> tuple[RowCut, ...]:
    """All rows, the dish roughed down to the allowance and then finished from the top down.

    `step_height` is the greatest thickness (mm, normal to the surface) that the terraces leave, the
    rounding of the stops included. A readout whose counts are coarser than half of it leaves up to
    a count more.

    Raises:
        Stopped: there would be more rows than a hand can work through.
    """
    layout = _Layout(work, rules, readout, step_height)
    layout.skim()
    if work.cut.lowest < 0:
        layout.rough()
        layout.steps("finish")
    return tuple(layout.cuts)


def straight_down(work: Work, rules: Rules, step_height: float, readout: Readout) -> tuple[RowCut, ...]:
    """All rows, the dish in steps from the crown down, each to its stop on the finished section.

    See `rough_and_finish`; no step is deeper than the depth of cut.
    """
    layout = _Layout(work, rules, readout, step_height)
    layout.skim()
    if work.cut.lowest < 0:
        layout.steps("step")
    return tuple(layout.cuts)


def with_top_slide(
    work: Work, rules: Rules, step_height: float, readout: Readout, slope: Slope
) -> tuple[RowCut, ...]:
    """All rows, the dish roughed in levels, its slope then turned with the top slide, the rest finished.

    See `rough_and_finish`.
    """
    layout = _Layout(work, rules, readout, step_height)
    layout.skim()
    layout.rough()
    radius = work.stock.radius
    grown = lifted(slope, work.cut, radius + rules.allowance)
    if grown is not None:
        layout.slide("rough", grown, slope.angle, rules.allowance)
    layout.steps("finish", slope.line)
    layout.slide("finish", slope.line, slope.angle, 0.0)
    return tuple(layout.cuts)


class _Layout:
    """Rows so far, and the metal that they have left."""

    def __init__(self, work: Work, rules: Rules, readout: Readout, step_height: float) -> None:
        self.work, self.rules, self.step_height, self.readout = work, rules, step_height, readout
        self.heights = Heights(work.stock)
        self.thin = min(readout.resolution, step_height / 4)  # metal no thicker needs no row of its own
        self.cuts: list[RowCut] = []

    def skim(self) -> None:
        """Facing down to z = 0, from outside the land to inside the old mouth."""
        at, radius, rules = self.readout, self.work.stock.radius, self.rules
        top, bottom = at.z_over(self.work.skim + radius), at.z_over(radius)
        outer = self.work.stock.surface.outer
        for k in self._downs(top, bottom, rules.skim_depth):
            face = at.z(k) - radius
            if not self.heights.met(face + radius, 0.0, outer, thin=1e-6, gap=0.0):
                continue
            thick = min(rules.skim_depth, radius)
            start = outer + rules.beyond + math.sqrt(thick * (2 * radius - thick)) + rules.clearance
            metal = self.heights.r[self.heights.wary >= face]  # a hub in the old dish is faced too
            inside = float(metal[0]) if metal.size else 0.0
            end = max(at.x_outside(0.0), at.x_inside(inside))
            how = "face in to mouth" if inside else "face in to centre"
            self._take(RowCut("skim", k, at.x_outside(start), end, how))

    def rough(self) -> None:
        """Levels by the depth of cut down to the allowance, each to its own stop."""
        at, work, rules = self.readout, self.work, self.rules
        over = self.heights.metal - work.cut.heights(self.heights.r) > rules.allowance + self.thin
        if not over.any():
            return
        radius = work.stock.radius
        grown = centre_curve(work.cut, radius + rules.allowance).clipped(0.0, work.cut.outer)
        terraces = Terraces.of(grown)
        top = at.z_over(float(self.heights.metal[over].max()) + radius)
        for k in self._downs(top, at.z_over(grown.lowest), rules.dish_depth):
            self._level("rough", k, terraces)

    def steps(self, kind: Literal["finish", "step"], slope: Line | None = None) -> None:
        """Terraces on every wall of the section, from the top down; the floor is the last row.

        As "finish" they follow the roughing, as "step" they come down through solid metal. None are laid
        on a `slope` that the top slide turns.
        """
        at, cut, radius = self.readout, self.work.cut, self.work.stock.radius
        terraces = Terraces.of(centre_curve(cut, radius).clipped(0.0, cut.outer))
        solid = kind == "step"
        most = min(at.step(self.rules.dish_depth) * at.resolution, radius)
        # the stops are rounded too: what a count may leave is kept free where it is the smaller part
        step_height = max(self.step_height / 2, self.step_height - at.x_step)
        wanted: set[int] = set()
        for wall in terraces.walls:
            counts = self._candidates(wall, terraces, most)
            over = wall.top
            if over < radius - JOIN:  # not the crown but a ridge inside: a row goes over it
                over = at.z(at.z_over(over))
                wanted.add(at.z_over(over))
            for part, top in _beside(slope, wall, counts, over, at):
                z = np.array([at.z(k) if isinstance(k, int) else k for k in part])
                up = climbed(wall, z, top, cut, radius, step_height, most, solid=solid)
                wanted.update(k for k in (part[i] for i in up) if isinstance(k, int))
        for k in sorted(wanted, reverse=True):
            self._level(kind, k, terraces)

    def slide(self, kind: RowKind, line: Line, angle: float, allowance: float) -> None:
        """A row along a slope, outward and up, after a level one out to where it starts."""
        at, cut = self.readout, self.work.cut
        start, stop = at.x_outside(line.r1), at.x_inside(line.r2)
        run = at.x(stop) - at.x(start)
        if run < LEAST_RUN:
            return
        z = at.z_over(line.at(at.x(start)))
        z_to = at.z_over(max(at.z(z) + run * math.tan(angle), line.at(at.x(stop))))
        bites = None
        if at.x(start) < at.insert_radius:
            bites = min(stop, at.x_outside(at.x(start) + at.insert_radius))
        else:
            curve = centre_curve(cut, at.insert_radius + allowance).clipped(0.0, cut.outer)
            self._level(kind, z, Terraces.of(curve))
        self._take(RowCut(kind, z, start, stop, "top slide", bites, Slide(z_to, angle)))

    def _candidates(self, wall: Wall, terraces: Terraces, most: float) -> list[int]:
        """Counts of Z at which the insert may go to this wall: its foot, and whole divisions down from z = 0."""
        at = self.readout
        counts = range(at.z_over(wall.low), at.z_over(wall.top - TIE))
        while counts and not self._fits(terraces.room_at(wall, at.z(counts[0]))):
            counts = counts[1:]  # the point of a bowl: no run, and no row that others could rely on
        unit = at.unit(min(self.step_height, most))
        crown = at.z_over(self.work.stock.radius)
        return [k for k in counts if k == counts[0] or (crown - k) % unit == 0]

    def _fits(self, room: tuple[float, float]) -> bool:
        at = self.readout
        least = LEAST_ABOUT_AXIS if room[0] <= TIE else LEAST_RUN
        return at.x(at.x_inside(room[1])) - at.x(at.x_outside(room[0])) >= least

    def _downs(self, top: int, bottom: int, depth: float) -> list[int]:
        return downs(top, bottom, self.readout.step(depth), self.readout.unit(depth))

    def _level(self, kind: RowKind, k: int, terraces: Terraces) -> None:
        z = self.readout.z(k)
        for lo, hi in filter(self._fits, terraces.rooms(z)):
            for first, last in self.heights.met(z, lo, hi, thin=self.thin, gap=JOIN_GAP):
                self._row(kind, k, (lo, hi), (first, last))

    def _row(self, kind: RowKind, k: int, room: tuple[float, float], metal: tuple[float, float]) -> None:
        """One row through a stretch of metal: outward from air or after small bites, or inward from air."""
        at, near, z = self.readout, 2 * self.heights.step, self.readout.z(k)
        inner, outer = at.x_outside(room[0]), at.x_inside(room[1])
        inside = self.heights.air(z, room[0], metal[0])
        outside = self.heights.air(z, metal[1], room[1])
        bites = None
        if inside or not outside:
            to_stop = metal[1] > room[1] - near
            end = outer if to_stop else min(outer, at.x_outside(metal[1] + APPROACH))
            start, how = inner, "out to X stop" if to_stop else "out past the metal"
            if inside:
                start = max(inner, at.x_inside(max(inside[-1][0], inside[-1][1] - APPROACH)))
            if at.x(end) - at.x(start) < LEAST_RUN:
                return
            if not inside:
                bites = self._bites_from(z, start, end)
        else:
            to_stop = metal[0] < room[0] + near
            end = inner if to_stop else max(inner, at.x_inside(metal[0] - APPROACH))
            start = min(outer, at.x_outside(min(outside[0][1], outside[0][0] + APPROACH)))
            if at.x(start) - at.x(end) < LEAST_RUN:
                return
            how = "in to X stop" if to_stop else "in past the metal"
        self._take(RowCut(kind, k, start, end, how, bites))

    def _bites_from(self, z: float, start: int, end: int) -> int:
        """The X off the axis at which the infeed is wound in where there is only solid metal: never a plunge.

        As far out as a ramp of the job's slope would begin, and by the insert's radius at least.
        """
        at, slope = self.readout, math.tan(self.rules.ramp)
        lo, hi = at.x(start), at.x(end)
        here = (self.heights.r >= lo) & (self.heights.r <= min(hi, lo + self.rules.dish_depth / slope))
        drop = max(0.0, float(self.heights.metal[here].max()) - (z - self.work.stock.radius))
        return min(end, at.x_outside(lo + max(drop / slope, at.insert_radius)))

    def _take(self, cut: RowCut) -> None:
        if len(self.cuts) >= MOST_ROWS:
            raise Stopped(
                Finding(
                    "refused",
                    "too-many-rows",
                    "the table would have more rows than a hand can work through",
                    len(self.cuts) + 1,
                    MOST_ROWS,
                    "rows",
                    "state a larger cutting.step_height or larger depths of cut",
                )
            )
        self.cuts.append(cut)
        path = cut.path(self.readout)
        for part in (path,) if cut.slide is None else _bits(path):
            self.heights.lower(part.r1, part.r2, max(part.z1, part.z2))


def _bits(path: Line) -> list[Line]:
    """A slope in pieces short enough to be taken for level."""
    ends = np.linspace(path.r1, path.r2, max(2, math.ceil(path.length / SLOPE_BIT))).tolist()
    return [path.clipped(a, b) for a, b in pairwise(ends)]


def _beside(
    slope: Line | None, wall: Wall, counts: list[int], over: float, at: Readout
) -> list[tuple[list[int | float], float]]:
    """The candidates of a wall under and over a slope on it, each with the plane over them.

    The slope's own ends are among them as heights (mm), since the slide's row has a disc there.
    """
    if not counts:
        return []
    if slope is None or not any(isinstance(s, Line) and s == slope for s in wall.segments):
        return [([*counts], over)]
    under: list[int | float] = [k for k in counts if at.z(k) < slope.z1 - TIE]
    above: list[int | float] = [k for k in counts if at.z(k) > slope.z2 + TIE]
    parts = [([*under, slope.z1], slope.z1 + 3 * at.insert_radius)] if under else []
    return [*parts, ([slope.z2, *above], over)]
