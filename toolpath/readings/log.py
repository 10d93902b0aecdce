"""The log beside a job: what its lines mean. Readings, cuts that were made, targets taken.

One line an entry. Nothing is rewritten: an entry is withdrawn by a further line that names its number. Faults
are sentences with line numbers, all at once. How a line is written and found again: `logtext`.
"""

import math
import re
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, NamedTuple, TypeAlias, TypeVar, get_args
from urllib.parse import quote, unquote

from toolpath.errors import InputError
from toolpath.readings import logtext
from toolpath.readings.facts import CutFacts, facts_from, pairs_of
from toolpath.units import MM3_PER_CC, cc

After = Literal["as-received", "skim", "first", "last"]
AFTERS: tuple[After, ...] = get_args(After)
CutAfter = Literal["first", "last"]
Method = Literal["burette", "depth", "mouth", "mass", "height", "zero"]
METHODS: tuple[Method, ...] = get_args(Method)
UNITS: dict[str, str] = {"burette": "cc", "mass": "g"} | dict.fromkeys(
    ("depth", "mouth", "height", "zero"), "mm"
)
SIGNED = ("zero",)  # methods whose value may be 0 or below
MADE, TARGET, WITHDRAWN = "made", "target", "withdrawn"  # the methods of lines that are no readings
MOST_TOLD = 20  # faults of one file
_MARK = r"mark=(\S+)(?: |$)"  # our word before the user's note
_NONE = "-"  # stands for no mark where the note itself begins like one


@dataclass(frozen=True, slots=True)
class Reading:
    """One result for one piston: `value` in mm3 (burette), mm or g.

    `cut_depth` is the nominal depth (mm) of the dish that was cut before it, `mark` that of the make that was
    cut, where there is one. `number` and `line` (in the file) are 0 until stored.

    Raises:
        InputError: the value cannot be.
    """

    piston: int
    after: After
    method: Method
    value: float
    cut_depth: float | None = None
    mark: str = ""
    note: str = ""
    when: str = ""
    number: int = 0
    line: int = 0

    def __post_init__(self) -> None:
        if not math.isfinite(self.value) or (self.value < 0 and self.method not in SIGNED):
            raise InputError(
                f"a reading of {self.shown:g} {UNITS[self.method]} cannot be; it must be 0 or more"
            )
        if self.piston < 1:
            raise InputError(f"piston {self.piston} cannot be; pistons are counted from 1")

    @property
    def volume(self) -> float | None:
        """mm3, where it is a burette's."""
        return self.value if self.method == "burette" else None

    @property
    def cut(self) -> CutAfter | None:
        """The cut that it follows, None before any."""
        return self.after if self.after in ("first", "last") else None

    @property
    def shown(self) -> float:
        """The value in the unit of the file: cc, mm or g."""
        return cc(self.value) if self.method == "burette" else self.value


@dataclass(frozen=True, slots=True)
class MadeCut:
    """A cut that `make` wrote for one piston; it counts as cut once a standing reading follows it.

    `file` is the bare name of the program, or of the rows of a manual lathe, `sha` their SHA-256.
    """

    piston: int
    facts: CutFacts
    mark: str  # as it stands in head, card and page
    file: str
    sha: str
    when: str = ""
    number: int = 0
    line: int = 0


@dataclass(frozen=True, slots=True)
class Target:
    """A target taken for one piston in place of the job's: a volume in mm3 or a compression ratio."""

    piston: int
    value: float
    unit: Literal["cc", "ratio"]
    note: str = ""
    when: str = ""
    number: int = 0
    line: int = 0

    @property
    def shown(self) -> float:
        """The value in the unit of the file."""
        return cc(self.value) if self.unit == "cc" else self.value


Entry: TypeAlias = Reading | MadeCut | Target
E = TypeVar("E", Reading, MadeCut, Target)


class Log(NamedTuple):
    """The entries that stand, in the order made; `torn` is a sentence about torn lines, if any."""

    entries: tuple[Entry, ...] = ()
    torn: str | None = None
    last_number: int = 0  # withdrawn ones counted

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The readings alone."""
        return readings_in(self.entries)

    def of(self, piston: int, after: After | None = None) -> tuple[Reading, ...]:
        """The readings of one piston, after one stage if it is given."""
        return tuple(r for r in self.readings if r.piston == piston and after in (None, r.after))

    def history(self, piston: int) -> tuple[Entry, ...]:
        """Every entry of one piston."""
        return tuple(e for e in self.entries if e.piston == piston)

    def before(self, number: int) -> "Log":
        """The log as it was before the entry of that number."""
        return self._replace(entries=tuple(e for e in self.entries if e.number < number))


def readings_in(entries: Iterable[Entry]) -> tuple[Reading, ...]:
    """The readings among some entries."""
    return tuple(e for e in entries if isinstance(e, Reading))


def beside(job: Path) -> Path:
    """The log of a job file."""
    return job.with_name(f"{job.stem}-readings.csv")


def load(path: Path) -> Log:
    """All entries that stand. No file: none. Raises InputError, one sentence a faulty line."""
    return _meaning(logtext.load(path), path.name)


def append(path: Path, reading: Reading) -> Reading:
    """Store one reading; see `append_all`."""
    return append_all(path, (reading,))[0]


def append_all(path: Path, readings: Iterable[E]) -> tuple[E, ...]:
    """Store readings or targets, all or none; when this returns, they are on the disk, with number and time.

    Raises InputError when the file cannot be written or holds faulty lines; then nothing counts as stored.
    """
    stored: list[E] = []

    def add(before: Log) -> list[list[str]]:
        stored[:] = [
            replace(entry, number=before.last_number + k, when=_now()) for k, entry in enumerate(readings, 1)
        ]
        return [_cells(entry) for entry in stored]

    readings = tuple(readings)
    _append(path, add)
    return tuple(stored)


def append_made(path: Path, made: MadeCut, seen: int) -> MadeCut:
    """Note a made cut; `seen` is the last number of the log that it was resolved from.

    A make of the same mark that nothing followed is not noted twice.

    Raises:
        InputError: something was stored meanwhile, or the log cannot be written; then nothing is noted.
    """
    stored = made

    def add(before: Log) -> list[list[str]]:
        nonlocal stored
        if before.last_number != seen:
            raise InputError(
                f"{path.name}: something was stored while this cut was worked out; run the command again"
            )
        mine = before.history(made.piston)
        if mine and isinstance(mine[-1], MadeCut) and _same(mine[-1], made):
            stored = mine[-1]
            return []
        stored = replace(made, number=before.last_number + 1, when=_now())
        return [_cells(stored)]

    _append(path, add)
    return stored


def _same(a: MadeCut, b: MadeCut) -> bool:
    return (a.mark, a.file, a.sha) == (b.mark, b.file, b.sha)


def withdraw(path: Path, entry: Entry, note: str = "") -> None:
    """Withdraw an entry by a further line.

    Raises:
        InputError: it does not stand any more, or the log cannot be written.
    """

    def add(before: Log) -> list[list[str]]:
        if not any(e.number == entry.number for e in before.history(entry.piston)):
            raise InputError(
                f"{path.name}: entry {entry.number} of piston {entry.piston} does not stand any more"
            )
        after = entry.after if isinstance(entry, Reading) else ""
        cells = [before.last_number + 1, entry.piston, after, WITHDRAWN, "", "", _now(), entry.number]
        return [[*map(str, cells), "", logtext.one_line(note)]]

    _append(path, add)


def undo(path: Path, piston: int, note: str = "") -> Entry:
    """Withdraw the latest standing reading or unread make of a piston; answers with the withdrawn entry.

    Raises InputError when there is none.
    """
    standing = [e for e in load(path).history(piston) if not isinstance(e, Target)]
    if not standing:
        raise InputError(f"{path.name}: piston {piston} has no reading that could be withdrawn")
    withdraw(path, standing[-1], note)
    return standing[-1]


def _append(path: Path, cells: Callable[[Log], list[list[str]]]) -> None:
    logtext.append(path, lambda before: cells(_meaning(before, path.name)))


# ---- entries to cells ----------------------------------------------------------------------------


def _cells(entry: Entry) -> list[str]:
    start = [str(entry.number), str(entry.piston)]
    if isinstance(entry, Reading):
        cut = "" if entry.cut_depth is None else f"{entry.cut_depth:.6f}"
        value = [f"{entry.shown:.10g}", UNITS[entry.method]]
        return [*start, entry.after, entry.method, *value, entry.when, "", cut, _marked(entry)]
    if isinstance(entry, Target):
        value = [f"{entry.shown:.10g}", entry.unit]
        return [*start, "", TARGET, *value, entry.when, "", "", logtext.one_line(entry.note)]
    facts = f"{entry.facts.text()} mark={entry.mark} file={quote(entry.file)} sha={entry.sha}"
    depth = f"{entry.facts.shape.depth or 0.0:.6f}"
    return [*start, entry.facts.stage, MADE, "", "", entry.when, "", depth, facts]


def _marked(reading: Reading) -> str:
    note = logtext.one_line(reading.note)
    if reading.mark:
        return f"mark={reading.mark} {note}".rstrip()
    return f"mark={_NONE} {note}" if re.match(_MARK, note) else note


# ---- cells to entries ----------------------------------------------------------------------------


def _meaning(text: logtext.LogLines, name: str) -> Log:
    faults: list[str] = []
    entries: dict[int, Entry | _Withdrawal] = {}
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
    standing: dict[int, Entry] = {}
    for entry in (entries[n] for n in sorted(entries)):
        if not isinstance(entry, _Withdrawal):
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
    return Log(tuple(standing.values()), message if text.torn else None, max(entries, default=0))


@dataclass(frozen=True, slots=True)
class _Withdrawal:
    number: int
    piston: int
    withdraws: int
    line: int


def _entry(row: dict[str, str], line: int) -> Entry | _Withdrawal:
    number, piston, method = _count(row, "reading"), _count(row, "piston"), row["method"]
    if method == WITHDRAWN:
        return _Withdrawal(number, piston, _count(row, "withdraws"), line)
    if method == MADE:
        pairs = pairs_of(row["note"])
        facts = facts_from(pairs)
        return MadeCut(
            piston,
            facts,
            pairs.get("mark", facts.mark),
            unquote(pairs.get("file", "")),
            pairs.get("sha", ""),
            row["when"],
            number,
            line,
        )
    if method == TARGET:
        unit = next((u for u in ("cc", "ratio") if u == row["unit"]), None)
        if unit is None:
            raise InputError(f"unit = {row['unit']!r}; a target is in cc or a ratio")
        value = _value(row) * (MM3_PER_CC if unit == "cc" else 1.0)
        return Target(piston, value, unit, row["note"], row["when"], number, line)
    return _reading(row, number, piston, line)


def _reading(row: dict[str, str], number: int, piston: int, line: int) -> Reading:
    after = next((a for a in AFTERS if a == row["after"]), None)
    if after is None:
        raise InputError(f"after = {row['after']!r} is not one of {', '.join(AFTERS)}")
    method = next((m for m in METHODS if m == row["method"]), None)
    if method is None:
        known = ", ".join((*METHODS, MADE, TARGET, WITHDRAWN))
        raise InputError(f"method = {row['method']!r} is not one of {known}")
    if row["unit"] != UNITS[method]:
        raise InputError(f"unit = {row['unit']!r}; a {method} reading is in {UNITS[method]}")
    value = _value(row)
    cut_depth = None
    if row["cut_depth"]:
        try:
            cut_depth = float(row["cut_depth"])
        except ValueError:
            cut_depth = math.nan
    if cut_depth is not None and not 0 <= cut_depth < math.inf:
        raise InputError(f"cut_depth = {row['cut_depth']!r} is not a depth in mm; leave it empty")
    found = re.match(_MARK, row["note"])
    return Reading(
        piston,
        after,
        method,
        value * MM3_PER_CC if method == "burette" else value,
        cut_depth=cut_depth,
        mark="" if found is None or found[1] == _NONE else found[1],
        note=row["note"] if found is None else row["note"][found.end() :],
        when=row["when"],
        number=number,
        line=line,
    )


def _value(row: dict[str, str]) -> float:
    try:
        return float(row["value"])
    except ValueError:
        raise InputError(f"value = {row['value']!r} is not a number; write it like 11.42") from None


def _count(row: dict[str, str], column: str) -> int:
    if not re.fullmatch(r"0*[1-9][0-9]{0,8}", row[column]):
        raise InputError(f"{column} = {row[column]!r} is not a whole number from 1")
    return int(row[column])


def _now() -> str:
    now = datetime.now(UTC)
    with suppress(ValueError, OverflowError, OSError):  # a TZ that names no zone on Earth
        now = now.astimezone()
    return now.isoformat(timespec="seconds")
