"""A set of pistons: a row each, the spread, and the common target when one is over.

Metal does not go back.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measured:
    """What is known of one piston; volumes in mm3, None where not read; `ratio` is the compression ratio.

    `removed` is in grams; `deepest` (mm3) is the largest volume its crown allows, None where unlimited.
    """

    piston: int
    as_received: float | None = None
    after_first: float | None = None
    final: float | None = None
    removed: float | None = None
    ratio: float | None = None
    deepest: float | None = None

    @property
    def cut(self) -> float | None:
        """The volume after its latest cut that was read."""
        return self.final if self.final is not None else self.after_first


@dataclass(frozen=True, slots=True)
class Row:
    """One piston of the set: `off` is the volume now less the target, `needs` what is still to be cut for
    the common target (or the target), both mm3 and None before the first cut was read; `next` in words."""

    measured: Measured
    off: float | None
    needs: float | None
    next: str


@dataclass(frozen=True, slots=True)
class Summary:
    """The whole set. Spreads are largest less smallest, of the final volumes (mm3) and the metal removed (g),
    None with fewer than two. `common_target` (mm3) is None unless one piston is over and all can meet it."""

    rows: tuple[Row, ...]
    spread: float | None
    spread_grams: float | None
    common_target: float | None


def summary(pistons: Sequence[Measured], target: float, tolerance: float) -> Summary:
    """Rows in the given order; `target` and `tolerance` in mm3.

    A piston is over when its latest reading is above target plus tolerance. The common target is then the
    largest volume of the set: no smaller one can be met by all.
    """
    cuts = [p.cut for p in pistons if p.cut is not None]
    over = [p.piston for p in pistons if p.cut is not None and p.cut > target + tolerance]
    wanted = max(cuts) if over else target
    others = [p for p in pistons if p.cut is None or p.cut < wanted]
    short = [p.piston for p in others if p.deepest is not None and p.deepest < wanted]
    common = wanted if over and not short else None
    rows = tuple(_row(p, target, tolerance, common, short if over else []) for p in pistons)
    finals = [p.final for p in pistons if p.final is not None]
    grams = [p.removed for p in pistons if p.final is not None and p.removed is not None]
    return Summary(rows, _spread(finals), _spread(grams), common)


def _row(p: Measured, target: float, tolerance: float, common: float | None, short: list[int]) -> Row:
    aim = target if common is None else common
    now = p.cut
    if now is None:
        first = "cut the first stage, then read it"
        if p.as_received is None:
            first = f"read it as received, {first}"
        return Row(p, None, None, first + _for(common))
    needs = max(0.0, aim - now)
    off = now - target
    if now > target + tolerance:
        words = f"over by {off / 1000:.2f} cc, leave it; "
        if common is not None:
            words += f"the set can still meet {common / 1000:.2f} cc"
        else:
            names = ", ".join(str(n) for n in short)
            words += f"the crown of piston {names} is too thin to follow: replace one or accept it"
    elif needs <= tolerance and p.final is not None:
        words = "done"
    elif p.final is not None:
        words = f"{needs / 1000:.2f} cc short: cut the last stage again, then read it" + _for(common)
    elif needs <= 0:
        words = "on the target after the first stage: leave it, read it as the last"
    else:
        words = f"{needs / 1000:.2f} cc to go: cut the last stage, then read it" + _for(common)
    return Row(p, off, needs, words)


def _for(common: float | None) -> str:
    return "" if common is None else f", for the common target {common / 1000:.2f} cc"


def _spread(values: Sequence[float]) -> float | None:
    return max(values) - min(values) if len(values) > 1 else None
