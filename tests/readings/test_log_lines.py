"""The readings file byte for byte, what reaches the disk, and lines that a person or a spreadsheet wrote."""

import os
import re

import pytest

from tests.windows import AS_WINDOWS
from toolpath.errors import InputError
from toolpath.readings import log as readings
from toolpath.readings.log import Log, Reading, append, load, undo
from toolpath.readings.logtext import HEADING

WHEN = "2024-05-01T10:00:00+02:00"


@pytest.fixture
def path(tmp_path):
    return tmp_path / "pump-readings.csv"


@pytest.fixture(autouse=True)
def at_ten(monkeypatch):
    monkeypatch.setattr(readings, "_now", lambda: WHEN)


def row(number, *, value="11.42", cut_depth="", note=""):
    return f"{number},1,first,burette,{value},cc,{WHEN},,{cut_depth},{note}\n"


def test_every_byte(path):
    append(path, Reading(1, "first", "burette", 11420.0, cut_depth=4.25, note='oil,  "wiped"'))
    append(path, Reading(1, "last", "depth", 3.125))
    undo(path, 1)
    undo(path, 1, "=wrong\nscale")
    assert path.read_bytes().decode() == (
        f"{HEADING}\n"
        f'1,1,first,burette,11.42,cc,{WHEN},,4.250000,"oil, ""wiped"""\n'
        f"2,1,last,depth,3.125,mm,{WHEN},,,\n"
        f"3,1,last,withdrawn,,,{WHEN},2,,\n"
        f"4,1,first,withdrawn,,,{WHEN},1,,'=wrong scale\n"
    )


def test_what_is_stored_is_what_is_loaded(path):
    stored = append(
        path, Reading(2, "skim", "burette", 11000.0, cut_depth=0.0, note="a mark # torn as a word")
    )
    assert stored.note == "a mark # torn as a word"
    assert stored.when == WHEN
    assert load(path).readings == (Reading(**{**as_dict(stored), "line": 2}),)


def as_dict(reading):
    return {name: getattr(reading, name) for name in Reading.__dataclass_fields__}


@pytest.mark.parametrize(
    ("torn", "closed"),
    [
        ("2,1,last,bur", "2,1,last,bur,,,,,,,# torn\n"),
        ('2,1,last,burette,11.5,cc,w,,,"a no', '2,1,last,burette,11.5,cc,w,,,"a no",# torn\n'),
        ('2,1,last,burette,11.5,cc,w,,,"a ""no', '2,1,last,burette,11.5,cc,w,,,"a ""no",# torn\n'),
        ("\0\0", "\0\0,,,,,,,,,,# torn\n"),
        ("2,1,last,burette,11.5,cc,w,,,\0", "2,1,last,burette,11.5,cc,w,,,\0,# torn\n"),
    ],
)
def test_a_torn_line_is_closed_with_a_mark(path, torn, closed):
    path.write_text(f"{HEADING}\n{row(1)}{torn}")
    assert [r.number for r in load(path).readings] == [1]
    append(path, Reading(1, "first", "burette", 11500.0))
    assert path.read_text() == f"{HEADING}\n{row(1)}{closed}{row(2, value='11.5')}"


def test_after_a_torn_heading_a_whole_one_is_written(path):
    path.write_text(HEADING[:20])
    append(path, Reading(1, "first", "burette", 11420.0))
    assert path.read_text() == f"{HEADING[:20]},,,,,,,,# torn\n{HEADING}\n{row(1)}"
    assert [r.number for r in load(path).readings] == [1]


def test_a_whole_last_line_with_a_quoted_note_counts(path):
    path.write_text(f"{HEADING}\n{row(1)}{row(2, note=chr(34) + 'oil, wiped' + chr(34))}".rstrip("\n"))
    assert [r.note for r in load(path).readings] == ["", "oil, wiped"]
    assert load(path).torn is None


def test_a_note_in_the_code_page_of_a_spreadsheet_is_read(path):
    path.write_bytes(f"{HEADING}\n".encode() + row(1, note="gr\xf6\xdfer").encode("latin-1"))
    assert [r.note for r in load(path).readings] == ["größer"]


@pytest.mark.parametrize(("cut_depth", "read"), [("", None), ("0", 0.0), ("0.5", 0.5), ("4.25", 4.25)])
def test_cut_depth(path, cut_depth, read):
    path.write_text(f"{HEADING}\n{row(1, cut_depth=cut_depth)}")
    assert load(path).readings[0].cut_depth == read


@pytest.mark.parametrize("cut_depth", ["deep", "-0.5", "inf", "nan"])
def test_cut_depth_failure(path, cut_depth):
    path.write_text(f"{HEADING}\n{row(1, cut_depth=cut_depth)}")
    text = f"line 2: cut_depth = '{cut_depth}' is not a depth in mm; leave it empty"
    with pytest.raises(InputError, match=text):
        load(path)


def test_columns_are_named_where_some_are_missing(path):
    path.write_text(f"{HEADING}\n1,2,3\n")
    named = "line 2: 3 columns, where 10 are needed: " + HEADING.replace(",", ", ")
    with pytest.raises(InputError, match=f"{named}$"):
        load(path)


@pytest.mark.parametrize(("faulty", "told", "rest"), [(20, 20, None), (21, 21, 1), (25, 21, 5)])
def test_not_every_fault_of_a_spoiled_file_is_told(path, faulty, told, rest):
    path.write_text(f"{HEADING}\n" + "".join(row(k, value="?") for k in range(1, faulty + 1)))
    with pytest.raises(InputError, match="line 2: value") as raised:
        load(path)
    assert len(raised.value.faults) == told
    last = re.fullmatch(r"pump-readings\.csv: and (\d+) more such lines", raised.value.faults[-1])
    assert (None if last is None else int(last[1])) == rest


# what reaches the disk


@pytest.mark.skipif(AS_WINDOWS, reason="folders cannot be flushed there")
def test_file_and_new_name_are_flushed(path, monkeypatch):
    flushed = []
    monkeypatch.setattr(os, "fsync", lambda handle: flushed.append(os.path.realpath(f"/dev/fd/{handle}")))
    append(path, Reading(1, "first", "burette", 1.0))
    assert len(flushed) == 2  # the file, and the folder that holds its new name
    append(path, Reading(1, "first", "burette", 1.0))
    assert len(flushed) == 3


def test_a_full_disk_is_said(path, monkeypatch):
    monkeypatch.setattr(os, "write", lambda handle, data: len(data) - 1)
    text = r"pump-readings\.csv: cannot be written: the disk is full; the reading is not stored"
    with pytest.raises(InputError, match=text):
        append(path, Reading(1, "first", "burette", 1.0))


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_what_is_not_stored_leaves_no_half_line(call, path, monkeypatch):
    append(path, Reading(1, "first", "burette", 1.0))
    before, write = path.read_bytes(), os.write

    def half(handle, *data):
        if call == "write":
            return write(handle, data[0][:7])
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, call, half)
        with pytest.raises(InputError, match="the reading is not stored"):
            append(path, Reading(2, "first", "burette", 2.0))
    assert path.read_bytes() == before
    assert append(path, Reading(2, "first", "burette", 2.0)).number == 2


def test_a_reading_withdrawn_by_somebody_else_just_before(path, monkeypatch):
    taken = append(path, Reading(1, "first", "burette", 1.0))
    undo(path, 1)
    before = path.read_bytes()
    monkeypatch.setattr(readings, "load", lambda path: Log((taken,)))  # the look before the lock
    with pytest.raises(InputError, match=r"pump-readings\.csv: entry 1 of piston 1 does not stand any more"):
        undo(path, 1)
    assert path.read_bytes() == before
