"""How long the control needs for each move."""

from collections.abc import Iterable
from itertools import pairwise
from math import asin, cos, hypot, inf, pi, tau
from typing import NamedTuple

from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.motion.places import known_place, located, named, sweep_of
from toolpath.moves import Arc, FixedSpeed, Line, Move, Rapid, SpeedCap, SpindleStop, SurfaceSpeed
from toolpath.units import MM_PER_METRE


class Durations(NamedTuple):
    """How long the control needs, seconds; stops and speed changes are not counted."""

    cutting_s: float  # at feed
    rapid_s: float
    total_s: float


def timed(moves: Iterable[Move], frame: Frame, rapid_rate: float) -> Durations:
    """The times of all moves together; see `seconds_of`."""
    cutting = rapid = 0.0
    moves = tuple(moves)
    for move, seconds in zip(moves, seconds_of(moves, frame, rapid_rate), strict=True):
        if isinstance(move, Rapid):
            rapid += seconds
        else:
            cutting += seconds
    return Durations(cutting, rapid, cutting + rapid)


def seconds_of(moves: Iterable[Move], frame: Frame, rapid_rate: float) -> tuple[float, ...]:
    """The time of each move in seconds, zero for those that do not travel; `rapid_rate` in mm/min.

    Under constant surface speed the control turns the spindle at v/(2 pi |X|), X being the radius
    of the *control point*, up to the cap; the time is the closed integral of that along the path.
    A rapid from an unknown place takes no time.

    Raises DialectError, naming the move, where it feeds while the spindle has no speed.
    """
    out: list[float] = []
    cap = inf
    speed: FixedSpeed | SurfaceSpeed | None = None
    for number, (move, start) in enumerate(located(moves), 1):
        seconds = 0.0
        match move:
            case SpeedCap(rpm):
                cap = rpm
            case FixedSpeed() | SurfaceSpeed():
                speed = move
            case SpindleStop():
                speed = None
            case Rapid():
                for to, at in zip((move.x, move.z), start, strict=True):
                    if to is not None and at is not None:
                        seconds = 60 * abs(to - at) / rapid_rate
            case Line(feed=feed) | Arc(feed=feed):
                if speed is None:
                    raise DialectError(f"Move {number}, {named(move)}, feeds under no speed.")
                x, z = known_place(start, number, move)
                if isinstance(speed, FixedSpeed):
                    seconds = 60 * _length(move, x, z) / (feed * speed.rpm)
                else:
                    per_radius = tau / (MM_PER_METRE * speed.speed)  # minutes a turn, per mm of radius
                    least = 1 / (cap * per_radius)
                    seconds = 60 * per_radius * _length_by_x(move, x, z, frame.shift[0], least) / feed
        out.append(seconds)
    return tuple(out)


def _length(move: Line | Arc, x: float, z: float) -> float:
    if isinstance(move, Line):
        return hypot(move.x - x, move.z - z)
    arc = sweep_of(move, x, z)
    return arc.radius * abs(arc.sweep)


def _length_by_x(move: Line | Arc, x: float, z: float, shift: float, least: float) -> float:
    """The integral of max(least, |x + shift|) along the path, mm2.

    In closed pieces, parted where |x + shift| = least; there the larger of both integrals is the one.
    """
    if isinstance(move, Line):
        scale, run = hypot(move.x - x, move.z - z), move.x - x
        breaks = sorted((to - shift - x) / run for to in (least, -least)) if run else []
        stops = [0.0, *(t for t in breaks if 0 < t < 1), 1.0]
        grown = [(x + shift) * t + run * t * t / 2 for t in stops]
    else:
        arc = sweep_of(move, x, z)
        scale = arc.radius
        ratios = [(to - shift - arc.x) / arc.radius for to in (least, -least)]
        angles = [a for ratio in ratios if abs(ratio) <= 1 for a in (asin(ratio), pi - asin(ratio))]
        stops = [arc.start, *arc.within(*angles), arc.start + arc.sweep]
        grown = [(arc.x + shift) * t - arc.radius * cos(t) for t in stops]
    pieces = zip(pairwise(stops), pairwise(grown), strict=True)
    return scale * sum(max(least * abs(t1 - t0), abs(b - a)) for (t0, t1), (a, b) in pieces)
