"""From moves to moves: what happens to the planner's moves before a postprocessor sees them.

The filters, in the order in which they are used; all but the last work in the insert-centre frame
(mm, X as radius, mm/rev):

- `lifted` raises a proving copy;
- `seconds_of` and `timed` say what the control will need for the moves as they are;
- `fixed_speed`, then `feed_per_minute`, for controls without constant surface speed;
- `to_program` gives the moves in the program frame, rounded to the program's decimals.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import asin, ceil, cos, floor, hypot, inf, isfinite, pi, sqrt, tau
from typing import Literal

from toolpath.errors import DialectError
from toolpath.moves import Arc, FixedSpeed, Line, Move, Rapid, SpeedCap, SpindleStop, SurfaceSpeed
from toolpath.sweeps import RADIUS_TOLERANCE, Sweep, rounded_centre

ControlPoint = Literal["insert-centre", "face-outer", "face-inner"]

SMALLEST_ARC = 3  # times the last decimal; a smaller arc is written as the line to its end
LARGEST_ARC = 90_000.0  # mm; a centre further off has no number that controls take
CHORD_RISE = 0.0002  # mm
ON_AXIS = 1e-6  # mm; a planned place no further past the axis is on it
_PER_FOOT = 0.3048  # m, exact

_Place = tuple[float | None, float | None]  # x and z; None while unknown


@dataclass(frozen=True, slots=True)
class Frame:
    """How the program states a position of the insert."""

    control_point: ControlPoint
    insert_radius: float  # mm
    x_reading: Literal["diameter", "radius"]
    units: Literal["mm", "inch"]
    decimals: int  # of X, Z, I, K

    def __post_init__(self) -> None:
        if not (isfinite(self.insert_radius) and self.insert_radius > 0):
            raise ValueError(f"the insert radius {self.insert_radius} mm must be more than 0")
        if not 1 <= self.decimals <= 9:
            raise ValueError(f"{self.decimals} decimals: between 1 and 9 can be written")

    @property
    def unit(self) -> float:
        """One program unit, mm."""
        return 1.0 if self.units == "mm" else 25.4

    @property
    def step(self) -> float:
        """One in the last decimal of Z, I and K, mm."""
        return self.unit / 10.0**self.decimals

    @property
    def shift(self) -> tuple[float, float]:
        """From the insert centre to the control point in X (radius) and Z, mm."""
        sideways, forward = {"insert-centre": (0, 0), "face-outer": (1, -1), "face-inner": (-1, -1)}[
            self.control_point
        ]
        return sideways * self.insert_radius, forward * self.insert_radius

    def x_word(self, x: float) -> float:
        """The X of the program, rounded, when the insert centre is at radius x mm."""
        words = (x + self.shift[0]) * self._x_factor / self.unit
        word = round(words, self.decimals)
        if x > -ON_AXIS and word * self.unit / self._x_factor - self.shift[0] < 0:
            word = round(word + 10.0**-self.decimals, self.decimals)  # never past the axis by rounding
        return word + 0.0  # adding zero turns a negative zero into zero

    def z_word(self, z: float) -> float:
        """The Z of the program, rounded, when the insert centre is at z mm."""
        return round((z + self.shift[1]) / self.unit, self.decimals) + 0.0

    def meant_by(self, x_word: float, z_word: float) -> tuple[float, float]:
        """The control point's radius and Z, mm, that the control takes from an X and Z."""
        return x_word * self.unit / self._x_factor, z_word * self.unit

    @property
    def _x_factor(self) -> float:
        return 2.0 if self.x_reading == "diameter" else 1.0


@dataclass(frozen=True, slots=True)
class Times:
    """How long the control needs, seconds; stops and speed changes are not counted."""

    cutting_s: float  # at feed
    rapid_s: float
    total_s: float


def lifted(moves: Iterable[Move], by: float) -> tuple[Move, ...]:
    """The same moves with every Z raised by `by` mm, for a proving copy above the work."""
    return tuple(
        replace(m, z=m.z + by) if isinstance(m, Rapid | Line | Arc) and m.z is not None else m for m in moves
    )


# ---- spindle and time --------------------------------------------------------------------------


def fixed_speed(moves: Sequence[Move], frame: Frame, rpm_limit: float = inf) -> tuple[Move, ...]:
    """Fixed speeds in place of constant surface speed, for controls that have none.

    Each `SurfaceSpeed` becomes the speed, rev/min rounded down, at which the largest programmed X
    at feed before the next speed word runs at that surface speed: nothing is cut faster. It stays
    under the caps in the moves and under `rpm_limit`. Caps are dropped, and so is a surface speed
    under which nothing is fed.
    """
    out: list[Move] = []
    cap = rpm_limit
    located = tuple(_located(moves))
    for index, (move, _) in enumerate(located):
        match move:
            case SpeedCap(rpm):
                cap = min(rpm, rpm_limit)
            case SurfaceSpeed(speed):
                largest = _largest_x(located[index + 1 :], frame)
                if largest is not None:
                    rpm = min(cap, 1000 * speed / (tau * largest)) if largest else cap
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
                    raise DialectError(f"Move {number}, {_named(move)}, feeds under no fixed speed.")
                move = replace(move, feed=feed * rpm)
        out.append(move)
    return tuple(out)


def timed(moves: Iterable[Move], frame: Frame, rapid_rate: float) -> Times:
    """The times of all moves together; see `seconds_of`."""
    cutting = rapid = 0.0
    moves = tuple(moves)
    for move, seconds in zip(moves, seconds_of(moves, frame, rapid_rate), strict=True):
        if isinstance(move, Rapid):
            rapid += seconds
        else:
            cutting += seconds
    return Times(cutting, rapid, cutting + rapid)


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
    for number, (move, start) in enumerate(_located(moves), 1):
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
                    raise DialectError(f"Move {number}, {_named(move)}, feeds under no speed.")
                x, z = _known(start, number, move)
                if isinstance(speed, FixedSpeed):
                    seconds = 60 * _length(move, x, z) / (feed * speed.rpm)
                else:
                    per_radius = tau / (1000 * speed.speed)  # minutes a turn, per mm of radius
                    least = 1 / (cap * per_radius)
                    seconds = 60 * per_radius * _length_by_x(move, x, z, frame.shift[0], least) / feed
        out.append(seconds)
    return tuple(out)


# ---- the program frame -------------------------------------------------------------------------


def to_program(moves: Iterable[Move], frame: Frame) -> tuple[Move, ...]:
    """The moves as the control reads them: control point, reading, units, rounded to the last decimal.

    Moves that rounding leaves no length are dropped. An arc's centre is chosen on the last decimal
    so that the radii at its rounded ends agree within 0.002 mm and its middle stays nearest to
    where it was; an arc too short or too flat for that becomes a line or nothing, never another
    arc. Surface speeds become ft/min in an inch program.

    Raises DialectError, naming the move, where an arc has no start point or no such centre.
    """
    out: list[Move] = []
    for number, (move, start) in enumerate(_located(moves), 1):
        was = _words(*start, frame)
        match move:
            case Rapid(x, z):
                words = _words(x, z, frame)
                if words != (None if x is None else was[0], None if z is None else was[1]):
                    out.append(Rapid(*words))
            case Line(x, z, feed):
                if _words(x, z, frame) != was:
                    out.append(Line(frame.x_word(x), frame.z_word(z), feed / frame.unit))
            case Arc() if hypot(move.i, move.k) > LARGEST_ARC:
                out += _chords(move, *_known(start, number, move), frame)
            case Arc():
                rounded = _rounded_arc(number, move, *_known(start, number, move), frame)
                out += [] if rounded is None else [rounded]
            case SurfaceSpeed(speed) if frame.units == "inch":
                out.append(SurfaceSpeed(speed / _PER_FOOT))
            case _:
                out.append(move)
    return tuple(out)


def _words(x: float | None, z: float | None, frame: Frame) -> _Place:
    return None if x is None else frame.x_word(x), None if z is None else frame.z_word(z)


def _rounded_arc(number: int, arc: Arc, x: float, z: float, frame: Frame) -> Arc | Line | None:
    """The arc from (x, z), mm, in the program frame; a line or None where it is too short."""
    begin = frame.x_word(x), frame.z_word(z)
    end_x, end_z = frame.x_word(arc.x), frame.z_word(arc.z)
    dx, dz = frame.shift
    true = _sweep(replace(arc, x=arc.x + dx, z=arc.z + dz), x + dx, z + dz)
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
    true = _sweep(arc, x, z)
    count = max(1, ceil(sqrt(true.rise / CHORD_RISE)))
    for k in range(1, count + 1):
        angle = true.start + true.sweep * k / count
        at = (arc.x, arc.z) if k == count else (true.x_at(angle), true.z + true.radius * cos(angle))
        yield Line(frame.x_word(at[0]), frame.z_word(at[1]), arc.feed / frame.unit)


def _no_arc(number: int, arc: Arc, why: str) -> DialectError:
    return DialectError(f"Move {number}, {_named(arc)}, cannot be written: {why}.")


# ---- shared ------------------------------------------------------------------------------------


def _located(moves: Iterable[Move]) -> Iterator[tuple[Move, _Place]]:
    """Every move with the place where it starts."""
    x: float | None = None
    z: float | None = None
    for move in moves:
        yield move, (x, z)
        if isinstance(move, Rapid | Line | Arc):
            x = x if move.x is None else move.x
            z = z if move.z is None else move.z


def _known(place: _Place, number: int, move: Line | Arc) -> tuple[float, float]:
    x, z = place
    if x is None or z is None:
        raise DialectError(f"Move {number}, {_named(move)}, has no start point: move both axes before it.")
    return x, z


def _named(move: Line | Arc) -> str:
    return f"{type(move).__name__.lower()} of the insert centre to radius {move.x:.4f}, Z {move.z:.4f} mm"


def _sweep(arc: Arc, x: float, z: float) -> Sweep:
    return Sweep.about((x + arc.i, z + arc.k), (x, z), (arc.x, arc.z), arc.clockwise)


def _largest_x(located: Iterable[tuple[Move, _Place]], frame: Frame) -> float | None:
    """The largest radius of the control point at feed before the next speed word, mm; None without feed."""
    xs: list[float] = []
    for move, (x, z) in located:
        if isinstance(move, FixedSpeed | SurfaceSpeed):
            break
        if isinstance(move, Line | Arc):
            xs += [move.x] if x is None else [x, move.x]
        if isinstance(move, Arc) and x is not None and z is not None:
            arc = _sweep(move, x, z)
            xs += [arc.x_at(angle) for angle in arc.within(pi / 2, -pi / 2)]
    return max((abs(at + frame.shift[0]) for at in xs), default=None)


def _length(move: Line | Arc, x: float, z: float) -> float:
    if isinstance(move, Line):
        return hypot(move.x - x, move.z - z)
    arc = _sweep(move, x, z)
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
        arc = _sweep(move, x, z)
        scale = arc.radius
        ratios = [(to - shift - arc.x) / arc.radius for to in (least, -least)]
        angles = [a for ratio in ratios if abs(ratio) <= 1 for a in (asin(ratio), pi - asin(ratio))]
        stops = [arc.start, *arc.within(*angles), arc.start + arc.sweep]
        grown = [(arc.x + shift) * t - arc.radius * cos(t) for t in stops]
    pieces = zip(pairwise(stops), pairwise(grown), strict=True)
    return scale * sum(max(least * abs(t1 - t0), abs(b - a)) for (t0, t1), (a, b) in pieces)
