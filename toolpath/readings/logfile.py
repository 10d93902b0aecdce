"""A text file that only grows: locked, appended in one piece, on the disk when the call returns.

Errors are OSError; the caller words them.
"""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

BINARY = getattr(os, "O_BINARY", 0)  # where text files would otherwise get other line ends


def read(path: Path) -> bytes:
    """The whole file, never in the middle of somebody's append; empty when there is no file."""
    try:
        file = os.open(path, os.O_RDONLY | BINARY)
    except FileNotFoundError:
        return b""
    with os.fdopen(file, "rb") as stream, _locked(file, writing=False):
        return stream.read()


def append(path: Path, make: Callable[[bytes], bytes]) -> None:
    """Append what `make` returns for the present content; two at once come one after the other.

    When `make` raises, or the disk is full, the content is as before.
    """
    file = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | BINARY, 0o666)
    with os.fdopen(file, "rb") as stream, _locked(file, writing=True):
        content = stream.read()
        data = make(content)
        try:
            if os.write(file, data) < len(data):
                raise OSError(None, "the disk is full")
            os.fsync(file)
        except OSError:
            with suppress(OSError):
                os.ftruncate(file, len(content))  # no half line, and none that the caller calls not stored
            raise
        if not content:
            _sync_folder(path.parent)  # the name of a new file must last as well


def _sync_folder(folder: Path) -> None:
    if sys.platform == "win32":
        return  # folders cannot be opened there
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


if sys.platform == "win32":
    import msvcrt

    @contextmanager
    def _locked(file: int, *, writing: bool) -> Iterator[None]:
        # a byte far beyond the text: a lock there does not hide the text from a spreadsheet
        def far(mode: int) -> None:
            here = os.lseek(file, 0, os.SEEK_CUR)
            os.lseek(file, 1 << 30, os.SEEK_SET)
            msvcrt.locking(file, mode, 1)
            os.lseek(file, here, os.SEEK_SET)

        far(msvcrt.LK_LOCK)
        try:
            yield
        finally:
            far(msvcrt.LK_UNLCK)

else:
    import fcntl

    @contextmanager
    def _locked(file: int, *, writing: bool) -> Iterator[None]:
        # released by the system when the process dies: no stale lock can stop a shop; a network drive gives
        # a lock of one's own only on a file that is open for writing
        fcntl.flock(file, fcntl.LOCK_EX if writing else fcntl.LOCK_SH)
        try:
            yield
        finally:
            fcntl.flock(file, fcntl.LOCK_UN)
