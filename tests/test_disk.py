"""Files put down whole, beside what a killed run has left and what others write."""

import os
import threading

import pytest

from toolpath.disk import PREFIX, SUFFIX, write_whole

fcntl = pytest.importorskip("fcntl")


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


def test_files_are_put_down_in_the_order_given(tmp_path, monkeypatch):
    placed = []
    replace = os.replace
    monkeypatch.setattr(os, "replace", lambda part, place: (placed.append(place.name), replace(part, place)))
    write_whole(tmp_path, {"b": b"", "c": b"", "a": b""})
    assert placed == ["b", "c", "a"]
