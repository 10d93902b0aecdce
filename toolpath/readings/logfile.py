"""A text file that only grows: locked, appended in one piece, on the disk when the call returns.

Readers take no lock, so that they keep nobody waiting and work on every drive. Errors are OSError; the caller
words them.
"""

import os
import time
from collections.abc import Callable
from pathlib import Path

from toolpath import drive

LOOKS, BETWEEN = 4, 0.02  # looks at a file without a last line end, and the time between them in s


class UnsureError(OSError):
    """What was appended could neither be flushed nor taken back."""


def read(path: Path) -> bytes:
    """The whole file; empty when there is none. One that somebody is appending to is looked at again."""
    drive.refuse_endless(path)
    content = b""
    for look in range(LOOKS):
        if look:
            time.sleep(BETWEEN)
        try:
            content = path.read_bytes()
        except FileNotFoundError:
            return b""
        if content.endswith((b"\n", b"\r")):
            break
    return content


def append(path: Path, make: Callable[[bytes], bytes]) -> None:
    """Append what `make` returns for the present content; two at once come one after the other.

    When `make` raises, or the disk is full, the content is as before.

    Raises:
        InputError: another run keeps the file to itself.
        UnsureError: nobody can say whether what was appended is there.
        OSError: it is not.
    """
    drive.refuse_endless(path)
    file = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | drive.BINARY, 0o666)
    with os.fdopen(file, "rb") as stream, drive.held(file, path):
        content = stream.read()
        data = make(content)
        try:
            if os.write(file, data) < len(data):
                raise OSError(None, "the disk is full")
            os.fsync(file)
        except OSError as error:
            try:  # no half line, and none that the caller calls not stored
                os.ftruncate(file, len(content))
            except OSError:
                raise UnsureError(error.errno, error.strerror) from error
            raise
        if not content:
            drive.sync_folder(path.parent)  # the name of a new file must last as well
