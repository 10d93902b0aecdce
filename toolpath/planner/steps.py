"""From passes to steps: approach, feed, leave; spindle, coolant and stops around them.

`steps_of` is the one place that knows the order of the moves; each step says which pass and leg it belongs to.

Moves are in the insert-centre frame (`toolpath.moves`). Rapids move one axis a block: X at the safe
height, then Z down; away from the wall at feed first, then Z clear. From one pass to the next
the insert rises no higher than clears what stands between them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc as ArcSegment
from toolpath.geometry.segments import Segment
from toolpath.geometry.tolerance import NO_METAL
from toolpath.moves import (
    Arc,
    Begin,
    Coolant,
    FixedSpeed,
    Index,
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
from toolpath.planner.entry import Leg
from toolpath.planner.passes import Pass, PassKind
from toolpath.planner.plan import Plan
from toolpath.planner.stock import Stock

AWAY = 0.3  # mm, from the wall at feed before the lift
LOOK = 25.0  # mm over the safe height for a look at the insert
ROUNDED_X = 0.002  # mm; no program rounds a radius more
WALL = 0.01  # mm; so much higher within that rounding is a wall
Role = Literal["around", "rapid", "approach", "cut", "leave"]  # around: speed, coolant, stops, remarks
NAMES = {
    "skim": "Skim",
    "break": "Break the edge",
    "rough": "Dish roughing",
    "semi": "Dish contour at the allowance",
    "finish": "Dish finishing contour",
}


class Proof(NamedTuple):
    """A stop before the crown with a gauge between: it shows a wrong offset, unit or reading of X."""

    x: float  # insert centre: its outer side is level with the crown's edge
    z: float  # insert centre, a gauge before the finished crown
    words: str
    gap: str | None = None  # what the gauge finds where the crown is not faced yet


class Running(NamedTuple):
    """How the machine runs: mm, mm/rev, rev/min, m/min."""

    feed: float
    finish_feed: float  # of the finishing contour
    surface_speed: float | None  # None: fixed speed throughout
    finish_speed: float | None
    rpm_limit: float
    start_rpm: float
    finish_rpm: float  # where the speed is fixed
    sense: Sense
    coolant: bool
    stops: bool
    safe_z: float  # insert centre; everything may pass at this height
    clearance: float  # from metal at which a rapid ends
    air_feed: float  # where there is no metal yet
    start_x: float
    start_z: float
    proof: Proof | None = None
    # where the turret swings: where it stands, once the operator says so; home; x and z of the machine, mm
    swing: Literal["none", "home"] | tuple[float, float] = "none"

    def feed_of(self, kind: PassKind) -> float:
        """Feed in the metal of a kind of pass, mm/rev."""
        return self.finish_feed if kind == "finish" else self.feed

    def speed_of(self, kind: PassKind) -> FixedSpeed | SurfaceSpeed:
        """The speed that a kind of pass is cut with."""
        finishing = kind == "finish"
        if self.surface_speed is not None and self.finish_speed is not None:
            return SurfaceSpeed(self.finish_speed if finishing else self.surface_speed)
        return FixedSpeed(self.finish_rpm if finishing else self.start_rpm)


@dataclass(frozen=True, slots=True)
class Step:
    """One move of the program, and what it is for."""

    move: Move
    role: Role


@dataclass(frozen=True, slots=True)
class CutStep(Step):
    """A move at feed along one segment of a leg, with the metal before and after that leg."""

    run: Pass
    leg: Leg
    segment: Segment
    before: Stock
    after: Stock


def steps_of(plan: Plan, running: Running) -> tuple[Step, ...]:
    """Every step of the program in order, from the start position back to it."""
    return tuple(_steps(plan, running))


def _steps(plan: Plan, run: Running) -> Iterator[Step]:
    yield from _tool_called(run)
    number, title, after_title = 1, NAMES[plan.passes[0].kind] if plan.passes else "Nothing to cut", ""
    yield from _begin(run, number, title, after_title)
    yield Step(Rapid(z=run.start_z), "rapid")
    yield Step(Rapid(x=run.start_x), "rapid")
    x, z = run.start_x, run.start_z
    before: Pass | None = None
    fresh = True
    turning: FixedSpeed | SurfaceSpeed = FixedSpeed(run.start_rpm)
    left = [*(one.before for one in plan.passes[1:]), plan.left]
    for one, after in zip(plan.passes, left, strict=False):
        if before is not None and run.stops and _looks_due(before, one):
            yield from _look(run)
            number, title, after_title = number + 1, NAMES[one.kind], title
            yield from _begin(run, number, title, after_title)
            x = run.start_x
            fresh = True
            turning = FixedSpeed(run.start_rpm)
        elif before is not None and before.kind != one.kind:
            yield Step(Remark(NAMES[one.kind]), "around")
        start = one.legs[0]
        yield Step(Rapid(z=run.safe_z if fresh else _over(one, x, z, run)), "rapid")
        if fresh or start.starts_at != x:
            yield Step(Rapid(x=start.starts_at), "rapid")
        yield Step(Rapid(z=one.descend), "rapid")
        if run.speed_of(one.kind) != turning:
            turning = run.speed_of(one.kind)
            yield Step(turning, "around")
        fresh = False
        yield from _approach(one, run)
        yield from _cuts(one, after, run.feed_of(one.kind))
        x, z = _away(one)
        yield Step(Line(x, z, run.air_feed), "leave")
        before = one
    if run.surface_speed is not None:
        yield Step(FixedSpeed(run.start_rpm), "around")
    yield Step(Rapid(z=run.start_z), "rapid")
    yield Step(Rapid(x=run.start_x), "rapid")
    yield Step(Coolant(False), "around")
    yield Step(SpindleStop(), "around")


def _look(run: Running) -> Iterator[Step]:
    """A stop to clear chips and look at the insert; hands go in there."""
    if run.surface_speed is not None:
        yield Step(FixedSpeed(run.start_rpm), "around")
    yield Step(Rapid(z=min(run.start_z, run.safe_z + LOOK)), "rapid")
    yield Step(Rapid(x=run.start_x), "rapid")
    yield Step(Coolant(False), "around")
    yield Step(SpindleStop(), "around")
    yield Step(Stop(optional=True, text="Clear chips, look at the insert"), "around")


def _over(one: Pass, x: float, z: float, run: Running) -> float:
    """The height, mm, at which the insert clears all metal from (x, z) to the start of a pass."""
    lo, hi = sorted((x, one.legs[0].starts_at))
    stands = one.before.wary_centre
    inside = stands.clipped(max(0.0, lo - run.clearance), min(stands.outer, hi + run.clearance))
    return min(run.safe_z, max(z, one.descend, inside.highest + run.clearance))


def _approach(one: Pass, run: Running) -> Iterator[Step]:
    """From the end of the rapid to where metal may begin."""
    start = one.legs[0]
    stands = one.before.wary_centre
    free = start.start_height
    if start.starts_at < stands.outer:
        stood = _stood(stands, start.starts_at)
        free = stood if stood > free + NO_METAL else free
    if one.descend > free:
        yield Step(Line(start.starts_at, free, run.air_feed), "approach")
    if free > start.start_height:
        yield Step(Line(start.starts_at, start.start_height, run.feed_of(one.kind)), "approach")
    if one.kind == "skim":
        yield Step(Line(start.starts_at - run.clearance, start.start_height, run.air_feed), "approach")


def _stood(stands: Chain, x: float) -> float:
    """How high metal may stand at x, mm, also where a wall is as near as the rounding of X."""
    near = stands.clipped(max(0.0, x - ROUNDED_X), min(stands.outer, x + ROUNDED_X)).highest
    return near if near > stands.at(x) + WALL else stands.at(x)


def _cuts(one: Pass, left: Stock, feed: float) -> Iterator[CutStep]:
    """The legs of a pass; `left` is the metal after the last of them."""
    stock = one.before
    for leg in one.legs:
        after = left if leg is one.legs[-1] else stock.after([leg.path])
        segments = leg.path.segments if leg.outward else leg.path.segments[::-1]
        for s in segments:
            yield CutStep(_along(s, leg.outward, feed), "cut", one, leg, s, stock, after)
        stock = after


def _tool_called(run: Running) -> Iterator[Step]:
    """The turret swings clear of the work, then the tool goes to the proof: Z out, X, Z in."""
    yield Step(SpindleStop(), "around")
    if run.swing == "none":
        yield Step(Stop(optional=False, text="Tool clear, turret free to swing"), "around")
    else:
        x, z = (None, None) if run.swing == "home" else run.swing
        yield Step(Index("z", z), "around")
        yield Step(Index("x", x), "around")
    if run.proof is not None:
        yield Step(Begin(), "around")
        yield Step(Rapid(z=run.start_z), "rapid")
        yield Step(Rapid(x=run.proof.x), "rapid")
        yield Step(Rapid(z=run.proof.z), "rapid")
        if run.proof.gap is not None:
            yield Step(Remark(run.proof.gap), "around")
        yield Step(Stop(optional=False, text=run.proof.words), "around")


def _begin(run: Running, number: int, title: str, after: str) -> Iterator[Step]:
    """The section's own words: the program may be started here."""
    yield Step(Begin(number, title, after), "around")
    if run.surface_speed is not None:
        yield Step(SpeedCap(run.rpm_limit), "around")
    yield Step(FixedSpeed(run.start_rpm, start=run.sense), "around")
    if run.coolant:
        yield Step(Coolant(True), "around")


def _looks_due(before: Pass, after: Pass) -> bool:
    """A stop after the skim, and one before finishing."""
    facing = ("skim", "break")
    return (before.kind in facing and after.kind not in facing) or (
        after.kind == "finish" and before.kind not in (*facing, "finish")
    )


def _along(s: Segment, outward: bool, feed: float) -> Line | Arc:
    """One segment of a leg as a move, in the direction of the leg."""
    x1, z1, x2, z2 = (s.r1, s.z1, s.r2, s.z2) if outward else (s.r2, s.z2, s.r1, s.z1)
    if isinstance(s, ArcSegment):
        # a lower arc, cut outward, turns from +X to +Z: clockwise for the standard (G02)
        return Arc(x2, z2, s.rc - x1, s.zc - z1, s.lower == outward, feed)
    return Line(x2, z2, feed)


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
