"""The readings file as other programs write it, and texts that look like marks of ours."""

import codecs
import csv
import errno
import io
import os

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from toolpath import drive
from toolpath.errors import InputError
from toolpath.readings import logfile, logtext
from toolpath.readings.log import Reading, append, load, undo
from toolpath.readings.logtext import COLUMNS, HEADING, SEPARATORS

ROWS = "1,1,as-received,burette,9.25,cc,2024-05-01,,,\n2,1,first,depth,3.125,mm,2024-05-01,,3.002000,\n"
WIDE = {
    "little-endian": codecs.BOM_UTF16_LE + f"{HEADING}\n{ROWS}".encode("utf-16-le"),
    "big-endian": codecs.BOM_UTF16_BE + f"{HEADING}\n{ROWS}".encode("utf-16-be"),
    "little-endian without a mark": f"{HEADING}\n{ROWS}".encode("utf-16-le"),
    "big-endian without a mark": f"{HEADING}\n{ROWS}".encode("utf-16-be"),
    "four bytes a letter": codecs.BOM_UTF32_LE + f"{HEADING}\n{ROWS}".encode("utf-32-le"),
    "a mark alone": codecs.BOM_UTF16_LE,
    "a line added by a shell": f"{HEADING}\n{ROWS}".encode() + "3,1,last,burette,11.6".encode("utf-16-le"),
}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "pump-readings.csv"


@pytest.mark.parametrize("content", WIDE.values(), ids=WIDE)
def test_utf_16_is_named_and_nothing_is_appended(content, path):
    path.write_bytes(content)
    said = r"pump-readings\.csv: is UTF-16 text, .*; save it as CSV in UTF-8 and try again$"
    for act in (
        lambda: load(path),
        lambda: append(path, Reading(1, "last", "burette", 11600.0)),
        lambda: undo(path, 1),
    ):
        with pytest.raises(InputError, match=said):
            act()
    assert path.read_bytes() == content


# separators and decimal signs


def rewritten(separator, decimal, *, wide=0):
    """The rows as a spreadsheet saves them, with so many empty columns behind."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\r\n")
    for row in csv.reader(f"{HEADING}\n{ROWS}".splitlines()):
        for column in (4, 8):
            row[column] = row[column].replace(".", decimal)
        writer.writerow([*row, *[""] * wide])
    return out.getvalue().encode()


@pytest.mark.parametrize("wide", [0, 3])
@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("separator", SEPARATORS)
def test_what_a_spreadsheet_saves_is_read_and_kept_to(separator, decimal, wide, path):
    content = rewritten(separator, decimal, wide=wide)
    path.write_bytes(content)
    assert [r.shown for r in load(path).readings] == [9.25, 3.125]
    assert load(path).readings[1].cut_depth == 3.002
    append(path, Reading(1, "last", "burette", 11600.5, cut_depth=3.25, note="oil, wiped; dry"))
    added = path.read_bytes().removeprefix(content).decode()
    (cells,) = csv.reader([added.rstrip("\n")], delimiter=separator)
    assert (cells[4], cells[8]) == (f"11{decimal}6005", f"3{decimal}250000")
    assert cells[9] == "oil, wiped; dry"
    assert [r.shown for r in load(path).readings] == [9.25, 3.125, 11.6005]
    undo(path, 1)
    assert [r.shown for r in load(path).readings] == [9.25, 3.125]
    assert len(path.read_bytes().splitlines()) == 5


def test_semicolons_without_any_decimals_take_commas(path):
    path.write_text(HEADING.replace(",", ";") + "\n")
    append(path, Reading(1, "last", "burette", 11600.0))
    assert ";11,6;cc;" in path.read_text()


def test_decimal_points_and_commas_in_one_file_are_refused(path):
    path.write_bytes(rewritten(";", ",").replace(b"9,25", b"9.25"))
    before = path.read_bytes()
    with pytest.raises(InputError, match=r"line 3: value = '3,125' is not a number; write it like 11\.42"):
        append(path, Reading(1, "last", "burette", 11600.0))
    assert path.read_bytes() == before


@pytest.mark.parametrize("value", ["1,234,5", "1.234,5", ",5", "5,", "1,2e3"])
def test_what_is_no_plain_decimal_comma_is_refused(value, path):
    path.write_bytes(rewritten(";", ",").replace(b"9,25", value.encode()))
    with pytest.raises(InputError, match="line 2: value"):
        load(path)


def test_a_torn_line_is_closed_with_the_separator_of_the_file(path):
    path.write_bytes(rewritten(";", ",") + b"3;1;last;bur")
    append(path, Reading(1, "last", "burette", 11600.0))
    assert path.read_text().splitlines()[3] == "3;1;last;bur;;;;;;;# torn"
    assert [r.shown for r in load(path).readings] == [9.25, 3.125, 11.6]


# marks


NOTES = [
    "# torn",
    "# # torn",
    '" # torn',
    "x # torn",
    "a,# torn",
    "# torn,",
    "'=1",
    "''=1",
    "'",
    "=1",
    "' =",
    "-",
    "withdrawn",
]


@pytest.mark.parametrize("note", NOTES)
@pytest.mark.parametrize("separator", SEPARATORS)
def test_no_note_makes_a_reading_vanish_or_changes(note, separator, path):
    path.write_text(HEADING.replace(",", separator) + "\n")
    for number in (1, 2):
        assert append(path, Reading(1, "first", "burette", 11000.0, note=note)).number == number
    loaded = load(path)
    assert loaded.torn is None
    assert [r.note for r in loaded.readings] == [note, note]


@pytest.mark.parametrize("note", NOTES)
def test_nor_when_a_spreadsheet_has_saved_it_again(note, path):
    append(path, Reading(1, "first", "burette", 11000.0, note=note))
    rows = list(csv.reader(path.read_text().splitlines()))
    out = io.StringIO()
    csv.writer(out, delimiter=";", lineterminator="\r\n").writerows([*row, "", ""] for row in rows)
    path.write_bytes(out.getvalue().encode())
    loaded = load(path)
    assert loaded.torn is None
    assert [r.note for r in loaded.readings] == [note]


TEXT = st.text(st.characters(exclude_characters="\0\r\n", exclude_categories=["Cs"]), max_size=12)
CELL = st.one_of(
    TEXT, st.sampled_from(["# torn", " # torn", '"# torn', '",# torn', "reading", "'", '"', *SEPARATORS])
)


@given(cells=st.lists(CELL, min_size=10, max_size=10), separator=st.sampled_from(SEPARATORS))
@example(cells=["1", "1", "first", "burette", "1", "cc", "", "", "", "# # torn"], separator=",")
@example(cells=["# torn"] * 10, separator=";")
def test_no_text_of_any_column_is_taken_for_a_mark(cells, separator):
    """A row of ten cells is a row, whatever stands in them: never torn, never left out."""
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerow(cells)
    heading = HEADING.replace(",", separator)
    found = logtext._rows(f"{heading}\n{out.getvalue()}".encode(), "log.csv")
    assert found.torn == ()
    plain = [cell.strip() for cell in cells]
    if any(plain):
        (row,) = found.rows
        compared = [k for k in range(10) if k not in logtext.NUMBERS]  # whose commas may be decimal
        assert [row.cells[k] for k in compared] == [plain[k] for k in compared]
    else:
        assert found.rows == ()


@pytest.mark.parametrize(
    "line",
    [
        "2,1,last,bur # torn",
        '2,1,last,burette,11.5,cc,w,,,"a, no" # torn',
        '2,1,l,b,1,cc,w,,,"a ""no" # torn',
        "\0 # torn",
    ],
)
def test_how_a_torn_line_was_closed_before_is_still_read(line, path):
    path.write_text(f"{HEADING}\n{ROWS}{line}\n")
    loaded = load(path)
    assert [r.number for r in loaded.readings] == [1, 2]
    assert "line 4: torn off" in loaded.torn


@pytest.mark.parametrize("cut", range(len(COLUMNS)))
def test_a_closed_torn_line_survives_a_spreadsheet(cut, path):
    path.write_text(
        f"{HEADING}\n{ROWS}"
        + ",".join(["3", "1", "last", "burette", "1", "cc", "w", "", "", "x"][: cut + 1])[:-1]
    )
    append(path, Reading(1, "last", "burette", 11600.0))
    rows = list(csv.reader(path.read_text().splitlines()))
    longest = max(map(len, rows))
    path.write_text("".join(";".join([*row, *[""] * (longest - len(row))]) + "\r\n" for row in rows))
    assert [r.shown for r in load(path).readings][-1] == 11.6


# the drive


def test_a_folder_that_cannot_be_flushed_does_not_make_a_stored_reading_failed(path, monkeypatch):
    """The line is in the file: told as failed, it would be typed and stored twice."""
    real, calls = os.fsync, []

    def fsync(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.EIO, "Input/output error")
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    assert append(path, Reading(1, "first", "burette", 11000.0)).number == 1
    assert [r.number for r in load(path).readings] == [1]


def test_what_cannot_be_taken_back_is_said_to_be_unsure(path, monkeypatch):
    def refused(*_):
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "fsync", refused)
    monkeypatch.setattr(os, "ftruncate", refused)
    with pytest.raises(InputError, match="Input/output error; nobody can say whether the reading is stored"):
        append(path, Reading(1, "first", "burette", 11000.0))


def test_a_file_that_a_spreadsheet_holds_is_named(path, monkeypatch):
    append(path, Reading(1, "first", "burette", 11000.0))
    before, real = path.read_bytes(), os.open

    def held(place, flags, *more, **named):
        if flags & os.O_RDWR:
            raise PermissionError(errno.EACCES, "Permission denied", place)
        return real(place, flags, *more, **named)

    monkeypatch.setattr(os, "open", held)
    with pytest.raises(InputError) as raised:  # the text is compared below, not as a pattern
        append(path, Reading(1, "first", "burette", 11000.0))
    assert str(raised.value) == (
        "pump-readings.csv: cannot be written: Permission denied; close it in the spreadsheet or viewer; "
        "the reading is not stored"
    )
    assert [r.number for r in load(path).readings] == [1]
    assert path.read_bytes() == before


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP, errno.EBADF])
def test_a_drive_without_locks_stores_readings_all_the_same(number, path, monkeypatch):
    def none(_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(drive, "_take", none)
    append(path, Reading(1, "first", "burette", 11000.0))
    assert [r.number for r in load(path).readings] == [1]
    assert [p.name for p in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize("system", ["here", "windows"])
def test_readers_wait_for_nobody(system, path, request, monkeypatch):
    if system == "windows":
        request.getfixturevalue("windows")
    append(path, Reading(1, "first", "burette", 11000.0))
    monkeypatch.setattr(drive, "PATIENCE", 0.0)  # whoever waits, fails
    with path.open("r+b") as stream, drive.held(stream.fileno(), path):
        assert [r.number for r in load(path).readings] == [1]


def test_a_line_that_is_being_written_is_looked_at_again(path, monkeypatch):
    path.write_text(f"{HEADING}\n{ROWS}3,1,last,bur")
    monkeypatch.setattr(logfile.time, "sleep", lambda _: path.write_text(f"{HEADING}\n{ROWS}"))
    assert load(path).torn is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes")
def test_a_pipe_in_place_of_the_readings_is_refused(path):
    os.mkfifo(path)
    with pytest.raises(InputError, match="cannot be read: it is a pipe or a device"):
        load(path)
    with pytest.raises(InputError, match="it is a pipe or a device, not a file; the reading is not stored"):
        append(path, Reading(1, "first", "burette", 11000.0))
