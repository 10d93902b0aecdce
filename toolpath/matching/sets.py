"""A set of pistons: a row each, the spread, and the common target when one is over.

Metal does not go back.
"""

from collections.abc import Sequence
from typing import NamedTuple

from toolpath.matching.due import Due
from toolpath.units import cc

FARTHEST = 5.0  # tolerances from the job's target that a common one may lie
SAME = 1e-3  # mm3; targets closer than this are one
FARTHEST_CC = 500.0  # mm3, and no farther than this


class Measured(NamedTuple):
    """What is known of one piston; volumes in mm3, None where not read; `ratio` is the compression ratio.

    `target` is the one in force, `wanted_ratio` the ratio that it gives; `removed` is worked out, in grams, `mass`
    and `mass_before` are weighed; `deepest` (mm3) is the largest volume its crown
    allows, None where unlimited.
    """

    piston: int
    target: float
    as_received: float | None = None
    after_first: float | None = None
    final: float | None = None
    removed: float | None = None
    mass_before: float | None = None
    mass: float | None = None
    ratio: float | None = None
    wanted_ratio: float | None = None
    deepest: float | None = None

    @property
    def weighed(self) -> float | None:
        """Metal removed by the scale, g."""
        return None if self.mass is None or self.mass_before is None else self.mass_before - self.mass

    @property
    def cut(self) -> float | None:
        """The volume after its latest cut that was read."""
        return self.final if self.final is not None else self.after_first


class PistonRow(NamedTuple):
    """One piston of the set: `off` is the volume now less the target, mm3; what is due, and in words."""

    measured: Measured
    off: float | None
    due: Due
    next: str


class Summary(NamedTuple):
    """The whole set. Spreads are largest less smallest, of the final volumes over their targets (mm3), the
    ratios, and the metal removed (g), None with fewer than two. `common` (mm3 over each piston's target) is None
    unless one piston is over and all can meet it; `look_at` names pistons whose reading is too far off to follow."""

    rows: tuple[PistonRow, ...]
    spread: float | None
    spread_ratio: float | None
    spread_grams: float | None
    common: float | None
    common_ratio: float | None
    lightest: float | None  # g, of the finished masses
    look_at: tuple[int, ...] = ()

    @property
    def one_target(self) -> bool:
        """Whether all pistons have one volume as their target."""
        targets = [row.measured.target for row in self.rows]
        return max(targets) - min(targets) <= SAME

    @property
    def common_target(self) -> float | None:
        """The volume (mm3) that all can still meet, where all have one target."""
        return (
            self.rows[0].measured.target + self.common
            if self.common is not None and self.one_target
            else None
        )


def summary(pistons: Sequence[tuple[Measured, Due]], tolerance: float) -> Summary:
    """Rows in the given order; `tolerance` in mm3.

    A piston is over when its latest reading is above its target plus the tolerance. What is then offered in
    common is the largest excess of the set: no smaller one can be met by all. One farther than five
    tolerances, or half a cc, is no cut but a reading to look at again.
    """
    excess = {p.piston: p.cut - p.target for p, _ in pistons if p.cut is not None}
    farthest = min(FARTHEST * tolerance, FARTHEST_CC)
    over = {n: off for n, off in excess.items() if off > tolerance}
    look_at = tuple(n for n, off in over.items() if off > farthest)
    wanted = max((off for n, off in over.items() if n not in look_at), default=None)
    short: list[int] = []
    if wanted is not None:
        short = [
            p.piston
            for p, _ in pistons
            if excess.get(p.piston, -1.0) < wanted and p.deepest is not None and p.deepest < p.target + wanted
        ]
    common = wanted if wanted is not None and not short and not look_at else None
    rows = tuple(
        PistonRow(p, excess.get(p.piston), d, _words(p, d, look_at, common, short if over else []))
        for p, d in pistons
    )
    over_ratios = [p.ratio for p, _ in pistons if p.piston in over and p.ratio is not None]
    common_ratio = min(over_ratios, default=None) if common is not None else None
    masses = [p.mass for p, _ in pistons if p.mass is not None]
    finals = [p.final - p.target for p, _ in pistons if p.final is not None]
    ratios = [p.ratio for p, _ in pistons if p.final is not None and p.ratio is not None]
    grams = [p.removed for p, _ in pistons if p.final is not None and p.removed is not None]
    return Summary(
        rows,
        _spread(finals),
        _spread(ratios),
        _spread(masses) if len(masses) > 1 else _spread(grams),
        common,
        common_ratio,
        min(masses, default=None),
        look_at,
    )


def _words(p: Measured, due: Due, look_at: Sequence[int], common: float | None, short: Sequence[int]) -> str:
    if p.piston in look_at:
        return f"{due.words}; that is too far to be a cut: look at this reading"
    if due.what != "over":
        later = (
            ""
            if common is None or due.what == "done"
            else f", for the common target {_cc(p.target + common)}"
        )
        return due.words + later
    if common is not None:
        return f"{due.words}; the set can still meet {_cc(p.target + common)}"
    if short:
        names = ", ".join(str(n) for n in short)
        return f"{due.words}; the crown of piston {names} is too thin to follow: replace one or accept it"
    return due.words


def _cc(volume: float) -> str:
    return f"{cc(volume):.2f} cc"


def _spread(values: Sequence[float]) -> float | None:
    return max(values) - min(values) if len(values) > 1 else None
