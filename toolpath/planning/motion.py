"""From passes to moves: approach, feed, leave; spindle, coolant and stops around them.

Moves are in the insert-centre frame (`toolpath.moves`). Rapids move one axis a block: X at the safe
height, then Z down; away from the wall at feed first, then Z clear. From one pass to the next
the insert rises no higher than clears what stands between them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from toolpath.geometry.segments import Arc as ArcSegment
from toolpath.moves import (
    Arc,
    Coolant,
    FixedSpeed,
    Line,
    Move,
    Rapid,
    Remark,
    Sense,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)
from toolpath.planning.entry import Leg
from toolpath.planning.passes import Pass
from toolpath.planning.plan import Plan

AWAY = 0.3  # mm, from the wall at feed before the lift
LOOK = 25.0  # mm over the safe height for a look at the insert
NAMES = {
    "skim": "Skim",
    "break": "Break the edge",
    "rough": "Dish roughing",
    "semi": "Dish contour at the allowance",
    "finish": "Dish finishing contour",
}


@dataclass(frozen=True, slots=True)
class Running:
    """How the machine runs: mm, mm/rev, rev/min, m/min."""

    feed: float
    surface_speed: float | None  # None: fixed speed throughout
    rpm_limit: float
    start_rpm: float
    sense: Sense
    coolant: bool
    stops: bool
    safe_z: float  # insert centre; everything may pass at this height
    clearance: float  # from metal at which a rapid ends
    air_feed: float  # where there is no metal yet
    start_x: float
    start_z: float


def moves_of(plan: Plan, running: Running) -> tuple[Move, ...]:
    """Every move of the program, from the start position back to it."""
    return tuple(_moves(plan, running))


def _moves(plan: Plan, run: Running) -> Iterator[Move]:
    if run.surface_speed is not None:
        yield SpeedCap(run.rpm_limit)
    yield from _begin(run)
    yield Rapid(z=run.start_z)
    yield Rapid(x=run.start_x)
    x, z = run.start_x, run.start_z
    before: Pass | None = None
    fresh = True
    for one in plan.passes:
        if before is not None and run.stops and _looks_due(before, one):
            if run.surface_speed is not None:
                yield FixedSpeed(run.start_rpm)
            yield Rapid(z=min(run.start_z, run.safe_z + LOOK))
            yield Rapid(x=run.start_x)  # hands go in there
            x = run.start_x
            yield Coolant(False)
            yield SpindleStop()
            yield Stop(optional=True, text="Clear chips, look at the insert")
            yield from _begin(run)
            fresh = True
        if before is None or before.kind != one.kind:
            yield Remark(NAMES[one.kind])
        start = one.legs[0]
        yield Rapid(z=run.safe_z if fresh else _over(one, x, z, run))
        if start.starts_at != x:
            yield Rapid(x=start.starts_at)
        yield Rapid(z=one.descend)
        if fresh and run.surface_speed is not None:
            yield SurfaceSpeed(run.surface_speed)
        fresh = False
        yield from approach(one, run)
        for leg in one.legs:
            yield from legs_alone(leg, run.feed)
        x, z = _away(one)
        yield Line(x, z, run.air_feed)
        before = one
    if run.surface_speed is not None:
        yield FixedSpeed(run.start_rpm)
    yield Rapid(z=run.start_z)
    yield Rapid(x=run.start_x)
    yield Coolant(False)
    yield SpindleStop()


def _over(one: Pass, x: float, z: float, run: Running) -> float:
    """The height, mm, at which the insert clears all metal from (x, z) to the start of a pass."""
    lo, hi = sorted((x, one.legs[0].starts_at))
    stands = one.before.wary_centre
    inside = stands.clipped(max(0.0, lo - run.clearance), min(stands.outer, hi + run.clearance))
    return min(run.safe_z, max(z, one.descend, inside.highest + run.clearance))


def approach(one: Pass, run: Running) -> Iterator[Move]:
    """From the end of the rapid to where metal may begin."""
    start = one.legs[0]
    if one.descend > start.start_height:
        yield Line(start.starts_at, start.start_height, run.air_feed)
    if one.kind == "skim":
        yield Line(start.starts_at - run.clearance, start.start_height, run.air_feed)


def _begin(run: Running) -> Iterator[Move]:
    yield FixedSpeed(run.start_rpm, start=run.sense)
    if run.coolant:
        yield Coolant(True)


def _looks_due(before: Pass, after: Pass) -> bool:
    """A stop after the skim, and one before finishing."""
    facing = ("skim", "break")
    return (before.kind in facing and after.kind not in facing) or (
        after.kind == "finish" and before.kind not in (*facing, "finish")
    )


def legs_alone(leg: Leg, feed: float) -> Iterator[Move]:
    """The lines and arcs of one leg, in its direction."""
    segments = leg.path.segments if leg.outward else leg.path.segments[::-1]
    for s in segments:
        x1, z1, x2, z2 = (s.r1, s.z1, s.r2, s.z2) if leg.outward else (s.r2, s.z2, s.r1, s.z1)
        if isinstance(s, ArcSegment):
            # a lower arc, cut outward, turns from +X to +Z: clockwise for the standard (G02)
            yield Arc(x2, z2, s.rc - x1, s.zc - z1, s.lower == leg.outward, feed)
        else:
            yield Line(x2, z2, feed)


def _away(one: Pass) -> tuple[float, float]:
    """Where the insert goes at feed before it is lifted: up, and off the wall that it has climbed."""
    last = one.cut
    x = last.ends_at
    z = last.path.segments[-1].z2 if last.outward else last.path.segments[0].z1
    if one.kind in ("rough", "semi", "finish") and last.outward:
        x = max(last.path.inner, x - AWAY)
    elif one.kind == "break":
        x += AWAY
    return x, z + AWAY
