"""The readings file: what is stored stays, what is torn is said, what is withdrawn stays visible."""

import csv
import errno
import math
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.windows import AS_WINDOWS
from toolpath.errors import InputError
from toolpath.readings.log import METHODS, SIGNED, Log, Reading, append, beside, load, undo
from toolpath.readings.logtext import HEADING

KILLS = int(os.environ.get("DISHPATH_KILLS", "20"))  # 1000 for the thorough run
APPENDER = Path(__file__).with_name("appender.py")
ROOT = Path(__file__).parents[2]


@pytest.fixture
def path(tmp_path):
    return tmp_path / "pump-readings.csv"


def line(number, piston=1, after="first", method="burette", value="11.42", unit="cc", withdraws="", note=""):
    return (
        f"{number},{piston},{after},{method},{value},{unit},2024-05-01T10:00:00+02:00,{withdraws},,{note}\n"
    )


def test_name_beside_the_job():
    assert beside(Path("shop/pump.toml")) == Path("shop/pump-readings.csv")


def test_no_file_is_no_readings(path):
    assert load(path) == Log()
    assert not path.exists()


@pytest.mark.skipif(AS_WINDOWS, reason="there is no flock")
def test_read_on_a_network_drive(path, monkeypatch):
    """Linux flock(2), "NFS details": an exclusive lock takes a file that is open for writing."""
    import fcntl

    append(path, Reading(1, "first", "burette", 11420.0))
    real = fcntl.flock

    def flock(file, mode):
        if mode == fcntl.LOCK_EX and fcntl.fcntl(file, fcntl.F_GETFL) & os.O_ACCMODE == os.O_RDONLY:
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        real(file, mode)

    monkeypatch.setattr(fcntl, "flock", flock)
    append(path, Reading(1, "first", "burette", 11430.0))
    assert [r.number for r in load(path).readings] == [1, 2]


def test_round_trip(path):
    given_ = [
        Reading(1, "as-received", "burette", 9301.25, note="oil, wiped"),
        Reading(1, "first", "burette", 11420.0, note='said "twice"'),
        Reading(2, "first", "depth", 3.125),
        Reading(2, "last", "mouth", 68.04, note="größer"),
    ]
    stored = [append(path, reading) for reading in given_]
    assert [s.number for s in stored] == [1, 2, 3, 4]
    back = load(path)
    assert back.torn is None
    for want, got in zip(given_, back.readings, strict=True):
        assert (got.piston, got.after, got.method, got.note) == (
            want.piston, want.after, want.method, want.note
        )  # fmt: skip
        assert got.value == pytest.approx(want.value)
        assert got.volume == pytest.approx(want.volume) if want.volume else got.volume is None
    assert [r.number for r in back.of(1)] == [1, 2]
    assert [r.number for r in back.of(2, "last")] == [4]
    assert [r.line for r in back.readings] == [2, 3, 4, 5]


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_a_note_is_never_a_formula_nor_a_line(path, start):
    note = f"{start}1+1"
    append(path, Reading(1, "first", "burette", 1.0, note=f"{note}\r\n9,9,first\t"))
    cell = list(csv.reader(path.read_text().splitlines()))[1][-1]
    assert cell == f"'{note} 9,9,first"
    assert load(path).readings[0].note == f"{note} 9,9,first"


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(note=st.text(max_size=40), value=st.floats(0.001, 200.0))
def test_any_note_leaves_two_good_lines(path, note, value):
    path.unlink(missing_ok=True)
    append(path, Reading(3, "skim", "burette", value * 1000, note=note))
    append(path, Reading(4, "skim", "burette", value * 1000, note=note + "# torn"))
    back = load(path)
    assert back.torn is None
    assert [r.piston for r in back.readings] == [3, 4]
    assert back.readings[0].volume == pytest.approx(value * 1000, rel=1e-9)
    assert path.read_bytes().count(b"\n") == 3


def test_undo_adds_a_line_and_deletes_nothing(path):
    append(path, Reading(1, "first", "burette", 11000.0))
    append(path, Reading(1, "first", "burette", 99000.0))
    append(path, Reading(2, "first", "burette", 11300.0))
    before = path.read_bytes()
    assert undo(path, 1, "wrong scale").volume == 99000.0
    assert path.read_bytes().startswith(before)
    assert [r.volume for r in load(path).of(1)] == [11000.0]
    assert undo(path, 1).volume == 11000.0
    assert append(path, Reading(1, "first", "burette", 11001.0)).number == 6
    assert len(load(path).readings) == 2


def test_undo_failure(path):
    with pytest.raises(InputError, match="piston 2 has no reading that could be withdrawn"):
        undo(path, 2)
    assert not path.exists()


@pytest.mark.parametrize("cut", range(1, len(HEADING) + 60, 7))
def test_torn_anywhere_the_rest_is_read_and_the_next_is_on_its_own_line(path, cut):
    append(path, Reading(1, "first", "burette", 11000.0))
    append(path, Reading(2, "first", "burette", 11100.0, note='a "note", torn'))
    whole = path.read_bytes()
    keep = max(len(whole) - cut, 1)
    path.write_bytes(whole[:keep])
    left = load(path)
    full = whole[:keep].count(b"\n")
    assert len(left.readings) in (max(full - 1, 0), full)
    known = len(left.readings)
    append(path, Reading(3, "first", "burette", 11200.0))
    assert path.read_bytes().startswith(whole[:keep])
    after = load(path)
    assert len(after.readings) == known + 1
    assert after.readings[-1].piston == 3
    assert (after.torn is None) == (left.torn is None)
    assert all(
        len(row) == 10 or row[-1].endswith("# torn") for row in csv.reader(path.read_text().splitlines())
    )


def test_torn_says_the_line(path):
    path.write_text(HEADING + "\n" + line(1) + "2,1,last,bur")
    assert load(path).torn == (
        "pump-readings.csv line 3: torn off, as by a power cut; if it was a reading, take it again"
    )


def test_zeros_after_a_power_cut(path):
    path.write_bytes((HEADING + "\n" + line(1)).encode() + b"\0" * 40)
    assert "line 3: torn off" in (load(path).torn or "")
    closed = path.with_name("closed.csv")
    closed.write_bytes(path.read_bytes() + b"\n")  # a line end behind the zeros makes no row of them
    assert "line 3: torn off" in (load(closed).torn or "")
    append(path, Reading(1, "last", "burette", 11500.0))
    assert [r.after for r in load(path).readings] == ["first", "last"]


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_a_spreadsheet_may_sort_and_change_line_ends(path, end):
    rows = [
        line(3, piston=2),
        line(1, note="kept"),
        ",,,,,,,,,\n",
        line(2, after="last"),
        line(4, method="withdrawn", withdraws="2"),
    ]
    text = HEADING + "\n" + "".join(rows) + ",,,,,,,,,\n"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", end).encode())
    assert [r.number for r in load(path).readings] == [1, 3]
    assert append(path, Reading(5, "first", "burette", 1.0)).number == 5
    assert [r.piston for r in load(path).readings] == [1, 2, 5]


def test_a_last_line_without_line_end_counts_when_it_is_whole(path):
    path.write_text(HEADING + "\n" + line(1).rstrip("\n"))
    assert load(path).torn is None
    assert append(path, Reading(1, "last", "burette", 11500.0)).number == 2
    assert len(load(path).readings) == 2


FAULTS = [
    pytest.param(line(1, piston="x"), "line 2: piston = 'x' is not a whole number from 1", id="piston"),
    pytest.param(line(1, piston=0), "line 2: piston = '0' is not a whole number from 1", id="zero"),
    pytest.param(line(1, after="second"), "line 2: after = 'second' is not one of as-received", id="after"),
    pytest.param(line(1, method="eye"), "line 2: method = 'eye' is not one of burette, depth", id="method"),
    pytest.param(line(1, unit="mm"), "line 2: unit = 'mm'; a burette reading is in cc", id="unit"),
    pytest.param(line(1, value="11;4"), "line 2: value = '11;4' is not a number; write it like", id="value"),
    pytest.param(line(1, value="nan"), "line 2: a reading of nan cc cannot be", id="nan"),
    pytest.param(line(1, value="-2"), "line 2: a reading of -2 cc cannot be", id="negative"),
    pytest.param(line(1) + line(1), "line 3: reading = 1 stands on line 2 too", id="twice"),
    pytest.param("1,2,3\n", "line 2: 3 columns, where 10 are needed", id="columns"),
    pytest.param(
        line(1) + line(2, piston=2, method="withdrawn", withdraws="1"),
        "line 3: withdraws = 1: piston 2 has no such reading standing",
        id="withdraws",
    ),
]


@pytest.mark.parametrize(("text", "fault"), FAULTS)
def test_load_failure(path, text, fault):
    path.write_text(HEADING + "\n" + text)
    before = path.read_bytes()
    with pytest.raises(InputError) as raised:  # the text is compared below, not as a pattern
        load(path)
    assert fault in str(raised.value)
    with pytest.raises(InputError, match=r"pump-readings\.csv line"):
        append(path, Reading(1, "first", "burette", 1.0))
    assert path.read_bytes() == before


def test_all_faults_at_once(path):
    path.write_text(HEADING + "\n" + line(1, value="?") + line(2) + line(3, piston="?"))
    with pytest.raises(InputError, match="line 2: value") as raised:
        load(path)
    assert len(raised.value.faults) == 2


def test_heading_failure(path):
    path.write_text(HEADING.replace(",", "|") + "\n")
    with pytest.raises(
        InputError,
        match=r"is not the heading .*; a spreadsheet must save it as CSV, with commas, semicolons or tabs",
    ):
        load(path)


def test_folder_in_the_way_failure(path):
    path.mkdir()
    with pytest.raises(InputError, match=r"cannot be written: .*; the reading is not stored"):
        append(path, Reading(1, "first", "burette", 1.0))


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_reading_that_is_no_number_failure(method, value):
    with pytest.raises(InputError, match="cannot be; it must be 0 or more"):
        Reading(1, "first", method, value)


@pytest.mark.parametrize("method", [m for m in METHODS if m not in SIGNED])
def test_reading_below_nothing_failure(method):
    with pytest.raises(InputError, match="cannot be; it must be 0 or more"):
        Reading(1, "first", method, -1.0)


def test_only_a_zero_of_the_scale_may_be_below_nothing():
    assert SIGNED == ("zero",)
    assert Reading(1, "first", "zero", -1.5).shown == -1.5


def test_reading_of_no_piston_failure():
    with pytest.raises(InputError, match="piston 0 cannot be; pistons are counted from 1"):
        Reading(0, "first", "burette", 1.0)


@pytest.mark.parametrize("value", [0.0, 0.5])
def test_a_small_reading_can_be_stored(value):
    assert Reading(1, "first", "depth", value).shown == value


def started(path, piston, *count):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, str(APPENDER), str(path), str(piston), *map(str, count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, env=environment, text=True)


def test_two_at_once_both_survive(path):
    both = [started(path, piston, 40) for piston in (1, 2)]
    said = [process.communicate(timeout=60)[0].split("\n")[:-1] for process in both]
    back = load(path)
    assert [len(back.of(piston)) for piston in (1, 2)] == [40, 40]
    assert sorted(r.number for r in back.readings) == list(range(1, 81))
    for piston, lines in zip((1, 2), said, strict=True):
        assert [f"{r.number} {r.volume - 11000.0:.0f}" for r in back.of(piston)] == lines


@pytest.mark.skipif(AS_WINDOWS, reason="there is no SIGKILL")
def test_killed_at_any_moment_what_was_said_is_stored(path):
    """SIGKILL while two processes write; all that they had confirmed is there, and the file still grows."""
    rng = random.Random(7)
    confirmed = set()
    for _ in range(KILLS):
        both = [started(path, piston) for piston in (1, 2)]
        for process in both:
            confirmed.add(int(process.stdout.readline().split()[0]))
        time.sleep(rng.uniform(0.0, 0.02))
        for process in both:
            process.send_signal(signal.SIGKILL)
        for process in both:
            rest, _ = process.communicate(timeout=30)
            confirmed |= {int(text.split()[0]) for text in rest.split("\n")[:-1]}
        assert confirmed <= {r.number for r in load(path).readings}
    number = append(path, Reading(9, "last", "burette", 1.0)).number
    assert number > max(confirmed)
