"""Programs against something outside: the rules of NIST IR 6556 and a general-purpose reader.

The rules themselves stand in `nist_rules`.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pygcode import Line as ReadLine

from postprocessors.iso6983 import Iso6983
from postprocessors.rs274ngc import Rs274ngc
from tests.nist_rules import faults
from toolpath.motion.frame import Frame
from toolpath.motion.rounding import to_program
from toolpath.motion.speeds import feed_per_minute
from toolpath.moves import Arc, FixedSpeed, Header, Line, Move, Program, Rapid, Remark, Stop


def header(units: str, decimals: int, x_reading: str, **more: object) -> Header:
    fields: dict[str, object] = {
        "title": "MSG, (pump) engine; 100 %",
        "lines": ("one\nM30", "x" * 300),
        "units": units,
        "x_reading": x_reading,
        "decimals": decimals,
        "work_offset": "G54",
        "tool_word": "T1 M6",
        "program_number": 3,
        "block_numbers": True,
        "percent": True,
    }
    return Header(**{**fields, **more})  # type: ignore[arg-type]


@st.composite
def cuts(draw) -> tuple[Move, ...]:
    """A start above the crown, then lines and quarter arcs of a dish, in the insert-centre frame."""
    length = st.floats(0.01, 40.0)
    x, z = draw(length), draw(length)
    moves: list[Move] = [Stop(False, "proof"), FixedSpeed(900.0, "cw"), Rapid(x=x), Rapid(z=z)]
    for kind in draw(st.lists(st.sampled_from(["line", "corner", "lip", "stop"]), max_size=8)):
        feed = draw(st.sampled_from([0.05, 0.1, 0.123456]))
        radius = draw(length)
        match kind:
            case "line":
                x, z = x + radius, z - draw(length)
                moves.append(Line(x, z, feed))
            case "corner":  # out of the floor, up the wall
                x, z = x + radius, z + radius
                moves.append(Arc(x, z, 0.0, radius, True, feed))
            case "lip":  # up the wall, out over the crown
                x, z = x + radius, z + radius
                moves.append(Arc(x, z, radius, 0.0, False, feed))
            case "stop":
                moves += [Remark(draw(st.text())), Stop(True, draw(st.text()))]
    return tuple(moves)


@given(moves=cuts(), units=st.sampled_from(["mm", "inch"]), percent=st.booleans())
def test_rs274ngc_keeps_the_report(moves, units, percent):
    decimals = Rs274ngc.DECIMALS[units]
    frame = Frame("face-outer", 5.0, "radius", units, decimals)
    program = Program(
        header(units, decimals, "radius", percent=percent), to_program(feed_per_minute(moves), frame)
    )
    assert faults(Rs274ngc(program).text()) == []


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        pytest.param("G1 X1. X2.", "repeated", id="word-twice"),
        pytest.param("G0 G1 X1.", "repeated", id="two-motions"),
        pytest.param("M3 M4", "repeated", id="two-spindle-words"),
        pytest.param("G96 S250", "unknown G96", id="surface-speed"),
        pytest.param("G92 S1800", "", id="harmless-here"),
        pytest.param("O12", "letter O", id="program-number"),
        pytest.param("G1", "no axis word", id="no-axis"),
        pytest.param("G41", "refused", id="compensation"),
        pytest.param("(a (b))", "not only words", id="nested-comment"),
        pytest.param("(MSG, hello)", "operator message", id="message"),
        pytest.param("G3 X10. Z5. I0. K5.004", "radii", id="radii-apart"),
        pytest.param("G3 X10. Z5.", "arc form", id="no-centre"),
        pytest.param("N123456 M0", "line number", id="long-number"),
        pytest.param("M2\nM0", "after the end", id="after-the-end"),
    ],
)
def test_the_checker_itself_sees_faults(line, fault):
    text = f"G21 G18\nG0 X0.\nG0 Z0.\n{line}\nM2\n"
    first = [found for found in faults(text) if not found.startswith("after the end: M2")][:1]
    assert "".join(first).startswith(fault)


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::SyntaxWarning")
@pytest.mark.parametrize(
    ("writer", "x_reading", "units", "decimals"),
    [
        pytest.param(Iso6983, "diameter", "mm", 3, id="iso6983-mm"),
        pytest.param(Iso6983, "diameter", "inch", 4, id="iso6983-inch"),
        pytest.param(Rs274ngc, "radius", "mm", 4, id="rs274ngc-mm"),
        pytest.param(Rs274ngc, "radius", "inch", 5, id="rs274ngc-inch"),
    ],
)
@given(moves=cuts())
def test_a_general_reader_finds_the_same_ends(writer, x_reading, units, decimals, moves):
    moves = to_program(moves, Frame("face-inner", 4.0, x_reading, units, decimals))
    text = writer(Program(header(units, decimals, x_reading, block_numbers=False), moves)).text()
    read = []
    for line in text.splitlines():
        for code in ReadLine(line).block.gcodes:
            if str(code.word) in ("G00", "G01", "G02", "G03"):
                read.append((str(code.word), code.X, code.Z, code.params.get("I"), code.params.get("K")))
    assert read
    written = [m for m in moves if isinstance(m, Rapid | Line | Arc)]
    assert len(read) == len(written)
    for (word, read_x, read_z, i, k), move in zip(read, written, strict=True):
        expected = {Rapid: "G00", Line: "G01"}.get(type(move)) or ("G02" if move.clockwise else "G03")
        assert word == expected
        assert (read_x, read_z) == (move.x, move.z)
        if isinstance(move, Arc):
            assert (i.value, k.value) == (move.i, move.k)
