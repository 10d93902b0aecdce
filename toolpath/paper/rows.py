"""The DRO table on paper: a ruled row a cut with a box to tick."""

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from toolpath.moves import Row, Table
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, wrapped
from toolpath.paper.subject import CutOnPaper
from toolpath.table.wording import slide_notes

HEIGHT = style.SMALL
LINE = LEADING * HEIGHT
PITCH = 6.0  # mm of paper, one row
HEAD = 12.0  # mm of paper, the heads of the columns
# mm of paper: row, done, cut, Z, X start, X stop, infeed; how has the rest
COLUMNS = (11.0, 12.0, 16.0, 22.0, 23.0, 23.0, 20.0)
HEADS = ("row", "done", "cut", "Z", "X start", "X stop", "infeed", "how")


class Leaf(NamedTuple):
    """What stands on one page of the table: lines above, numbered rows, lines below."""

    above: tuple[str, ...]
    rows: tuple[tuple[int, Row], ...]
    below: tuple[str, ...]
    pitch: float = PITCH

    def tall(self, wide: float) -> float:
        """How much of a page it takes, mm."""
        rows = sum(_row_height(row, wide, self.pitch) for _, row in self.rows)
        return _tall(self.above, wide) + (HEAD + rows if self.rows else 0.0) + _tall(self.below, wide)


def row_notes(cut: CutOnPaper) -> tuple[str, ...]:
    """How the rows are read: the top slide's setting, the infeed, what their words mean."""
    plan = cut.by_hand.plan
    z_reads = cut.recut.job.machine.z_reads
    slide = () if plan.slope is None else slide_notes(plan.slope, plan.readout, z_reads)
    return (*slide, *plan.notes)


def leaf_of(lines: tuple[str, ...], table: Table, pitch: float = PITCH) -> Leaf:
    """The whole table on one page; `lines` say how its rows are read."""
    return Leaf(lines, tuple(enumerate(table.rows, 1)), table.closing, pitch)


def leaves(whole: Leaf, wide: float, talls: Iterator[float]) -> list[Leaf]:
    """The table broken into pages of this width and these heights (mm)."""
    out: list[Leaf] = []
    rest = whole
    for tall in talls:
        if rest.tall(wide) <= tall:
            return [*out, rest]
        left = tall - _tall(rest.above, wide) - HEAD
        taken = 0
        for _, row in rest.rows:
            left -= _row_height(row, wide, rest.pitch)
            if left < 0:
                break
            taken += 1
        out.append(rest._replace(rows=rest.rows[:taken], below=()))
        rest = rest._replace(above=(), rows=rest.rows[taken:])
    return [*out, rest]


def _tall(lines: Sequence[str], wide: float) -> float:
    return sum(len(wrapped(line, wide, HEIGHT)) for line in lines) * LINE + (2 if lines else 0)


def _how(row: Row, wide: float) -> list[str]:
    return wrapped(row.how, wide - sum(COLUMNS) - 2, HEIGHT)


def _row_height(row: Row, wide: float, pitch: float) -> float:
    return max(pitch, len(_how(row, wide)) * LINE + 1)


def draw_leaf(page: Page, leaf: Leaf, table: Table, room: Box) -> float:
    """One page of the table from the top of a room; gives the y under it."""
    y = room.top - HEIGHT
    wide = room.right - room.left
    for line in leaf.above:
        y = page.paragraph(room.left, y, line, wide, HEIGHT)
    if leaf.above:
        y -= 2
    if leaf.rows:
        y = _ruled(page, leaf, table, Box(room.left, room.bottom, room.right, y + HEIGHT)) - LINE
    for line in leaf.below:
        y = page.paragraph(room.left, y, line, wide, HEIGHT)
    return y + HEIGHT


def _ruled(page: Page, leaf: Leaf, table: Table, room: Box) -> float:
    """Heads and rows; gives the y of the last rule."""
    edges = [*accumulate(COLUMNS, initial=room.left), room.right]
    y = room.top - HEAD
    for k, (head, unit) in enumerate(_heads(table)):
        right = 3 <= k <= 6
        x = edges[k + 1] - 1.5 if right else edges[k] + 1.2
        for up, words in ((2 + LINE, head), (2, unit)):
            page.text(x, y + up, words, HEIGHT, across="right" if right else "left", face="bold")
    page.line(style.OUTLINE, [(room.left, y), (room.right, y)])
    for number, row in leaf.rows:
        tall = _row_height(row, room.right - room.left, leaf.pitch)
        y -= tall
        _row(page, edges, y + tall - (leaf.pitch + style.PLAIN) / 2, number, row, table.decimals)
        page.line(style.EDGE if number % 5 == 0 else style.RULE, [(room.left, y), (room.right, y)])
    return y


def _heads(table: Table) -> Iterator[tuple[str, str]]:
    """The two lines over each column."""
    unit = "mm" if table.units == "mm" else "in"
    across = f"{unit} {'dia' if table.x_reading == 'diameter' else 'rad'}"
    units = {"Z": unit, "X start": across, "X stop": across, "infeed": unit}
    return ((head, units.get(head, "")) for head in HEADS)


def _row(page: Page, edges: list[float], y: float, number: int, row: Row, decimals: int) -> None:
    page.text(edges[1] - 2.5, y, str(number), style.PLAIN, across="right")
    page.outline(style.EDGE, Box(edges[1] + 2.6, y - 0.5, edges[1] + 6.4, y + 3.3))
    page.text(edges[2] + 1.2, y, row.cut, style.PLAIN)
    for k, value in enumerate((row.z, row.x_start, row.x_stop, row.infeed), 3):
        page.text(edges[k + 1] - 1.5, y, f"{value:.{decimals}f}", style.PLAIN, across="right")
    for k, line in enumerate(_how(row, edges[-1] - edges[0])):
        page.text(edges[7] + 1.2, y + (style.PLAIN - HEIGHT) / 2 - k * LINE, line, HEIGHT)
