"""A program or a table read again: by its ending, whatever a spreadsheet or a shell has made of it."""

import codecs

import pytest

from tests.edited import recut_of
from tests.output.test_files import HAND, done_of
from toolpath.errors import InputError
from toolpath.output.files import read_again, table_text


def test_program_and_table_are_read_again_by_their_ending():
    recut = recut_of()
    done = done_of(recut)
    assert read_again(recut, done.files["pump.nc"], "pump.nc").ok
    assert read_again(recut, done.files["pump-dro.csv"], "PUMP-DRO.CSV").ok
    assert not read_again(recut, done.files["pump.nc"].replace(b"Z-3", b"Z-4"), "pump.nc").ok
    with pytest.raises(
        InputError, match=r"^pump\.nc: no row|^pump\.nc: line|^pump\.csv: line 2 is not a row"
    ):
        read_again(recut, done.files["pump.nc"], "pump.csv")


@pytest.mark.parametrize(
    ("data", "line"), [(b"\xff", 1), (b"G21\nG90\n(K\xc3\xa4fer)\n", 3), (b"G21\r\nG90 \x80\n\xff", 2)]
)
def test_a_program_that_is_no_plain_text_is_refused_by_its_line(data, line):
    with pytest.raises(InputError, match=rf"^p\.nc: line {line} is not plain ASCII text"):
        read_again(recut_of(), data, "p.nc")


def test_a_manual_lathe_has_no_program_to_read():
    with pytest.raises(InputError, match=r'^p\.nc: post = "dro-table" makes no program; .* --post$'):
        read_again(recut_of(HAND), b"G21\n", "p.nc")


ROWS = "row,z\r\n1,-0.5\r\n"
LINES = "row,z\n1,-0.5\n"


@pytest.mark.parametrize(
    "data",
    [
        LINES.encode(),
        ROWS.encode(),
        ROWS.replace("\r\n", "\r").encode(),
        codecs.BOM_UTF8 + ROWS.encode(),
        codecs.BOM_UTF16_LE + ROWS.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + ROWS.encode("utf-16-be"),
    ],
    ids=["as written", "CR LF", "CR", "UTF-8 with its mark", "UTF-16 LE", "UTF-16 BE"],
)
def test_a_table_as_a_spreadsheet_or_a_shell_saves_it(data):
    assert table_text(data, "x.csv") == LINES


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"row,z\n\xff\n", "is not text; save it as CSV in UTF-8"),
        (codecs.BOM_UTF16_LE + b"r\0o", "is not text; save it as CSV in UTF-8"),
        (ROWS.encode("utf-16-le"), "has zeros between its letters, as UTF-16 has; save it as CSV in UTF-8"),
    ],
    ids=["bytes", "half a letter", "UTF-16 without its mark"],
)
def test_a_table_that_is_no_text(data, said):
    with pytest.raises(InputError) as raised:
        table_text(data, "x.csv")
    assert raised.value.faults == (f"x.csv: {said}",)
