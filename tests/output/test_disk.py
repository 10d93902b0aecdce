"""Files put down whole, beside what a killed run has left and what others write."""

import os
import random
import signal
import threading
import time

import pytest

from toolpath.errors import InputError
from toolpath.output.disk import PREFIX, SUFFIX, write_whole

fcntl = pytest.importorskip("fcntl")
KILLS = int(os.environ.get("DISHPATH_KILLS", "24"))


def test_what_a_dead_run_left_is_removed(tmp_path):
    (tmp_path / f"{PREFIX}abc{SUFFIX}").write_bytes(b"half")
    mine = {".mine.part": b"1", ".dishpath-notes": b"2", "dishpath-x.part": b"3"}
    for name, content in mine.items():
        (tmp_path / name).write_bytes(content)
    write_whole(tmp_path, {"job.nc": b"new"})
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"job.nc": b"new", **mine}


def test_a_run_that_is_still_writing_is_waited_for(tmp_path):
    part = tmp_path / f"{PREFIX}alive{SUFFIX}"
    part.write_bytes(b"half")
    handle = os.open(tmp_path, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_EX)
    other = threading.Thread(target=write_whole, args=(tmp_path, {"job.nc": b"new"}))
    other.start()
    other.join(timeout=0.2)
    assert part.exists()
    assert not (tmp_path / "job.nc").exists()
    os.close(handle)
    other.join(timeout=10)
    assert (tmp_path / "job.nc").read_bytes() == b"new"
    assert not part.exists()


def test_a_drive_without_locks_is_written_all_the_same(tmp_path, monkeypatch):
    def no_locks(*_):
        raise OSError(95, "not supported")

    monkeypatch.setattr(fcntl, "flock", no_locks)
    (tmp_path / f"{PREFIX}abc{SUFFIX}").write_bytes(b"whose?")
    write_whole(tmp_path, {"job.nc": b"new"})
    assert {p.name for p in tmp_path.iterdir()} == {"job.nc", f"{PREFIX}abc{SUFFIX}"}


OLD = {"job-dro.csv": b"old", "job-sheet.pdf": b"old", "job.nc": b"old"}
NEW = {name: b"new" for name in OLD}
ADDED = {"job-section.png": b"new", **NEW}
STEPS = [(call, k) for call, times in (("fsync", 5), ("replace", 8), ("unlink", 4)) for k in range(times)]


@pytest.mark.parametrize(("call", "nth"), STEPS)
@pytest.mark.parametrize("new", [NEW, ADDED], ids=["same names", "one more"])
def test_a_power_cut_at_each_step(call, nth, new, tmp_path):
    """Files of one run alone, all of them where the program is; then the next run works and tidies up."""
    write_whole(tmp_path, OLD)
    child = os.fork()
    if child == 0:
        before, real = iter(range(nth)), getattr(os, call)

        def cut(*arguments, **more):
            if next(before, None) is None:
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*arguments, **more)

        setattr(os, call, cut)
        write_whole(tmp_path, new)
        os._exit(0)
    assert os.WIFSIGNALED(os.waitpid(child, 0)[1]) == (nth < steps(call, new))
    stands = {p.name: p.read_bytes() for p in tmp_path.iterdir() if not p.name.startswith(PREFIX)}
    assert stands.items() <= OLD.items() or stands.items() <= new.items()
    assert "job.nc" not in stands or stands in (OLD, new)
    write_whole(tmp_path, new)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == new


def test_eight_at_once_killed_while_they_write(tmp_path):
    """They do nothing but write, one these files, the next those: each kill falls into writing or waiting."""
    rng, kills = random.Random(8), 0
    while kills < KILLS:
        children = [forked(tmp_path, (NEW, OLD)[k % 2]) for k in range(8)]
        for child in children:
            time.sleep(rng.uniform(0, 0.01))
            os.kill(child, signal.SIGKILL)
        assert all([os.WIFSIGNALED(os.waitpid(child, 0)[1]) for child in children])
        kills += len(children)
        stands = {p.name: p.read_bytes() for p in tmp_path.iterdir() if not p.name.startswith(PREFIX)}
        assert stands.items() <= OLD.items() or stands.items() <= NEW.items()
        assert "job.nc" not in stands or stands in (OLD, NEW)
    write_whole(tmp_path, NEW)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == NEW


def forked(folder, files):
    """The number of a process that writes the files again and again."""
    child = os.fork()
    while child == 0:
        try:
            write_whole(folder, files)
        except BaseException:
            os._exit(1)
    return child


def steps(call, new):
    """How often a run makes a call: the parts and the folder flushed; out and in; what stood removed."""
    return {"fsync": len(new) + 1, "replace": 2 * len(new), "unlink": len(new)}[call]


@pytest.mark.parametrize("nth", range(8))
@pytest.mark.parametrize("error", [OSError(28, "full"), KeyboardInterrupt()], ids=["full", "interrupted"])
def test_a_rename_that_fails_takes_the_others_back(error, nth, tmp_path, monkeypatch):
    write_whole(tmp_path, OLD)
    count, real = iter(range(99)), os.replace

    def fails(*arguments):
        if next(count) == nth:
            raise error
        real(*arguments)

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises((InputError, KeyboardInterrupt)):
        write_whole(tmp_path, ADDED)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == OLD
