"""The table of a manual lathe: the same passes as rows, each one cut at constant Z.

Skim, roughing levels, then the finished section as terraces from the top down to the floor. Every
number is one that the readout can show, rounded away from a gouge: Z up, X stops off the wall.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.tolerance import JOIN, TIE
from toolpath.moves import Row
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.table.heights import Heights
from toolpath.table.readout import Readout
from toolpath.table.terraces import Terraces, climbed, levels

APPROACH = 0.2  # mm of air between the start of a row and the metal
JOIN_GAP = 1.0  # mm; metal parted by less air than this is one row
LEAST_RUN = 0.05  # mm; no row is shorter
MOST_ROWS = 999
NOTES = (  # what the words of the rows mean, for the head of a table
    "Lock the saddle for every cut. Come to each X stop in the direction of the feed.",
    "Ramp in from X: wind the infeed in little by little while feeding inward from that X to X start, "
    "then feed outward; to and fro where there is no room for it in one go. Never plunge.",
    "Back off, in again: wind out past Z and come back to it inward, so that no backlash is left.",
)


@dataclass(frozen=True, slots=True)
class Cut:
    """A row in counts of the readout; X start and stop in the direction of the feed."""

    cut: Literal["skim", "rough", "finish"]
    z: int
    x_start: int
    x_stop: int
    how: str


def rows_for(work: Work, rules: Rules, step_height: float, readout: Readout) -> tuple[Row, ...]:
    """The rows of one piston, in the readout's units.

    `step_height` is the greatest thickness (mm, normal to the surface) that the terraces leave, the
    rounding of the stops included. A readout whose counts are coarser than half of it leaves up to
    a count more.

    Raises:
        Stopped: there would be more rows than a hand can work through.
    """
    return worded(cuts_for(work, rules, step_height, readout), work, readout)


def cuts_for(work: Work, rules: Rules, step_height: float, readout: Readout) -> tuple[Cut, ...]:
    """The rows in counts, before they are worded; see `rows_for`."""
    layout = _Layout(work, rules, step_height, readout)
    layout.skim()
    if work.cut.lowest < 0:
        layout.rough()
        layout.finish()
    return tuple(layout.cuts)


def worded(cuts: tuple[Cut, ...], work: Work, readout: Readout) -> tuple[Row, ...]:
    """Rows as the table prints them; the infeed of the first counts from the metal that it meets."""
    rows, shown = [], readout.shown
    top = work.skim if work.skim > 0 else _met(work)
    before = readout.z_over(top + readout.insert_radius - readout.resolution / 2)  # the nearest count
    for cut in cuts:
        infeed = before - cut.z
        before = cut.z
        how = _infeed(infeed, readout) + cut.how
        rows.append(Row(cut.cut, shown(cut.z), shown(cut.x_start), shown(cut.x_stop), shown(infeed), how))
    return tuple(rows)


def _met(work: Work) -> float:
    """The highest metal over the cut's own floor, mm: the crown, or the floor of the cut before."""
    surface = work.stock.surface
    where = stretches_above(surface, work.cut, by=JOIN)
    return max((surface.at((lo + hi) / 2) for lo, hi in where[:1]), default=0.0)


def _infeed(counts: int, readout: Readout) -> str:
    """How the hand comes to Z, where there is more to say than the infeed's number."""
    divisions = readout.divisions(counts)
    if counts < 0:
        return "back off, in again, "
    return "" if divisions is None or counts == 0 else f"{round(divisions, 1):g} div, "


class _Layout:
    """Rows so far, and the metal that they have left."""

    def __init__(self, work: Work, rules: Rules, step_height: float, readout: Readout) -> None:
        self.work, self.rules, self.step_height, self.readout = work, rules, step_height, readout
        self.heights = Heights(work.stock)
        self.thin = min(readout.resolution, step_height / 4)  # metal no thicker needs no row of its own
        self.cuts: list[Cut] = []

    def skim(self) -> None:
        """Facing in equal steps down to z = 0, from outside the land to inside the old mouth."""
        at, radius, rules = self.readout, self.work.stock.radius, self.rules
        top, bottom = at.z_over(self.work.skim + radius), at.z_over(radius)
        outer = self.work.stock.surface.outer
        for k in levels(top, bottom, self._counts(rules.skim_depth)):
            face = at.z(k) - radius
            if not self.heights.met(face + radius, 0.0, outer, thin=1e-6, gap=0.0):
                continue
            thick = min(rules.skim_depth, radius)
            start = outer + rules.beyond + math.sqrt(thick * (2 * radius - thick)) + rules.clearance
            metal = self.heights.r[self.heights.wary >= face]  # a hub in the old dish is faced too
            inside = float(metal[0]) if metal.size else 0.0
            end = max(at.x_outside(0.0), at.x_inside(inside))
            how = "face in to mouth" if inside else "face in to centre"
            self._take(Cut("skim", k, at.x_outside(start), end, how))

    def rough(self) -> None:
        """Levels of equal depth down to the allowance, each to its own stop."""
        at, work, rules = self.readout, self.work, self.rules
        over = self.heights.metal - work.cut.heights(self.heights.r) > rules.allowance + self.thin
        if not over.any():
            return
        radius = work.stock.radius
        grown = centre_curve(work.cut, radius + rules.allowance).clipped(0.0, work.cut.outer)
        terraces = Terraces.of(grown)
        top = at.z_over(float(self.heights.metal[over].max()) + radius)
        for k in levels(top, at.z_over(grown.lowest), self._counts(rules.dish_depth)):
            self._level("rough", k, terraces)

    def finish(self) -> None:
        """Terraces on every wall of the section, from the top down; the floor is the last row."""
        at, cut, radius = self.readout, self.work.cut, self.work.stock.radius
        terraces = Terraces.of(centre_curve(cut, radius).clipped(0.0, cut.outer))
        most = min(self._counts(self.rules.dish_depth) * at.resolution, radius)
        # the stops are rounded too: what a count may leave is kept free where it is the smaller part
        step_height = max(self.step_height / 2, self.step_height - at.x_step)
        wanted: set[int] = set()
        for wall in terraces.walls:
            counts = range(at.z_over(wall.low), at.z_over(wall.top - TIE))
            while counts and not self._fits(terraces.room_at(wall, at.z(counts[0]))):
                counts = counts[1:]  # the point of a bowl: no run, and no row that others could rely on
            over = wall.top
            if over < radius - JOIN:  # not the crown but a ridge inside: a row goes over it
                over = at.z(at.z_over(over))
                wanted.add(at.z_over(over))
            if counts:
                z = np.array([at.z(k) for k in counts])
                wanted.update(counts[i] for i in climbed(wall, z, over, cut, radius, step_height, most))
        for k in sorted(wanted, reverse=True):
            self._level("finish", k, terraces)

    def _fits(self, room: tuple[float, float]) -> bool:
        at = self.readout
        return at.x(at.x_inside(room[1])) - at.x(at.x_outside(room[0])) >= LEAST_RUN

    def _counts(self, depth: float) -> int:
        return max(1, math.floor(depth / self.readout.resolution + 1e-7))

    def _level(self, kind: Literal["rough", "finish"], k: int, terraces: Terraces) -> None:
        z = self.readout.z(k)
        for lo, hi in terraces.rooms(z):
            for first, last in self.heights.met(z, lo, hi, thin=self.thin, gap=JOIN_GAP):
                self._row(kind, k, (lo, hi), (first, last))

    def _row(
        self,
        kind: Literal["rough", "finish"],
        k: int,
        room: tuple[float, float],
        metal: tuple[float, float],
    ) -> None:
        """One row through a stretch of metal: outward from air or down a slope, or inward from air."""
        at, near, z = self.readout, 2 * self.heights.step, self.readout.z(k)
        inner, outer = at.x_outside(room[0]), at.x_inside(room[1])
        inside = self.heights.air(z, room[0], metal[0])
        outside = self.heights.air(z, metal[1], room[1])
        if inside or not outside:
            to_stop = metal[1] > room[1] - near
            end = outer if to_stop else min(outer, at.x_outside(metal[1] + APPROACH))
            start, how = inner, "out to X stop" if to_stop else "out past the metal"
            if inside:
                start = max(inner, at.x_inside(max(inside[-1][0], inside[-1][1] - APPROACH)))
            if at.x(end) - at.x(start) < LEAST_RUN:
                return
            if not inside:
                how = f"{self._slope(z, at.x(start), at.x(end))}, {how}"
        else:
            to_stop = metal[0] < room[0] + near
            end = inner if to_stop else max(inner, at.x_inside(metal[0] - APPROACH))
            start = min(outer, at.x_outside(min(outside[0][1], outside[0][0] + APPROACH)))
            if at.x(start) - at.x(end) < LEAST_RUN:
                return
            how = "in to X stop" if to_stop else "in past the metal"
        self._take(Cut(kind, k, start, end, how))

    def _slope(self, z: float, lo: float, hi: float) -> str:
        """How the hand winds down to height z where there is only solid metal: never a plunge."""
        longest = self.rules.dish_depth / math.tan(self.rules.ramp)
        here = (self.heights.r >= lo) & (self.heights.r <= min(hi, lo + longest))
        drop = max(0.0, float(self.heights.metal[here].max()) - (z - self.work.stock.radius))
        begin = lo + drop / math.tan(self.rules.ramp)
        if begin > hi:
            return "ramp in to and fro"
        at = self.readout
        return f"ramp in from X{at.shown(at.x_outside(begin)):.{at.decimals}f}"

    def _take(self, cut: Cut) -> None:
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
        first, last = sorted((self.readout.x(cut.x_start), self.readout.x(cut.x_stop)))
        self.heights.lower(first, last, self.readout.z(cut.z))
