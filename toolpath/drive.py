"""What is asked of a drive: one run at a time, renames that are tried again, names that last.

A lock is the system's own on an open file, so that it goes when its process dies. Where a drive knows no locks,
as some in a network or a cloud do, a lock file made exclusively stands in; a killed run leaves that one behind,
and the sentence names it.
"""

import errno
import os
import stat
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from toolpath.errors import InputError

PATIENCE = 20.0  # s until waiting for another run is given up
HELD_FOR = 2.0  # s for which a scanner or a synchroniser may hold a fresh file
POLL = 0.02  # s
BINARY = getattr(os, "O_BINARY", 0)  # where text files would otherwise get other line ends

if sys.platform == "win32":
    import msvcrt

    BUSY = (errno.EACCES, errno.EDEADLK)
    FAR = 1 << 30  # a byte far beyond the text: a lock there does not hide the text from a spreadsheet

    def _far(handle: int, mode: int) -> None:
        here = os.lseek(handle, 0, os.SEEK_CUR)
        os.lseek(handle, FAR, os.SEEK_SET)
        try:
            msvcrt.locking(handle, mode, 1)
        finally:
            os.lseek(handle, here, os.SEEK_SET)

    def _take(handle: int) -> None:
        _far(handle, msvcrt.LK_NBLCK)

    def _let_go(handle: int) -> None:
        _far(handle, msvcrt.LK_UNLCK)

else:
    try:
        import fcntl
    except ImportError:  # a Python that was built without it
        fcntl = None  # type: ignore[assignment]
    BUSY = (errno.EAGAIN,)

    def _take(handle: int) -> None:
        if fcntl is None:
            raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS))
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _let_go(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


@contextmanager
def held(handle: int, path: Path) -> Iterator[None]:
    """Hold the lock of a file that is open for writing.

    Raises:
        InputError: another run has held it for PATIENCE seconds.
        OSError: its drive knows no locks, and no lock file can be made beside it.
    """
    try:
        got = _within(PATIENCE, lambda: _take(handle), lambda error: error.errno in BUSY)
    except OSError:
        lock = path.with_name(f"{path.name}.lock")
        let_go = _lock_file(lock)
    else:
        if not got:
            raise InputError(_waited(path, "wait until it is done"))

        def let_go() -> None:
            _let_go(handle)

    try:
        yield
    finally:
        with suppress(OSError):
            let_go()


def _lock_file(lock: Path) -> Callable[[], None]:
    def make() -> None:
        os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))

    if not _within(PATIENCE, make, lambda error: isinstance(error, FileExistsError)):
        raise InputError(_waited(lock, "if no other run is at work, remove this lock file"))
    return lock.unlink


def _waited(path: Path, advice: str) -> str:
    return f"{path}: held by another run of dishpath for {PATIENCE:g} s; {advice}, then try again"


def _within(seconds: float, act: Callable[[], None], passing: Callable[[OSError], bool]) -> bool:
    """Do it, again and again while it fails for a passing reason; False when the time is up."""
    end = time.monotonic() + seconds
    while True:
        try:
            act()
            return True
        except OSError as error:
            if not passing(error):
                raise
        if time.monotonic() >= end:
            return False
        time.sleep(POLL)


def rename(old: Path, new: Path) -> None:
    """Rename over whatever stands there; tried again for HELD_FOR seconds while somebody holds either file."""
    held_by_somebody = (errno.EACCES, errno.EPERM, errno.EBUSY)
    if not _within(HELD_FOR, lambda: os.replace(old, new), lambda error: error.errno in held_by_somebody):
        os.replace(old, new)  # once more, for its own error


def sync_folder(folder: Path) -> None:
    """Let the names in a folder last, where a system can do that; what is written stands all the same."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def refuse_endless(path: Path) -> None:
    """Raise OSError for a pipe or a device: it may have no end, or never begin. A path to nothing passes."""
    try:
        mode = os.stat(path).st_mode
    except OSError:
        return
    if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):
        raise OSError(errno.EINVAL, "it is a pipe or a device, not a file", str(path))
