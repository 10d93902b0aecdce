"""The table of a manual lathe with a digital readout, as text to print and as CSV.

Decisions:
- one row a cut at constant Z, numbers with the readout's decimals, the unit on every number's column;
- at most 90 columns; pages of at most 58 lines, which fit A4 and letter at six lines to the inch,
  each begun by a form feed and the title and column heads again;
- a tick box a row; long texts go on under their own column;
- CSV: header row, plain commas (none inside a text), LF, ASCII.
"""

from collections.abc import Iterable
from textwrap import wrap

from postprocessors.numbers import fixed
from postprocessors.remarks import plain
from toolpath.moves import Row, Table

NAME = "dro-table"
WIDTH = 90  # columns
PAGE_LINES = 58  # letter holds 66 at six to the inch; the rest is margin
CSV_HEADER = "row,cut,z,x_start,x_stop,infeed,how"
SLIDE_HEADER = ",z_to,angle,travel"  # besides, where the top slide turns a slope

# row, tick box, cut, Z, X start, X stop, infeed; a space between columns, "how" has what is left
_COLUMNS = "{:>4} {:4} {:11} {:>9} {:>9} {:>9} {:>9}  "
_HOW_COLUMN = len(_COLUMNS.format(*[""] * 7))


def text(table: Table) -> str:
    """The table to print: title, lines, rows with tick boxes, closing lines; pages parted by form feeds."""
    pages = [[*_title(table, 1), *_wrapped(table.lines), "", *_heads(table)]]
    blocks = [_row(number, row, table.decimals) for number, row in enumerate(table.rows, 1)]
    if table.closing:
        blocks.append(["", *_wrapped(table.closing)])
    for block in blocks:
        if len(pages[-1]) + len(block) > PAGE_LINES:
            pages.append([*_title(table, len(pages) + 1), "", *_heads(table)])
        pages[-1] += block
    return "\f".join("".join(line.rstrip() + "\n" for line in page) for page in pages)


def csv(table: Table) -> str:
    """The rows as CSV with the header `row,cut,z,x_start,x_stop,infeed,how`, numbers in the readout's units.

    Where a row turns a slope with the top slide, `z_to,angle,travel` stand besides, empty in the level rows.
    """
    slides = any(row.z_to is not None for row in table.rows)
    lines = [CSV_HEADER + (SLIDE_HEADER if slides else "")]
    for number, row in enumerate(table.rows, 1):
        values = [fixed(value, table.decimals) for value in (row.z, row.x_start, row.x_stop, row.infeed)]
        slide = _slide(row, table.decimals) if slides else []
        lines.append(",".join([str(number), _cell(row.cut), *values, _cell(row.how), *slide]))
    return "".join(line + "\n" for line in lines)


def _slide(row: Row, decimals: int) -> list[str]:
    if row.z_to is None or row.angle is None or row.travel is None:
        return ["", "", ""]
    return [fixed(row.z_to, decimals), fixed(row.angle, 2), fixed(row.travel, decimals)]


def _title(table: Table, page: int) -> list[str]:
    return _wrapped([f"{table.title} - page {page}"])


def _heads(table: Table) -> list[str]:
    unit = "mm" if table.units == "mm" else "in"
    across = f"{unit} dia" if table.x_reading == "diameter" else f"{unit} rad"
    names = _COLUMNS.format("row", "done", "cut", "Z", "X start", "X stop", "infeed") + "how"
    units = _COLUMNS.format("", "", "", unit, across, across, unit)
    return [names, units, "-" * WIDTH]


def _row(number: int, row: Row, decimals: int) -> list[str]:
    values = (fixed(value, decimals) for value in (row.z, row.x_start, row.x_stop, row.infeed))
    first, *rest = wrap(plain(row.how), WIDTH - _HOW_COLUMN) or [""]
    cells = _COLUMNS.format(number, "[ ]", plain(row.cut), *values)
    return [cells + first, *(" " * _HOW_COLUMN + line for line in rest)]


def _wrapped(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in wrap(plain(text), WIDTH)]


def _cell(text: str) -> str:
    return plain(text).replace(",", ";").replace('"', "'")
