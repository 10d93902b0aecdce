"""The last page: the curve, room for the readings, and how to take them."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.curve import draw_curve
from toolpath.paper.labels import Box
from toolpath.paper.subject import Subject
from toolpath.recut import Recut
from toolpath.reference import table

CURVE, MOST_CURVE = 90.0, 150.0  # mm of paper, least and most for the curve
ROW = 8.0
COLUMNS = ("piston", "as received", "after the skim", "after the first cut", "after the last cut", "mass, g")
FIRST = 0.11  # of the width, for the column with the piston's number


def draw_readings(page: Page, subject: Subject, room: Box) -> None:
    """Curve, a table to write in, hints."""
    recut = subject.recut
    hints = table("cautions")["burette"]["lines"]
    foot = room.bottom + len(hints) * 2 * style.SMALL + 10
    pistons = recut.job.piston.count if recut.piston is None else 1
    tall = max(CURVE, min(MOST_CURVE, room.top - foot - (pistons + 2) * ROW))
    low = room.top - tall
    if recut.next_cut is None:
        draw_curve(page, subject, Box(room.left, low, room.right, room.top))
    else:  # stops and readings lie close together: the curve whole, and large round them
        half = room.top - tall / 2
        draw_curve(page, subject, Box(room.left, half, room.right, room.top))
        draw_curve(page, subject, Box(room.left, low, room.right, half - 1), close=True)
    _table(page, recut, Box(room.left, foot, room.right, low - 2))
    page.text(room.left, foot - 6, "Before each reading", style.PLAIN, face="bold")
    y = foot - 6 - 2 * style.PLAIN
    for line in hints:
        y = page.paragraph(room.left, y, line, room.right - room.left, style.SMALL)


def _table(page: Page, recut: Recut, room: Box) -> None:
    rows = int((room.top - room.bottom - ROW) / ROW)
    numbers = list(range(1, recut.job.piston.count + 1)) if recut.piston is None else [recut.piston]
    numbers = numbers[:rows]
    wide = room.right - room.left
    rest = (1 - FIRST) / (len(COLUMNS) - 1)
    edges = [room.left, *(room.left + wide * (FIRST + k * rest) for k in range(len(COLUMNS)))]
    low = room.top - ROW * (len(numbers) + 1)
    page.line(style.EDGE, *([(x, room.top), (x, low)] for x in edges))
    for k in range(len(numbers) + 2):
        y = room.top - k * ROW
        page.line(style.OUTLINE if k == 1 else style.EDGE, [(room.left, y), (room.right, y)])
    for k, word in enumerate(COLUMNS):
        page.text(edges[k] + 1.2, room.top - ROW + 2.8, word, style.TINY)
    for k, number in enumerate(numbers):
        y = room.top - (k + 2) * ROW + 2.6
        page.text(edges[0] + 3, y, str(number), style.PLAIN)
        for right in edges[2:-1]:
            page.text(right - 1.5, y, "cc", style.TINY, across="right")
