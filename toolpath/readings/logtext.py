"""The readings file as text: a CSV that a person can open in a spreadsheet. It only ever grows.

A line is written in one piece under a lock and flushed to the disk before it counts. One that a power cut
tore off was never confirmed to anyone; it is reported, and the next append closes it with a mark in a column
of its own, where no text of a row can stand. A spreadsheet may save it with semicolons or tabs between the columns
and with decimal commas; a line that is added keeps to what stands there.
"""

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from toolpath.errors import InputError
from toolpath.readings import logfile

COLUMNS = ("reading", "piston", "after", "method", "value", "unit", "when", "withdraws", "cut_depth", "note")
HEADING = ",".join(COLUMNS)
NUMBERS = (COLUMNS.index("value"), COLUMNS.index("cut_depth"))  # those with decimals
SEPARATORS = (",", ";", "\t")
TORN = "# torn"  # stands in the column after the last of a line that was torn
TORN_BEFORE = r'(^|[,;\t])"([^"]|"")*" # torn$'  # how it was closed inside a note, earlier
FORMULA = r"'*[=+\-@]"  # a spreadsheet runs a cell that starts with one of these; ' guards it
WIDE = rb"\xff\xfe|\xfe\xff|(?s:.*?)[^\0]\0[^\0]\0[^\0]\0"  # text of two bytes a letter
DECIMAL = r"[+-]?[0-9]+,[0-9]+"


class LogLine(NamedTuple):
    """One line below the heading; `line` is its number in the file."""

    line: int
    cells: tuple[str, ...]

    def by_column(self) -> dict[str, str]:
        """The cells by the names of their columns. Raises InputError where they are too few or too many."""
        if len(self.cells) != len(COLUMNS):
            raise InputError(
                f"{len(self.cells)} columns, where {len(COLUMNS)} are needed: {', '.join(COLUMNS)}"
            )
        return dict(zip(COLUMNS, (*self.cells[:-1], _unguarded(self.cells[-1])), strict=True))


class LogLines(NamedTuple):
    """The rows of a file in the order they stand, the numbers of its torn lines, and how it is written."""

    rows: tuple[LogLine, ...]
    torn: tuple[int, ...]
    separator: str
    decimal: str
    start: str  # what must come before the next row: the end of a torn line, the heading


def load(path: Path) -> LogLines:
    """All rows. No file: none. Raises InputError when it cannot be read or understood."""
    try:
        content = logfile.read(path)
    except OSError as error:
        close = "; close it in the program that holds it" if isinstance(error, PermissionError) else ""
        raise InputError(f"{path.name}: cannot be read: {error.strerror}{close}") from error
    return _rows(content, path.name)


def append(path: Path, cells: Callable[[LogLines], list[list[str]]]) -> None:
    """Add the lines that `cells` makes of the rows before them, all or none; then they are on the disk.

    The last cell of each is free text of one line. Raises InputError when the file cannot be written or
    understood; an error of `cells` passes. Then nothing counts as stored.
    """

    def line(content: bytes) -> bytes:
        before = _rows(content, path.name)
        lines = ""
        for *row, note in cells(before):
            for column in NUMBERS:
                row[column] = row[column].replace(".", before.decimal)
            lines += _line([*row, _guarded(note)], before.separator)
        return (before.start + lines).encode("utf-8") if lines else b""

    try:
        logfile.append(path, line)
    except logfile.UnsureError as error:
        raise InputError(
            f"{path.name}: {error.strerror}; nobody can say whether the reading is stored: look at the last line"
        ) from error
    except OSError as error:
        close = "; close it in the spreadsheet or viewer" if isinstance(error, PermissionError) else ""
        raise InputError(
            f"{path.name}: cannot be written: {error.strerror}{close}; the reading is not stored"
        ) from error


def one_line(note: str) -> str:
    """A note as it can stand in one cell of one line."""
    return " ".join("".join(c if c.isprintable() else " " for c in note).split())


def _rows(content: bytes, name: str) -> LogLines:
    *lines, tail = _lines(content, name)
    separator = next((s for line in [*lines, tail] for s in SEPARATORS if _is_heading(line, s)), None)
    used = separator or ","
    torn: list[int] = []
    start = ""
    if tail:
        open_quote = '"' * (tail.count('"') % 2)  # would swallow the next lines in a spreadsheet
        cells = _cells(tail + open_quote, used)
        headed = any(_is_heading(line, used) for line in lines)
        whole = len(cells) == len(COLUMNS) and not open_quote if headed else _is_heading(tail, used)
        start = "\n"
        if whole and "\0" not in tail:  # it lacks nothing but its line end: an editor may have left it out
            lines.append(tail)
        else:
            torn.append(len(lines) + 1)
            start = open_quote + used * (1 + max(0, len(COLUMNS) - len(cells))) + TORN + start
    rows: list[LogLine] = []
    heading_seen = False
    for number, line in enumerate(lines, start=1):
        cells = _cells(line, used)
        if _is_torn(line, cells):
            torn.append(number)
        elif not any(cells):
            continue  # an empty row
        elif heading_seen:
            rows.append(LogLine(number, tuple(cells)))
        elif _is_heading(line, used):
            heading_seen = True
        else:
            raise InputError(
                f"{name} line {number}: {line.strip()[:100]!r} is not the heading {HEADING}; a spreadsheet "
                "must save it as CSV, with commas, semicolons or tabs between the columns"
            )
    rows, decimal = _with_points(rows, used)
    if separator is None:
        start += HEADING + "\n"
    return LogLines(tuple(rows), tuple(sorted(torn)), used, decimal, start)


def _lines(content: bytes, name: str) -> list[str]:
    """The lines without their ends, the last of them unfinished or empty."""
    if re.match(WIDE, content):
        raise InputError(
            f"{name}: is UTF-16 text, as some editors and shells write it; save it as CSV in UTF-8 and try again"
        )
    content = content.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return [_decoded(line) for line in content.split(b"\n")]


def _decoded(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:  # a spreadsheet may have saved it in the code page of its computer
        return line.decode("cp1252", errors="replace")


def _cells(line: str, separator: str) -> list[str]:
    try:
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=separator), [])]
    except csv.Error:  # longer than any cell
        return [line]
    while len(cells) > len(COLUMNS) and not cells[-1]:  # a spreadsheet makes all rows as long as the longest
        del cells[-1]
    return cells


def _line(cells: list[str], separator: str) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n", delimiter=separator).writerow(cells)
    return out.getvalue()


def _is_heading(line: str, separator: str) -> bool:
    return _cells(line, separator) == list(COLUMNS)


def _is_torn(line: str, cells: list[str]) -> bool:
    """Zeros after a power cut, or a mark where no text of a row can stand."""
    closed_before = line.endswith(f" {TORN}") and (
        len(cells) != len(COLUMNS) or re.search(TORN_BEFORE, line) is not None
    )
    return "\0" in line or TORN in cells[len(COLUMNS) :] or closed_before


def _with_points(rows: list[LogLine], separator: str) -> tuple[list[LogLine], str]:
    """The rows with decimal points, and the file's own decimal sign.

    Commas are read where no number of the file has a point; where both stand they are left, and refused.
    """
    numbers = [row.cells[column] for row in rows for column in NUMBERS if len(row.cells) > column]
    points = any("." in number for number in numbers)
    commas = any(re.fullmatch(DECIMAL, number) for number in numbers)
    if points:
        return rows, "."
    if not commas:
        return rows, "," if separator == ";" else "."

    def pointed(row: LogLine) -> LogLine:
        cells = list(row.cells)
        for column in NUMBERS:
            if len(cells) > column and re.fullmatch(DECIMAL, cells[column]):
                cells[column] = cells[column].replace(",", ".")
        return LogLine(row.line, tuple(cells))

    return [pointed(row) for row in rows], ","


def _guarded(note: str) -> str:
    return f"'{note}" if re.match(FORMULA, note) else note


def _unguarded(note: str) -> str:
    return note[1:] if note.startswith("'") and re.match(FORMULA, note) else note
