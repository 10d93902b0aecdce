"""The last page: the curve, room for the readings, and how to take them."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.curve import draw_curve
from toolpath.paper.labels import LEADING, Box
from toolpath.paper.subject import Subject
from toolpath.readings.log import After, readings_in
from toolpath.recut import Recut
from toolpath.reference import table

CURVE = 58.0  # mm of paper, least for the curve
ROW = 7.0
HEADS = (
    ("piston", ""),
    ("as", "received"),
    ("after", "the skim"),
    ("after the", "first cut"),
    ("after the", "last cut"),
    ("mass", "removed"),
)
AFTERS: tuple[After, ...] = ("as-received", "skim", "first", "last")
HEAD = 11.5
FIRST = 0.11  # of the width, for the column with the piston's number
MOST_PISTONS = 12  # rows that are asked for before the curve


def _numbers(recut: Recut) -> list[int]:
    return list(range(1, recut.job.piston.count + 1)) if recut.piston is None else [recut.piston]


def _foot() -> float:
    """What the hints take, mm."""
    return len(table("cautions")["burette"]["lines"]) * LEADING * style.SMALL + 10.5


def _ruled(recut: Recut) -> float:
    """What the table to write in asks for, mm."""
    return min(len(_numbers(recut)), MOST_PISTONS) * ROW + HEAD + 2


def least_room(recut: Recut) -> float:
    """How much of a page it takes at least, mm."""
    curves = CURVE if recut.next_cut is None else 2 * CURVE
    return curves + _ruled(recut) + _foot()


def draw_readings(page: Page, subject: Subject, room: Box) -> None:
    """Curve, a table to write in, hints."""
    recut = subject.recut
    foot = room.bottom + _foot()
    low = foot + _ruled(recut)
    if recut.next_cut is None:
        draw_curve(page, subject, Box(room.left, low, room.right, room.top))
    else:  # stops and readings lie close together: the curve whole, and large round them
        half = (low + room.top) / 2
        draw_curve(page, subject, Box(room.left, half, room.right, room.top))
        draw_curve(page, subject, Box(room.left, low, room.right, half - 1), close=True)
    _table(page, recut, Box(room.left, foot, room.right, low - 2))
    page.text(room.left, foot - 6, "Before each reading", style.PLAIN, face="bold")
    y = foot - 6 - 2 * style.PLAIN
    for line in table("cautions")["burette"]["lines"]:
        y = page.paragraph(room.left, y, line, room.right - room.left, style.SMALL)


def _table(page: Page, recut: Recut, room: Box) -> None:
    """A row a piston; what is stored stands in it."""
    head = HEAD
    numbers = _numbers(recut)[: int((room.top - room.bottom - head) / ROW)]
    wide = room.right - room.left
    rest = (1 - FIRST) / (len(HEADS) - 1)
    edges = [room.left, *(room.left + wide * (FIRST + k * rest) for k in range(len(HEADS)))]
    low = room.top - head - ROW * len(numbers)
    page.line(
        style.EDGE,
        *([(x, room.top), (x, low)] for x in edges),
        [(room.left, room.top), (room.right, room.top)],
    )
    for x, words in zip(edges, HEADS, strict=False):
        page.text(x + 1.2, room.top - 5, "\n".join(words), style.SMALL)
    stored = readings_in(recut.readings)
    for k, number in enumerate(numbers):
        y = room.top - head - (k + 1) * ROW
        page.line(style.OUTLINE if k == 0 else style.EDGE, [(room.left, y + ROW), (room.right, y + ROW)])
        page.text(edges[0] + 3, y + 2.1, str(number), style.PLAIN)
        for after, right in zip(AFTERS, edges[2:], strict=False):
            read = [r.shown for r in stored if (r.piston, r.after, r.method) == (number, after, "burette")]
            value = f"{read[-1]:.2f} cc" if read else "cc"
            page.text(right - 1.5, y + 2.1, value, style.PLAIN, across="right")
        page.text(edges[-1] - 1.5, y + 2.1, "g", style.PLAIN, across="right")
    page.line(style.EDGE, [(room.left, low), (room.right, low)])
