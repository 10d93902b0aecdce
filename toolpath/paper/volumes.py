"""The volume that a cut is to leave, and boxes for readings with those that are stored filled in."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.sheet import shortened
from toolpath.paper.subject import CutOnPaper
from toolpath.readings.log import After, Reading, readings_in
from toolpath.units import cc

AFTER: dict[After, str] = {
    "as-received": "received",
    "skim": "skimmed",
    "first": "first cut",
    "last": "last cut",
}


class Field(NamedTuple):
    """A ruled box: what belongs in it, what stands in it already, its width among the others."""

    word: str
    value: str
    unit: str = ""
    wide: float = 1.0


def expected_words(cut: CutOnPaper) -> str:
    """What this cut is expected to leave, with its interval, and the target."""
    report, expected, by_hand = cut.report, cut.report.expected, cut.by_hand
    volume = report.volume.finished_cc if expected is None else expected.volume_cc
    if cut.hand:  # what the rows leave once they are blended, in place of what was aimed at
        rows = by_hand.expected + by_hand.plan.blended - by_hand.plan.as_cut
        volume += cc(rows) - report.volume.finished_cc
    words = f"expected {volume:.3f} cc"
    if expected is not None:
        words += f" ± {2 * expected.u_cc:.3f} cc (k = 2)"
    tolerance = cc(cut.recut.job.dish.tolerance)
    return f"{words}      target {report.volume.target_cc:.3f} ± {tolerance:g} cc"


def fields(cut: CutOnPaper) -> Iterator[Field]:
    """Boxes for what is read of this piston: stored readings stand in theirs, that of this cut is empty."""
    stored = readings_in(cut.recut.readings)
    shown: list[After] = [] if cut.recut.stage == "whole" else ["as-received"]
    for after in AFTER:
        value = _latest(stored, after, "burette")
        if value is not None or after in shown:
            yield Field(AFTER[after], "" if value is None else f"{value.shown:.2f}", "cc")
    yield Field("this cut", "", "cc", 1.3)
    mass = _latest(stored, "as-received", "mass")
    if mass is not None:
        yield Field("mass before", f"{mass.value:.1f}", "g")
    yield Field("mass after", "", "g")
    if cut.recut.job.zero == "noted":
        zeros = [r for r in stored if r.method == "zero"]
        figures = cut.subject.figures
        noted = figures.number(zeros[-1].value) if zeros else ""
        yield Field("face Z noted", noted, figures.unit, 1.4)


def _latest(stored: Sequence[Reading], after: After, method: str) -> Reading | None:
    found = [r for r in stored if r.after == after and r.method == method]
    return found[-1] if found else None


def draw_fields(page: Page, of: Sequence[Field], room: Box, height: float) -> None:
    """Boxes side by side: a small word at the top, the value below it."""
    x, share = room.left, (room.right - room.left) / sum(f.wide for f in of)
    for field in of:
        end = x + share * field.wide
        page.outline(style.EDGE, Box(x, room.bottom, end, room.top))
        words = f"{field.word}, {field.unit}" if field.unit else field.word
        page.text(x + 1.5, room.top - 1.2 - style.SMALL, words, style.SMALL)
        value = shortened(field.value, end - x - 3, height, "bold")
        page.text(x + 1.5, room.bottom + 1.6, value, height, face="bold")
        x = end
