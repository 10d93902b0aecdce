"""Files on the disk: whole, or not at all."""

import errno
import os
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from toolpath.errors import InputError

PREFIX, SUFFIX = ".dishpath-", ".part"  # of a file that is not whole yet


def write_whole(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put every file into the folder whole, or none of them.

    All lie on the disk under other names before the first is renamed, in the order given; a rename
    that fails takes the others back. One run at a time writes into a folder, and removes what a run
    that was killed there has left.

    Raises:
        InputError: the folder cannot be made or written.
    """
    fresh = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _alone(folder):
            _put(folder, files)
    except OSError as error:
        if fresh and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
        raise InputError(
            f"{folder}: cannot be written ({error.strerror or error}); choose another place with --out"
        ) from error


def _put(folder: Path, files: Mapping[str, bytes]) -> None:
    waiting: dict[Path, Path] = {}  # place: part
    before: dict[Path, Path | None] = {}  # place: copy of what stood there
    try:
        for name, content in files.items():
            place = folder / name
            if place.is_dir():
                raise IsADirectoryError(errno.EISDIR, f"{name} is a folder")
            waiting[place] = _part(folder, content)
        for place, part in waiting.items():
            before[place] = _copy(place)
            os.replace(part, place)
    except OSError:
        _take_back(waiting, before)
        raise
    for old in before.values():
        if old is not None:
            old.unlink(missing_ok=True)


if sys.platform == "win32":

    @contextmanager
    def _alone(folder: Path) -> Iterator[None]:
        yield  # a folder cannot be locked there

else:
    import fcntl

    @contextmanager
    def _alone(folder: Path) -> Iterator[None]:
        handle = os.open(folder, os.O_RDONLY)
        try:
            with suppress(OSError):  # not every network drive knows locks
                fcntl.flock(handle, fcntl.LOCK_EX)  # the system lets go of it when the process dies
                for dead in folder.glob(f"{PREFIX}*{SUFFIX}"):
                    dead.unlink(missing_ok=True)
            yield
        finally:
            os.close(handle)


def _take_back(waiting: Mapping[Path, Path], before: Mapping[Path, Path | None]) -> None:
    """Put back what stood before, as far as the disk lets it, and leave nothing of the new."""
    for place, old in before.items():
        replaced = not waiting[place].exists()
        with suppress(OSError):
            if replaced and old is not None:
                place.write_bytes(old.read_bytes())
            elif replaced:
                place.unlink(missing_ok=True)
    for path in (*waiting.values(), *before.values()):
        if path is not None:
            path.unlink(missing_ok=True)


def _part(folder: Path, content: bytes) -> Path:
    """The content on the disk under a name that nobody takes for a program."""
    handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=SUFFIX, dir=folder)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(name, 0o644)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _copy(place: Path) -> Path | None:
    """A copy of what stands at a place, None where nothing does."""
    return _part(place.parent, place.read_bytes()) if place.exists() else None
