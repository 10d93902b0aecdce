"""The table of a manual lathe: a whole small one, paging, and the CSV."""

import csv

import pytest

from postprocessors import dro_table
from toolpath.moves import Row, Table

SMALL = Table(
    title="Pump engine",
    lines=("Z 0 is the FINISHED crown",),
    units="mm",
    x_reading="diameter",
    decimals=2,
    rows=(
        Row("skim", 0.0, 102.4, -1.0, 0.25, "inward"),
        Row(
            "semi-finish",
            -2.5,
            9.126,
            60.0,
            0.5,
            "outward, to the stop: approach it from inside, saddle locked",
        ),
    ),
    closing=("expected 11.58 cc; 0.02 cc left to blend",),
)

TEXT = """\
Pump engine - page 1
Z 0 is the FINISHED crown

 row done cut                 Z   X start    X stop    infeed  how
                             mm    mm dia    mm dia        mm
------------------------------------------------------------------------------------------
   1 [ ]  skim             0.00    102.40     -1.00      0.25  inward
   2 [ ]  semi-finish     -2.50      9.13     60.00      0.50  outward, to the stop:
                                                               approach it from inside,
                                                               saddle locked

expected 11.58 cc; 0.02 cc left to blend
"""


def test_whole_table():
    assert dro_table.text(SMALL) == TEXT


def test_inch_on_radius():
    heads = dro_table.text(SMALL._replace(units="inch", x_reading="radius", decimals=4)).splitlines()[4]
    assert heads.split() == ["in", "in", "rad", "in", "rad", "in"]


def test_no_closing_leaves_no_blank_line():
    assert dro_table.text(SMALL._replace(closing=())).endswith("saddle locked\n")


def test_a_row_without_a_remark_ends_with_its_infeed():
    bare = SMALL._replace(rows=(Row("skim", 0.0, 102.4, -1.0, 0.25, ""),), closing=())
    assert dro_table.text(bare).splitlines()[-1].endswith("102.40     -1.00      0.25")


@pytest.mark.parametrize("rows", [1, 52, 53, 54, 200])
def test_pages(rows):
    table = SMALL._replace(rows=tuple(Row("rough", -0.5, 99.0, 70.0, 0.5, str(n)) for n in range(rows)))
    pages = dro_table.text(table).split("\f")
    heads = dro_table.text(SMALL).splitlines()[3:6]
    seen = []
    for number, page in enumerate(pages, 1):
        lines = page.splitlines()
        assert lines[0] == f"Pump engine - page {number}"
        assert [line for line in lines if line in heads] == heads
        assert len(lines) <= 58  # six lines to the inch: 66 on letter, 70 on A4
        assert max(map(len, lines)) <= 90
        seen += [line.split()[-1] for line in lines if "[ ]" in line]
    assert seen == [str(n) for n in range(rows)]


def test_csv():
    assert dro_table.csv(SMALL) == (
        "row,cut,z,x_start,x_stop,infeed,how\n"
        "1,skim,0.00,102.40,-1.00,0.25,inward\n"
        "2,semi-finish,-2.50,9.13,60.00,0.50,outward; to the stop: approach it from inside; saddle locked\n"
    )


def test_csv_of_wild_text_is_plain():
    wild = SMALL._replace(rows=(Row('r"1,\n', -1.0, 2.0, 3.0, 1.0, 'Ø5, "then"\r\n=1+1'),))
    text = dro_table.csv(wild)
    assert text.isascii()
    assert list(csv.reader(text.splitlines()))[1:] == [line.split(",") for line in text.splitlines()[1:]]
    assert text.splitlines()[1] == "1,r'1;,-1.00,2.00,3.00,1.00,dia 5; 'then' =1+1"
