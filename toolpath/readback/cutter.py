"""Cuts the stock motion by motion, as z over r, and watches the rapids."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.arrays import distinct
from toolpath.geometry.chain import Chain
from toolpath.readback.motions import Motion
from toolpath.readback.standing import Bands
from toolpath.readback.sweep import AXIS, Floats, Piece, arc_pieces, disc, heights, line_pieces, lower_to

CELLS = 6000  # between the axis and the crown edge
Bools = NDArray[np.bool_]

CROWN = 0.01  # mm; where the metal ends no deeper than this, the crown was faced
NEAR = 0.36  # mm over a motion in which levels count: one that was moved 0.3 mm deeper is still its own
CONTACT = 1e-4  # mm; a rapid may graze the metal by this much
_SPLIT = 8  # parts of a cell that is refined
_ROUNDS = 6  # a wall is found to CELL / 8^6
_CELL_ERROR = 2e-6  # mm3; a cell that may be further off is refined
_MOST_REACHES = 4000  # radii of rapids put into the grid, so that its size stays bounded


class MostBite(NamedTuple):
    """The thickness (mm) that a motion may take, normal to its path, by where it goes."""

    over: float  # where the metal ends at the finished crown or over it
    anywhere: float  # below it, whatever the height
    levels: tuple[tuple[float, float], ...] = ()  # z of the foremost point of a level, and what it may take
    spacing: float = 0.0  # greatest distance between two levels, mm

    def below(self, z: float) -> float:
        """What a motion may take whose foremost point goes down to z: as the levels about it do."""
        near = (bite for level, bite in self.levels if z - self.spacing <= level <= z + NEAR)
        return max(self.anywhere, max(near, default=0.0))


class CutStock(NamedTuple):
    """The work after the last motion.

    `r` and `z` (N,), mm, the final surface, refined where it is steep; `stock` (N,) the surface
    before; `contacts` the indices of the rapids that touched metal.
    """

    r: Floats
    z: Floats
    stock: Floats
    pieces: Floats
    owners: tuple[int, ...]  # motion of each piece
    contacts: tuple[int, ...]
    bites: tuple[tuple[int, float], ...] = ()  # motions that took more than they may, with the thickness
    standing: tuple[int, float, float] | None = None  # motion, radius and height of metal left over a cut
    taken: tuple[float, ...] = ()  # height, mm, that each motion took off the stock
    met: tuple[float, ...] = ()  # the same off the highest that the stock may stand

    def last_at(self, r: float) -> int | None:
        """Index of the motion whose cut is the surface at r (mm), None where it is the stock."""
        there = np.flatnonzero((self.pieces[:, 0] <= r) & (r <= self.pieces[:, 1]))
        if not there.size:
            return None
        at = [float(heights(self.pieces[k].tolist(), np.array([r]))[0]) for k in there]
        return self.owners[int(there[int(np.argmin(at))])]


def cut(
    motions: Sequence[Motion],
    stock: Chain,
    insert_radius: float,
    marks: Sequence[float] = (),
    most_bite: "MostBite | None" = None,
    wary: Chain | None = None,
) -> CutStock:
    """Cut `stock` by motions of a disc of `insert_radius` (mm); `marks` are radii the grid must hold.

    `most_bite` says what thickness a motion may take; with it, metal left standing over a cut is told too.
    `wary` is the highest that the stock may stand, itself by default.
    """
    r = _grid(motions, stock, insert_radius, marks)
    z = stock.heights(r)
    top = float(z.max())
    kept: list[Piece] = []
    owners: list[int] = []
    contacts: list[int] = []
    bites: list[tuple[int, float]] = []
    bands = Bands(r, insert_radius)
    highest = None if wary is None else np.maximum(z, wary.heights(r))
    heights_taken, heights_met = np.zeros(len(motions)), np.zeros(len(motions))
    for number, motion in enumerate(motions):
        if motion.rapid:
            if not _touches(motion, z, r, insert_radius, top, stock.outer):
                continue
            contacts.append(number)
        new = _pieces(motion, insert_radius)
        before = z.copy()
        lower_to(z, r, np.array(new))
        heights_taken[number] = heights_met[number] = (before - z).max()
        if highest is not None:
            stood = highest.copy()
            lower_to(highest, r, np.array(new))
            heights_met[number] = (stood - highest).max()
        if most_bite is not None:
            bands.after(number, motion, before, z)
            over = z > -CROWN
            below = most_bite.below(motion.lowest - insert_radius)
            for here, limit in ((over, most_bite.over), (~over, below)):
                taken = _bite(motion, r, before, z, insert_radius, limit, here)
                if taken > limit:
                    bites.append((number, taken))
                    break
        kept += new
        owners += [number] * len(new)
    pieces = np.array(kept).reshape(-1, 7)
    stands = bands.worst(max(marks, default=stock.outer))
    r, z = _refined(r, z, stock, pieces)
    return CutStock(
        r,
        z,
        stock.heights(r),
        pieces,
        tuple(owners),
        tuple(contacts),
        tuple(bites),
        stands,
        tuple(heights_taken),
        tuple(heights_met),
    )


def _bite(
    motion: Motion, r: Floats, before: Floats, after: Floats, radius: float, limit: float, here: Bools
) -> float:
    """Greatest thickness (mm) that a motion took, normal to its path; 0 where it is surely within the limit."""
    deep = here & (before - after > limit)
    if not deep.any():
        return 0.0
    high = np.minimum(before[deep], motion.highest)
    return radius - float(motion.distances(r[deep], high).min())


def _pieces(motion: Motion, radius: float) -> list[Piece]:
    if motion.radius:
        return arc_pieces(motion, radius)
    if motion.x1 is None or motion.z1 is None:
        return [disc(motion.x2, motion.z2, radius)]
    return line_pieces(motion.x1, motion.z1, motion.x2, motion.z2, radius)


def _grid(motions: Sequence[Motion], stock: Chain, radius: float, marks: Sequence[float]) -> Floats:
    """An even grid, the ends of all segments, the marks, and how far each rapid's disc reaches sideways."""
    reaches = {x for m in motions if m.rapid for x in (m.x2 - radius + CONTACT, m.x2 + radius - CONTACT)}
    some = sorted(x for x in reaches if 0 < x < stock.outer)[:_MOST_REACHES]
    ends = [s.r2 for s in stock.segments]
    extra = [x for x in (*some, *ends, *marks) if 0 < x < stock.outer]
    return distinct(np.concatenate((np.linspace(0.0, stock.outer, CELLS + 1), extra)))


def _touches(motion: Motion, z: Floats, r: Floats, radius: float, top: float, outer: float) -> bool:
    """True when the straight line or either dog-leg of a rapid touches the work as it now is."""
    x1, z1, x2, z2 = motion.x1, motion.z1, motion.x2, motion.z2
    # an axis that was not stated before is taken to come from far outside the work
    x1 = max(x2, outer + 2 * radius) if x1 is None else x1
    z1 = max(z2, top + 2 * radius) if z1 is None else z1
    inside = radius - CONTACT
    if min(z1, z2) - inside > top or min(x1, x2) - inside > outer:
        return False
    if motion.x1 is None and motion.z1 is None:
        paths = [disc(x2, z2, inside)]
    elif x1 == x2 or z1 == z2:
        paths = line_pieces(x1, z1, x2, z2, inside)
    else:
        paths = line_pieces(x1, z1, x2, z2, inside)
        for corner in ((x2, z1), (x1, z2)):
            paths += line_pieces(x1, z1, *corner, inside) + line_pieces(*corner, x2, z2, inside)
    lowered = np.full_like(z, np.inf)
    lower_to(lowered, r, np.array(paths))
    return bool((lowered < z - 1e-9).any())


def _refined(r: Floats, z: Floats, stock: Chain, pieces: Floats) -> tuple[Floats, Floats]:
    """The surface with its doubtful cells split until their volume is known."""
    before = stock.heights(r)
    for _ in range(_ROUNDS):
        doubtful = np.flatnonzero((_doubt(r, z) > _CELL_ERROR) | (_doubt(r, before) > _CELL_ERROR))
        if not doubtful.size:
            break
        lo, hi = r[doubtful], r[doubtful + 1]
        parts = np.arange(1, _SPLIT) / _SPLIT
        new = (lo[:, None] + (hi - lo)[:, None] * parts).ravel()
        new_before = stock.heights(new)
        new_z = new_before.copy()
        lower_to(new_z, new, pieces)
        places = np.repeat(doubtful + 1, _SPLIT - 1)
        r, z = np.insert(r, places, new), np.insert(z, places, new_z)
        before = np.insert(before, places, new_before)
    return r, z


def _doubt(r: Floats, z: Floats) -> Floats:
    """How far off the volume of each cell may be, mm3: its slope against those of its neighbours."""
    h = np.diff(r)
    slope = np.diff(z) / h
    bend = np.abs(np.diff(slope))
    worst = np.maximum(np.append(bend, 0.0), np.insert(bend, 0, 0.0))
    doubt: Floats = worst * h * h * (r[1:] * (2 * np.pi / 8))
    return doubt


def volume_under(r: Floats, depth: Floats) -> float:
    """Volume (mm3) of a depth over r, turned about the axis; exact for straight lines between points."""
    h = np.diff(r)
    mean_r, mean_d = (r[1:] + r[:-1]) / 2, (depth[1:] + depth[:-1]) / 2
    return float(2 * np.pi * np.sum(h * (mean_r * mean_d + h * np.diff(depth) / 12)))


def passed_axis(motions: Sequence[Motion]) -> tuple[int, ...]:
    """Indices of the motions that take the insert centre past the axis."""
    return tuple(
        k
        for k, m in enumerate(motions)
        if m.least_x < -AXIS and (m.x1 is None or m.x1 >= -AXIS or (m.x1, m.z1) == (m.x2, m.z2))
    )
