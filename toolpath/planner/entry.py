"""Lead-ins: how the insert gets from the air to the start of a cut.

Where the old dish (wherever it may sit) leaves room, straight down in the air; into solid metal on
a slope, inward, never past the axis and never straight down.
"""

import math
from typing import NamedTuple

from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import Chain, higher, stretches_above
from toolpath.geometry.segments import Arc, Line
from toolpath.geometry.tolerance import JOIN
from toolpath.planner.stock import Stock

ALIGNED = 1e-6  # mm; touching within this is no metal
STEEPEST = math.radians(20)  # a ramp may follow the contour down where it is no steeper than this
LEAST_ROOM = 0.2  # mm
MOST_RUNS = 40  # to and fro
LEAST_TURN = math.radians(1)  # of a ramp against a floor that rises itself
CLOSE = 2.5  # times the insert's radius, from the axis
SHORT = 3.0  # mm; a ramp that is no longer is one straight line
HALVINGS = 6  # in the search for a ramp's tilt
NEAR = 0.95  # of the allowed slope: as good as all of it
# mm that a ramp may start further in, over floor that is nearly down already
BACKS = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0)


class Leg(NamedTuple):
    """A stretch of the insert centre's path, cut outward or inward."""

    path: Chain
    outward: bool

    @property
    def starts_at(self) -> float:
        """x where the leg starts, mm."""
        return self.path.inner if self.outward else self.path.outer

    @property
    def ends_at(self) -> float:
        """x where the leg ends, mm."""
        return self.path.outer if self.outward else self.path.inner

    @property
    def start_height(self) -> float:
        """z where the leg starts, mm."""
        return self.path.segments[0].z1 if self.outward else self.path.segments[-1].z2


class LeadIn(NamedTuple):
    """How a cut begins: legs down a ramp (none where there is air), then the cut itself from `start`."""

    legs: tuple[Leg, ...]
    start: float  # x where the cut itself begins, mm
    descend: float  # z where the rapid down ends; from there at feed


def lead_in(path: Chain, lo: float, stock: Stock, slope: float, clearance: float) -> LeadIn:
    """The way onto `path`, which meets metal from `lo` (mm) outward; `slope` is the ramp's angle, rad.

    Raises:
        Stopped: there is neither air nor room for a ramp.
    """
    free = [s for s in stretches_above(path, stock.wary_centre, by=-ALIGNED) if s[0] < lo]
    if lo > JOIN and free:
        start = min(free[-1][1], lo)
        legs: list[Leg] = []
        height = path.at(start)
        down = start
    else:
        legs = _ramp(path, lo, stock, slope)
        start, down, height = legs[-1].ends_at, legs[0].starts_at, legs[0].start_height
    return LeadIn(tuple(legs), start, max(height, stock.wary_centre.at(down) + clearance))


def _ramp(path: Chain, lo: float, stock: Stock, slope: float) -> list[Leg]:
    """Inward on a slope to the path at or inside `lo`; to and fro where there is no room for one run."""
    hi = min(_gentle_until(path, lo), stock.wary_centre.outer)
    # into what may stand; where that leaves no room for one run, into what does stand
    for metal in (stock.wary_centre, stock.centre):
        run = _one_run(path, lo, hi, stock, slope, metal)
        if run is not None:
            return [Leg(run, False)]
    lo = max(0.0, lo - BACKS[-1])
    fall = math.tan(slope) * (hi - lo)
    drop = stock.wary_centre.clipped(lo, max(hi, lo + LEAST_ROOM)).highest - path.at(lo)
    if hi - lo < LEAST_ROOM or drop > MOST_RUNS * fall:
        raise Stopped(
            Finding(
                "refused",
                "no-room-for-a-ramp",
                "there is no room inside the dish for the insert to go down on a slope (it never goes straight down "
                "into metal): width of the floor",
                hi - lo,
                max(LEAST_ROOM, drop / math.tan(slope) / MOST_RUNS),
                "mm",
                "use a smaller insert, a wider floor or a steeper cutting.ramp_angle",
            )
        )
    return _to_and_fro(path.clipped(lo, hi), path.at(lo) + drop, fall)


def _one_run(path: Chain, lo: float, hi: float, stock: Stock, slope: float, metal: Chain) -> Chain | None:
    """The shortest single ramp at `slope` to the path, clear of all that may stand where it starts.

    Over `metal` (a centre curve) that rises outward more than the path it is tilted more, until its whole
    length goes into that metal at `slope`; not close to the axis, where the metal left over a steeper ramp
    would meet the insert's heel on the way out.
    """
    best = _clear_run(path, lo, hi, stock, slope)
    steep = best is not None and _steepness(best, metal) > math.tan(slope) * NEAR
    if steep or lo < CLOSE * stock.radius:
        return best
    level, tilted = 0.0, STEEPEST - slope
    for _ in range(HALVINGS):
        middle = (level + tilted) / 2
        run = _clear_run(path, lo, hi, stock, slope + middle)
        if run is not None and _steepness(run, metal) > math.tan(slope):
            tilted = middle
        else:
            level, best = middle, run or best
    return best


def _steepness(run: Chain, metal: Chain) -> float:
    """The thickness of metal over the foot of a ramp, over the ramp's length."""
    return (metal.at(run.inner) - run.segments[0].z1) / (run.outer - run.inner)


def _clear_run(path: Chain, lo: float, hi: float, stock: Stock, slope: float) -> Chain | None:
    """The slope from the path at or inside `lo` out to where it is clear of all metal."""
    for back in BACKS:
        foot = max(0.0, lo - back)
        if hi - foot > LEAST_ROOM:
            incline = _incline(path.clipped(foot, hi), slope, stock.radius)
            clear = stretches_above(incline, stock.wary_centre, by=-ALIGNED)
            clear = [s for s in clear if s[1] > foot + JOIN]
            if clear:
                run = incline.clipped(foot, max(clear[0][0], foot + 2 * JOIN))
                if run.outer - foot < SHORT:  # its chord lies over it
                    run = higher(Chain((_chord(run),)), path.clipped(foot, run.outer))
                if all(max(s.start_direction, s.end_direction) < STEEPEST + ALIGNED for s in run.segments):
                    return run
        if foot == 0.0:
            break
    return None


def _chord(run: Chain) -> Line:
    first, last = run.segments[0], run.segments[-1]
    return Line(first.r1, first.z1, last.r2, last.z2)


def _incline(room: Chain, slope: float, radius: float) -> Chain:
    """The room turned upward by `slope` (rad) about its inner end, over what stands higher.

    Where that is close to the axis it is turned by less, as the room rises itself within a `radius`.
    """
    first = room.segments[0]
    by = slope
    if room.inner < CLOSE * radius:
        near = min(radius, room.outer - room.inner)
        rises = math.atan((room.at(room.inner + near) - first.z1) / near)
        by = max(LEAST_TURN, slope - max(0.0, rises))
    if isinstance(first, Line):
        rise = math.tan(first.start_direction + by)
        end = room.outer
        turned = Chain((Line(first.r1, first.z1, end, first.z1 + rise * (end - first.r1)),))
    else:
        turned = Chain(tuple(s.turned(first.r1, first.z1, by) for s in room.segments))
    end = min(room.outer, turned.outer)
    return higher(turned.clipped(room.inner, end), room.clipped(room.inner, end))


def _to_and_fro(room: Chain, z: float, drop: float) -> list[Leg]:
    """Down from z by `drop` a run, inward and outward in turn, to the room's inner end."""
    legs: list[Leg] = []
    lo, hi, foot = room.inner, room.outer, room.segments[0].z1
    while True:
        legs.append(Leg(higher(Chain((Line(lo, z - drop, hi, z),)), room), False))
        z -= drop
        if z <= foot:
            return legs
        legs.append(Leg(higher(Chain((Line(lo, z, hi, z - drop),)), room), True))
        z -= drop


def _gentle_until(path: Chain, lo: float) -> float:
    """How far out from `lo` the path rises no steeper than a ramp may follow it, mm."""
    reach = lo
    for s in path.segments:
        if s.r2 <= lo + JOIN:
            continue
        if s.is_wall or max(s.start_direction, s.end_direction) > STEEPEST:
            if isinstance(s, Arc) and s.start_direction < STEEPEST:
                reach = s.rc + s.radius * math.sin(STEEPEST)
            return max(reach, lo)
        reach = s.r2
    return reach
