"""The rows as the table prints them, and what its words mean."""

from collections.abc import Sequence
from itertools import pairwise

from toolpath.geometry.chain import stretches_above
from toolpath.geometry.tolerance import JOIN
from toolpath.moves import Row
from toolpath.planner.plan import Work
from toolpath.table.readout import Readout
from toolpath.table.rows import Cut

BITE = 0.1  # mm; what a hand winds straight into metal at a time, off the axis; common practice, no source
BACK_OFF = "wind back, then in"


def worded(cuts: Sequence[Cut], work: Work, readout: Readout) -> tuple[Row, ...]:
    """Rows as the table prints them; the infeed of the first counts from the metal that it meets."""
    rows, shown = [], readout.shown
    top = work.skim if work.skim > 0 else _met(work)
    before = readout.z_over(top + readout.insert_radius - readout.resolution / 2)  # the nearest count
    for cut in cuts:
        infeed = before - cut.z
        before = cut.z
        how = _infeed(infeed, readout) + _bites(cut, readout) + cut.how
        rows.append(Row(cut.cut, shown(cut.z), shown(cut.x_start), shown(cut.x_stop), shown(infeed), how))
    return tuple(rows)


def notes(cuts: Sequence[Cut], readout: Readout) -> tuple[str, ...]:
    """What the words of these rows mean, for the head of their table: only what stands in them."""
    infeed = "Infeed goes down along Z from the row before"
    if readout.handwheel_division is not None:
        division = f"{readout.handwheel_division / readout.unit_mm:.6f}".rstrip("0")
        infeed += f", 1 div = {division} {readout.unit_word}"
    told = [f"{infeed}. Saddle locked for the cut"]
    if any(cut.bites_from is not None for cut in cuts):
        bite = f"{readout.step(BITE) * readout.resolution / readout.unit_mm:.{readout.decimals}f}"
        told.append(
            f"Bites: at the first X wind in {bite} {readout.unit_word} at most, feed in to the second X and back; "
            "again until Z is reached. Never wind in at the centre"
        )
    if any(later.z > one.z for one, later in pairwise(cuts)):
        told.append("Wind back, then in: go out past Z and come in to it, so that no play is left")
    return tuple(told)


def _met(work: Work) -> float:
    """The highest metal over the cut's own floor, mm: the crown, or the floor of the cut before."""
    surface = work.stock.surface
    where = stretches_above(surface, work.cut, by=JOIN)
    return max((surface.at((lo + hi) / 2) for lo, hi in where[:1]), default=0.0)


def _infeed(counts: int, readout: Readout) -> str:
    """How the hand comes to Z, where there is more to say than the infeed's number."""
    divisions = readout.divisions(counts)
    if counts < 0:
        return f"{BACK_OFF}; "
    return "" if divisions is None or counts == 0 else f"{round(divisions, 1):g} div; "


def _bites(cut: Cut, readout: Readout) -> str:
    if cut.bites_from is None:
        return ""
    outer, inner = (f"{readout.shown(x):.{readout.decimals}f}" for x in (cut.bites_from, cut.x_start))
    return f"bites X{outer} to X{inner}, then "
