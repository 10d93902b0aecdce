"""A sample with some of its text replaced, as a job and as a recut."""

from typing import Any

from tests.jobs.judged import read
from tests.sample_jobs import job_file
from toolpath.job.model import Job
from toolpath.recut import Recut, resolve

Change = tuple[str, str]


def edited(*changes: Change, sample: str = "pump-engine") -> Job:
    """The job of a sample, each text replaced once; it must stand there."""
    text = job_file(sample).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read(text)


def recut_of(*changes: Change, sample: str = "pump-engine", **asked: Any) -> Recut:
    """Its recut, `asked` for a stage, a piston, readings."""
    found = resolve(edited(*changes, sample=sample), **asked)
    assert isinstance(found, Recut)
    return found
