"""The grinding template: how far a holder must stand back below the edge, at 1:1, to cut out or lay on."""

import numpy as np

from toolpath.clearance.flank import Flank
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.subject import Subject
from toolpath.recut import Recut
from toolpath.units import MM_PER_INCH

BAR = 100.0  # mm
COLUMN = 62.0  # mm of paper


def wanted(recut: Recut, flank: Flank) -> bool:
    """Whether a holder may have to be ground: somewhere it must stand back, and it is not known that it does."""
    holder = recut.job.holder
    stated = holder is not None and holder.height_below_edge is not None and holder.set_back is not None
    return not stated and any(back > 0 for _, back in flank.template)


def draw_template(page: Page, subject: Subject, flank: Flank, room: Box) -> None:
    """Profile at 1:1 with a bar in both directions, and the same as figures."""
    figures = subject.figures
    rows = np.array(flank.template)
    heights, backs = rows[:, 0], rows[:, 1]
    x, y = room.left + 20 + float(backs.max()) + 18, room.top - 24  # the cutting edge
    low = float(heights.max())
    profile = np.column_stack((x - backs, y - heights))
    left = x - float(backs.max()) - 18
    page.hatch(np.vstack((profile, [(left, y - low), (left, y)])), step=2.0)
    page.line(style.OUTLINE, profile)
    page.line(style.EDGE, [(left - 4, y), (x + 12, y)], [(left, y), (left, y - low), tuple(profile[-1])])
    page.line(style.AXIS, [(x, y + 6), (x, y - low - 6)])
    page.text(x + 1.5, y + 3, "cutting edge", style.SMALL)
    page.text(left, y + 3, "insert's face", style.SMALL)
    page.text(x + 3, y - low, "the holder stays left of the thick line", style.SMALL)
    _list(page, subject, flank, Box(room.right - COLUMN, room.bottom, room.right, room.top))
    _bars(page, room)
    words = (
        "Printed at full size, without fitting to the page. Lay a rule on both bars: each must be "
        f"{figures.length(BAR)} long. The stand-back is counted from the cutting circle, that is from the "
        "outermost point of the insert, at each height below the cutting edge; a margin is in it."
    )
    page.paragraph(room.left, room.bottom + 22, words, room.right - room.left - COLUMN - 6, style.SMALL)


def _bars(page: Page, room: Box) -> None:
    """A bar across and one upright: a printer may stretch one way only."""
    x, y = room.left + 2, room.bottom + 36
    page.line(style.OUTLINE, [(x, y), (x + BAR, y)], [(x, y), (x, y + BAR)])
    for k in range(11):
        at, long = k * BAR / 10, 2.5 if k % 5 else 4.0
        page.line(style.EDGE, [(x + at, y), (x + at, y - long)], [(x, y + at), (x - long / 2, y + at)])
    words = f"{BAR:g} mm ({BAR / MM_PER_INCH:.4f} in)"
    page.text(x + BAR / 2, y + 2, words, style.SMALL, across="center")
    page.text(x + 4, y + BAR / 2, words, style.SMALL, across="center", upright=False)


def _list(page: Page, subject: Subject, flank: Flank, room: Box) -> None:
    """Stand-back by height."""
    figures = subject.figures
    y = room.top - 5
    page.text(room.left, y, "below the edge", style.TINY, face="bold")
    page.text(room.right - 2, y, "stand back", style.TINY, across="right", face="bold")
    y -= 5
    rows = [row for k, row in enumerate(flank.template) if k % 4 == 0]
    if rows[-1] != flank.template[-1]:
        rows.append(flank.template[-1])
    for height, back in rows:
        if y < room.bottom + 4:
            break
        page.text(room.left + 22, y, figures.length(height), style.SMALL, across="right")
        page.text(room.right - 2, y, figures.length(back), style.SMALL, across="right")
        y -= 2 * style.SMALL
