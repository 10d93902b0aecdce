"""Files put down whole, beside what a killed run has left and what others write."""

import errno
import os
import random
import signal
import threading
import time
from contextlib import contextmanager, suppress

import pytest

from tests.windows import AS_WINDOWS
from toolpath import drive
from toolpath.errors import InputError
from toolpath.output import disk
from toolpath.output.disk import (
    LOCK,
    PREFIX,
    SUFFIX,
    names_in,
    read_beside,
    read_bytes,
    refuse_job,
    write_whole,
)

posix = pytest.mark.skipif(AS_WINDOWS, reason="there is neither fork nor SIGKILL")
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
    with (tmp_path / LOCK).open("wb") as lock, drive.held(lock.fileno(), tmp_path / LOCK):
        other = threading.Thread(target=write_whole, args=(tmp_path, {"job.nc": b"new"}))
        other.start()
        other.join(timeout=0.2)
        assert part.exists()
        assert not (tmp_path / "job.nc").exists()
    other.join(timeout=10)
    assert (tmp_path / "job.nc").read_bytes() == b"new"
    assert not part.exists()


OLD = {"job-dro.csv": b"old", "job-sheet.pdf": b"old", "job.nc": b"old"}
NEW = {name: b"new" for name in OLD}
ADDED = {"job-section.png": b"new", **NEW}
STEPS = [(call, k) for call, times in (("fsync", 5), ("replace", 8), ("unlink", 5)) for k in range(times)]


@posix
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


@posix
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
    """How often a run makes a call: the parts and the folder flushed; out and in; what stood and the lock removed."""
    flushed, removed = (0, 2) if AS_WINDOWS else (1, 1)  # the folder; an open lock file cannot be removed
    return {"fsync": len(new) + flushed, "replace": 2 * len(new), "unlink": len(OLD) + removed}[call]


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


@pytest.mark.parametrize("stood", [False, True], ids=["made for it", "stood before"])
def test_a_folder_that_was_made_for_nothing_goes_again(stood, tmp_path, monkeypatch):
    folder = tmp_path / "out"
    if stood:
        folder.mkdir()
    monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(errno.ENOSPC, "full")))
    with pytest.raises(InputError, match="full"):
        write_whole(folder, NEW)
    assert folder.exists() == stood
    assert not stood or standing(folder) == {}


# held by a spreadsheet, a scanner, another run


def holds(monkeypatch, *names, when=lambda old, new: True):
    """Let somebody hold files: they can neither be renamed nor renamed over."""
    real = os.replace
    monkeypatch.setattr(drive, "HELD_FOR", 0.05)

    def replace(old, new):
        if {os.path.basename(old), os.path.basename(new)} & set(names) and when(old, new):
            raise PermissionError(errno.EACCES, "Permission denied", str(old))
        real(old, new)

    monkeypatch.setattr(os, "replace", replace)


def standing(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_a_table_that_a_spreadsheet_holds_is_named(tmp_path, monkeypatch):
    write_whole(tmp_path, OLD)
    holds(monkeypatch, "job-dro.csv")
    with pytest.raises(InputError) as raised:  # the text is compared below, not as a pattern
        write_whole(tmp_path, NEW)
    assert str(raised.value) == (
        f"{tmp_path}/job-dro.csv: cannot be replaced (Permission denied); "
        "close it in the spreadsheet or viewer and try again"
    )
    assert standing(tmp_path) == OLD


def test_what_cannot_be_put_back_is_named_and_kept_until_a_run_succeeds(tmp_path, monkeypatch):
    write_whole(tmp_path, OLD)
    gone = []

    def after_it_went(old, new):
        """The program goes aside; from then on somebody holds it."""
        gone.append(old)
        return len(gone) > 1

    with monkeypatch.context() as patch:
        holds(
            patch,
            "job.nc",
            "job-dro.csv",
            when=lambda old, new: "job-dro" in str(old) or after_it_went(old, new),
        )
        with pytest.raises(InputError) as raised:  # the text is compared below, not as a pattern
            write_whole(tmp_path, NEW)
    (aside,) = tmp_path.glob(f"{PREFIX}*{SUFFIX}")
    assert aside.read_bytes() == b"old"
    assert raised.value.faults[1] == (
        f"{tmp_path}/job.nc: could not be put back (Permission denied); it lies beside as {aside.name}, rename it"
    )
    assert "job.nc" not in standing(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(errno.ENOSPC, "full")))
        with pytest.raises(InputError, match="full"):
            write_whole(tmp_path, NEW)
    assert aside.exists()
    write_whole(tmp_path, NEW)
    assert standing(tmp_path) == NEW


def test_a_write_protected_folder_is_given_up_at_once(tmp_path, monkeypatch):
    """Where os.access says that a folder can be written, as it does on Windows, tempfile tries 10,000 names."""
    tries, real = [], os.open

    def protected(path, flags, *more, **named):
        if str(path).endswith(SUFFIX):
            tries.append(path)
            raise PermissionError(errno.EACCES, "Permission denied", path)
        return real(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", protected)
    with pytest.raises(InputError, match="cannot be written \\(Permission denied\\); choose another place"):
        write_whole(tmp_path, NEW)
    assert len(tries) == 1
    assert standing(tmp_path) == {}


def test_a_drive_without_locks_is_written_and_tidied_all_the_same(tmp_path, monkeypatch):
    def none(_):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(drive, "_take", none)
    (tmp_path / f"{PREFIX}abc{SUFFIX}").write_bytes(b"half")
    write_whole(tmp_path, NEW)
    assert standing(tmp_path) == NEW


@pytest.mark.usefixtures("windows")
def test_where_no_open_file_can_be_removed_no_lock_file_stays(tmp_path):
    write_whole(tmp_path, NEW)
    assert standing(tmp_path) == NEW
    (tmp_path / "job.pdf").mkdir()
    with pytest.raises(InputError, match="is a folder"):
        write_whole(tmp_path, {**NEW, "job.pdf": b""})
    assert {p.name for p in tmp_path.iterdir()} == {*NEW, "job.pdf"}


@pytest.mark.usefixtures("windows")
def test_two_at_once_where_folders_cannot_be_locked(tmp_path, monkeypatch):
    """Every look at the folder between two runs sees files of one run alone."""
    monkeypatch.setattr(drive, "PATIENCE", 600.0)  # on a busy machine
    wrong, going = [], threading.Event()

    def looks():
        while not going.is_set():
            write_whole(tmp_path, NEW)
            with drive_lock(tmp_path):
                stands = standing(tmp_path)
                stands.pop(LOCK, None)
                if stands not in (OLD, NEW):
                    wrong.append(stands)
            time.sleep(0.03)  # longer than between two tries of the other

    other = threading.Thread(target=looks)
    other.start()
    for _ in range(15):
        write_whole(tmp_path, OLD)
        time.sleep(0.03)
    going.set()
    other.join(timeout=60)
    assert not wrong
    assert standing(tmp_path) in (OLD, NEW)


@contextmanager
def drive_lock(folder):
    """The lock of a folder, as a run takes it."""
    while True:
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o666)
        with os.fdopen(handle, "rb"), drive.held(handle, folder / LOCK):
            if (folder / LOCK).exists() and os.path.samestat(os.fstat(handle), os.stat(folder / LOCK)):
                yield
                break
    with suppress(OSError):
        (folder / LOCK).unlink()


# names

NAMES = (
    *("nul", "NUL.toml", "con.nc", "aux.tar.gz", "prn .txt", "com1", "LPT9.csv", "com\u00b9.x", "CONIN$"),
    *("a:b", "c:", "pump.", "pump ", "pump. "),
)


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_windows_cannot_hold_is_refused(name, tmp_path):
    for folder, files in ((tmp_path, {name: b""}), (tmp_path / name, {"job.nc": b""})):
        with pytest.raises(InputError, match="choose another name, since the folder may be shared"):
            write_whole(folder, files)
    assert standing(tmp_path) == {}


@pytest.mark.parametrize(
    "name", ["null.nc", "console.toml", "com10", "nul-1.nc", "auxiliary", ".con", "pump .nc"]
)
def test_a_name_that_only_looks_like_one_passes(name, tmp_path):
    write_whole(tmp_path, {name: b""})
    assert standing(tmp_path) == {name: b""}


@pytest.mark.parametrize("name", ["nul.toml", "aux", "a:b.toml", "pump..toml", "pump .toml"])
def test_a_job_whose_files_could_not_be_named_is_refused(name, tmp_path):
    """Name and stem: the folder of its files is named like the stem."""
    with pytest.raises(InputError, match="choose another name, since the folder may be shared"):
        refuse_job(tmp_path / name)


def test_a_job_named_as_usual_passes(tmp_path):
    for place in (tmp_path / "pump.toml", tmp_path / "pump", tmp_path / "..", tmp_path.root):
        refuse_job(type(tmp_path)(place))


# reading


def test_a_file_is_read_whole_where_it_is_not_too_large(tmp_path, monkeypatch):
    monkeypatch.setattr(disk, "MOST_BYTES", 5)
    (tmp_path / "a").write_bytes(b"12345")
    (tmp_path / "b").write_bytes(b"123456")
    assert read_bytes(tmp_path / "a") == b"12345"
    with pytest.raises(InputError) as raised:
        read_bytes(tmp_path / "b")
    assert raised.value.faults == (f"{tmp_path}/b: larger than 64 MB; no file of this tool is",)


def test_a_file_that_is_not_there_or_held_says_what_to_do(tmp_path, monkeypatch):
    with pytest.raises(InputError) as raised:
        read_bytes(tmp_path / "none")
    assert raised.value.faults == (
        f"{tmp_path}/none: cannot be read (No such file or directory); check the name",
    )
    place = tmp_path / "held"
    place.write_bytes(b"")

    def held(_):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(type(place), "read_bytes", held)
    with pytest.raises(InputError) as raised:
        read_bytes(place)
    (fault,) = raised.value.faults
    assert fault.startswith(
        f"{place}: cannot be read (Permission denied); close it in the program that holds it"
    )


@pytest.mark.parametrize("whole", [False, True], ids=["beside the job", "a whole path"])
def test_a_file_that_a_job_names(whole, tmp_path):
    (tmp_path / "points.csv").write_bytes(b"0,1.5")
    folder, name = (tmp_path.parent, str(tmp_path / "points.csv")) if whole else (tmp_path, "points.csv")
    assert read_beside(folder, name, 5) == b"0,1.5"
    with pytest.raises(ValueError, match=r"^it is 0\.0 MB large; 4e-06 MB are the most$"):
        read_beside(folder, name, 4)


def test_a_file_that_a_job_names_and_that_is_not_there(tmp_path):
    with pytest.raises(
        ValueError, match=r"^it cannot be read \(No such file .*\); it is looked for beside the job$"
    ):
        read_beside(tmp_path, "points.csv", 4)


def test_what_lies_in_a_folder_in_order(tmp_path):
    for name in ("b", "a", "c"):
        (tmp_path / name).write_bytes(b"")
    assert [p.name for p in names_in(tmp_path)] == ["a", "b", "c"]
    assert names_in(tmp_path / "none") == []
    assert names_in(tmp_path / "a") == []
