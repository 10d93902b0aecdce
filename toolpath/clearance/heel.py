"""The insert's heel on every leg: its flank below the edge, down to the underside, against the metal of the moment.

At height h below the edge the flank leaves a disc of radius R - h tan a about the insert's centre, and the
work at (x, h) is that of radius sqrt(x^2 + h^2). Behind the edge stands what the leg leaves; ahead of it
what it finds, less the insert's own circle. So a ramp that comes in towards the axis more steeply than
the flank falls away, or a shoulder close round the axis, rubs on the heel although the edge cuts clean.
All lengths are mm, angles rad.
"""

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Floats
from toolpath.planner.steps import CutStep, Step

ALLOWED = 0.002  # mm that the flank may seem to dig in; the readback's own limit of a gouge
SAGITTA = 2e-4  # mm between arcs and the straight edges that stand for them
STEP = 0.5  # mm between two looks along a leg
LEVELS = np.array((0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0))  # of the height that is looked at
RAYS = np.radians(np.arange(-176.0, 0.0, 4.0))  # directions from the centre in which the flank is looked at
HALVINGS = 20
KINDS = {"skim": "skim", "break": "break", "rough": "roughing", "semi": "roughing", "finish": "finishing"}


class Rub(NamedTuple):
    """Where the heel digs in first on the way down it; mm."""

    height: float  # below the edge
    x: float  # radius of the insert's centre there
    where: str  # half a sentence


def rub(steps: Iterable[Step], radius: float, relief: float, down_to: float) -> Rub | None:
    """The least height above `down_to` at which the heel digs in on any leg of the steps; None where it is clear."""
    least: Rub | None = None
    for step in _legs(steps):
        leg = _Leg(step, radius, math.tan(relief))
        found = leg.first(down_to)
        if found is not None:
            down_to = found[0]
            least = Rub(*found, _where(step, found[1]))
    return least


def _where(step: CutStep, x: float) -> str:
    way = f"in a {KINDS[step.run.kind]} pass" if step.leg.outward else "on the ramp in"
    return f"{way} at X {x:.2f} (radius)"


def _legs(steps: Iterable[Step]) -> Iterator[CutStep]:
    """The first step of each leg."""
    before: object = None
    for step in steps:
        # a facing pass has no metal further out than its edge
        if isinstance(step, CutStep) and step.leg is not before and step.run.kind != "skim":
            before = step.leg
            yield step


class _Leg:
    """One leg with the metal before and after it."""

    def __init__(self, step: CutStep, radius: float, tangent: float) -> None:
        self.radius, self.tangent, self.outward = radius, tangent, step.leg.outward
        self.before, self.after = (s.wary.points(SAGITTA) for s in (step.before, step.after))
        self.centres, normals = _along(step.leg.path)
        self.touches = self.centres[:, 0] + radius * normals

    def first(self, down_to: float) -> tuple[float, float] | None:
        """Height and radius of the centre where the heel first digs in, at or above `down_to`."""
        every = np.arange(len(self.centres))
        digs = self._digs(every, down_to * LEVELS[:, None, None])  # (levels, centres)
        if not digs.any():
            return None
        level = int(np.argmax(digs.any(axis=1)))
        here = np.flatnonzero(digs[level])
        low, high = (LEVELS[level - 1] if level else 0.0) * down_to, LEVELS[level] * down_to
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            now = self._digs(here, middle)
            if now.any():
                high, here = middle, here[now]
            else:
                low = middle
        return float(high), float(self.centres[here[0], 0])

    def _digs(self, rows: NDArray[np.intp], h: float | Floats) -> NDArray[np.bool_]:
        """Whether the flank digs in at height h with the insert at these centres, (N,), or (L, N) at h (L, 1, 1)."""
        x, z = self.centres[rows, 0, None], self.centres[rows, 1, None]
        shrunk = self.radius - h * self.tangent - ALLOWED
        r = np.hypot(x + shrunk * np.cos(RAYS), h)
        aside = np.abs(r - x)
        square = np.maximum(0.0, self.radius**2 - aside**2)
        circle = np.where(aside < self.radius, z - np.sqrt(square), np.inf)
        before, after = (np.interp(r, s[:, 0], s[:, 1], right=-np.inf) for s in (self.before, self.after))
        behind = (r <= self.touches[rows, None]) == self.outward
        work = np.where(behind, after, np.minimum(before, circle))
        return np.asarray((z + shrunk * np.sin(RAYS) < work).any(axis=-1))


def _along(path: Chain) -> tuple[Floats, Floats]:
    """Centres along a path (N, 2), and the x of the unit normal towards the work there (N,)."""
    corners = path.points(1e-3)
    centres, normals = [], []
    for a, b in pairwise(corners):
        run = b - a
        length = float(np.hypot(*run))
        share = np.linspace(0.0, 1.0, max(2, math.ceil(length / STEP) + 1))
        centres.append(a + share[:, None] * run)
        normals.append(np.full(share.size, run[1] / length if length else 0.0))
    return np.vstack(centres), np.concatenate(normals)
