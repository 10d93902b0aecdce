"""Passes: skim, dish roughing by levels, semi-finishing and finishing, edge break.

Everything here is in the insert-centre frame: x is the radius of the insert's centre and z its
height over the finished crown, mm. A pass is a run of legs at feed without a lift in between.
"""

import math
from collections.abc import Iterator
from typing import Literal, NamedTuple

import numpy as np

from toolpath.geometry.chain import Chain, deeper, higher, stretches_above
from toolpath.geometry.reach import centre_curve, contact, swept
from toolpath.geometry.segments import Line
from toolpath.geometry.tolerance import COUNT, JOIN, NO_METAL
from toolpath.planner.entry import Leg, lead_in
from toolpath.planner.stock import Stock

PassKind = Literal["skim", "break", "rough", "semi", "finish"]
TOO_THIN = 0.004  # mm; a roughing pass that takes no more than this is left to the next one
JOIN_GAP = 3.0  # mm; stretches of metal closer than this are cut without a lift between them
FINISH_RAMP = math.radians(8)  # where no more than the allowance stands; common practice, no source


class Pass(NamedTuple):
    """One continuous cut at feed."""

    kind: PassKind
    legs: tuple[Leg, ...]  # the lead-in legs first, then the cut itself
    descend: float  # z down to which the rapid goes at the first leg's start; feed from there
    bite: float  # mm, greatest thickness removed normal to the path
    before: Stock  # the metal that this pass finds

    @property
    def level(self) -> float:
        """z of the insert's centre at the lowest point of the pass, mm."""
        return min(leg.path.lowest for leg in self.legs)

    @property
    def cut(self) -> Leg:
        """The leg after the lead-in."""
        return self.legs[-1]


class Rules(NamedTuple):
    """How the passes are laid out; mm and rad."""

    skim_depth: float
    dish_depth: float
    allowance: float
    ramp: float  # slope of a ramp into solid metal
    clearance: float
    beyond: float  # how far outside the crown's edge a facing pass starts (ovality)
    thin_ramp: float = FINISH_RAMP  # slope where no more than the allowance stands


def bite(before: Stock, after: Stock) -> float:
    """Greatest thickness (mm) between two states of the stock, normal to the new surface."""
    r, old = before.sampled
    _, new = after.sampled
    cut = old - new > JOIN
    if not cut.any():
        return 0.0
    return float(after.surface.distances(np.column_stack((r[cut], old[cut]))).max())


def taken(
    kind: PassKind, stock: Stock, legs: list[Leg], descend: float, after: Stock | None = None
) -> tuple[Pass, Stock]:
    """The pass and the metal after it, which is worked out unless it is given."""
    after = after or stock.after(leg.path for leg in legs)
    return Pass(kind, tuple(legs), descend, bite(stock, after), stock), after


def skim_passes(stock: Stock, skim: float, rules: Rules) -> Iterator[tuple[Pass, Stock]]:
    """Facing in equal steps, from outside the land inward.

    Each step ends where the insert's centre is inside the old mouth at that height, wherever the
    old dish may sit, or on the axis.
    """
    if skim <= 0:
        return
    radius, outer = stock.radius, stock.surface.outer
    steps = max(1, math.ceil(skim / rules.skim_depth - COUNT))
    thick = skim / steps
    run_in = math.sqrt(thick * (2 * radius - thick)) if thick < radius else radius
    start = outer + rules.beyond + run_in + rules.clearance
    for k in range(1, steps + 1):
        z = skim * (1 - k / steps)
        end = _inside_metal(stock.wary, z)
        face = Chain((Line(end, z + radius, start, z + radius),))
        run, stock = taken("skim", stock, [Leg(face, False)], z + radius)
        yield run, stock


def _inside_metal(wary: Chain, z: float) -> float:
    """The inner end of all metal that may stand over height z: the mouth, or the axis, or a hub's inside."""
    metal = stretches_above(wary, Chain.flat(z, wary.outer), by=0.0)
    return metal[0][0] if metal else 0.0


def last_metal(stock: Stock, path: Chain, lo: float, hi: float) -> float:
    """Where between lo and hi on a path the insert's centre takes the last metal, mm.

    Rolling about a corner that stands proud touches metal that the same pass has cut, and cuts none.
    """
    left = swept(path.clipped(lo, hi), stock.radius, stock.surface.outer)
    cut = stretches_above(stock.surface, left, by=NO_METAL)
    if not cut:
        return hi
    return min(hi, max(contact(left, cut[-1][1], stock.radius), lo + JOIN))


def climbing(path: Chain, lo: float, hi: float, above: float) -> Chain:
    """The path from lo to hi, and on up a wall that stands at its end, to the centre height `above`.

    The insert's side has cut the wall only where it stood, however little a section seen from above shows.
    """
    run = path.clipped(lo, hi)
    end = run.segments[-1]
    for s in path.segments:
        if s.is_wall and abs(s.r1 - end.r2) < JOIN and s.z2 > end.z2 + JOIN:
            return Chain((*run.segments, Line(end.r2, end.z2, end.r2, min(s.z2, max(above, end.z2 + JOIN)))))
    return run


def joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for lo, hi in stretches:
        if out and lo - out[-1][1] < JOIN_GAP:
            out[-1] = (out[-1][0], hi)
        else:
            out.append((lo, hi))
    return out


def finish_passes(stock: Stock, cut: Chain, mouth: float, rules: Rules) -> Iterator[tuple[Pass, Stock]]:
    """One contour outward, from the floor (at or before the axis) up to the lip at `mouth` mm and over its break.

    Where an old dish lies deeper it is left, and taken up again behind it.
    """
    path = centre_curve(cut, stock.radius)
    metal = stretches_above(stock.centre, path, by=NO_METAL)
    sure = joined(stretches_above(stock.wary_centre, path, by=NO_METAL))
    runs = [(lo, hi) for lo, hi in sure if any(lo < m[1] and m[0] < hi for m in metal)]
    for lo, hi in runs:
        first = max(lo, min(m[0] for m in metal if m[1] > lo))
        allowance_alone = stock.centre.at(first) - path.at(first) < rules.allowance + TOO_THIN
        slope = rules.thin_ramp if allowance_alone else rules.ramp
        lead = lead_in(path, first, stock, slope, rules.clearance)
        end = hi
        if hi == runs[-1][1]:
            end = last_metal(stock, path, lead.start, max(metal[-1][1], mouth))
        contour = Leg(climbing(path, lead.start, end, math.inf), True)
        run, stock = taken("finish", stock, [*lead.legs, contour], lead.descend)
        yield run, stock


def break_passes(stock: Stock, patch: Chain, rules: Rules) -> Iterator[tuple[Pass, Stock]]:
    """A broken edge, outward over it, in steps of the depth of cut; the crown must be faced already."""
    target = deeper(stock.surface, patch)
    thick = float(target.distances(stock.surface.clipped(patch.inner, patch.outer).points(1e-2)).max())
    steps = max(1, math.ceil(thick / rules.dish_depth - COUNT))
    for k in reversed(range(steps)):
        path = centre_curve(target, stock.radius + thick * k / steps)
        where = stretches_above(stock.centre, path, by=NO_METAL)
        if not where:
            continue
        lo = where[0][0]
        # in level, clear of the edge as it still stands and of an old wall wherever it may stand
        if lo > JOIN:
            path = higher(path, Chain.flat(path.at(lo), lo))
        lead = lead_in(path, lo, stock, rules.ramp, rules.clearance)
        hi = last_metal(stock, path, lo, min(path.outer, where[-1][1]))
        legs = [*lead.legs, Leg(path.clipped(lead.start, hi), True)]
        run, stock = taken("break", stock, legs, lead.descend)
        yield run, stock
