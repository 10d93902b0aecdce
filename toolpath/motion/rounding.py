"""Moves in the program frame, rounded to the program's decimals."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import ceil, cos, hypot, sqrt

from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.motion.places import Place, known_place, located, named, sweep_of
from toolpath.motion.sweeps import RADIUS_TOLERANCE, rounded_centre
from toolpath.moves import Arc, Begin, Index, Line, Move, Rapid, SurfaceSpeed

SMALLEST_ARC = 3  # times the last decimal; a smaller arc is written as the line to its end
LARGEST_ARC = 90_000.0  # mm; a centre further off has no number that controls take
CHORD_RISE = 0.0002  # mm
_PER_FOOT = 0.3048  # m, exact


def to_program(moves: Iterable[Move], frame: Frame) -> tuple[Move, ...]:
    """The moves as the control reads them: control point, reading, units, rounded to the last decimal.

    Moves that rounding leaves no length are dropped. An arc's centre is chosen on the last decimal
    so that the radii at its rounded ends agree within 0.002 mm and its middle stays nearest to
    where it was; an arc too short or too flat for that becomes a line or nothing, never another
    arc. Surface speeds become ft/min in an inch program.

    Raises DialectError, naming the move, where an arc has no start point or no such centre.
    """
    out: list[Move] = []
    stated: set[str] = set()  # axes that this section has stated already
    for number, (move, start) in enumerate(located(moves), 1):
        was = _words(*start, frame)
        match move:
            case Rapid(x, z):
                words, axis = _words(x, z, frame), "x" if z is None else "z"
                same = words == (None if x is None else was[0], None if z is None else was[1])
                if not same or axis not in stated:
                    out.append(Rapid(*words))
                stated.add(axis)
            case Begin():
                stated.clear()
                out.append(move)
            case Index(axis, at) if at is not None:
                out.append(Index(axis, round(at / frame.unit, frame.decimals)))
            case Line(x, z, feed):
                if _words(x, z, frame) != was:
                    out.append(Line(frame.x_word(x), frame.z_word(z), feed / frame.unit))
            case Arc() if hypot(move.i, move.k) > LARGEST_ARC:
                out += _chords(move, *known_place(start, number, move), frame)
            case Arc():
                rounded = _rounded_arc(number, move, *known_place(start, number, move), frame)
                out += [] if rounded is None else [rounded]
            case SurfaceSpeed(speed) if frame.units == "inch":
                out.append(SurfaceSpeed(speed / _PER_FOOT))
            case _:
                out.append(move)
    return tuple(out)


def _words(x: float | None, z: float | None, frame: Frame) -> Place:
    return None if x is None else frame.x_word(x), None if z is None else frame.z_word(z)


def _rounded_arc(number: int, arc: Arc, x: float, z: float, frame: Frame) -> Arc | Line | None:
    """The arc from (x, z), mm, in the program frame; a line or None where it is too short."""
    begin = frame.x_word(x), frame.z_word(z)
    end_x, end_z = frame.x_word(arc.x), frame.z_word(arc.z)
    dx, dz = frame.shift
    true = sweep_of(replace(arc, x=arc.x + dx, z=arc.z + dz), x + dx, z + dz)
    if true.radius < max(SMALLEST_ARC * frame.step, 1.5 * RADIUS_TOLERANCE):  # its centre would be no centre
        return None if begin == (end_x, end_z) else Line(end_x, end_z, arc.feed / frame.unit)
    if begin == (end_x, end_z):
        if true.rise > frame.step:
            raise _no_arc(number, arc, "its ends round to one point, which would be read as a full circle")
        return None
    feed = arc.feed / frame.unit
    line = Line(end_x, end_z, feed)
    # as good as straight: a control could only go wrong on the arc
    if true.rise < frame.step / 10:
        return line
    centre = rounded_centre(true, frame.meant_by(*begin), frame.meant_by(end_x, end_z), frame.step)
    if centre is not None:
        i, k = (round(steps / 10**frame.decimals, frame.decimals) for steps in centre)
        return Arc(end_x, end_z, i, k, arc.clockwise, feed)
    if true.rise > frame.step:
        raise _no_arc(
            number,
            arc,
            f"no centre on {frame.decimals} decimals keeps its middle and brings the radii at its ends"
            f" within {RADIUS_TOLERANCE} mm; use more decimals",
        )
    return line


def _chords(arc: Arc, x: float, z: float, frame: Frame) -> Iterator[Line]:
    """The few lines that stand for an arc too large for a control, none further from it than CHORD_RISE."""
    true = sweep_of(arc, x, z)
    count = max(1, ceil(sqrt(true.rise / CHORD_RISE)))
    for k in range(1, count + 1):
        angle = true.start + true.sweep * k / count
        at = (arc.x, arc.z) if k == count else (true.x_at(angle), true.z + true.radius * cos(angle))
        yield Line(frame.x_word(at[0]), frame.z_word(at[1]), arc.feed / frame.unit)


def _no_arc(number: int, arc: Arc, why: str) -> DialectError:
    return DialectError(f"Move {number}, {named(arc)}, cannot be written: {why}.")
