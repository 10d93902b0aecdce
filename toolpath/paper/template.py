"""The grinding template: how far a holder must stand back below the edge, at 1:1, to cut out or lay on."""

import math

import numpy as np

from toolpath.clearance.flank import Flank
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.corner import draw_flank
from toolpath.paper.labels import LEADING, Box, Spot
from toolpath.paper.subject import Subject
from toolpath.recut import Recut
from toolpath.units import MM_PER_INCH

BARS = {"mm": 100.0, "in": 4 * MM_PER_INCH}  # mm
MARKS = {"mm": 10, "in": 8}  # parts of a bar
COLUMN = 58.0  # mm of paper, the list
SHANK = 20.0  # mm of the tool drawn behind the deepest stand-back
PART = 14.0  # mm of the part drawn
BESIDE = 7.0  # mm of paper from a bar to the drawing


def wanted(recut: Recut, flank: Flank) -> bool:
    """Whether a holder may have to be ground: somewhere it must stand back, and it is not known that it does."""
    holder = recut.job.holder
    stated = holder is not None and holder.height_below_edge is not None and holder.set_back is not None
    return not stated and any(back > 0 for _, back in flank.template)


def draw_template(page: Page, subject: Subject, flank: Flank, room: Box) -> None:
    """Holder and part at 1:1 between two bars, the same as figures, and below it enlarged."""
    figures = subject.figures
    bar = BARS[figures.unit]
    heights, backs = np.array(flank.template).T
    corner = (room.left + 3.0, room.top - 6.0 - bar)
    _bars(page, subject, corner)
    deep, low = float(backs.max()), float(heights.max())
    edge = (corner[0] + BESIDE + SHANK + deep, room.top - 16.0)
    _holder(page, edge, np.column_stack((edge[0] - backs, edge[1] - heights)))
    _part(page, subject, flank, edge, low)
    _list(page, subject, flank, Box(room.right - COLUMN, corner[1], room.right, room.top))
    words = (
        f"Printed at full size, without fitting to the page. Lay a rule on both bars: each must be "
        f"{_length(subject)} long. Cut along the heavy line and hold it to the holder: it must clear. The "
        "stand-back is counted from the outermost point of the insert, at each height below the cutting "
        "edge; a margin is in it."
    )
    y = corner[1] - 12.0
    y = page.paragraph(room.left, y, words, room.right - room.left)
    draw_flank(page, subject, flank, Box(room.left, room.bottom, room.right, y + style.PLAIN))


def _length(subject: Subject) -> str:
    return "100 mm" if subject.figures.unit == "mm" else "4.000 in"


def _holder(page: Page, edge: Spot, profile: np.ndarray) -> None:
    """What may stand there of the holder, left of the heavy line."""
    x, y = edge
    left, low = float(profile[:, 0].min()) - SHANK, float(profile[-1, 1])
    page.hatch(np.vstack((profile, [(left, low), (left, y)])), step=2.0)
    page.line(style.OUTLINE, profile)
    page.line(style.EDGE, [(left, y), (x, y)], [(left, y), (left, low), (float(profile[-1, 0]), low)])
    page.text(left, y + 2, "insert's face", style.SMALL)
    page.text(left, low - 5, "holder: left of the heavy line", style.SMALL)


def _part(page: Page, subject: Subject, flank: Flank, edge: Spot, low: float) -> None:
    """The wall or bowl of the dish as it curves in towards the holder below the cutting edge."""
    x, y = edge
    relief = subject.recut.insert.relief + subject.recut.job.tool.seat_tilt
    wall = flank.contact_height / math.sin(2 * relief)
    down = np.linspace(0.0, min(low, 0.98 * wall), 60)
    inward = wall - np.sqrt(wall**2 - down**2)
    curve = np.column_stack((x - inward, y - down))
    right = x + PART
    page.hatch(np.vstack((curve, [(right, curve[-1][1]), (right, y)])), step=2.6, falling=True)
    page.line(style.EDGE, curve, [(x, y), (right, y)])
    page.line(style.AXIS, [(x, y + 5), (x, y - low - 2)])
    page.text(x + 1.5, y + 2, "cutting edge", style.SMALL)
    page.text(right + 2, y - low / 2, "the part", style.SMALL)


def _bars(page: Page, subject: Subject, corner: Spot) -> None:
    """A bar across and one upright from a corner: a printer may stretch one way only."""
    x, y = corner
    bar, parts = BARS[subject.figures.unit], MARKS[subject.figures.unit]
    page.line(style.OUTLINE, [(x, y), (x + bar, y)], [(x, y), (x, y + bar)])
    for k in range(parts + 1):
        at, long = k * bar / parts, 2.5 if k % (parts // 2) else 4.0
        page.line(style.EDGE, [(x + at, y), (x + at, y - long)], [(x, y + at), (x + long, y + at)])
    words = _length(subject)
    page.text(x + bar / 2, y + 2, words, style.SMALL, across="center")
    page.text(x + 8, y + bar / 4, words, style.SMALL, across="center", upright=False)


def _list(page: Page, subject: Subject, flank: Flank, room: Box) -> None:
    """Stand-back by height."""
    figures = subject.figures
    line = LEADING * style.SMALL
    y = room.top - 5
    for words, across, x in (("below the edge", "left", room.left), ("stand back", "right", room.right - 1)):
        page.text(x, y, words, style.SMALL, across=across, face="bold")  # type: ignore[arg-type]
    rows = [row for k, row in enumerate(flank.template) if k % 4 == 0]
    if rows[-1] != flank.template[-1]:
        rows.append(flank.template[-1])
    most = int((y - room.bottom) / line) - 1
    step = -(-len(rows) // most)
    for height, back in (*rows[:-1:step], rows[-1]):
        y -= line
        page.text(room.left + 24, y, figures.length(height), style.SMALL, across="right")
        page.text(room.right - 1, y, figures.length(back), style.SMALL, across="right")
