"""A chain of segments: a height over r, with walls where the height steps."""

import bisect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import pairwise

import numpy as np

from toolpath.errors import GeometryError
from toolpath.geometry.segments import Arc, Floats, Line, Segment, crossings
from toolpath.geometry.tolerance import GAP, JOIN, SLIVER, TIE


@dataclass(frozen=True, slots=True)
class Chain:
    """Segments end to end, outward: a section, a centre curve or the path of a pass.

    Raises:
        GeometryError: no segment, a start at r < 0, or a gap between two segments.
    """

    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        if not self.segments:
            raise GeometryError("A chain must have at least one segment.")
        if self.segments[0].r1 < -JOIN:
            raise GeometryError(f"A chain must start at r >= 0 mm, not {self.segments[0].r1} mm.")
        for a, b in pairwise(self.segments):
            if abs(a.r2 - b.r1) > GAP or abs(a.z2 - b.z1) > GAP:
                raise GeometryError(
                    f"A chain must have no gap, but ({a.r2}, {a.z2}) is not ({b.r1}, {b.z1}) mm."
                )

    @classmethod
    def from_pieces(cls, pieces: Iterable[Segment]) -> "Chain":
        """A chain over pieces that follow each other in r; a step in z becomes a wall."""
        out: list[Segment] = []
        for piece in pieces:
            if out and abs(out[-1].z2 - piece.z1) > JOIN:
                out.append(Line(out[-1].r2, out[-1].z2, out[-1].r2, piece.z1))
            out.append(piece)
        return cls(tuple(out))

    @classmethod
    def flat(cls, z: float, outer: float) -> "Chain":
        """A level face at z from the axis to r = outer, mm."""
        return cls((Line(0.0, z, outer, z),))

    @property
    def inner(self) -> float:
        """The r of the inner end, mm."""
        return self.segments[0].r1

    @property
    def outer(self) -> float:
        """The r of the outer end, mm."""
        return self.segments[-1].r2

    @property
    def pieces(self) -> tuple[Segment, ...]:
        """The segments that are not walls."""
        return tuple([s for s in self.segments if not s.is_wall])

    @property
    def lowest(self) -> float:
        """The least z, mm."""
        low = min(min(s.z1, s.z2) for s in self.segments)
        for s in self.segments:
            if isinstance(s, Arc) and s.lower and s.r1 < s.rc < s.r2:
                low = min(low, s.zc - s.radius)
        return low

    @property
    def highest(self) -> float:
        """The greatest z, mm."""
        return -self.upside_down().lowest

    def at(self, r: float) -> float:
        """Height at r, mm; at a wall the lower of its ends.

        Raises:
            GeometryError: r lies outside the chain.
        """
        pieces = self.pieces
        if not self.inner - JOIN <= r <= self.outer + JOIN:
            raise GeometryError(f"r {r} mm lies outside the chain ({self.inner} to {self.outer} mm).")
        k = min(bisect.bisect_right([p.r1 for p in pieces], r), len(pieces)) - 1
        here = pieces[max(k, 0)]
        z = here.at(min(max(r, here.r1), here.r2))
        if k > 0 and r - here.r1 <= SLIVER:
            z = min(z, pieces[k - 1].z2)
        if k + 1 < len(pieces) and pieces[k + 1].r1 - r <= SLIVER:
            z = min(z, pieces[k + 1].z1)
        return z

    def heights(self, r: Floats) -> Floats:
        """Heights at r, (N,) -> (N,), mm; at a wall the lower of its ends, +inf outside the chain."""
        z = np.full(r.shape, np.inf)
        reached = self.inner - JOIN  # joints may lie up to that far apart, and so may axis and start
        for piece in self.pieces:
            here = (r >= min(reached, piece.r1 - SLIVER)) & (r <= piece.r2 + SLIVER)
            z[here] = np.minimum(z[here], piece.heights(r[here]))
            reached = piece.r2
        return z

    def clipped(self, lo: float, hi: float) -> "Chain":
        """The part between lo and hi, mm."""
        return Chain.from_pieces(
            p.clipped(max(lo, p.r1), min(hi, p.r2))
            for p in self.pieces
            if min(hi, p.r2) - max(lo, p.r1) > SLIVER
        )

    def moved(self, dz: float) -> "Chain":
        """The same chain dz mm higher."""
        return Chain(tuple(s.moved(dz) for s in self.segments))

    def shifted(self, dr: float, dz: float) -> "Chain":
        """The same chain dr mm further out and dz mm higher; at the axis cut off, or carried in level."""
        run = [s.aside(dr).moved(dz) for s in self.segments]
        if self.inner > JOIN or dr == 0:
            return Chain(tuple(run))
        if dr > 0:
            return Chain((Line(0.0, run[0].z1, dr, run[0].z1), *run))
        return Chain.from_pieces(
            s.clipped(max(0.0, s.r1), s.r2) for s in run if not s.is_wall and s.r2 > SLIVER
        )

    def upside_down(self) -> "Chain":
        """Mirrored in z = 0."""
        return Chain(tuple(s.upside_down() for s in self.segments))

    def volume_below(self, z: float = 0.0) -> float:
        """Volume (mm3) between the chain, turned about the axis, and the plane z over it.

        The chain must start on the axis and nowhere rise over z; it is closed by the wall
        r = outer up to z, so an edge break counts as the little ring that it is.
        """
        within = sum(s.inner_volume() for s in self.segments)
        return within + np.pi * self.outer**2 * (z - self.segments[-1].z2)

    def area_under(self) -> float:
        """The integral of z dr along the chain, mm2; negative for a dish."""
        return sum(s.area_under() for s in self.segments)

    def points(self, sagitta: float) -> Floats:
        """Points along the chain, (N, 2) mm, no further than `sagitta` (mm) from it."""
        out = [np.array([[self.segments[0].r1, self.segments[0].z1]])]
        for s in self.segments:
            if isinstance(s, Arc):
                step = 2 * np.arccos(max(-1.0, 1 - sagitta / s.radius))
                t = np.linspace(s.t1, s.t2, max(2, int(abs(s.t2 - s.t1) / step) + 2))[1:]
                out.append(np.column_stack((s.rc + s.radius * np.cos(t), s.zc + s.radius * np.sin(t))))
            else:
                out.append(np.array([[s.r2, s.z2]]))
        return np.vstack(out)

    def distances(self, points: Floats) -> Floats:
        """Shortest distances of points (N, 2) to the chain, (N,), mm."""
        return reduce(np.minimum, (s.distances(points) for s in self.segments))


def higher_pieces(a: Sequence[Segment], b: Sequence[Segment]) -> list[Segment]:
    """The upper of two partial curves (pieces in order of r, gaps allowed), exact; a wins ties."""
    return _outermost(a, b, 1.0)


def _outermost(a: Sequence[Segment], b: Sequence[Segment], side: float) -> list[Segment]:
    """The upper (`side` 1) or lower (-1) of two partial curves; a wins ties."""
    for inner, outer in ((a, b), (b, a)):
        if not inner or not outer or inner[-1].r2 <= outer[0].r1:  # one after the other
            return [*inner, *outer]
    stretches: list[tuple[Segment, float, float]] = []
    cuts: list[float] = []
    for r in sorted({r for p in (*a, *b) for r in (p.r1, p.r2)}):
        if not cuts or r - cuts[-1] > JOIN:  # a chain's own joints may lie that far apart
            cuts.append(r)
    i = j = 0
    for lo, hi in pairwise(cuts):
        mid = (lo + hi) / 2
        while i < len(a) and a[i].r2 <= mid:
            i += 1
        while j < len(b) and b[j].r2 <= mid:
            j += 1
        first = a[i] if i < len(a) and a[i].r1 < mid else None
        second = b[j] if j < len(b) and b[j].r1 < mid else None
        if first is None or second is None:
            only = first or second
            if only is not None:
                stretches.append((only, lo, hi))
            continue
        inside = sorted([r for r in crossings(first, second) if lo + SLIVER < r < hi - SLIVER])
        for left, right in pairwise((lo, *inside, hi)):
            mid = (left + right) / 2
            ahead = side * (first.at(mid) - second.at(mid))
            stretches.append((first if ahead >= -TIE else second, left, right))
    return _joined(stretches)


def _joined(stretches: list[tuple[Segment, float, float]]) -> list[Segment]:
    """Clip each segment to its stretches, neighbours of one segment run together."""
    out: list[Segment] = []
    k = 0
    while k < len(stretches):
        segment, lo, hi = stretches[k]
        k += 1
        while k < len(stretches) and stretches[k][0] is segment and stretches[k][1] - hi <= JOIN:
            hi = stretches[k][2]
            k += 1
        lo, hi = max(lo, segment.r1), min(hi, segment.r2)
        if hi - lo > SLIVER:
            out.append(segment.clipped(lo, hi))
    return out


def higher(a: Chain, b: Chain) -> Chain:
    """The upper of two chains at every r; where only one of them is, that one."""
    return Chain.from_pieces(higher_pieces(a.pieces, b.pieces))


def deeper(a: Chain, b: Chain) -> Chain:
    """The lower of two chains at every r (the *deeper of both* section); where only one is, that one."""
    return Chain.from_pieces(_outermost(a.pieces, b.pieces, -1.0))


def stretches_above(a: Chain, b: Chain, *, by: float) -> list[tuple[float, float]]:
    """Where chain a lies more than `by` mm over chain b: (from, to) in r, mm, in order."""
    lifted = b.moved(by).pieces
    upper = higher_pieces(lifted, a.clipped(b.inner, min(a.outer, b.outer)).pieces)
    out: list[tuple[float, float]] = []
    for p in upper:
        mid = (p.r1 + p.r2) / 2
        if p.at(mid) <= b.at(mid) + by + TIE:
            continue
        if out and p.r1 - out[-1][1] <= JOIN:
            out[-1] = (out[-1][0], p.r2)
        else:
            out.append((max(0.0, p.r1), p.r2))
    return out
