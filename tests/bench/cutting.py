"""The economy of a plan, measured without the planner: a disc on a grid cuts the stock along the moves.

The least time that metal, feed and depth of cut allow is worked out on the same grid: one sweep of the
metal at each level, a pass over each broken edge and one finishing contour, nothing in the air.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.chain import Chain, deeper, higher, stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.motion.speeds import fixed_speed
from toolpath.motion.times import seconds_of
from toolpath.moves import Arc, FixedSpeed, Line, Rapid, SurfaceSpeed
from toolpath.planner.asked import rules_of
from toolpath.planner.passes import PassKind
from toolpath.program.frames import frame_of, writer_of
from toolpath.recut import Recut

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
GRID = 0.05  # mm, of the section
STEP = 0.08  # mm between two looks along the path
TOUCH = 1e-3  # mm of metal inside the insert's circle that count as cutting
TOGETHER = 24  # places that are cut in one sweep over the grid
THIN = 4e-3  # mm under which a sweep is not asked for


@dataclass(slots=True)
class Run:
    """What is fed without a rapid between, mm and s."""

    kind: PassKind
    length: float = 0.0
    metal_s: float = 0.0
    lead_in_s: float = 0.0  # before the first metal
    air_s: float = 0.0  # after it, the lift included
    inward_s: float = 0.0  # in metal on the way in of a dish pass: the ramp
    blocks: int = 0

    @property
    def share(self) -> float:
        """Of the feed time, less the lead-in, in metal."""
        beside = self.metal_s + self.air_s
        return self.metal_s / beside if beside else 1.0


@dataclass(slots=True)
class Measured:
    """One plan; seconds."""

    runs: list[Run] = field(default_factory=list)
    rapid_s: float = 0.0
    bound_s: float = 0.0
    bound_passes: int = 0  # of design: skim, levels, finishing contour
    breaks: int = 0  # passes that broken edges add to it

    @property
    def feed_s(self) -> float:
        """All feeding."""
        return sum(r.metal_s + r.lead_in_s + r.air_s for r in self.runs)

    @property
    def total_s(self) -> float:
        """All feeding and all rapids."""
        return self.feed_s + self.rapid_s

    @property
    def share(self) -> float:
        """Of all feed time, less the lead-ins, in metal."""
        beside = sum(r.metal_s + r.air_s for r in self.runs)
        return sum(r.metal_s for r in self.runs) / beside if beside else 1.0


def measured(recut: Recut) -> Measured:
    """Cut the stock along the moves of a plan, and find its bound."""
    assert recut.plan is not None
    out = Measured()
    frame, rapid = frame_of(recut), recut.job.machine.rapid_rate
    moves = recut.moves
    if not writer_of(recut).SURFACE_SPEED:
        moves = fixed_speed(moves, frame, recut.job.cutting.rpm_limit)
    stock = _Grid(recut.plan.work.stock.surface, recut.insert.radius)
    kinds = iter(one.kind for one in recut.plan.passes)
    speeds: dict[PassKind, FixedSpeed | SurfaceSpeed] = {}
    speed: FixedSpeed | SurfaceSpeed = FixedSpeed(1.0)
    x = z = math.nan
    fed = False
    for move, seconds in zip(moves, seconds_of(moves, frame, rapid), strict=True):
        if isinstance(move, FixedSpeed | SurfaceSpeed):
            speed = move
        elif isinstance(move, Rapid):
            out.rapid_s += seconds
            fed = False
        elif isinstance(move, Line | Arc):
            if not fed:
                out.runs.append(Run(next(kinds)))
                fed = True
            run = out.runs[-1]
            speeds.setdefault(run.kind, speed)
            _feed(run, stock, _points(move, x, z), seconds, _Clock(recut, speed, run.kind))
        if isinstance(move, Rapid | Line | Arc):
            x, z = x if move.x is None else move.x, z if move.z is None else move.z
    if next(kinds, None) is not None:
        raise ValueError("a pass of the plan is not among the moves")
    _bound(out, recut, speeds)
    return out


class _Clock:
    """Seconds along a path of the insert's centre, as the spindle really turns."""

    def __init__(self, recut: Recut, speed: FixedSpeed | SurfaceSpeed, kind: PassKind) -> None:
        self.speed, self.cap, self.feed = speed, recut.job.cutting.rpm_limit, recut.running.feed_of(kind)
        self.shift = frame_of(recut).shift[0]

    def weights(self, x: Floats, length: Floats) -> Floats:
        """Seconds of pieces with their middles at radius x, at the feed of the job."""
        if isinstance(self.speed, FixedSpeed):
            return 60 * length / (self.feed * self.speed.rpm)
        turned = 1000 * self.speed.speed / (2 * math.pi * np.maximum(np.abs(x + self.shift), 1e-9))
        return 60 * length / (self.feed * np.minimum(turned, self.cap))


def _feed(run: Run, stock: "_Grid", points: Floats, seconds: float, clock: _Clock) -> None:
    ends = np.diff(points, axis=0)
    length = np.hypot(ends[:, 0], ends[:, 1])
    weights = clock.weights((points[1:, 0] + points[:-1, 0]) / 2, length)
    weights *= seconds / weights.sum()  # an air feed is faster
    met = stock.cut(points[1:])
    run.length += float(length.sum())
    run.blocks += 1
    metal = float(weights[met].sum())
    if run.metal_s == 0.0:
        first = int(np.argmax(met)) if met.any() else len(met)
        lead = float(weights[:first].sum())
        run.lead_in_s += lead
        run.air_s += float(weights.sum()) - lead - metal
    else:
        run.air_s += float(weights.sum()) - metal
    run.metal_s += metal
    if run.kind not in ("skim", "break"):
        run.inward_s += float(weights[met & (ends[:, 0] < 0)].sum())


def _points(move: Line | Arc, x: float, z: float) -> Floats:
    """Places along a move, (N, 2)."""
    if isinstance(move, Line):
        n = max(2, math.ceil(math.hypot(move.x - x, move.z - z) / STEP) + 1)
        return np.column_stack((np.linspace(x, move.x, n), np.linspace(z, move.z, n)))
    xc, zc = x + move.i, z + move.k
    first, last = math.atan2(z - zc, x - xc), math.atan2(move.z - zc, move.x - xc)
    # with X to the right and Z up, the standard's clockwise (seen from +Y) turns the other way
    turn = (last - first) % math.tau if move.clockwise else -((first - last) % math.tau)
    radius = math.hypot(move.i, move.k)
    t = first + turn * np.linspace(0, 1, max(2, math.ceil(radius * abs(turn) / STEP) + 1))
    return np.column_stack((xc + radius * np.cos(t), zc + radius * np.sin(t)))


class _Grid:
    """Heights of the stock over r, lowered disc by disc."""

    def __init__(self, section: Chain, radius: float) -> None:
        self.r = np.arange(0.0, section.outer, GRID)
        self.z = section.heights(self.r)
        self.radius = radius

    def cut(self, centres: Floats) -> Bools:
        """Cut with the disc at centres (N, 2) in turn; which of them met metal, (N,)."""
        parts = [centres[k : k + TOGETHER] for k in range(0, len(centres), TOGETHER)]
        return np.concatenate([self._cut(part) for part in parts])

    def _cut(self, centres: Floats) -> Bools:
        x, z = centres[:, 0, None], centres[:, 1, None]
        lo, hi = np.searchsorted(self.r, (x.min() - self.radius, x.max() + self.radius))
        square = self.radius**2 - (self.r[lo:hi] - x) ** 2
        bottom = np.where(square > 0, z - np.sqrt(np.maximum(square, 0.0)), np.inf)
        stood = np.minimum.accumulate(np.vstack((self.z[None, lo:hi], bottom)))
        self.z[lo:hi] = stood[-1]
        return np.asarray((stood[:-1] - bottom > TOUCH).any(axis=1))


class _Least:
    """The least time: sweeps over a stock of its own, of which only what cuts is counted."""

    def __init__(self, recut: Recut, speeds: dict[PassKind, FixedSpeed | SurfaceSpeed]) -> None:
        assert recut.plan is not None
        self.recut, self.speeds, self.seconds = recut, speeds, 0.0
        self.stock = _Grid(recut.plan.work.stock.surface, recut.insert.radius)

    def sweep(self, kind: PassKind, path: Floats, whole: bool = False) -> None:
        """Count the places of the path (N, 2) that cut; of a whole contour all after the first of them."""
        speed = self.speeds.get(kind, next(iter(self.speeds.values())))
        ends = np.diff(path, axis=0)
        weights = _Clock(self.recut, speed, kind).weights(
            (path[1:, 0] + path[:-1, 0]) / 2, np.hypot(ends[:, 0], ends[:, 1])
        )
        met = self.stock.cut(path[1:])
        if whole and met.any():
            met[int(np.argmax(met)) :] = True
        self.seconds += float(weights[met].sum())


def _bound(out: Measured, recut: Recut, speeds: dict[PassKind, FixedSpeed | SurfaceSpeed]) -> None:
    """Add the least time and the least passes."""
    assert recut.plan is not None
    work, rules, radius = recut.plan.work, rules_of(recut.job), recut.insert.radius
    surface, least = work.stock.surface, _Least(recut, speeds)
    faces = math.ceil(work.skim / rules.skim_depth - 1e-9)
    for k in range(1, faces + 1):
        z = radius + work.skim * (1 - k / faces)
        least.sweep("skim", _points(Line(0.0, z, 1.0), surface.outer + radius, z))
    surface = deeper(surface, Chain.flat(0.0, surface.outer))
    for patch in work.patches:
        target = deeper(surface, patch)
        thick = float(target.distances(surface.clipped(patch.inner, patch.outer).points(1e-2)).max())
        steps = math.ceil(thick / rules.dish_depth - 1e-9)
        over = centre_curve(target, radius).clipped(max(0.0, patch.inner - radius), surface.outer + radius)
        for k in reversed(range(steps)):
            least.sweep("break", along(over.moved(thick * k / steps)))
        out.breaks += steps
        surface = target
    out.bound_passes = faces
    if work.cut.lowest < 0:
        path = centre_curve(work.cut, radius).clipped(0.0, work.mouth)
        grown = centre_curve(work.cut, radius + rules.allowance).clipped(0.0, work.mouth)
        levels = max(0, math.ceil((-work.cut.lowest - rules.allowance) / rules.dish_depth - 1e-9))
        out.bound_passes += levels + 1
        # the metal may begin lower, in an old dish, and then takes fewer levels
        metal = centre_curve(surface, radius)
        over_grown = stretches_above(metal, grown, by=THIN)
        if over_grown:
            top = max(metal.clipped(lo, hi).highest for lo, hi in over_grown)
            levels = math.ceil((top - grown.lowest) / rules.dish_depth - 1e-9)
            for k in range(1, levels + 1):
                z = top - (top - grown.lowest) * k / levels
                least.sweep("rough", along(higher(grown, Chain.flat(z, grown.outer))))
        least.sweep("finish", along(path), whole=True)
    out.bound_s = least.seconds


def along(path: Chain) -> Floats:
    """Places along a chain, outward, no further apart than STEP, (N, 2)."""
    corners = path.points(1e-3)
    pieces = [
        _points(Line(x, z, 1.0), *before)[1:]
        for before, (x, z) in zip(corners.tolist(), corners[1:].tolist(), strict=False)
    ]
    return np.vstack([corners[:1], *pieces])
