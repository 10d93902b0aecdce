"""Opening what the command line names: jobs with their shop file and readings, and plain numbers."""

import json
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from toolpath.drive import refuse_endless
from toolpath.errors import InputError
from toolpath.output.disk import refuse_job, write_whole

if TYPE_CHECKING:
    from toolpath.job.model import Job

MOST_BYTES = 64_000_000


def read_job(path: Path, *, post: str | None = None, shop: Path | None = None) -> "Job":
    """The job of a file, with the shop file beside it where there is one."""
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


def read_bytes(path: Path) -> bytes:
    """A file's bytes.

    Raises:
        InputError: it cannot be read, is a pipe or a device, or is larger than any file of this tool.
    """
    try:
        refuse_endless(path)
        if path.is_file() and path.stat().st_size > MOST_BYTES:
            raise InputError(f"{path}: larger than 64 MB; no file of this tool is")
        return path.read_bytes()
    except OSError as error:
        held = isinstance(error, PermissionError) and path.is_file()
        advice = (
            "close it in the program that holds it, or look who may read it" if held else "check the name"
        )
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); {advice}") from error


def read_beside(folder: Path, name: str, most: int) -> bytes:
    """The bytes of a file that a job names; looked for beside the job where the name is not a whole path.

    Raises:
        ValueError: it cannot be read, or is larger than `most` bytes; the end of a sentence.
    """
    place = folder / name
    try:
        refuse_endless(place)
        size = place.stat().st_size
        if size > most:
            raise ValueError(f"it is {size / 1e6:.1f} MB large; {most / 1e6:g} MB are the most")
        return place.read_bytes()
    except OSError as error:
        raise ValueError(
            f"it cannot be read ({error.strerror or error}); it is looked for beside the job"
        ) from None


def number_of(text: str, name: str) -> float:
    """A plain number from the command line."""
    try:
        return float(text)
    except ValueError:
        raise InputError(f"{name} {text}: not a number; write it like 11.42") from None


def as_json_text(value: Any) -> str:
    """A value as JSON text for standard output, which loses no letter to a code page."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        return json.dumps(value, indent=2, allow_nan=False)
    return text


def put(text: str, out: Path | None) -> None:
    """Text to standard output, or whole into a file, so that nobody needs to redirect."""
    if out is None:
        click.echo(text, nl=False)
        return
    write_whole(out.parent, {out.name: text.encode("utf-8", errors="replace")})
    click.echo(out)
