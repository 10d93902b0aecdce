"""A new job file on disk."""

from collections.abc import Callable
from pathlib import Path

from toolpath.errors import InputError
from toolpath.job.questions import Ask, interview
from toolpath.job.starter import answered, starter
from toolpath.output.disk import refuse_job


def started(path: Path, like: str | None, ask: Ask | None, say: Callable[[str], None]) -> None:
    """Write a starter job, with `ask` one of the answers to the questions; an existing file is never touched.

    Raises:
        InputError: the file exists, or the place cannot be written.
    """
    refuse_job(path)
    if path.exists():
        raise InputError(f"{path}: exists and is left as it is; choose another name")
    text = starter(like)
    if ask is not None:
        text = answered(interview(ask, say, text))
    try:
        with path.open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except OSError as error:
        raise InputError(
            f"{path}: cannot be written ({error.strerror or error}); choose another place"
        ) from error
