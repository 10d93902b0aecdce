"""Where each move starts."""

from collections.abc import Iterable, Iterator

from toolpath.errors import DialectError
from toolpath.motion.sweeps import Sweep
from toolpath.moves import Arc, Line, Move, Rapid

Place = tuple[float | None, float | None]  # x and z; None while unknown


def located(moves: Iterable[Move]) -> Iterator[tuple[Move, Place]]:
    """Every move with the place where it starts."""
    x: float | None = None
    z: float | None = None
    for move in moves:
        yield move, (x, z)
        if isinstance(move, Rapid | Line | Arc):
            x = x if move.x is None else move.x
            z = z if move.z is None else move.z


def known_place(place: Place, number: int, move: Line | Arc) -> tuple[float, float]:
    x, z = place
    if x is None or z is None:
        raise DialectError(f"Move {number}, {named(move)}, has no start point: move both axes before it.")
    return x, z


def named(move: Line | Arc) -> str:
    return f"{type(move).__name__.lower()} of the insert centre to radius {move.x:.4f}, Z {move.z:.4f} mm"


def sweep_of(arc: Arc, x: float, z: float) -> Sweep:
    return Sweep.about((x + arc.i, z + arc.k), (x, z), (arc.x, arc.z), arc.clockwise)
