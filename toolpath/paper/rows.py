"""The DRO table on paper: a ruled row a cut with a box to tick, and room for readings at the foot."""

from collections.abc import Iterator
from dataclasses import dataclass

from toolpath.moves import Row, Table
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, wrapped

HEIGHT = style.SMALL
LINE = LEADING * HEIGHT
ROW = 5.6  # mm of paper, one row
READINGS = 18.0  # mm of paper at the foot
COLUMNS = (
    8.0,
    9.0,
    17.0,
    22.0,
    25.0,
    25.0,
    19.0,
)  # mm: row, done, cut, Z, X start, X stop, infeed; how has the rest
HEADS = ("row", "done", "cut", "Z", "X start", "X stop", "infeed", "how")
PLACES = ("as received", "after the skim", "after the first cut", "after the last cut")


@dataclass(frozen=True, slots=True)
class Leaf:
    """What stands on one page of the table: lines above, numbered rows, lines below."""

    above: tuple[str, ...]
    rows: tuple[tuple[int, Row], ...]
    below: tuple[str, ...]


def leaves(table: Table, room: Box) -> list[Leaf]:
    """The table broken into pages of this room."""
    wide, tall = room.right - room.left, room.top - room.bottom - READINGS - ROW - 4
    out: list[Leaf] = []
    above: tuple[str, ...] = table.lines
    rows: list[tuple[int, Row]] = []
    left = tall - _tall(above, wide)
    for number, row in enumerate(table.rows, 1):
        need = _row_height(row, wide)
        if need > left:
            out.append(Leaf(above, tuple(rows), ()))
            above, rows, left = (), [], tall
        rows.append((number, row))
        left -= need
    if _tall(table.closing, wide) > left:
        out.append(Leaf(above, tuple(rows), ()))
        above, rows = (), []
    return [*out, Leaf(above, tuple(rows), table.closing)]


def _tall(lines: tuple[str, ...], wide: float) -> float:
    return sum(len(wrapped(line, wide, HEIGHT)) for line in lines) * LINE + 3


def _how(row: Row, wide: float) -> list[str]:
    return wrapped(row.how, wide - sum(COLUMNS) - 2, style.TINY)


def _row_height(row: Row, wide: float) -> float:
    return max(ROW, len(_how(row, wide)) * LEADING * style.TINY + 2)


def draw_leaf(page: Page, leaf: Leaf, table: Table, room: Box) -> None:
    """One page of the table."""
    y = room.top - 4
    wide = room.right - room.left
    for line in leaf.above:
        y = page.paragraph(room.left, y, line, wide, HEIGHT)
    if leaf.rows:
        y = _ruled(page, leaf, table, Box(room.left, room.bottom, room.right, y + LINE - 3))
    y -= LINE
    for line in leaf.below:
        y = page.paragraph(room.left, y, line, wide, HEIGHT)
    _readings(page, room)


def _ruled(page: Page, leaf: Leaf, table: Table, room: Box) -> float:
    """Heads and rows; gives the y of the last rule."""
    edges = [room.left]
    for width in COLUMNS:
        edges.append(edges[-1] + width)
    edges.append(room.right)
    y = room.top - ROW - 2
    for k, head in enumerate(_heads(table)):
        right = 3 <= k <= 6
        x = edges[k + 1] - 1.5 if right else edges[k] + 1.2
        page.text(x, y + 2, head, style.TINY, across="right" if right else "left", face="bold")
    page.line(style.OUTLINE, [(room.left, y), (room.right, y)])
    for number, row in leaf.rows:
        tall = _row_height(row, room.right - room.left)
        y -= tall
        _row(page, edges, y + tall - 1.7 - HEIGHT, number, row, table.decimals)
        page.line(style.EDGE if number % 5 == 0 else style.RULE, [(room.left, y), (room.right, y)])
    return y


def _heads(table: Table) -> Iterator[str]:
    unit = "mm" if table.units == "mm" else "in"
    across = f"{unit} {'dia' if table.x_reading == 'diameter' else 'rad'}"
    units = {"Z": unit, "X start": across, "X stop": across, "infeed": unit}
    return (f"{head}, {units[head]}" if head in units else head for head in HEADS)


def _row(page: Page, edges: list[float], y: float, number: int, row: Row, decimals: int) -> None:
    page.text(edges[1] - 1.5, y, str(number), HEIGHT, across="right")
    page.outline(style.EDGE, Box(edges[1] + 2.2, y - 0.7, edges[1] + 5.6, y + 2.7))
    page.text(edges[2] + 1.2, y, row.cut, HEIGHT)
    for k, value in enumerate((row.z, row.x_start, row.x_stop, row.infeed), 3):
        page.text(edges[k + 1] - 1.5, y, f"{value:.{decimals}f}", style.PLAIN, across="right")
    for k, line in enumerate(_how(row, edges[-1] - edges[0])):
        page.text(edges[7] + 1.2, y - k * LEADING * style.TINY, line, style.TINY)


def _readings(page: Page, room: Box) -> None:
    """Places to write burette readings."""
    each = (room.right - room.left) / len(PLACES)
    for k, word in enumerate(PLACES):
        x = room.left + k * each
        page.outline(style.EDGE, Box(x, room.bottom + 1, x + each - 2, room.bottom + READINGS - 3))
        page.text(x + 1.5, room.bottom + READINGS - 6.5, word, style.TINY)
        page.text(x + each - 3.5, room.bottom + 3, "cc", style.SMALL, across="right")
