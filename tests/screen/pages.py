"""Pages made from a job file, from its own program or from another text."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tests.sample_jobs import job_file
from toolpath.api import load_job
from toolpath.program.by_hand import table_of
from toolpath.program.frames import HAND
from toolpath.program.text import made
from toolpath.recut import Recut, resolve
from toolpath.report.made import report_with_program, report_with_table
from toolpath.screen.page import page
from toolpath.screen.piece import Piece, piece_of


@dataclass(frozen=True)
class MadePage:
    """A page with what it was made from."""

    recut: Recut
    report: dict[str, Any]
    text: str | None
    piece: Piece

    @property
    def html(self) -> str:
        """The page of this piece alone."""
        return page([self.piece])


def made_page(
    job: Path,
    post: str | None = None,
    *,
    edit: Callable[[str], str] = str,
    piston: int | None = None,
    title: str | None = None,
) -> MadePage:
    """The page of a job; `edit` changes the program's text after it was made, `piston` has its first cut."""
    stated = load_job(job, post=post)
    if title is not None:
        stated = stated.model_copy(update={"title": title})
    recut = resolve(stated, stage="whole" if piston is None else "first", piston=piston)
    assert isinstance(recut, Recut)
    by_hand = table_of(recut)
    program = None if stated.machine.post == HAND else made(recut)
    found = (
        report_with_table(recut, by_hand)
        if program is None
        else report_with_program(recut, program, f"{job.stem}.nc", by_hand)
    )
    keys = found.as_json()
    file = None if found.program is None else found.program.file
    text = None if program is None else edit(program.text)
    return MadePage(recut, keys, text, piece_of(recut, keys, by_hand, text, file=file, job_file=job.name))


@cache
def sample_page(sample: str, post: str | None = None) -> MadePage:
    """The page of a sample, made once."""
    return made_page(job_file(sample), post)
