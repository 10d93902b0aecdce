"""A second opinion on a program: its own block reader, and a depth map that discs are stamped into.

It shares no code with the readback, only what both hold a program against: stock, wanted section, radius of the
insert, half the last decimal. The work is a row of depths over
the radius; a sloping line or an arc is a row of discs so close that the ridges between them stay
under 0.03 um. What a motion removes is measured against its own path. Lengths mm, x a radius.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Point = tuple[float, float]

CELL = 0.005  # between two columns
RIDGE = 3e-5  # between two stamped discs
TOUCH = 0.02  # the holder may be drawn and stepped along as much off
GRAZE = 1e-4  # a rapid or a bite no deeper than this is none
BESIDE = (-0.001, -1e-4, -1e-6, 1e-6, 1e-4, 0.001)  # extra columns where the side of a disc may stand
# from the programmed point to the insert's centre, in radii of the insert: X, Z
TO_CENTRE = {"insert-centre": (0.0, 0.0), "face-outer": (-1.0, 1.0), "face-inner": (1.0, 1.0)}
SILENT = {
    7,
    8,
    18,
    20,
    21,
    40,
    43,
    61,
    54,
    55,
    56,
    57,
    58,
    59,
    90,
    94,
    95,
    96,
    97,
    99,
}  # G words without motion
NEAR_CROWN = 0.01  # a motion whose cut goes no deeper than this is one of the skim


@dataclass(frozen=True, slots=True)
class Step:
    """One motion of the insert centre; `centre` is that of an arc."""

    line: int
    rapid: bool
    start: Point
    end: Point
    centre: Point | None = None
    clockwise: bool = False

    def places(self, gap: float) -> Floats:
        """Points (N, 2) along the path, both ends included, no further apart than `gap`."""
        if self.centre is None:
            count = 2 + int(math.dist(self.start, self.end) / gap)
            return np.linspace(self.start, self.end, count)
        first, sweep, radius = self._turn()
        angles = first + sweep * np.linspace(0, 1, 2 + int(radius * abs(sweep) / gap))
        at = np.column_stack(
            (self.centre[0] + radius * np.cos(angles), self.centre[1] + radius * np.sin(angles))
        )
        at[-1] = self.end  # where the control ends, whatever the rounded radii make of it
        return at

    def distances(self, points: Floats) -> Floats:
        """Shortest distances of points (N, 2) to the path, (N,)."""
        a, b = np.array(self.start), np.array(self.end)
        if self.centre is None:
            run = b - a
            along = np.clip((points - a) @ run / max(float(run @ run), 1e-30), 0, 1)
            return np.asarray(np.linalg.norm(points - a - along[:, None] * run, axis=1))
        ends = np.minimum(*(np.linalg.norm(points - end, axis=1) for end in (a, b)))
        first, sweep, radius = self._turn()
        off = points - np.array(self.centre)
        turned = np.arctan2(off[:, 1], off[:, 0]) - first
        turned = (turned if sweep > 0 else -turned) % math.tau
        on = np.abs(np.linalg.norm(off, axis=1) - radius)
        return np.where(turned <= abs(sweep), on, ends)

    def _turn(self) -> tuple[float, float, float]:
        """Start angle from +x towards +z, signed sweep, radius. G02 goes from +z to +x: that is positive."""
        assert self.centre is not None
        (x0, z0), (x1, z1), (xc, zc) = self.start, self.end, self.centre
        first = math.atan2(z0 - zc, x0 - xc)
        turn = (math.atan2(z1 - zc, x1 - xc) - first) % math.tau
        if not self.clockwise:
            turn -= math.tau
        return first, turn, math.hypot(x0 - xc, z0 - zc)


def shift_of(control_point: str, radius: float) -> Point:
    """What to add to the programmed X (a radius) and Z, mm, to get the insert's centre."""
    x, z = TO_CENTRE[control_point]
    return x * radius, z * radius


def steps_of(text: str, *, on_diameter: bool, shift: Point) -> Iterator[Step]:
    """The motions of a program; `shift` goes from the control point to the insert centre.

    With X drawn to the right and Z up the page is turned over, so that G02 runs counter-clockwise.
    """
    unit, mode = 1.0, 0
    at: list[float | None] = [None, None]
    for number, line in enumerate(text.splitlines(), 1):
        words = re.findall(r"([A-Z])([-+]?\d*\.?\d+)", re.sub(r"\([^()]*\)", "", line))
        codes = [float(value) for letter, value in words if letter == "G"]
        for code in codes:
            if code in (20, 21):
                unit = 25.4 if code == 20 else 1.0
            elif code in (0, 1, 2, 3):
                mode = int(code)
            elif code not in SILENT and not (code in (50, 92) and any(w == "S" for w, _ in words)):
                raise ValueError(f"line {number}: G{code:g} is not known here")
        axes = {letter: float(value) * unit for letter, value in words if letter in "XZIK"}
        if not axes.keys() & {"X", "Z"}:
            continue
        if "X" in axes and on_diameter:
            axes["X"] /= 2
        to = [
            axes[letter] + more if letter in axes else old
            for letter, more, old in zip("XZ", shift, at, strict=True)
        ]
        if None not in to:
            start = tuple(new if old is None else old for new, old in zip(to, at, strict=True))
            centre = None
            if mode in (2, 3):
                centre = (start[0] + axes.get("I", 0.0), start[1] + axes.get("K", 0.0))
            yield Step(number, mode == 0, start, tuple(to), centre, mode == 2)
        at = to


@dataclass
class Opinion:
    """What the second cutter saw."""

    volume: float  # mm3 below the crown, within the counted radius
    removed: float  # mm3
    gouge: float
    stock_left: float
    skim_bite: float
    dish_bite: float
    least_x: float
    contacts: list[int] = field(default_factory=list)  # lines of rapids in metal
    holder: list[int] = field(default_factory=list)  # lines at which the holder is in metal
    bitten: tuple[int, int] = (0, 0)  # lines of the greatest bites
    r: Floats = field(default_factory=lambda: np.zeros(0))  # columns and what they hold at the end
    z: Floats = field(default_factory=lambda: np.zeros(0))


def opinion(steps: Sequence[Step], setup: Any, holder: Floats | None = None) -> Opinion:
    """Cut the stock of a readback's setup; `holder` (N, 2) are outline points from the insert centre."""
    radius = setup.insert_radius
    r = _columns(steps, radius, setup)
    stock = setup.stock.heights(r)
    z = stock.copy()
    seen = Opinion(0, 0, 0, 0, 0, 0, min((float(s.places(1.0)[:, 0].min()) for s in steps), default=0.0))
    for step in steps:
        if step.rapid and any(_taken(path, r, z, radius - GRAZE)[1].size for path in _dog_legs(step)):
            seen.contacts.append(step.line)
        if holder is not None and _holder_in(step, holder, r, z, radius):
            seen.holder.append(step.line)
        first, touched, after = _taken(step, r, z, radius)
        if touched.size:
            columns = first + touched
            before = np.column_stack((r[columns], z[columns]))
            if not step.rapid:
                _note_bite(seen, step, before, after, radius)
            z[columns] = after
    inside = r <= setup.counted_radius + 1e-9
    depth = np.maximum(0.0, -z)
    depth[depth <= setup.half_z + 1e-6] = 0.0
    seen.volume = _turned(r[inside], depth[inside])
    seen.removed = _turned(r, stock - z)
    wanted = setup.finished.heights(r)
    seen.gouge = _off((r, z), (r, wanted), wanted - z > 1e-5)
    seen.stock_left = _off((r, z), (r, wanted), (z - wanted > 1e-5) & (stock - wanted > 1e-6))
    seen.r, seen.z = r, z
    return seen


def apart(one: Opinion, other: Opinion) -> float:
    """Greatest distance from the surface that one program leaves to that of another."""
    here = np.abs(one.z - np.interp(one.r, other.r, other.z)) > 1e-5
    return _off((one.r, one.z), (other.r, other.z), here)


def outline(holder: Any, radius: float) -> Floats:
    """Points (N, 2), at most 0.5 mm apart, round a holder as its job states it, from the insert centre."""
    if holder.outline is not None:
        corners = np.array(holder.outline)
    elif holder.direction == math.pi / 2:
        # over the crown: its side stands back, its end is flush with the insert's inner side
        front = (holder.set_back or 0.0) - radius
        left, right = -radius, (holder.overhang or 100.0) - radius
        corners = np.array(
            ((left, front), (right, front), (right, front + holder.width), (left, front + holder.width))
        )
    else:
        along = np.array((math.sin(holder.direction), math.cos(holder.direction)))
        aside = np.array((along[1], -along[0])) * holder.width / 2
        front = along * ((holder.set_back or 0.0) - radius)
        back = along * ((holder.overhang or 100.0) - radius)
        corners = np.array((front - aside, front + aside, back + aside, back - aside))
    sides = zip(corners, np.roll(corners, -1, axis=0), strict=True)
    return np.vstack([np.linspace(a, b, 2 + int(2 * math.dist(a, b))) for a, b in sides])


def _columns(steps: Sequence[Step], radius: float, setup: Any) -> Floats:
    outer = setup.stock.outer
    sides = {round(x + side, 7) for s in steps for x in (s.start[0], s.end[0]) for side in (-radius, radius)}
    sides |= {s.r2 for section in (setup.stock, setup.finished) for s in section.segments}
    sides.add(setup.counted_radius)
    extra = (np.array(sorted(sides))[:, None] + np.array(BESIDE)).ravel()
    every = np.concatenate((np.linspace(0, outer, 2 + int(outer / CELL)), extra, [setup.counted_radius]))
    return np.unique(every[(every >= 0) & (every <= outer)])


def _dog_legs(step: Step) -> list[Step]:
    """The straight way of a rapid and both ways round its corners."""
    (x0, z0), (x1, z1) = step.start, step.end
    if x0 == x1 or z0 == z1:
        return [step]
    corners = ((x0, z1), (x1, z0))
    legs = [Step(step.line, True, a, b) for c in corners for a, b in ((step.start, c), (c, step.end))]
    return [step, *legs]


def _taken(step: Step, r: Floats, z: Floats, radius: float) -> tuple[int, NDArray[np.intp], Floats]:
    """First column in reach, which of those from there are lowered, and to what."""
    (x0, z0), (x1, z1) = step.start, step.end
    if step.centre is None and x0 == x1:
        discs = np.array([[x0, min(z0, z1)]])
    elif step.centre is None and z0 == z1:
        discs = np.array([step.start, step.end])
    else:
        discs = step.places(math.sqrt(8 * RIDGE * radius))
    lo, hi = np.searchsorted(r, (discs[:, 0].min() - radius, discs[:, 0].max() + radius))
    low = z[lo:hi].copy()
    columns = r[lo:hi]
    if discs[:, 1].min() - radius < (low.max() if low.size else -math.inf):
        for x, height in discs:
            i, k = np.searchsorted(columns, (x - radius, x + radius))
            under = height - np.sqrt(np.maximum(0.0, radius**2 - (columns[i:k] - x) ** 2))
            np.minimum(low[i:k], under, out=low[i:k])
        if step.centre is None and z0 == z1:
            i, k = np.searchsorted(columns, (min(x0, x1), max(x0, x1)))
            np.minimum(low[i:k], z0 - radius, out=low[i:k])
    touched = np.flatnonzero(low < z[lo:hi] - 1e-9)
    return int(lo), touched, low[touched]


def _note_bite(seen: Opinion, step: Step, before: Floats, after: Floats, radius: float) -> None:
    real = before[:, 1] - after > GRAZE
    if not real.any():
        return
    taken = float(radius - step.distances(before[real]).min())
    if after[real].min() > -NEAR_CROWN:
        if taken > seen.skim_bite:
            seen.skim_bite, seen.bitten = taken, (step.line, seen.bitten[1])
    elif taken > seen.dish_bite:
        seen.dish_bite, seen.bitten = taken, (seen.bitten[0], step.line)


def _holder_in(step: Step, holder: Floats, r: Floats, z: Floats, radius: float) -> bool:
    """Whether a point of the holder's outline meets metal that the insert has not taken before it came."""
    centres = step.places(0.25)
    points = centres[:, None, :] + holder[None, :, :]
    x = np.abs(points[..., 0])
    hit = (x <= r[-1]) & (points[..., 1] < np.interp(x, r, z) - TOUCH)
    points[..., 0] = x  # the work turns: beyond the axis is what stands at the same radius on this side
    return any(
        np.linalg.norm(centres[: place + 1] - points[place, k], axis=1).min() > radius + TOUCH
        for place, k in np.argwhere(hit)
    )


def _off(cut: tuple[Floats, Floats], to: tuple[Floats, Floats], where: NDArray[np.bool_]) -> float:
    """Greatest distance from one surface, at those of its columns, to another with its land."""
    if not where.any():
        return 0.0
    r, z = to
    # the land falls straight down from the outer end
    line = np.column_stack((np.append(r, r[-1]), np.append(z, z[-1] - 5.0)))
    steps = np.maximum(1, np.ceil(np.linalg.norm(np.diff(line, axis=0), axis=1) / CELL).astype(int))
    places = np.concatenate([k + np.arange(n) / n for k, n in enumerate(steps)] + [[len(line) - 1.0]])
    index = np.arange(len(line))
    marks = np.column_stack([np.interp(places, index, column) for column in line.T])
    points = np.column_stack(cut)[where]
    near = cKDTree(marks).query(points)[1]
    beside = [np.clip(near + k, 0, len(marks) - 1) for k in (-1, 1)]
    return float(np.minimum(*(_to_chord(points, marks[near], marks[k]) for k in beside)).max())


def _to_chord(points: Floats, a: Floats, b: Floats) -> Floats:
    run = b - a
    square = np.maximum((run * run).sum(axis=1), 1e-30)
    along = np.clip(((points - a) * run).sum(axis=1) / square, 0, 1)
    return np.asarray(np.linalg.norm(points - a - along[:, None] * run, axis=1))


def _turned(r: Floats, depth: Floats) -> float:
    """Volume of a depth over r turned about the axis: a frustum between two columns."""
    a, b, p, q = r[:-1], r[1:], depth[:-1], depth[1:]
    return float(np.sum(np.pi / 3 * (b - a) * (p * (2 * a + b) + q * (a + 2 * b))))
