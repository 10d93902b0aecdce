"""Files on the disk: whole, or not at all, and under names that every system can hold."""

import errno
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from toolpath import drive
from toolpath.errors import InputError

PREFIX, SUFFIX = ".dishpath-", ".part"  # of a file that is not whole yet
BEFORE = "-before"  # at the end of the stem of one that was moved aside
LOCK = f"{PREFIX}lock"
MOST_BYTES = 64_000_000
# Microsoft, "Naming Files, Paths, and Namespaces"
DEVICE = r"(?is)(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])( *\..*)?"


def refuse_name(name: str) -> None:
    """Refuse a name that a computer with Windows cannot hold: the folder may be shared.

    Raises:
        InputError: a device's name, a colon, a dot or a space at the end.
    """
    why = None
    if re.fullmatch(DEVICE, name):
        why = "names a device on Windows"
    elif ":" in name:
        why = "has a colon, which no file name has on Windows"
    elif name.endswith((".", " ")):
        why = "ends in a dot or a space, which Windows drops"
    if why is not None:
        raise InputError(f"{name}: {why}; choose another name, since the folder may be shared")


def refuse_job(path: Path) -> None:
    """Refuse such a name for a job: its files and their folder are named after it. Raises InputError."""
    for name in (path.name, path.stem):
        if name not in ("", ".", ".."):
            refuse_name(name)


def read_bytes(path: Path) -> bytes:
    """A file's bytes.

    Raises:
        InputError: it cannot be read, is a pipe or a device, or is larger than any file of this tool.
    """
    try:
        drive.refuse_endless(path)
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
        drive.refuse_endless(place)
        size = place.stat().st_size
        if size > most:
            raise ValueError(f"it is {size / 1e6:.1f} MB large; {most / 1e6:g} MB are the most")
        return place.read_bytes()
    except OSError as error:
        raise ValueError(
            f"it cannot be read ({error.strerror or error}); it is looked for beside the job"
        ) from None


def names_in(folder: Path) -> list[Path]:
    """What lies in a folder, in order; nothing where there is none, or none that can be looked into."""
    try:
        return sorted(folder.iterdir())
    except OSError:
        return []


def write_whole(folder: Path, files: Mapping[str, bytes]) -> None:
    """Put every file into the folder whole, or none of them.

    All lie on the disk under other names before the first is renamed. What stood there goes aside, last
    file first, before the new ones come, last file last: wherever a power cut falls, the files that stand
    are of one run, and with the last of them stand all. A rename that fails takes the others back. One
    run at a time writes into a folder, and removes what a run that was killed there has left.

    Raises:
        InputError: a name cannot be, or the folder cannot be made or written.
    """
    for name in (folder.name, *files):
        if name not in ("", ".", ".."):
            refuse_name(name)
    fresh = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _alone(folder):
            _put(folder, files)
    except OSError as error:
        raise InputError(_refused(folder, error)) from error
    finally:
        if fresh:
            with suppress(OSError):
                folder.rmdir()  # only when it is empty


def _refused(folder: Path, error: BaseException) -> str:
    why = getattr(error, "strerror", None) or str(error) or "interrupted"
    return f"{folder}: cannot be written ({why}); choose another place with --out"


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
            aside[place] = part.with_name(f"{part.stem}{BEFORE}{SUFFIX}")
            with suppress(FileNotFoundError), _holding(place):
                drive.rename(place, aside[place])
        for place, part in parts.items():
            placed.append(place)
            with _holding(place):
                drive.rename(part, place)
    except BaseException as error:  # an interrupt from the keyboard as well
        _remove(placed)
        lost = [sentence for place, old in reversed(aside.items()) for sentence in _put_back(old, place)]
        _remove(parts.values())
        if lost:
            said = error.faults if isinstance(error, InputError) else (_refused(folder, error),)
            raise InputError(*said, *lost) from error
        raise
    _remove(folder.glob(f"{PREFIX}*{SUFFIX}"))  # with what was set aside by this run or one before
    drive.sync_folder(folder)  # the names must last as well


@contextmanager
def _holding(place: Path) -> Iterator[None]:
    """Word what is refused of a file though its folder can be written: somebody has it open."""
    try:
        yield
    except PermissionError as error:
        raise InputError(
            f"{place}: cannot be replaced ({error.strerror}); close it in the spreadsheet or viewer and try again"
        ) from error


def _put_back(old: Path, place: Path) -> Iterator[str]:
    """Where a file lies that was moved aside and cannot be moved back; nothing when it is back."""
    if not old.exists():
        return  # it never went
    try:
        drive.rename(old, place)
    except OSError as error:
        yield f"{place}: could not be put back ({error.strerror}); it lies beside as {old.name}, rename it"


def _remove(paths: Iterable[Path]) -> bool:
    """Remove what the disk lets go; a part that is left is the next run's to remove. Whether all went."""
    left = False
    for path in paths:
        try:
            path.unlink()
        except OSError:
            left = True
    return not left


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """One run at a time in a folder; what a run left that was killed there goes first, but what stood before it."""
    lock = folder / LOCK
    left = False
    try:
        while True:
            handle = os.open(lock, os.O_RDWR | os.O_CREAT | drive.BINARY, 0o666)
            with os.fdopen(handle, "rb"), drive.held(handle, lock):
                if not _is_still(handle, lock):
                    continue  # another run has removed it since
                _remove(p for p in folder.glob(f"{PREFIX}*{SUFFIX}") if not p.stem.endswith(BEFORE))
                try:
                    yield
                finally:
                    left = not _remove([lock])
            return
    finally:
        if left:
            _remove([lock])  # Windows removes no open file: neither ours before, nor another run's now


def _is_still(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


def _part(folder: Path, content: bytes) -> Path:
    """The content on the disk under a name that nobody takes for a program.

    The name is our own: tempfile tries for ever where a folder is write-protected on Windows.
    """
    path = folder / f"{PREFIX}{os.urandom(8).hex()}{SUFFIX}"
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | drive.BINARY, 0o666)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
    except BaseException:
        _remove([path])
        raise
    return path
