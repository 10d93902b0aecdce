"""The readings file as text: a CSV that a person can open in a spreadsheet. It only ever grows.

A line is written in one piece under a lock and flushed to the disk before it counts. One that a power cut
tore off was never confirmed to anyone; it is reported, and the next append closes it with a mark.
"""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from toolpath.errors import InputError
from toolpath.readings import logfile

COLUMNS = ("reading", "piston", "after", "method", "value", "unit", "when", "withdraws", "cut_depth", "note")
HEADING = ",".join(COLUMNS)
TORN = "# torn"  # closes a torn line
FORMULA = ("=", "+", "-", "@")  # a spreadsheet runs a cell that starts with one of these


@dataclass(frozen=True, slots=True)
class Row:
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


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a file in the order they stand, and the numbers of its torn lines."""

    rows: tuple[Row, ...] = ()
    torn: tuple[int, ...] = ()


def load(path: Path) -> Rows:
    """All rows. No file: none. Raises InputError when it cannot be read or has another heading."""
    try:
        content = logfile.read(path)
    except OSError as error:
        raise InputError(f"{path.name}: cannot be read: {error.strerror}") from error
    return _rows(content, path.name)


def append(path: Path, cells: Callable[[Rows], list[str]]) -> None:
    """Add the line that `cells` makes of the rows before it; when this returns, it is on the disk.

    The last cell is free text of one line. Raises InputError when the file cannot be written or read; an error
    of `cells` passes. Then nothing counts as stored.
    """

    def line(content: bytes) -> bytes:
        row = cells(_rows(content, path.name))
        *whole, tail = _decode(content).split("\n")
        start = ""
        if tail:
            # a quote left open would swallow the next lines in a spreadsheet
            start = '"' * (tail.count('"') % 2) + ("" if _is_whole(tail, whole) else f" {TORN}") + "\n"
        if not any(_is_heading(w) for w in [*whole, tail]):
            start += HEADING + "\n"
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerow([*row[:-1], _guarded(row[-1])])
        return (start + out.getvalue()).encode("utf-8")

    try:
        logfile.append(path, line)
    except OSError as error:
        raise InputError(
            f"{path.name}: cannot be written: {error.strerror}; the reading is not stored"
        ) from error


def one_line(note: str) -> str:
    """A note as it can stand in one cell of one line."""
    plain = "".join(c if c.isprintable() else " " for c in note)
    return " ".join(plain.split()).replace(TORN, "torn")


def _rows(content: bytes, name: str) -> Rows:
    *lines, tail = _decode(content).split("\n")
    torn: list[int] = []
    rows: list[Row] = []
    if tail and _is_whole(tail, lines):
        lines.append(tail)
    elif tail:
        torn.append(len(lines) + 1)
    heading_seen = False
    for number, line in enumerate(lines, start=1):
        if line.endswith(TORN) or "\0" in line:
            torn.append(number)
        elif not line.strip(", "):
            continue  # an empty row
        elif heading_seen:
            rows.append(Row(number, tuple(_cells(line))))
        elif _is_heading(line):
            heading_seen = True
        else:
            raise InputError(
                f"{name} line {number}: {line.strip()[:100]!r} is not the heading {HEADING}; "
                "a spreadsheet must save it with commas between columns and decimal points"
            )
    return Rows(tuple(rows), tuple(sorted(torn)))


def _decode(content: bytes) -> str:
    text = content.decode("utf-8-sig", errors="replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")  # whatever line ends a spreadsheet writes


def _cells(line: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line]))]
    except csv.Error:  # longer than any cell
        return [line]


def _is_heading(line: str) -> bool:
    return _cells(line) == list(COLUMNS)


def _is_whole(tail: str, before: list[str]) -> bool:
    """Whether a last line without a line end lacks nothing but that: an editor may have left it out."""
    if not any(_is_heading(line) for line in before):
        return _is_heading(tail)
    return len(_cells(tail)) == len(COLUMNS) and tail.count('"') % 2 == 0 and "\0" not in tail


def _guarded(note: str) -> str:
    return f"'{note}" if note.startswith(FORMULA) else note


def _unguarded(note: str) -> str:
    return note[1:] if note.startswith(tuple("'" + c for c in FORMULA)) else note
