"""The readings file: a CSV beside the job that a person can open in a spreadsheet. It only ever grows.

One line a reading, written in one piece under a lock and flushed to the disk before it counts. Nothing is
rewritten: a reading is withdrawn by a further line that names its number. A line that a power cut tore off
was never confirmed to anyone; it is reported, and the next append closes it with a mark. Faults are sentences
with line numbers, all at once.
"""

import csv
import io
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Literal, get_args

from toolpath.errors import InputError
from toolpath.readings import logfile

After = Literal["as-received", "skim", "first", "last"]
AFTERS: tuple[After, ...] = get_args(After)

COLUMNS = ("reading", "piston", "after", "method", "value", "unit", "when", "withdraws", "cut_depth", "note")
HEADING = ",".join(COLUMNS)
UNITS = {"burette": "cc", "depth": "mm", "mouth": "mm"}  # method: unit of its value
TORN = "# torn"  # closes a torn line
WITHDRAWN = "withdrawn"  # the method of a line that withdraws
FORMULA = ("=", "+", "-", "@")  # a spreadsheet runs a cell that starts with one of these
SURPRISE = 5.0  # standard uncertainties from the expected value at which a reading is doubted
MOST_TOLD = 20  # faults of one file
BACKWARD = 3.0  # the same for a dish that seems to have become smaller


@dataclass(frozen=True, slots=True)
class Reading:
    """One result for one piston: exactly one of volume (mm3), depth and mouth diameter (mm).

    `cut_depth` is the nominal depth (mm) of the dish that was cut before it; another depth in a later
    reading means another cut.

    `number` and `line` (in the file) are 0 until stored. Raises InputError for a value that cannot be stored.
    """

    piston: int
    after: After
    volume: float | None = None
    depth: float | None = None
    mouth: float | None = None
    cut_depth: float | None = None
    note: str = ""
    when: str = ""
    number: int = 0
    line: int = 0

    def __post_init__(self) -> None:
        given = [v for v in (self.volume, self.depth, self.mouth) if v is not None]
        if len(given) != 1:
            raise InputError("a reading is one volume, one depth or one mouth diameter")
        if not math.isfinite(given[0]) or given[0] < 0:
            raise InputError(
                f"a reading of {self.shown:g} {UNITS[self.method]} cannot be; it must be 0 or more"
            )
        if self.piston < 1:
            raise InputError(f"piston {self.piston} cannot be; pistons are counted from 1")

    @property
    def method(self) -> str:
        """ "burette", "depth" or "mouth"."""
        if self.volume is not None:
            return "burette"
        return "depth" if self.depth is not None else "mouth"

    @property
    def shown(self) -> float:
        """The value in the unit of the file: cc or mm."""
        if self.volume is not None:
            return self.volume / 1000.0
        return self.depth if self.depth is not None else self.mouth or 0.0


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings that stand, in the order taken; `torn` is a sentence about torn lines, if any."""

    readings: tuple[Reading, ...] = ()
    torn: str | None = None
    last_number: int = 0  # withdrawn ones counted

    def of(self, piston: int, after: After | None = None) -> tuple[Reading, ...]:
        """Those of one piston, after one stage if it is given."""
        return tuple(r for r in self.readings if r.piston == piston and after in (None, r.after))


def beside(job: Path) -> Path:
    """The readings file of a job file."""
    return job.with_name(f"{job.stem}-readings.csv")


def load(path: Path) -> Readings:
    """All readings that stand. No file: none. Raises InputError, one sentence a faulty line."""
    try:
        content = logfile.read(path)
    except OSError as error:
        raise InputError(f"{path.name}: cannot be read: {error.strerror}") from error
    return _parse(content, path.name)


def append(path: Path, reading: Reading) -> Reading:
    """Store a reading; when this returns, it is on the disk. The answer carries number and time.

    Raises InputError when the file cannot be written or holds faulty lines; then nothing counts as stored.
    """
    stored = reading

    def add(before: Readings) -> list[str]:
        nonlocal stored
        stored = replace(reading, number=before.last_number + 1, when=_now(), note=_one_line(reading.note))
        value = f"{stored.shown:.10g}"
        cells = [stored.number, stored.piston, stored.after, stored.method, value, UNITS[stored.method]]
        cut = "" if stored.cut_depth is None else f"{stored.cut_depth:.6f}"
        return [*map(str, cells), stored.when, "", cut, _harmless(stored.note)]

    _append(path, add)
    return stored


def undo(path: Path, piston: int, note: str = "") -> Reading:
    """Withdraw the latest standing reading of a piston by a further line; answers with the withdrawn one.

    Raises InputError when there is none.
    """
    last: Reading | None = None

    def withdraw(before: Readings) -> list[str]:
        nonlocal last
        last = _latest(before, piston, path)
        cells = [before.last_number + 1, piston, last.after, WITHDRAWN, "", "", _now(), last.number]
        return [*map(str, cells), "", _harmless(_one_line(note))]

    _latest(load(path), piston, path)  # an undo must not create the file
    _append(path, withdraw)
    assert last is not None
    return last


def _latest(readings: Readings, piston: int, path: Path) -> Reading:
    standing = readings.of(piston)
    if not standing:
        raise InputError(f"{path.name}: piston {piston} has no reading that could be withdrawn")
    return standing[-1]


def doubt(
    value: float,
    unit: str,
    *,
    expected: float | None = None,
    u: float = 0.0,
    most: float | None = None,
    earlier: float | None = None,
    u_reading: float = 0.0,
) -> str | None:
    """Why a reading cannot be right, as a sentence, or None. All values in `unit`.

    `expected` with its standard uncertainty `u` (the reading's own part included); `most`: the largest value
    possible, such as what the burette holds; `earlier`: a reading after an earlier cut from the same crown,
    each with the standard uncertainty `u_reading`: metal does not grow back.
    """
    if not math.isfinite(value) or value <= 0:
        return f"{value:g} {unit} cannot be; a reading is a number above 0"
    if most is not None and value > most:
        return f"{value:g} {unit} is more than the largest possible {most:.4g} {unit}; read the scale again"
    if earlier is not None and value < earlier - BACKWARD * math.sqrt(2.0) * u_reading:
        return (
            f"{value:g} {unit} is less than the {earlier:.4g} {unit} before the cut, and metal does not grow "
            "back; look for a bubble, a leak or the wrong piston number"
        )
    if expected is not None and abs(value - expected) > SURPRISE * u:
        return (
            f"{value:g} {unit} is far from the expected {expected:.4g} {unit} +- {2 * u:.2g} {unit} (k = 2); "
            "look for a bubble, a leak, the wrong piston number or a missed cut"
        )
    return None


def _append(path: Path, cells: Callable[[Readings], list[str]]) -> None:
    def line(content: bytes) -> bytes:
        row = cells(_parse(content, path.name))
        *whole, tail = _decode(content).split("\n")
        start = ""
        if tail:
            # a quote left open would swallow the next lines in a spreadsheet
            start = '"' * (tail.count('"') % 2) + ("" if _is_whole(tail, whole) else f" {TORN}") + "\n"
        if not any(_is_heading(w) for w in [*whole, tail]):
            start += HEADING + "\n"
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerow(row)
        return (start + out.getvalue()).encode("utf-8")

    try:
        logfile.append(path, line)
    except OSError as error:
        raise InputError(
            f"{path.name}: cannot be written: {error.strerror}; the reading is not stored"
        ) from error


def _parse(content: bytes, name: str) -> Readings:
    *lines, tail = _decode(content).split("\n")
    torn: list[int] = []
    if tail and _is_whole(tail, lines):
        lines.append(tail)
    elif tail:
        torn.append(len(lines) + 1)
    faults: list[str] = []
    entries: dict[int, Reading | _Withdrawal] = {}
    heading_seen = False
    for number, line in enumerate(lines, start=1):
        if line.endswith(TORN) or "\0" in line:
            torn.append(number)
        elif not line.strip(", "):
            continue  # an empty row
        elif not heading_seen:
            if not _is_heading(line):
                raise InputError(
                    f"{name} line {number}: {line.strip()[:100]!r} is not the heading {HEADING}; "
                    "a spreadsheet must save it with commas between columns and decimal points"
                )
            heading_seen = True
        else:
            try:
                entry = _entry(line, number)
                if entry.number in entries:
                    first = entries[entry.number].line
                    raise InputError(f"reading = {entry.number} stands on line {first} too")
                entries[entry.number] = entry
            except InputError as error:
                faults.append(f"{name} line {number}: {error}")
    # by number, so that a person may sort the lines
    standing: dict[int, Reading] = {}
    for entry in (entries[n] for n in sorted(entries)):
        if isinstance(entry, Reading):
            standing[entry.number] = entry
        elif entry.withdraws in standing and standing[entry.withdraws].piston == entry.piston:
            del standing[entry.withdraws]
        elif not faults:  # else the line meant may be the faulty one
            faults.append(
                f"{name} line {entry.line}: withdraws = {entry.withdraws}: "
                f"piston {entry.piston} has no such reading standing"
            )
    if faults:
        more = len(faults) - MOST_TOLD
        raise InputError(*faults[:MOST_TOLD], *([f"{name}: and {more} more such lines"] if more > 0 else []))
    where = ", ".join(str(n) for n in sorted(torn))
    message = f"{name} line {where}: torn off, as by a power cut; if it was a reading, take it again"
    return Readings(tuple(standing.values()), message if torn else None, max(entries, default=0))


@dataclass(frozen=True, slots=True)
class _Withdrawal:
    number: int
    piston: int
    withdraws: int
    line: int


def _entry(text: str, line: int) -> Reading | _Withdrawal:
    cells = _cells(text)
    if len(cells) != len(COLUMNS):
        raise InputError(f"{len(cells)} columns, where {len(COLUMNS)} are needed: {', '.join(COLUMNS)}")
    row = dict(zip(COLUMNS, cells, strict=True))
    number, piston = _count(row, "reading"), _count(row, "piston")
    if row["method"] == WITHDRAWN:
        return _Withdrawal(number, piston, _count(row, "withdraws"), line)
    after = next((a for a in AFTERS if a == row["after"]), None)
    if after is None:
        raise InputError(f"after = {row['after']!r} is not one of {', '.join(AFTERS)}")
    method = row["method"]
    if method not in UNITS:
        raise InputError(f"method = {method!r} is not one of {', '.join((*UNITS, WITHDRAWN))}")
    if row["unit"] != UNITS[method]:
        raise InputError(f"unit = {row['unit']!r}; a {method} reading is in {UNITS[method]}")
    try:
        value = float(row["value"])
    except ValueError:
        raise InputError(f"value = {row['value']!r} is not a number; write it like 11.42") from None
    cut_depth = None
    if row["cut_depth"]:
        try:
            cut_depth = float(row["cut_depth"])
        except ValueError:
            cut_depth = math.nan
    if cut_depth is not None and not 0 <= cut_depth < math.inf:
        raise InputError(f"cut_depth = {row['cut_depth']!r} is not a depth in mm; leave it empty")
    guarded = row["note"].startswith(tuple("'" + c for c in FORMULA))
    return Reading(
        piston,
        after,
        volume=value * 1000.0 if method == "burette" else None,
        depth=value if method == "depth" else None,
        mouth=value if method == "mouth" else None,
        cut_depth=cut_depth,
        note=row["note"][1:] if guarded else row["note"],
        when=row["when"],
        number=number,
        line=line,
    )


def _count(row: dict[str, str], column: str) -> int:
    if not re.fullmatch(r"0*[1-9][0-9]{0,8}", row[column]):
        raise InputError(f"{column} = {row[column]!r} is not a whole number from 1")
    return int(row[column])


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


def _one_line(note: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in note)
    return " ".join(plain.split()).replace(TORN, "torn")


def _harmless(note: str) -> str:
    return f"'{note}" if note.startswith(FORMULA) else note


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")
