"""Files on the disk: whole, or not at all."""

import errno
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from toolpath.errors import InputError


def write_whole(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put every file into the folder whole, or none of them.

    All lie on the disk under other names before the first is renamed; a rename that fails takes
    the others back.

    Raises:
        InputError: the folder cannot be made or written.
    """
    fresh = not folder.exists()
    waiting: dict[Path, Path] = {}  # place: part
    before: dict[Path, Path | None] = {}  # place: copy of what stood there
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            place = folder / name
            if place.is_dir():
                raise IsADirectoryError(errno.EISDIR, f"{name} is a folder")
            waiting[place] = _part(folder, content)
        for place, part in waiting.items():
            before[place] = _copy(place)
            os.replace(part, place)
    except OSError as error:
        _take_back(waiting, before)
        if fresh and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
        raise InputError(
            f"{folder}: cannot be written ({error.strerror or error}); choose another place with --out"
        ) from error
    for old in before.values():
        if old is not None:
            old.unlink(missing_ok=True)


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
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=folder)
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
