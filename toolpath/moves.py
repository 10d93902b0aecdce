"""Typed moves: what the planner says and every postprocessor understands.

Two frames use the same types. The planner writes moves in the *insert-centre* frame: X as radius
from the spindle axis, Z from the finished crown (positive away from the chuck), mm, mm/rev. The
program frame is what the control reads: X and Z of the control point, X as diameter or radius,
mm or inch, rounded to the program's decimals, feed per revolution or per minute. Arc centres
(i, k) are always offsets from the start point, i as a radius. `toolpath.motion` maps the first
onto the second; a postprocessor sees only the second.
"""

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

ControlPoint = Literal["insert-centre", "face-outer", "face-inner"]
# from the insert's centre to the point whose X and Z a program or readout states: X (radius) and Z, in
# radii of the insert
SHIFTS: dict[ControlPoint, tuple[int, int]] = {
    "insert-centre": (0, 0),
    "face-outer": (1, -1),
    "face-inner": (-1, -1),
}
Sense = Literal["cw", "ccw"]  # seen from the spindle looking towards the work (M03, M04)


@dataclass(frozen=True, slots=True)
class Rapid:
    """Move one axis at the control's rapid rate; exactly one of x and z is given."""

    x: float | None = None
    z: float | None = None

    def __post_init__(self) -> None:
        if (self.x is None) == (self.z is None):
            raise ValueError("a rapid moves exactly one axis, x or z")


@dataclass(frozen=True, slots=True)
class Line:
    """Straight line at feed to (x, z)."""

    x: float
    z: float
    feed: float


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular arc at feed to (x, z) about start + (i, k).

    `clockwise` is the standard's sense, seen from +Y (with Z drawn to the right and X up):
    the floor-to-wall corner of a dish, cut outward, is clockwise (G02).
    """

    x: float
    z: float
    i: float
    k: float
    clockwise: bool
    feed: float


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment for the operator; the writer makes it harmless."""

    text: str


@dataclass(frozen=True, slots=True)
class Stop:
    """Program stop; optional ones are taken only when the operator's switch is on."""

    optional: bool
    text: str


@dataclass(frozen=True, slots=True)
class SpeedCap:
    """Upper limit of the spindle under constant surface speed, rev/min."""

    rpm: float


@dataclass(frozen=True, slots=True)
class FixedSpeed:
    """Fixed spindle speed, rev/min; cancels constant surface speed. `start` gives the sense to start in."""

    rpm: float
    start: Sense | None = None


@dataclass(frozen=True, slots=True)
class SurfaceSpeed:
    """Constant surface speed, m/min (ft/min in an inch program), from the programmed X."""

    speed: float


@dataclass(frozen=True, slots=True)
class SpindleStop:
    """Stop the spindle."""


@dataclass(frozen=True, slots=True)
class Coolant:
    """Coolant on or off."""

    on: bool


@dataclass(frozen=True, slots=True)
class Index:
    """Take the tool away along one axis for the turret to swing: home, or to `at` in machine coordinates.

    `at` is what the control shows there: mm before `to_program`, program units after it; None is home.
    """

    axis: Literal["x", "z"]
    at: float | None = None


@dataclass(frozen=True, slots=True)
class Begin:
    """A section begins: all that must be in force is stated anew, so that the program may be started here.

    `number` is that of its block, None before the proof, where a program is never entered; `after` names
    the section that must be cut before.
    """

    number: int | None = None
    title: str = ""
    after: str = ""


Motion: TypeAlias = Rapid | Line | Arc
Move: TypeAlias = (
    Motion | Remark | Stop | SpeedCap | FixedSpeed | SurfaceSpeed | SpindleStop | Coolant | Index | Begin
)


class Header(NamedTuple):
    """What stands at the head of a program, in the program frame; free text is not yet made safe."""

    title: str
    lines: tuple[str, ...]  # which piston and cut, touch-off, proof, cautions: one comment block each
    units: Literal["mm", "inch"]
    x_reading: Literal["diameter", "radius"]
    decimals: int  # of X, Z, I, K
    work_offset: str  # a word such as "G54", or "" for none
    tool_word: str  # such as "T0101" or "T1 M6 G43 H1", or "" for none
    program_number: int | None
    block_numbers: bool
    percent: bool


class Program(NamedTuple):
    """A whole program in the program frame: the only thing that is handed to a postprocessor."""

    header: Header
    moves: tuple[Move, ...]


class Row(NamedTuple):
    """One cut of the DRO table at constant z, as the readout shows it (program frame).

    With the top slide set over the cut ends at another height; the readout does not follow it there.
    """

    cut: str  # "skim", "rough", "finish"; "step" from solid metal to the finished section
    z: float
    x_start: float
    x_stop: float
    infeed: float  # how far below the row before, same unit as z
    how: str  # what the hand does
    z_to: float | None = None  # z at x_stop, where the top slide goes there
    angle: float | None = None  # of the top slide, degrees off the cross slide's way
    travel: float | None = None  # of the top slide, same unit as z


class Table(NamedTuple):
    """The DRO table: header lines and rows in the readout's units."""

    title: str
    lines: tuple[str, ...]
    units: Literal["mm", "inch"]
    x_reading: Literal["diameter", "radius"]
    decimals: int
    rows: tuple[Row, ...]
    closing: tuple[str, ...]  # expected volume, what is left to blend
