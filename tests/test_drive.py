"""Locks, renames and odd files: on this system, on a stand-in for Windows, on drives without locks."""

import ast
import errno
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from tests import windows as there
from toolpath import drive
from toolpath.errors import InputError

ROOT = Path(__file__).parents[1]
NO_LOCKS = [errno.ENOLCK, errno.EOPNOTSUPP, errno.EBADF, errno.EINVAL, errno.ENOSYS]


@pytest.fixture(params=["here", "windows"])
def _system(request):
    if request.param == "windows":
        request.getfixturevalue("windows")


@pytest.fixture
def path(tmp_path):
    place = tmp_path / "pump-readings.csv"
    place.write_bytes(b"heading\n")
    return place


@pytest.fixture
def without_locks(monkeypatch):
    def refuses(number):
        def take(_):
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(drive, "_take", take)

    return refuses


def taken(path):
    """Take the lock and let go of it."""
    with path.open("r+b") as stream, drive.held(stream.fileno(), path):
        return stream.read()


@pytest.mark.usefixtures("_system")
class TestLock:
    def test_it_is_waited_for(self, path):
        with path.open("r+b") as stream, drive.held(stream.fileno(), path):
            other = threading.Thread(target=taken, args=(path,))
            other.start()
            other.join(timeout=0.2)
            assert other.is_alive()
        other.join(timeout=10)
        assert not other.is_alive()

    def test_waiting_ends_in_a_sentence(self, path, monkeypatch):
        monkeypatch.setattr(drive, "PATIENCE", 0.1)
        said = r"pump-readings\.csv: held by another run of dishpath for 0\.1 s; wait until it is done"
        with (
            path.open("r+b") as stream,
            drive.held(stream.fileno(), path),
            pytest.raises(InputError, match=said),
        ):
            taken(path)
        assert taken(path) == b"heading\n"

    def test_it_goes_with_an_error(self, path):
        with pytest.raises(ZeroDivisionError), path.open("r+b") as stream, drive.held(stream.fileno(), path):
            raise ZeroDivisionError
        assert taken(path) == b"heading\n"

    def test_nothing_is_left_beside(self, path):
        taken(path)
        assert [p.name for p in path.parent.iterdir()] == [path.name]

    def test_the_reading_goes_on_where_it_was(self, path):
        """The lock lies far behind the text, and the place in the file is as before."""
        with path.open("r+b") as stream:
            assert os.lseek(stream.fileno(), 3, os.SEEK_SET) == 3
            with drive.held(stream.fileno(), path):
                assert os.lseek(stream.fileno(), 0, os.SEEK_CUR) == 3


@pytest.mark.parametrize("number", NO_LOCKS, ids=errno.errorcode.get)
class TestDriveWithoutLocks:
    def test_a_lock_file_stands_in(self, number, path, without_locks):
        without_locks(number)
        lock = path.with_name("pump-readings.csv.lock")
        with path.open("r+b") as stream, drive.held(stream.fileno(), path):
            assert lock.exists()
            other = threading.Thread(target=taken, args=(path,))
            other.start()
            other.join(timeout=0.1)
            assert other.is_alive()
        other.join(timeout=10)
        assert not lock.exists()

    def test_one_that_was_left_is_named(self, number, path, without_locks, monkeypatch):
        without_locks(number)
        monkeypatch.setattr(drive, "PATIENCE", 0.05)
        path.with_name("pump-readings.csv.lock").touch()
        said = r"pump-readings\.csv\.lock: held by .* if no other run is at work, remove this lock file"
        with pytest.raises(InputError, match=said):
            taken(path)


def test_a_python_without_locks(path, monkeypatch):
    """It is asked for locks as every drive is, and answers that it has none."""
    import importlib.util

    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setattr(sys, "platform", "other")
    spec = importlib.util.spec_from_file_location("drive_without_locks", drive.__file__)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    with path.open("r+b") as stream, module.held(stream.fileno(), path):
        assert path.with_name("pump-readings.csv.lock").exists()
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_the_stand_in_locks_as_windows_does(path):
    """LK_NBLCK says EACCES of a byte that is locked; the lock goes with the process that holds it."""
    module = there.msvcrt()
    script = (
        "import os, sys, time\nfrom tests import windows\n"
        "handle = os.open(sys.argv[1], os.O_RDWR)\nos.lseek(handle, 1 << 30, os.SEEK_SET)\n"
        "windows.msvcrt().locking(handle, windows.LK_NBLCK, 1)\nprint('held', flush=True)\ntime.sleep(60)\n"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", script, path], stdout=subprocess.PIPE, cwd=ROOT, text=True
    )
    assert holder.stdout.readline() == "held\n"
    with path.open("r+b") as stream:
        os.lseek(stream.fileno(), 1 << 30, os.SEEK_SET)
        with pytest.raises(PermissionError):
            module.locking(stream.fileno(), there.LK_NBLCK, 1)
        holder.terminate()
        holder.communicate()
        module.locking(stream.fileno(), there.LK_NBLCK, 1)


@pytest.mark.usefixtures("windows")
def test_the_stand_in_renames_and_removes_no_open_file(path):
    with path.open("rb"):
        with pytest.raises(PermissionError, match="another process"):
            path.unlink()
        with pytest.raises(PermissionError, match="another process"):
            os.replace(path, path.with_name("other"))
    with pytest.raises(PermissionError):
        os.open(path.parent, os.O_RDONLY)
    path.unlink()


@pytest.mark.parametrize("number", [errno.EACCES, errno.EPERM, errno.EBUSY])
def test_a_rename_is_tried_again(number, path, monkeypatch):
    """A scanner lets go of a fresh file after a moment."""
    refusals, real = iter(range(3)), os.replace

    def replace(old, new):
        if next(refusals, None) is not None:
            raise OSError(number, os.strerror(number), str(old))
        real(old, new)

    monkeypatch.setattr(os, "replace", replace)
    drive.rename(path, path.with_name("job.nc"))
    assert path.with_name("job.nc").exists()


def test_a_rename_that_stays_refused(path, monkeypatch):
    slept: list[float] = []

    def refused(old, new):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(old))

    monkeypatch.setattr(os, "replace", refused)
    monkeypatch.setattr(drive.time, "sleep", slept.append)
    monkeypatch.setattr(drive.time, "monotonic", lambda: sum(slept))
    with pytest.raises(PermissionError):
        drive.rename(path, path.with_name("job.nc"))
    assert sum(slept) == pytest.approx(
        drive.HELD_FOR, abs=1.5 * drive.POLL
    )  # by a clock that only sleeping moves


def test_a_rename_that_cannot_be_is_not_tried_again(path):
    with pytest.raises(FileNotFoundError):
        drive.rename(path.with_name("none"), path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes")
def test_a_pipe_is_refused(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(OSError, match="it is a pipe or a device, not a file"):
        drive.refuse_endless(pipe)


@pytest.mark.skipif(there.AS_WINDOWS or not Path("/dev/zero").exists(), reason="there is no /dev/zero")
def test_a_device_is_refused():
    with pytest.raises(OSError, match="it is a pipe or a device, not a file"):
        drive.refuse_endless(Path("/dev/zero"))


def test_files_folders_and_nothing_pass(path):
    for place in (path, path.parent, path.with_name("none")):
        drive.refuse_endless(place)


def test_only_the_drive_asks_for_the_system():
    """So that the stand-in for another system stands in for all of it."""
    asking = set()
    for folder in ("toolpath", "postprocessors"):
        for source in (ROOT / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Attribute) and ast.unparse(node) in ("sys.platform", "os.name"):
                    asking.add(source.name)
                if isinstance(node, ast.Import) and {a.name for a in node.names} & {
                    "fcntl",
                    "msvcrt",
                    "platform",
                }:
                    asking.add(source.name)
    assert asking == {"drive.py"}
