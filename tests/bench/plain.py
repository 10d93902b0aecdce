"""The same job by a control's plain facing cycle, for comparison.

From the public description of such cycles (stock removal in facing, then a finishing cycle over the same
contour): the cycle is told a start point, the contour, the depth of cut, the allowance and one feed. It knows
nothing of an old dish. It faces level by level over the whole blank, returns a little above the level at
rapid, and does not follow the contour between two levels. A pocket cannot be entered from outside, so each
level is reached down the job's own ramp, from the level above. Where steps over twice the allowance remain,
the cycle ends along the contour at the allowance, as such cycles do; then comes the finishing contour. Broken
edges are contours of their own, as in the plan. There are no stops on the way.
"""

import math
from collections.abc import Iterator

import numpy as np

from tests.bench.cutting import Floats, along
from toolpath.geometry.chain import Chain, stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.motion.speeds import fixed_speed
from toolpath.motion.times import timed
from toolpath.moves import FixedSpeed, Line, Move, Rapid, SpeedCap, SurfaceSpeed
from toolpath.planner.asked import rules_of
from toolpath.program.frames import frame_of, writer_of
from toolpath.recut import Recut

ESCAPE = 0.5  # mm by which the cycle lifts before it returns; the value that controls' manuals show


def plain_seconds(recut: Recut) -> float:
    """Seconds of the plain cycle, rapids included."""
    moves: tuple[Move, ...] = tuple(_moves(recut))
    frame = frame_of(recut)
    if not writer_of(recut).SURFACE_SPEED:
        moves = fixed_speed(moves, frame, recut.job.cutting.rpm_limit)
    return timed(moves, frame, recut.job.machine.rapid_rate).total_s


def _moves(recut: Recut) -> Iterator[Move]:
    assert recut.plan is not None
    work, rules, run, radius = recut.plan.work, rules_of(recut.job), recut.running, recut.insert.radius
    feed = run.feed
    yield SpeedCap(run.rpm_limit)
    yield FixedSpeed(run.start_rpm, start=run.sense)
    yield Rapid(z=run.start_z)
    yield Rapid(x=run.start_x)
    yield Rapid(z=run.safe_z)
    if run.surface_speed is not None:
        yield SurfaceSpeed(run.surface_speed)
    faces = math.ceil(work.skim / rules.skim_depth - 1e-9)
    for k in range(1, faces + 1):
        thick = work.skim / faces
        z = radius + work.skim - thick * k
        start = work.stock.surface.outer + rules.beyond + math.sqrt(thick * (2 * radius - thick))
        yield Rapid(x=start + rules.clearance)
        yield Rapid(z=z)
        yield Line(0.0, z, feed)
        yield Rapid(z=z + ESCAPE)
    for one in recut.plan.passes:
        if one.kind == "break":
            yield from _contour(along(one.cut.path), run.safe_z, rules.clearance, feed)
    if work.cut.lowest < 0:
        yield from _dish(recut, feed)
    if run.surface_speed is not None:
        yield FixedSpeed(run.start_rpm)
    yield Rapid(z=run.start_z)
    yield Rapid(x=run.start_x)


def _dish(recut: Recut, feed: float) -> Iterator[Move]:
    assert recut.plan is not None
    work, rules, run, radius = recut.plan.work, rules_of(recut.job), recut.running, recut.insert.radius
    path = centre_curve(work.cut, radius).clipped(0.0, work.mouth)
    grown = centre_curve(work.cut, radius + rules.allowance).clipped(0.0, work.mouth)
    top, bottom = radius, grown.lowest
    levels = max(0, math.ceil((top - bottom) / rules.dish_depth - 1e-9))
    x = np.linspace(0.0, grown.outer, 400)
    left = np.full(x.shape, top)
    for k in range(1, levels + 1):
        above, z = (top - (top - bottom) * n / levels for n in (k - 1, k))
        free = stretches_above(Chain.flat(z + 1e-6, grown.outer), grown, by=0.0)
        end = free[-1][1] if free else grown.outer
        yield from _ramp(end, above, z, rules.ramp, rules.clearance, feed, run.safe_z if k == 1 else None)
        yield Line(end, z, feed)
        yield Rapid(z=z + ESCAPE)
        left[x <= end] = z
    stands = left > grown.heights(x)
    steps = grown.distances(np.column_stack((x, left)))[stands]
    if levels and steps.max(initial=0.0) > 2 * rules.allowance:
        yield from _ramp(grown.outer, float(left[0]), grown.at(0.0), rules.ramp, rules.clearance, feed, None)
        yield from (Line(x, z, feed) for x, z in along(grown)[1:].tolist())
        yield Rapid(z=run.safe_z)
    near = grown.at(0.0)
    yield from _ramp(path.outer, near, path.at(0.0), rules.thin_ramp, rules.clearance, feed, None)
    yield from (Line(x, z, run.finish_feed) for x, z in along(path)[1:].tolist())
    yield Rapid(z=run.safe_z)


def _ramp(
    end: float, above: float, z: float, slope: float, clearance: float, feed: float, over: float | None
) -> Iterator[Move]:
    """Down to z at the axis, to and fro where the level is shorter than the ramp."""
    runs = max(1, math.ceil((above - z) / math.tan(slope) / max(end, 0.2)))
    runs += 1 - runs % 2
    reach = (above - z) / math.tan(slope) / runs
    if over is not None:
        yield Rapid(z=over)
    yield Rapid(x=reach)
    yield Rapid(z=above + clearance)
    yield Line(reach, above, feed)
    for n in range(1, runs + 1):
        yield Line(0.0 if n % 2 else reach, above - (above - z) * n / runs, feed)


def _contour(points: Floats, over: float, clearance: float, feed: float) -> Iterator[Move]:
    yield Rapid(z=over)
    yield Rapid(x=float(points[0, 0]))
    yield Rapid(z=float(points[0, 1]) + clearance)
    yield from (Line(x, z, feed) for x, z in np.asarray(points).tolist())
    yield Rapid(z=over)
