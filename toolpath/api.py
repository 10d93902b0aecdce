"""The few names that a script needs: load a job, resolve it, make its files, read a program back."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from toolpath.errors import InputError, StopError
from toolpath.output.disk import read_beside, read_bytes, refuse_job

if TYPE_CHECKING:
    from toolpath.job.model import Job
    from toolpath.output.files import Done
    from toolpath.paper.style import Paper
    from toolpath.readback.verdict import Readback
    from toolpath.readings.log import Log
    from toolpath.recut import Recut, Refused, Stage

__all__ = ["InputError", "StopError", "load_job", "make", "readback", "resolve"]


def load_job(path: Path, *, shop: Path | None = None, post: str | None = None) -> "Job":
    """The job of a file, with its shop file: `shop.toml` beside it where none is named and there is one.

    `post` is the name of a postprocessor in place of the job's own.

    Raises:
        InputError: a file cannot be read, or a value in it cannot be used; one sentence a fault.
    """
    from postprocessors import BUILT_IN, known_names
    from toolpath.job.load import decoded, load
    from toolpath.program.frames import HAND
    from toolpath.reference import table
    from toolpath.tool.insert import decode

    refuse_job(path)
    text = decoded(read_bytes(path), name=path.name)
    beside = path.parent / "shop.toml"
    place = shop or (beside if beside.is_file() else None)
    stock = None if place is None else decoded(read_bytes(place), name=place.name)

    def attempt(posts: frozenset[str]) -> "Job":
        return load(
            text,
            name=path.name,
            known_materials=frozenset(table("materials")),
            known_posts=posts,
            insert_radius=lambda designation: decode(designation).radius,
            shop=stock,
            shop_name="shop.toml" if place is None else place.name,
            read_file=partial(read_beside, path.parent),
        )

    built_in = frozenset(BUILT_IN) | {HAND}
    try:
        job = attempt(built_in)
    except InputError:
        # installed postprocessors are looked for only when a built-in one does not do: the scan is slow
        every = frozenset(known_names()) | {HAND}
        if every == built_in:
            raise
        job = attempt(every)
    if post is not None:
        if post not in built_in and post not in known_names():
            listed = ", ".join(sorted(built_in | known_names()))
            raise InputError(f"--post {post}: not known; choose from {listed}")
        job = job.model_copy(update={"machine": job.machine.model_copy(update={"post": post})})
    return job


def resolve(
    job: "Job", *, stage: "Stage" = "whole", piston: int | None = None, readings: Path | None = None
) -> "Recut | Refused":
    """Solve, plan and check one cut of a job; writes nothing.

    `piston` is a number in the set, `readings` the file of the set's log (it need not exist yet).
    What forbids the cut stands in `findings`; `stopped` says whether any does. `Refused` has no section
    or no plan.

    Raises:
        InputError: no such piston, a stage without one, or a reading that the stage needs is not there.
    """
    return _resolved(job, stage, piston, _log(readings))


def make(
    job: "Job",
    out: Path,
    *,
    name: str | None = None,
    stage: "Stage" = "whole",
    piston: int | None = None,
    readings: Path | None = None,
    pictures: bool = True,
    proving: float | None = None,
    paper: "Paper" = "a4",
) -> "Done":
    """Write program, table, page, pictures and report into the folder `out`, all of them or none.

    The program is read back first. The files' names begin with `name`, by default that of the folder.
    `proving` adds a copy lifted by so many mm, by the least that is safe where it is negative. With a
    piston the cut is noted in the log `readings`, as the command does.

    Raises:
        StopError: a finding or the readback forbids the cut.
        InputError: as in `resolve`; or the files or the log cannot be written.
    """
    from toolpath.output.files import Printing, base_name, cuttable, files_of, put_down

    if piston is not None and readings is None:
        raise InputError(f"piston {piston}: state readings, the file of the log in which its cut is noted")
    if piston is None and job.cylinder:
        raise InputError("the pistons of this set differ; state which one, and readings, the log of the set")
    stem, log = name or out.name, _log(readings)
    recut = cuttable(_resolved(job, stage, piston, log))
    done = files_of(
        recut,
        base_name(stem, stage, piston),
        proving=proving,
        job_file=f"{stem}.toml",
        printing=Printing(pictures=pictures, paper=paper),
    )
    put_down(recut, done, out, readings, log.last_number)
    return done


def readback(
    program: Path,
    job: "Job",
    *,
    stage: "Stage" = "whole",
    piston: int | None = None,
    readings: Path | None = None,
) -> "Readback":
    """Read a program (or a table's CSV) back, cut the stock with it, and hold it against its job.

    Where the log has the piston's program by its name, the readings before it and its own stage count.

    Raises:
        StopError: the job itself is stopped.
        InputError: as in `resolve`; or the file cannot be read or is no text.
    """
    from toolpath.output.files import cuttable, read_again

    log = _log(readings)
    if piston is not None:
        from toolpath.matching.due import latest_made

        made = latest_made(log.history(piston), program.name)
        if made is not None:
            stage, log = made.facts.stage, log.before(made.number)
    return read_again(cuttable(_resolved(job, stage, piston, log)), read_bytes(program), program.name)


def _log(readings: Path | None) -> "Log":
    from toolpath.readings.log import Log, load

    return Log() if readings is None or not readings.exists() else load(readings)


def _resolved(job: "Job", stage: "Stage", piston: int | None, log: "Log") -> "Recut | Refused":
    from toolpath import recut

    if piston is None:
        if stage != "whole":
            raise InputError(f"stage {stage}: needs a piston, for its readings")
        return recut.resolve(job, stage=stage)
    if not 1 <= piston <= job.piston.count:
        raise InputError(f"piston {piston}: the set has {job.piston.count}; see piston.count")
    own = job.for_piston(piston)
    if not log.entries:
        return recut.resolve(own, stage=stage, piston=piston)
    from toolpath.matching.summary import Pistons, known_of

    known = known_of(Pistons.of(job).design(piston), log, piston)
    return recut.resolve(own, stage=stage, piston=piston, readings=log.history(piston), known=known)
