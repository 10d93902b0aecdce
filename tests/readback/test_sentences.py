"""What the reader says of a block, word for word, and what it lets pass."""

import pytest

from toolpath.readback.reader import read

HEAD = "G18 G21 G40 G90 G95\nG92 S1800\nG97 S1000 M03\nG00 Z50.0\nG00 X60.0\n"


def why(blocks: str) -> list[str]:
    found = read(
        HEAD + blocks + "\nM30\n",
        dialect="iso6983",
        units="mm",
        x_reading="radius",
        control_point="insert-centre",
        insert_radius=5.0,
    )
    return [f"{fault.line - 5}: {fault.why}" for fault in found.faults]


@pytest.mark.parametrize(
    "blocks",
    [
        pytest.param("G04 P1 S900 F0.1 T1", id="a dwell beside speed, feed and tool"),
        pytest.param("G92 S900 F0.1 T1", id="a cap beside feed and tool"),
    ],
)
def test_nothing_to_say(blocks: str) -> None:
    assert why(blocks) == []


@pytest.mark.parametrize(
    ("blocks", "said"),
    [
        pytest.param(
            "N10 G99",
            ["1: G99 is refused: ISO 6983-1 programs here have no such word"],
            id="the word behind a block number",
        ),
        pytest.param("G40 &1", ["1: '&1' cannot be read: take it out"], id="odd sign"),
        pytest.param(
            "X100000.0", ["1: the number after X is beyond 99999; no machine goes there"], id="too far"
        ),
        pytest.param(
            "G80\nX40.0", ["2: no motion is in force; write G00 or G01 in this block"], id="no motion"
        ),
        pytest.param(
            "G01 X40.0 F3.0\nX39.0",
            [
                "1: the feed is 3.000 mm/rev, above a quarter of the insert radius (1.250 mm); "
                "lower F or look at the kind of feed"
            ],
            id="fast, told once",
        ),
        pytest.param(
            "O1 G28 X1.0",
            [
                "1: a program number is digits alone, on a line before the first motion",
                "1: G28 is refused: it moves in machine coordinates, which are not known here; use G00, or the exact "
                "words that take the tool away before its call",
            ],
            id="what stands behind a program number is read too",
        ),
    ],
)
def test_said(blocks: str, said: list[str]) -> None:
    assert why(blocks) == said


def test_the_plane_is_missed_once() -> None:
    head = HEAD.replace("G18 ", "")
    arcs = "G03 X59.0 Z49.0 I0.0 K-1.0 F0.1\nG03 X58.0 Z48.0 I0.0 K-1.0\n"
    found = read(
        head + arcs + "M30\n",
        dialect="iso6983",
        units="mm",
        x_reading="radius",
        control_point="insert-centre",
        insert_radius=5.0,
    )
    assert [(f.line, f.why) for f in found.faults] == [
        (6, "the plane is not stated before an arc; write G18")
    ]
