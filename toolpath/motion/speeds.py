"""Moves to moves: a proving copy's lift, and fixed speeds for controls without constant surface speed."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import floor, inf, pi, tau

from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.motion.places import Place, located, named, sweep_of
from toolpath.moves import Arc, Begin, FixedSpeed, Line, Move, Rapid, SpeedCap, SpindleStop, SurfaceSpeed
from toolpath.units import MM_PER_METRE


def lifted(moves: Sequence[Move], by: float) -> tuple[Move, ...]:
    """The same moves with every Z raised by `by` mm, for a proving copy above the work.

    What stands before the first section stays: the gauge of the proof is held against the crown itself.
    """
    first = next((k for k, m in enumerate(moves) if isinstance(m, Begin) and m.number is not None), 0)
    raised = (
        replace(m, z=m.z + by) if isinstance(m, Rapid | Line | Arc) and m.z is not None else m
        for m in moves[first:]
    )
    return (*moves[:first], *raised)


def fixed_speed(moves: Sequence[Move], frame: Frame, rpm_limit: float = inf) -> tuple[Move, ...]:
    """Fixed speeds in place of constant surface speed, for controls that have none.

    Each `SurfaceSpeed` becomes the speed, rev/min rounded down, at which the largest programmed X
    at feed before the next speed word runs at that surface speed: nothing is cut faster. It stays
    under the caps in the moves and under `rpm_limit`. Caps are dropped, and so is a surface speed
    under which nothing is fed.
    """
    out: list[Move] = []
    cap = rpm_limit
    walk = tuple(located(moves))
    for index, (move, _) in enumerate(walk):
        match move:
            case SpeedCap(rpm):
                cap = min(rpm, rpm_limit)
            case SurfaceSpeed(speed):
                largest = _largest_x(walk[index + 1 :], frame)
                if largest is not None:
                    rpm = min(cap, MM_PER_METRE * speed / (tau * largest)) if largest else cap
                    out.append(FixedSpeed(float(max(1, floor(rpm + 1e-6)))))
            case _:
                out.append(move)
    return tuple(out)


def feed_per_minute(moves: Iterable[Move]) -> tuple[Move, ...]:
    """The same moves with the feeds per minute, from the fixed speed in force.

    Raises DialectError, naming the move, where a feed stands under no fixed speed.
    """
    out: list[Move] = []
    rpm: float | None = None
    for number, move in enumerate(moves, 1):
        match move:
            case FixedSpeed(rpm=rpm):
                pass
            case SurfaceSpeed() | SpindleStop():
                rpm = None
            case Line(feed=feed) | Arc(feed=feed):
                if rpm is None:
                    raise DialectError(f"Move {number}, {named(move)}, feeds under no fixed speed.")
                move = replace(move, feed=feed * rpm)
        out.append(move)
    return tuple(out)


def _largest_x(walk: Iterable[tuple[Move, Place]], frame: Frame) -> float | None:
    """The largest radius of the control point at feed before the next speed word, mm; None without feed."""
    xs: list[float] = []
    for move, (x, z) in walk:
        if isinstance(move, FixedSpeed | SurfaceSpeed):
            break
        if isinstance(move, Line | Arc):
            xs += [move.x] if x is None else [x, move.x]
        if isinstance(move, Arc) and x is not None and z is not None:
            arc = sweep_of(move, x, z)
            xs += [arc.x_at(angle) for angle in arc.within(pi / 2, -pi / 2)]
    return max((abs(at + frame.shift[0]) for at in xs), default=None)
