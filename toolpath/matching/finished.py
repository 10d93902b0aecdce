"""What the log knows of each piston as it was cut, for the record that goes with it."""

from typing import NamedTuple

from toolpath.job.model import Job
from toolpath.matching.due import tally
from toolpath.matching.summary import Pistons, as_cut
from toolpath.profile.limits import limits
from toolpath.readings.log import Log, MadeCut, Reading

DATE = 10  # letters of a time that say the day


class Finished(NamedTuple):
    """One piston: mm below the finished crown, None where nothing is cut and read; days as 2026-11-26."""

    piston: int
    skim: float | None = None
    depth: float | None = None
    floor: float | None = None  # None too where the underside is not stated
    days: tuple[str, ...] = ()  # of its readings, in order, each once


def finished(job: Job, log: Log) -> tuple[Finished, ...]:
    """Every piston of the set, by the facts of its latest cut that was read.

    Raises:
        StopError: a piston has no section.
    """
    pistons = Pistons.of(job)
    return tuple(_finished(pistons, log, n) for n in range(1, job.piston.count + 1))


def _finished(pistons: Pistons, log: Log, number: int) -> Finished:
    history = log.history(number)
    days = dict.fromkeys(e.when[:DATE] for e in history if isinstance(e, Reading) and e.when)
    latest = tally(history).latest
    if not latest:
        return Finished(number, days=tuple(days))
    done = as_cut(pistons.design(number), history)
    skim = done.design.skim
    if not any(isinstance(e, MadeCut) for e in history):  # an older log: only the depth is known
        depths = [reading.cut_depth for reading in latest if reading.cut_depth is not None]
        return Finished(number, skim, depths[-1] if depths else None, None, tuple(days))
    left = limits(done.finished, done.design.received.job.piston, skim)
    return Finished(number, skim, done.depth, left.floor_thickness, tuple(days))
