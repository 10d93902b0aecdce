"""Terraces: a curved wall as steps at constant height, each with its stop.

A curve of the insert's centre is cut into *walls*, stretches that rise or fall all the way. At a
height, a falling wall (seen outward) opens the room in which the centre may move, a rising one closes it.
"""

import math
from collections.abc import Sequence
from itertools import chain
from typing import NamedTuple

import numpy as np

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Arc, Floats, Segment
from toolpath.geometry.tolerance import JOIN, SLIVER, TIE


class Wall(NamedTuple):
    """Segments that all rise, or all fall, outward; level stretches between them are left out."""

    rising: bool
    segments: tuple[Segment, ...]

    @property
    def low(self) -> float:
        """Height of the foot, mm."""
        return self.segments[0].z1 if self.rising else self.segments[-1].z2

    @property
    def top(self) -> float:
        """Height of the upper end, mm."""
        return self.segments[-1].z2 if self.rising else self.segments[0].z1

    def stops(self, z: Floats) -> Floats:
        """The r (mm) to which the centre may go at heights z (N,) between foot and top, (N,)."""
        never = -np.inf if self.rising else np.inf
        best = np.full(z.shape, never)
        for s in self.segments:
            foot, top = min(s.z1, s.z2), max(s.z1, s.z2)
            reach = np.where(z < foot - TIE, never, _r_at(s, np.clip(z, foot, top)))
            best = np.maximum(best, reach) if self.rising else np.minimum(best, reach)
        return best


def _r_at(s: Segment, z: Floats) -> Floats:
    """The r at heights z on a segment that rises or falls all the way."""
    if isinstance(s, Arc):
        half = np.sqrt(np.maximum(0.0, s.radius**2 - (z - s.zc) ** 2))
        outer = s.lower == (s.z2 > s.z1)  # a lower arc rises in its outer half, an upper one falls there
        r = s.rc + half if outer else s.rc - half
        return np.clip(r, s.r1, s.r2)
    share: Floats = (z - s.z1) / (s.z2 - s.z1)
    return s.r1 + (s.r2 - s.r1) * share


class Terraces(NamedTuple):
    """The walls of a centre curve, from the axis outward."""

    walls: tuple[Wall, ...]
    curve: Chain

    @classmethod
    def of(cls, curve: Chain) -> "Terraces":
        """The walls of a curve that starts on the axis."""
        runs: list[tuple[bool, list[Segment]]] = []
        for s in chain.from_iterable(map(_halves, curve.segments)):
            if abs(s.z2 - s.z1) <= SLIVER:
                continue
            rising = s.z2 > s.z1
            if not runs or runs[-1][0] != rising:
                runs.append((rising, []))
            runs[-1][1].append(s)
        return cls(tuple(Wall(rising, tuple(run)) for rising, run in runs), curve)

    def rooms(self, z: float) -> list[tuple[float, float]]:
        """Where the centre may be at height z: (from, to) in r, mm, in order."""
        out: list[tuple[float, float]] = []
        begin = 0.0 if self.curve.segments[0].z1 <= z + TIE else None
        at = np.array([z])
        for wall in self.walls:
            if not wall.low <= z + TIE < wall.top:
                continue
            r = float(wall.stops(at)[0])
            if not wall.rising:
                begin = r
            elif begin is not None:
                out.append((begin, r))
                begin = None
        return out if begin is None else [*out, (begin, self.curve.outer)]

    def room_at(self, wall: Wall, z: float) -> tuple[float, float]:
        """The room at height z that ends at a wall, between that wall's foot and top."""
        stop = float(wall.stops(np.array([z]))[0])
        rooms = self.rooms(z)
        if not rooms or not math.isfinite(stop):  # a wall that ends just here
            return 0.0, 0.0
        return min(rooms, key=lambda room: abs(room[1 if wall.rising else 0] - stop))


def _halves(s: Segment) -> Sequence[Segment]:
    """A segment parted where it turns from falling to rising, or back."""
    if isinstance(s, Arc) and s.r1 + JOIN < s.rc < s.r2 - JOIN:
        return s.clipped(s.r1, s.rc), s.clipped(s.rc, s.r2)
    return (s,)


def climbed(
    wall: Wall,
    z: Floats,
    over: float,
    cut: Chain,
    radius: float,
    step_height: float,
    most: float,
    *,
    solid: bool = False,
) -> list[int]:
    """Which of the heights z (N,), rising from the wall's foot, are needed: their indices from 0 up.

    The insert of `radius` goes to its stop at each, and past it at the height `over`; what
    it leaves of the section `cut` is no thicker than `step_height`, but for steps of one height, which
    cannot be finer. No step is over `most`, nor, where the metal is `solid`, the last one up to `over`;
    all mm.
    """
    side = 1.0 if wall.rising else -1.0
    x = wall.stops(z) * side

    def fine(k: int, others: Sequence[int]) -> list[bool]:
        """Whether a row at z[k] and the next at each of `others` leave little enough; z.size is the plane."""
        above = np.array([over if j == z.size else z[j] for j in others])
        stops = np.array([x[k] + 4 * radius if j == z.size else x[j] for j in others])
        cusps = _cusps(float(x[k]), float(z[k]), stops, above, radius)
        cusps[:, 0] *= side
        return [bool(d <= step_height) for d in cut.distances(cusps)]

    chosen = [0]
    while chosen[-1] + 1 < z.size:
        k = chosen[-1]
        last = int(np.searchsorted(z, z[k] + most + TIE, side="right"))
        *steps, plane = fine(k, [*range(k + 1, last), z.size])
        if plane and not (solid and over - z[k] > most + TIE):
            break
        run = steps.index(False) if False in steps else len(steps)
        chosen.append(min(k + max(1, run), z.size - 1))
    if solid and len(chosen) > 1 and over - z[chosen[-1]] < (z[chosen[-1]] - z[chosen[-2]]) / 2:
        # a thin first row is shared with the one below it, as far as the step height lets it
        middle = int(np.searchsorted(z, (over + z[chosen[-2]]) / 2))
        shared = range(middle, chosen[-1])
        chosen[-1] = next((j for j in shared if fine(j, [z.size])[0]), chosen[-1])
    return chosen


def _cusps(x: float, z: float, stops: Floats, heights: Floats, radius: float) -> Floats:
    """Where the disc at (x, z) meets what rows to each (stop, height) above leave, (N, 2)."""
    rise, run = heights - z, stops - x
    reach = np.where(rise < radius, np.sqrt(np.maximum(0.0, rise * (2 * radius - rise))), radius)
    apart = np.hypot(run, rise)
    half = np.sqrt(np.maximum(0.0, radius**2 - apart**2 / 4))
    on_flat = np.column_stack((x + reach, heights - radius))
    between = np.column_stack((x + run / 2 + half * rise / apart, z + rise / 2 - half * run / apart))
    return np.where((reach <= run)[:, None], on_flat, between)


def downs(top: int, bottom: int, step: int, unit: int) -> list[int]:
    """Counts from below `top` down to `bottom`: whole steps, the odd rest last.

    A rest under half a step is shared with the row before, which goes down by whole `unit`s.

    >>> downs(100, 0, 30, 1), downs(100, 0, 45, 5), downs(3, 0, 30, 1)
    ([70, 40, 20, 0], [55, 25, 0], [0])
    """
    whole, rest = divmod(top - bottom, step)
    out = [top - step * k for k in range(1, whole + 1)]
    if rest and whole and 2 * rest < step:
        last = out[-1] + step
        out[-1] = last - math.ceil((step + rest) / 2 / unit) * unit
    return [*out, bottom] if rest else out
