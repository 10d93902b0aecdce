"""Files on the disk: whole, or not at all."""

import errno
import os
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from toolpath.errors import InputError

PREFIX, SUFFIX = ".dishpath-", ".part"  # of a file that is not whole yet


def write_whole(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put every file into the folder whole, or none of them.

    All lie on the disk under other names before the first is renamed. What stood there goes aside, last
    file first, before the new ones come, last file last: wherever a power cut falls, the files that stand
    are of one run, and with the last of them stand all. A rename that fails takes the others back. One
    run at a time writes into a folder, and removes what a run that was killed there has left.

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
    parts: dict[Path, Path] = {}  # place: new content
    aside: dict[Path, Path] = {}  # place: where that goes which stands there
    placed: list[Path] = []
    try:
        for name, content in files.items():
            place = folder / name
            if place.is_dir():
                raise IsADirectoryError(errno.EISDIR, f"{name} is a folder")
            parts[place] = _part(folder, content)
        for place, part in reversed(parts.items()):
            aside[place] = part.with_name(f"{part.stem}-before{SUFFIX}")
            with suppress(FileNotFoundError):
                os.replace(place, aside[place])
        for place, part in parts.items():
            placed.append(place)
            os.replace(part, place)
    except BaseException:  # an interrupt from the keyboard as well
        _remove(placed)
        for place, old in reversed(aside.items()):
            with suppress(OSError):
                os.replace(old, place)
        _remove(parts.values())
        raise
    _remove(aside.values())


def _remove(paths: Iterable[Path]) -> None:
    """Remove what the disk lets go; a part that is left is the next run's to remove."""
    for path in paths:
        with suppress(OSError):
            path.unlink()


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
            with suppress(OSError):  # not every network drive knows locks; parts are left there
                fcntl.flock(handle, fcntl.LOCK_EX)  # the system lets go of it when the process dies
                _remove(folder.glob(f"{PREFIX}*{SUFFIX}"))
            yield
            with suppress(OSError):
                os.fsync(handle)  # the names must last as well
        finally:
            os.close(handle)


def _part(folder: Path, content: bytes) -> Path:
    """The content on the disk under a name that nobody takes for a program."""
    handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=SUFFIX, dir=folder)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(name, 0o644)
    except BaseException:
        _remove([Path(name)])
        raise
    return Path(name)
