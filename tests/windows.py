"""A stand-in for a computer with Windows, as far as one can be stood in for on another system.

It changes what the operating system does to us, never our own code, which asks for the system in one place,
at the import of `toolpath.drive`:

- `msvcrt.locking` locks by the system's own locks, and refuses with the error numbers that Windows gives;
- a folder cannot be opened;
- a file that any process has open can neither be renamed, nor renamed over, nor removed.

`install()` does it for a whole process; the fixture `windows` of `tests/conftest.py` for one test. With
DISHPATH_WINDOWS=1 all tests run on it, and what only POSIX has is gone besides, so that a test that needs it
and does not say so fails.
"""

import errno
import importlib.util
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

from toolpath import drive

try:
    import fcntl
except ImportError:  # a real one has its own module
    fcntl = None  # type: ignore[assignment]

AS_WINDOWS = os.name == "nt" or bool(os.environ.get("DISHPATH_WINDOWS"))
Patch = Callable[[Any, str, Any], None]
LK_UNLCK, LK_LOCK, LK_NBLCK = 0, 1, 2
SHARING_VIOLATION = "The process cannot access the file because it is being used by another process"


def msvcrt() -> ModuleType:
    """The module as documented in the Python library reference: `LK_LOCK` tries ten times, once a second."""
    assert fcntl is not None

    def locking(handle: int, mode: int, length: int) -> None:
        assert length == 1
        assert os.lseek(handle, 0, os.SEEK_CUR) == 1 << 30, "the text itself must stay free for a spreadsheet"
        for attempt in range(10 if mode == LK_LOCK else 1):
            if attempt:
                time.sleep(1)
            try:
                fcntl.flock(handle, fcntl.LOCK_UN if mode == LK_UNLCK else fcntl.LOCK_EX | fcntl.LOCK_NB)
                return
            except BlockingIOError:
                pass
        number = errno.EDEADLK if mode == LK_LOCK else errno.EACCES
        raise OSError(number, os.strerror(number))

    module = ModuleType("msvcrt")
    for name, value in (("LK_UNLCK", LK_UNLCK), ("LK_LOCK", LK_LOCK), ("LK_NBLCK", LK_NBLCK)):
        setattr(module, name, value)
    module.locking = locking  # type: ignore[attr-defined]
    return module


def drive_there() -> ModuleType:
    """`toolpath.drive` as it is imported on Windows, beside the one of this system."""
    real, known = sys.platform, sys.modules.get("msvcrt")
    spec = importlib.util.spec_from_file_location("drive_on_windows", drive.__file__)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.platform, sys.modules["msvcrt"] = "win32", msvcrt()
    try:
        spec.loader.exec_module(module)
    finally:
        sys.platform = real
        if known is None:
            del sys.modules["msvcrt"]
        else:
            sys.modules["msvcrt"] = known
    return module


def install(patch: Patch = setattr) -> None:
    """Put the stand-in in place of this system's behaviour."""
    there = drive_there()
    for name in ("_take", "_let_go", "BUSY"):
        patch(drive, name, getattr(there, name))
    opened, replace, unlink = os.open, os.replace, os.unlink
    at_once = threading.Lock()  # Windows looks and removes in one step: no thread opens the file in between

    def open_(path: Any, flags: int, *more: Any, **named: Any) -> int:
        if isinstance(path, str | os.PathLike) and "dir_fd" not in named and os.path.isdir(path):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        with at_once:
            return opened(path, flags, *more, **named)

    def replace_(old: Any, new: Any) -> None:
        with at_once:
            refuse_open(old, new)
            replace(old, new)

    def unlink_(path: Any, *more: Any, **named: Any) -> None:
        with at_once:
            if not named:
                refuse_open(path)
            unlink(path, *more, **named)

    patch(os, "open", open_)
    patch(os, "replace", replace_)
    patch(os, "unlink", unlink_)


def take_away() -> None:
    """Remove what Python has on POSIX alone, as far as pytest itself lives without it."""
    for owner, names in ((os, ("fork", "mkfifo", "geteuid")), (signal, ("SIGKILL", "SIGSTOP"))):
        for name in names:
            if hasattr(owner, name):
                delattr(owner, name)
    for module in ("fcntl", "resource"):
        sys.modules[module] = None  # type: ignore[assignment]


def refuse_open(*paths: Any) -> None:
    """Raise what Windows raises for a file that somebody has open."""
    wanted = {os.path.abspath(path) for path in paths}
    for handle in Path("/proc").glob("[0-9]*/fd/*"):
        try:
            held = os.readlink(handle)
        except OSError:
            continue
        if held in wanted:
            raise PermissionError(errno.EACCES, SHARING_VIOLATION, held)


def main() -> None:
    """The command on such a computer: `python -m tests.windows make job.toml`."""
    from toolpath.cli.main import main as command

    install()
    command(prog_name="dishpath")


if __name__ == "__main__":
    main()
