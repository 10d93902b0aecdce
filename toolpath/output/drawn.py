"""A recut as a drawing: its sections, the path of the insert centre and the holder, each on its layer."""

import math
from collections.abc import Iterator
from itertools import pairwise

from toolpath import moves
from toolpath.clearance.holder import outline
from toolpath.drawing.sheet import Round, Straight, Stroke
from toolpath.drawing.write import dxf, strokes_of
from toolpath.recut import Recut


def drawing_of(recut: Recut) -> bytes:
    """The DXF file of a recut, in the job's units: x is r, y is z over the finished crown.

    Raises:
        InputError: the library for drawings is not installed.
    """
    path = list(_feed_path(recut))
    layers = {
        "FINISHED": strokes_of(recut.finished.segments),
        "AS_RECEIVED": strokes_of(recut.design.old.segments),
        "CENTRE_PATH": path,
        "HOLDER": list(_tool(recut, path)),
    }
    return dxf(layers, recut.job.units)


def _feed_path(recut: Recut) -> Iterator[Stroke]:
    """The path of the insert centre where it moves at feed."""
    x = z = 0.0
    for move in recut.moves:
        if isinstance(move, moves.Line) and (x, z) != (move.x, move.z):
            yield Straight(x, z, move.x, move.z)
        elif isinstance(move, moves.Arc):
            cx, cz = x + move.i, z + move.k
            first, last = math.atan2(-move.k, -move.i), math.atan2(move.z - cz, move.x - cx)
            # seen with X up and Z to the right clockwise is counter-clockwise with x to the right, z up
            if not move.clockwise:
                first, last = last, first
            yield Round(cx, cz, math.hypot(move.i, move.k), first, first + (last - first) % (2 * math.pi))
        if isinstance(move, moves.Rapid | moves.Line | moves.Arc):
            x = x if move.x is None else move.x
            z = z if move.z is None else move.z


def _tool(recut: Recut, path: list[Stroke]) -> Iterator[Stroke]:
    """Insert and holder where the insert centre is deepest; the insert alone where no holder is stated."""
    x, z = min((end for stroke in path for end in stroke.ends), key=lambda end: end[1])
    radius = recut.insert.radius
    yield Round(x, z, radius, -math.pi, 0.0)
    yield Round(x, z, radius, 0.0, math.pi)
    shape = None if recut.job.holder is None else outline(recut.job.holder, recut.insert)
    if shape is not None:
        corners = [(x + a, z + b) for a, b in shape.exterior.coords]
        yield from (Straight(*a, *b) for a, b in pairwise(corners))
