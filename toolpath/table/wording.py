"""The rows as the table prints them, and what its words mean."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from toolpath.geometry.chain import stretches_above
from toolpath.geometry.tolerance import COUNT, JOIN
from toolpath.moves import Row
from toolpath.planner.plan import Work
from toolpath.planner.slope import Slope
from toolpath.table.readout import Readout
from toolpath.table.rows import RowCut
from toolpath.units import MM_PER_INCH

BITE = 0.1  # mm; what a hand winds straight into metal at a time, off the axis; common practice, no source
TEST_TRAVEL = {
    "mm": 20.0,
    "inch": MM_PER_INCH,
}  # mm of the top slide over which its angle is set with an indicator
BACK_OFF = "wind back, then in"


def worded(cuts: Sequence[RowCut], work: Work, readout: Readout) -> tuple[Row, ...]:
    """Rows as the table prints them; the infeed of the first counts from the metal that it meets."""
    rows, shown = [], readout.shown
    top = work.skim if work.skim > 0 else _met(work)
    before = readout.z_over(top + readout.insert_radius - readout.resolution / 2)  # the nearest count
    for cut in cuts:
        infeed = before - cut.z
        before = cut.z
        how = _infeed(infeed, readout)
        row = Row(cut.cut, shown(cut.z), shown(cut.x_start), shown(cut.x_stop), shown(infeed), how)
        if cut.slide is None:
            rows.append(row._replace(how=how + _way(cut, readout)))
            continue
        travel = _down(cut.path(readout).length, readout)
        rows.append(
            row._replace(
                how=how + _slide(cut, cut.slide.angle, travel, readout),
                z_to=shown(cut.slide.z_to),
                angle=round(math.degrees(cut.slide.angle), 2),
                travel=travel,
            )
        )
    return tuple(rows)


def notes(cuts: Sequence[RowCut], readout: Readout) -> tuple[str, ...]:
    """What the words of these rows mean, for the head of their table: only what stands in them."""
    infeed = "Infeed goes down along Z from the row before"
    if readout.handwheel_division is not None:
        division = f"{readout.handwheel_division / readout.unit_mm:.6f}".rstrip("0")
        infeed += f", 1 div = {division} {readout.unit_word}"
    told = [f"{infeed}. Saddle locked for the cut"]
    if any(cut.bites_from is not None for cut in cuts):
        told.append(
            f"Bites X: there wind in {_bite(readout)}, feed in to X start and back; again until Z "
            "is reached; then out to X stop. Never wind in at the centre"
        )
    if any(later.z > one.z for one, later in pairwise(cuts)):
        told.append("Wind back, then in: go out past Z and come in to it, so that no play is left")
    return tuple(told)


def bites_words(cut: RowCut, infeed: float, readout: Readout) -> tuple[str, str] | None:
    """X at which the hand winds in by bites, in a level row where all is solid, and how; None beside the metal.

    `infeed` is the row's, as the readout shows it.
    """
    if cut.bites_from is None or cut.slide is not None:
        return None
    x, z, start, stop = (
        f"{readout.shown(count):.{readout.decimals}f}"
        for count in (cut.bites_from, cut.z, cut.x_start, cut.x_stop)
    )
    count = max(1, math.ceil(infeed * readout.unit_mm / (readout.step(BITE) * readout.resolution) - COUNT))
    times = "once" if count == 1 else f"{count} times"
    across = f"{readout.unit_word} {readout.x_reading}"
    return x, (
        f"Wind in only at X {x} {across}, {_bite(readout)}; feed to X {start} and back; {times}, to Z {z}; then "
        f"out to X {stop}."
    )


def _bite(readout: Readout) -> str:
    bite = readout.step(BITE) * readout.resolution / readout.unit_mm
    return f"{bite:.{readout.decimals}f} {readout.unit_word} at most"


def _down(length: float, readout: Readout) -> float:
    """A travel of the top slide's dial in the readout's units, mm rounded down to what it shows."""
    return readout.shown(math.floor(length / readout.resolution + 1e-7))


def _slide(cut: RowCut, angle: float, travel: float, readout: Readout) -> str:
    """What the hand does with the top slide, set over by `angle`."""
    places, bites = readout.decimals, ""
    if cut.bites_from is not None:
        off = readout.x(cut.bites_from) - readout.x(cut.x_start)
        out = _down(off / math.cos(angle), readout)
        bites = f"bites at slide {out:.{places}f}, then "
    return f"{bites}slide from 0 to {travel:.{places}f}"


def slide_notes(slope: Slope, readout: Readout, z_reads: Literal["saddle", "sum"]) -> tuple[str, ...]:
    """How the top slide is set over, and what the readout then shows."""
    off_face, off_axis = math.degrees(slope.angle), 90 - math.degrees(slope.angle)
    against = "a true face" if slope.from_face else "a true bar along the axis"
    test = TEST_TRAVEL[readout.units]
    shows = f"{slope.indicated(test) / readout.unit_mm:.{max(3, readout.decimals)}f}"
    seen = "does not see it" if z_reads == "saddle" else "counts it as if it went along Z"
    return (
        f"Before touching off set the top slide over: {off_face:.2f} degrees from the cross slide "
        f"({off_axis:.2f} from the axis), its outer end away from the chuck. An indicator on {against} must "
        f"show {shows} over {test / readout.unit_mm:g} {readout.unit_word} of slide travel",
        "Slide rows: read X and Z with the top slide at its 0, then wind the slide by its own dial; the "
        f"readout {seen}. Bites: wind in Z with the slide at the first figure, wind it back to 0 each time. "
        "All other rows: slide at 0",
    )


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


def _way(cut: RowCut, readout: Readout) -> str:
    """How a row at constant Z is cut."""
    if cut.bites_from is None:
        return cut.how
    return (
        f"bites X{readout.shown(cut.bites_from):.{readout.decimals}f}, {cut.how.removesuffix(' to X stop')}"
    )
