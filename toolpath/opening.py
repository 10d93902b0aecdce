"""Opening what the command line names: job files with their shop file, and plain numbers."""

from pathlib import Path
from typing import TYPE_CHECKING

from toolpath.errors import InputError

if TYPE_CHECKING:
    from toolpath.job.model import Job

MOST_BYTES = 64_000_000


def read_job(path: Path, *, post: str | None = None, shop: Path | None = None) -> "Job":
    """The job of a file, with the shop file beside it where there is one."""
    from postprocessors import BUILT_IN, known_names
    from toolpath.job.load import decoded, load
    from toolpath.make import HAND
    from toolpath.planning.insert import decode
    from toolpath.reference import table

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
            raise InputError(f"--post {post}: not known; choose from {', '.join(sorted(built_in))}")
        job = job.model_copy(update={"machine": job.machine.model_copy(update={"post": post})})
    return job


def read_bytes(path: Path) -> bytes:
    """A file's bytes.

    Raises:
        InputError: it cannot be read, or is larger than any file of this tool.
    """
    try:
        if path.is_file() and path.stat().st_size > MOST_BYTES:
            raise InputError(f"{path}: larger than 64 MB; no file of this tool is")
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); check the name") from error


def check_piston(job: "Job", piston: int | None) -> None:
    """Refuse a piston that the set does not have."""
    if piston is not None and piston > job.piston.count:
        raise InputError(f"--piston {piston}: the set has {job.piston.count}; see piston.count")


def number_of(text: str, name: str) -> float:
    """A plain number from the command line."""
    try:
        return float(text)
    except ValueError:
        raise InputError(f"{name} {text}: not a number; write it like 11.42") from None
