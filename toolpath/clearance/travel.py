"""A holder's travel: its gap to the metal at every place that it passes, rapids included.

The metal is all that may stand: an old dish at its worst stated place, off centre and shallower.
While the insert cuts, the metal behind the point where it touches is that after the leg, the metal
ahead that before the leg, less what lies inside the insert's own circle. The gap cannot change
faster than the holder moves, so stretches that cannot hold the smallest gap are dropped and the rest
are halved down to 0.25 mm, and the place of the smallest gap is then searched to 0.001 mm. The gap is
at most 0.125 mm over the true one, and within 0.01 mm where it has one smallest place in each stretch.
A contact ends the search: its depth is that of the deepest place found until then.
"""

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from toolpath.clearance.metal import Metal
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Floats
from toolpath.motion.sweeps import Sweep
from toolpath.moves import Arc, Line, Rapid
from toolpath.planner.steps import CutStep, Step
from toolpath.planner.stock import Stock

if TYPE_CHECKING:
    from shapely import Polygon

FIRST_STEP = 2.0  # mm
STEP = 0.25  # mm
POLISH = 4  # rounds about the smallest gap, each four times finer

SOUNDED = 20  # contacts on one leg whose depth is measured

Polygons: TypeAlias = NDArray[Any]


class HolderClearance(NamedTuple):
    """The smallest gap between holder and work."""

    gap: float  # mm; below 0: how deep the holder is in the metal
    x: float  # of the metal there, mm, negative beyond the axis
    z: float
    move: int  # index of the move


class _Stage(NamedTuple):
    """The metal that a move meets: what a leg has left of `before` so far, or all of `after` when it is done."""

    before: Chain
    after: Chain
    outward: bool | None  # None: nothing is cut


class _Low(NamedTuple):
    gap: float  # mm
    row: int  # of the move
    share: float  # of its path


class Course:
    """The steps of a plan, each with its metal; holders are then swept along it.

    The holder is not looked at until both X and Z have been stated.
    """

    def __init__(self, stock: Stock, steps: Iterable[Step]) -> None:
        self._radius = stock.radius
        self._stages: list[_Stage] = []
        stages: list[int] = []
        index: list[int] = []
        rows: list[tuple[float, ...]] = []
        for k, row, stage in self._walked(stock, steps):
            if not self._stages or stage != self._stages[-1]:
                self._stages.append(stage)
            stages.append(len(self._stages) - 1)
            index.append(k)
            rows.append(row)
        self._stage = np.array(stages, dtype=np.intp)
        self._cuts = np.array([self._stages[k].outward is not None for k in stages], dtype=bool)
        self._index = np.array(index, dtype=np.intp)
        self._rows = np.array(rows).reshape(-1, 7)
        arcs = self._rows[:, 4] > 0
        self._length = np.where(
            arcs, np.abs(self._rows[:, 6]) * self._rows[:, 4], np.hypot(self._rows[:, 2], self._rows[:, 3])
        )
        self._metals: dict[tuple[int, int, float], Metal] = {}

    def clearance(self, shape: "Polygon", below: float, *, under: float = math.inf) -> HolderClearance:
        """The smallest gap of a holder that goes down to `below` mm under the edge.

        Only gaps smaller than `under` (mm) are searched for; where there is none, one of the others stands for it.
        """
        return self._searched(shape, below, 0.0, under)

    def clears(self, shape: "Polygon", below: float, margin: float) -> bool:
        """Whether the holder keeps `margin` mm away from all metal."""
        return self._searched(shape, below, margin, margin).gap >= margin

    def _searched(self, shape: "Polygon", below: float, enough: float, under: float) -> HolderClearance:
        """The smallest gap under `under` mm, or else one of the others; the search ends at one of `enough` mm."""
        moves = np.arange(self._index.size)
        best, gaps = self._lowest(shape, below, np.tile(moves, 2), np.repeat((0.0, 1.0), moves.size))
        # between two ends a gap that no cut changes cannot fall further than their way lets it rise again
        least = (gaps[: moves.size] + gaps[moves.size :] - self._length) / 2
        moves = moves[self._cuts | (least < min(best.gap, under))]
        parts = np.maximum(1, np.ceil(self._length[moves] / FIRST_STEP)).astype(np.intp)
        which = np.repeat(moves, parts)
        nth = np.arange(which.size) - np.repeat(np.cumsum(parts) - parts, parts)
        half = 0.5 / np.repeat(parts, parts)
        share = (2 * nth + 1) * half
        while which.size:
            lowest, gaps = self._lowest(shape, below, which, share)
            best = min(best, lowest)
            wide = half * self._length[which]
            keep = (best.gap > enough) & (gaps - wide < min(best.gap, under)) & (2 * wide > STEP)
            half = half[keep] / 2
            share = np.concatenate((share[keep] - half, share[keep] + half))
            which, half = np.tile(which[keep], 2), np.tile(half, 2)
        span = STEP / max(STEP, float(self._length[best.row]))
        for _ in range(POLISH if best.gap < under + STEP else 0):
            share = np.clip(best.share + span * np.linspace(-1.0, 1.0, 9), 0.0, 1.0)
            best = min(best, self._lowest(shape, below, np.full(9, best.row), share)[0])
            span /= 4
        holder, metal = next(self._pairs(shape, below, np.array([best.row]), np.array([best.share])))[1:]
        x, z = nearest(holder[0], metal[0])
        return HolderClearance(best.gap, x, z, int(self._index[best.row]))

    def _lowest(
        self, shape: "Polygon", below: float, which: NDArray[np.intp], share: Floats
    ) -> tuple[_Low, Floats]:
        """The smallest of the gaps at these shares of these moves, and all of them, (N,)."""
        gaps = np.empty(which.size)
        for here, holders, metal in self._pairs(shape, below, which, share):
            gaps[here] = signed(holders, metal)
        k = int(np.argmin(gaps))
        return _Low(float(gaps[k]), int(which[k]), float(share[k])), gaps

    def _pairs(
        self, shape: "Polygon", below: float, which: NDArray[np.intp], share: Floats
    ) -> Iterator[tuple[NDArray[np.intp], Polygons, Polygons]]:
        """Stage by stage: which of the places, the holder there (N,) and the metal there (N,) or (1,)."""
        import shapely

        centres, climb = self._places(which, share)
        corners = np.array(shape.exterior.coords)
        for k in sorted(set(self._stage[which].tolist())):
            here = np.flatnonzero(self._stage[which] == k)
            holders: Polygons = np.asarray(shapely.polygons(corners[None, :, :] + centres[here, None, :]))
            yield here, holders, self._metal(k, below, centres[here], climb[here])

    def _metal(self, k: int, below: float, centres: Floats, climb: Floats) -> Polygons:
        """The metal of a stage with the insert at these places: one polygon for all where nothing is cut."""
        stage = self._stages[k]
        key = (id(stage.before), id(stage.after), below)
        metal = self._metals.get(key)
        if metal is None:
            metal = self._metals[key] = Metal(stage.before, stage.after, self._radius, below)
        if stage.outward is None:
            return metal.standing
        return metal.during(centres, climb, outward=stage.outward)

    def _places(self, which: NDArray[np.intp], share: Floats) -> tuple[Floats, Floats]:
        """Centres (N, 2) at these shares of the moves, and the sine of the movement's angle to the face (N,)."""
        x, z, dx, dz, radius, start, sweep = self._rows[which].T
        angle = start + share * sweep
        sin, cos, sense = np.sin(angle), np.cos(angle), np.sign(sweep)
        arc, length = radius > 0, np.maximum(np.hypot(dx, dz), 1e-12)
        centres = np.column_stack(
            (np.where(arc, x + radius * sin, x + share * dx), np.where(arc, z + radius * cos, z + share * dz))
        )
        return centres, np.where(arc, -sense * sin, dz / length)

    def _walked(self, stock: Stock, steps: Iterable[Step]) -> Iterator[tuple[int, tuple[float, ...], _Stage]]:
        """Index, row and metal of every move from one known place to another.

        A row holds x and z of the start and the run in x and z; or of an arc its centre, 0, 0, radius,
        start angle and sweep.
        """
        idle = _Stage(stock.wary, stock.wary, None)
        x: float | None = None
        z: float | None = None
        for k, step in enumerate(steps):
            move, stage = step.move, idle
            if not isinstance(move, Rapid | Line | Arc):
                continue
            if isinstance(step, CutStep):
                stage = _Stage(step.before.wary, step.after.wary, step.leg.outward)
                idle = stage._replace(outward=None)
            to_x = x if move.x is None else move.x
            to_z = z if move.z is None else move.z
            if x is not None and z is not None and to_x is not None and to_z is not None:
                if isinstance(move, Arc):
                    arc = Sweep.about((x + move.i, z + move.k), (x, z), (move.x, move.z), move.clockwise)
                    yield k, (arc.x, arc.z, 0.0, 0.0, arc.radius, arc.start, arc.sweep), stage
                else:
                    yield k, (x, z, to_x - x, to_z - z, 0.0, 0.0, 0.0), stage
            x, z = to_x, to_z


def signed(holders: Polygons, metal: Polygons) -> Floats:
    """Distances of holders (N,) from the metal, mm; below 0 the depth of some of those that are in it."""
    import shapely

    gaps: Floats = np.asarray(shapely.distance(holders, metal))
    deep = np.flatnonzero(gaps == 0)
    for k in deep[:: math.ceil(deep.size / SOUNDED) or 1].tolist():
        gaps[k] = -_deepest(holders[k], metal[min(k, metal.size - 1)])[0]
    return gaps


def nearest(holder: "Polygon", metal: "Polygon") -> tuple[float, float]:
    """The place of the metal that is nearest to the holder, or deepest in it."""
    import shapely

    if holder.intersects(metal):
        return _deepest(holder, metal)[1]
    x, z = shapely.shortest_line(holder, metal).coords[1]
    return x, z


def _deepest(holder: "Polygon", metal: "Polygon") -> tuple[float, tuple[float, float]]:
    """How far a corner of either lies inside the other, the furthest, mm, and where."""
    import shapely

    corners = shapely.get_coordinates(shapely.intersection(holder, metal))
    points = shapely.points(corners)
    depths: Floats = np.maximum(
        shapely.distance(points, metal.exterior), shapely.distance(points, holder.exterior)
    )
    k = int(np.argmax(depths))
    return float(depths[k]), (float(corners[k, 0]), float(corners[k, 1]))
