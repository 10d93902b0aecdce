"""The readings file: what its lines mean.

One line a reading. Nothing is rewritten: a reading is withdrawn by a further line that names its number.
Faults are sentences with line numbers, all at once. How a line is written and found again: `logtext`.
"""

import math
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, get_args

from toolpath.errors import InputError
from toolpath.readings import logtext

After = Literal["as-received", "skim", "first", "last"]
AFTERS: tuple[After, ...] = get_args(After)

UNITS = {"burette": "cc", "depth": "mm", "mouth": "mm"}  # method: unit of its value
WITHDRAWN = "withdrawn"  # the method of a line that withdraws
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
    return _meaning(logtext.load(path), path.name)


def append(path: Path, reading: Reading) -> Reading:
    """Store a reading; when this returns, it is on the disk. The answer carries number and time.

    Raises InputError when the file cannot be written or holds faulty lines; then nothing counts as stored.
    """
    stored = reading

    def add(before: Readings) -> list[str]:
        nonlocal stored
        stored = replace(
            reading, number=before.last_number + 1, when=_now(), note=logtext.one_line(reading.note)
        )
        value = f"{stored.shown:.10g}"
        cells = [stored.number, stored.piston, stored.after, stored.method, value, UNITS[stored.method]]
        cut = "" if stored.cut_depth is None else f"{stored.cut_depth:.6f}"
        return [*map(str, cells), stored.when, "", cut, stored.note]

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
        return [*map(str, cells), "", logtext.one_line(note)]

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
    logtext.append(path, lambda before: cells(_meaning(before, path.name)))


def _meaning(text: logtext.Rows, name: str) -> Readings:
    faults: list[str] = []
    entries: dict[int, Reading | _Withdrawal] = {}
    for row in text.rows:
        try:
            entry = _entry(row.by_column(), row.line)
            if entry.number in entries:
                first = entries[entry.number].line
                raise InputError(f"reading = {entry.number} stands on line {first} too")
            entries[entry.number] = entry
        except InputError as error:
            faults.append(f"{name} line {row.line}: {error}")
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
    where = ", ".join(map(str, text.torn))
    message = f"{name} line {where}: torn off, as by a power cut; if it was a reading, take it again"
    return Readings(tuple(standing.values()), message if text.torn else None, max(entries, default=0))


@dataclass(frozen=True, slots=True)
class _Withdrawal:
    number: int
    piston: int
    withdraws: int
    line: int


def _entry(row: dict[str, str], line: int) -> Reading | _Withdrawal:
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
    return Reading(
        piston,
        after,
        volume=value * 1000.0 if method == "burette" else None,
        depth=value if method == "depth" else None,
        mouth=value if method == "mouth" else None,
        cut_depth=cut_depth,
        note=row["note"],
        when=row["when"],
        number=number,
        line=line,
    )


def _count(row: dict[str, str], column: str) -> int:
    if not re.fullmatch(r"0*[1-9][0-9]{0,8}", row[column]):
        raise InputError(f"{column} = {row[column]!r} is not a whole number from 1")
    return int(row[column])


def _now() -> str:
    now = datetime.now(UTC)
    with suppress(ValueError, OverflowError, OSError):  # a TZ that names no zone on Earth
        now = now.astimezone()
    return now.isoformat(timespec="seconds")
