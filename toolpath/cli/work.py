"""A job with its log, and which cut of which piston a command means."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from toolpath.api import load_job
from toolpath.errors import InputError, StopError
from toolpath.units import sentence_in

if TYPE_CHECKING:
    from toolpath.cli.options import Which
    from toolpath.job.model import Job
    from toolpath.matching.due import Due
    from toolpath.matching.summary import Pistons
    from toolpath.profile.design import Design
    from toolpath.readings.log import After, Entry, Log, MadeCut, Method
    from toolpath.recut import Recut, Refused, Stage

ALL = "all"


@dataclass(frozen=True)
class Opened:
    """A job, its file and its log."""

    path: Path
    job: "Job"
    log: "Log"

    def history(self, piston: int) -> "tuple[Entry, ...]":
        """The log of one piston."""
        return self.log.history(piston)

    def job_of(self, piston: int) -> "Job":
        """The job of one piston."""
        return self.job.for_piston(piston)

    def design(self, piston: int) -> "Design":
        """The section of one piston. Raises StopError where none can be made."""
        return self._pistons.design(piston)

    @cached_property
    def _pistons(self) -> "Pistons":
        from toolpath.matching.summary import Pistons

        return Pistons.of(self.job)

    def resolved(
        self, stage: "Stage", piston: int | None, history: "Sequence[Entry] | None" = None
    ) -> "Recut | Refused":
        """Resolve one cut; from the piston's whole log where no history is given."""
        from toolpath.recut import resolve

        if piston is None:
            self._refuse_cut_piston()
            return self._told(lambda: resolve(self.job, stage=stage))
        from toolpath.matching.summary import known_of

        entries = self.history(piston) if history is None else history
        job = self.job_of(piston)
        if not self.log.entries:
            return self._told(lambda: resolve(job, stage=stage, piston=piston))
        known = known_of(self.design(piston), self.log, piston)
        return self._told(lambda: resolve(job, stage=stage, piston=piston, readings=entries, known=known))

    def _refuse_cut_piston(self) -> None:
        """One cut without a reading is not for the only piston of a job once that has been cut."""
        if self.job.piston.count > 1:
            return
        from toolpath.matching.due import tally

        if tally(self.history(1)).latest:
            raise StopError("refused: this piston has been cut already; make its next cut with --stage next")

    def _told(self, resolve: "Callable[[], Recut | Refused]") -> "Recut | Refused":
        """The same with the job's name before what is wrong with its readings."""
        try:
            return resolve()
        except InputError as error:
            told = (sentence_in(fault, self.job.units) for fault in error.faults)
            raise InputError(
                *(f if f.startswith("--") else f"{self.path.name}: {f}" for f in told)
            ) from error

    def due(self, piston: int) -> "Due":
        """What is due for a piston."""
        from toolpath.matching.summary import due_for

        return due_for(self.design(piston), self.log, piston)

    def expected(self, piston: int, method: "Method", after: "After") -> str | None:
        """What an instrument should show next, with its interval; None where nothing tells."""
        from toolpath.matching.judge import expectation
        from toolpath.matching.summary import known_of

        design = self.design(piston)
        zeros = [r.value for r in self.log.readings if r.method == "zero" and r.piston != piston]
        known = known_of(design, self.log, piston, self.job.mass_of(piston))
        return expectation(design, self.history(piston), method, after, known, zeros)

    def next_stage(self, piston: int) -> "Stage":
        """The stage of the cut that is due; InputError where it is a reading, or nothing."""
        if self.job.burette is None:
            return "whole"
        due = self.due(piston)
        if due.what in ("first", "last"):
            return due.what
        raise InputError(f"piston {piston}: {self.not_due(piston, due)}")

    def not_due(self, piston: int, due: "Due") -> str:
        """Why no cut is due, and what to type."""
        if due.what == "reading":
            return f"a reading is due: {due.words}; enter it with dishpath reading {self.path} {piston}=CC"
        if due.what == "over":
            return f"{due.words}; see dishpath pistons {self.path}"
        return "done: within its tolerance, no cut is due"

    def made(self, piston: int, file: str | None = None) -> "MadeCut | None":
        """The latest standing make of a piston, or the latest that names a file."""
        from toolpath.matching.due import latest_made

        return latest_made(self.history(piston), file)

    def as_made(self, piston: int, file: str | None = None) -> "Recut | Refused":
        """The latest made cut of a piston from the readings before it; else the cut that is due."""
        made = self.made(piston, file)
        if made is None:
            return self.resolved(self.next_stage(piston), piston)
        return self.resolved(made.facts.stage, piston, self.log.before(made.number).history(piston))


def opened(path: Path, which: "Which") -> Opened:
    """The job and its log as a command names them."""
    job = load_job(path, post=which.post, shop=which.shop)
    return Opened(path, job, log_of(path))


def log_of(path: Path) -> "Log":
    """The log beside a job; torn lines are reported and left."""
    from toolpath.readings.log import Log, beside, load

    place = beside(path)
    if not place.exists():
        return Log()
    found = load(place)
    if found.torn is not None:
        click.echo(found.torn, err=True)
    return found


def one_piston(work: Opened, which: "Which") -> int | None:
    """The one piston that a command means; in a job of one it may be left out where a stage is given."""
    if which.piston is None:
        alone = work.job.piston.count == 1 and which.stage is not None
        if which.stage in ("first", "last", "next") and not alone:
            raise InputError(f"--stage {which.stage}: needs --piston N, for its readings")
        return 1 if alone else None
    chosen = several(which.piston, work.job.piston.count)
    if len(chosen) > 1 or which.piston == ALL:
        raise InputError(f"--piston {which.piston}: this command takes one piston at a time")
    return chosen[0]


def several(text: str, count: int) -> tuple[int, ...]:
    """The pistons that `--piston` names: a number, a list or range, or all.

    Raises:
        InputError: it is no such list, names a piston that the set does not have, or one twice.
    """
    if text == ALL:
        return tuple(range(1, count + 1))
    if not re.fullmatch(r"\d{1,6}(-\d{1,6})?(,\d{1,6}(-\d{1,6})?)*", text):
        raise InputError(f"--piston {text}: give a number, a list or range such as 1-4,6, or all")
    found: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        found += range(int(first), int(last or first) + 1)
    _refuse_strangers(text, found, count)
    return tuple(found)


def _refuse_strangers(text: str, pistons: Iterable[int], count: int) -> None:
    seen: set[int] = set()
    for piston in pistons:
        if not 1 <= piston <= count:
            raise InputError(f"--piston {text}: the set has {count}; see piston.count")
        if piston in seen:
            raise InputError(f"--piston {text}: names piston {piston} twice")
        seen.add(piston)


def stage_meant(work: Opened, piston: int | None, which: "Which") -> "Stage":
    """The stage that a command means: as given, else the next cut of a piston, else one cut."""
    if which.stage is not None and which.stage != "next":
        return which.stage
    return "whole" if piston is None else work.next_stage(piston)
