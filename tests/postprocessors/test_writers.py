"""The dialects: one row a move, what each refuses, and harmless free text."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from postprocessors import BUILT_IN
from postprocessors.iso6983 import Iso6983
from postprocessors.rs274_lathe import Rs274Lathe
from postprocessors.rs274ngc import Rs274ngc
from postprocessors.system_a import SystemA
from postprocessors.writer import BLOCK_NUMBERS, Writer
from toolpath.errors import DialectError
from toolpath.moves import (
    Arc,
    Coolant,
    FixedSpeed,
    Index,
    Line,
    Rapid,
    Remark,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)

WRITERS = [pytest.param(w, id=name) for name, w in BUILT_IN.items()]


def blocks(text: str) -> list[str]:
    """The lines that a control acts on."""
    return [line for line in text.splitlines() if not line.startswith("(")]


def test_a_surface_speed_with_its_cap_beside_it_needs_one(program):
    with pytest.raises(DialectError, match="a surface speed needs a cap before it"):
        Rs274Lathe(program(SurfaceSpeed(250.0))).text()


@pytest.mark.parametrize(
    ("writer", "moves", "expected"),
    [
        pytest.param(
            Iso6983, (Index("z"), Index("x")), ["G91 G28 Z0.0", "G91 G28 X0.0", "G90"], id="iso-home"
        ),
        pytest.param(SystemA, (Index("z"), Index("x")), ["G28 W0", "G28 U0"], id="a-home"),
        *(
            pytest.param(w, (Index("z", 5.0), Index("x", -90.0)), ["G53 G00 Z5.0", "G53 G00 X-90.0"], id=name)
            for name, w in BUILT_IN.items()
        ),
    ],
)
def test_the_turret_swings(program, writer, moves, expected):
    made = blocks(writer(program(*moves, Remark("x"))).text())
    at = made.index(expected[0])
    assert made[at : at + len(expected)] == expected


@pytest.mark.parametrize("writer", [Rs274ngc, Rs274Lathe])
def test_home_is_no_word_of_rs274(program, writer):
    with pytest.raises(
        DialectError, match=r"no word for the home of an axis; give machine.index as \[x, z\]"
    ):
        writer(program(Index("z"))).text()


HERE = (Rapid(x=10.0), Rapid(z=0.0))
SAME = ("iso6983", "system-a", "rs274ngc", "rs274-lathe")


TURNING = ("iso6983", "system-a", "rs274-lathe")


@pytest.mark.parametrize(
    ("move", "expected", "names"),
    [
        pytest.param(Rapid(x=-3.25), ["G00 X-3.25"], SAME, id="rapid-x"),
        pytest.param(Rapid(z=0.0), ["G00 Z0.0"], SAME, id="rapid-z"),
        pytest.param(Line(10.0, -0.125, 0.08), ["G01 X10.0 Z-0.125 F0.08"], SAME, id="line"),
        pytest.param(
            Arc(20.0, 5.0, 0.0, 5.0, True, 0.1), ["G02 X20.0 Z5.0 I0.0 K5.0 F0.1"], SAME, id="clockwise"
        ),
        pytest.param(
            Arc(20.0, 5.0, 5.0, 0.0, False, 0.1), ["G03 X20.0 Z5.0 I5.0 K0.0 F0.1"], SAME, id="anticlockwise"
        ),
        pytest.param(Remark("look"), ["(look)"], SAME[2:], id="remark"),
        pytest.param(Remark("look"), ["(LOOK)"], SAME[:2], id="remark-in-capitals"),
        pytest.param(Stop(False, "look"), ["(look)", "M00"], SAME[2:], id="stop"),
        pytest.param(Stop(True, ""), ["M01"], SAME, id="optional-stop"),
        pytest.param(SpindleStop(), ["M05"], SAME, id="spindle-stop"),
        pytest.param(Coolant(True), ["M08"], SAME, id="coolant-on"),
        pytest.param(Coolant(False), ["M09"], SAME, id="coolant-off"),
        pytest.param(FixedSpeed(800.0), ["G97 S800"], TURNING, id="fixed-speed"),
        pytest.param(FixedSpeed(800.0, "cw"), ["G97 S800 M03"], TURNING, id="fixed-speed-cw"),
        pytest.param(FixedSpeed(800.0, "ccw"), ["G97 S800 M04"], TURNING, id="fixed-speed-ccw"),
        pytest.param(FixedSpeed(800.0), ["S800"], SAME[2:3], id="fixed-speed-ngc"),
        pytest.param(FixedSpeed(800.0, "ccw"), ["S800 M04"], SAME[2:3], id="fixed-speed-ccw-ngc"),
        pytest.param(SurfaceSpeed(250.7), ["G96 S250"], SAME[:2], id="surface-speed-rounds-down"),
        pytest.param(SpeedCap(1800.0), ["G92 S1800"], SAME[:1], id="cap-iso6983"),
        pytest.param(SpeedCap(1800.0), ["G50 S1800"], SAME[1:2], id="cap-system-a"),
    ],
)
def test_one_move(program, move, expected, names):
    for name in names:
        before = BUILT_IN[name](program(*HERE)).text().splitlines()
        after = BUILT_IN[name](program(*HERE, move)).text().splitlines()
        at = before.index("G00 Z0.0") + 1
        assert after[at : at + len(expected)] == expected, name


@pytest.mark.parametrize("writer", WRITERS)
@pytest.mark.parametrize(
    ("units", "head"), [("mm", "G21"), ("inch", "G20")]
)  # fmt: skip
def test_units(writer, program, units, head):
    words = " ".join(blocks(writer(program(units=units)).text())).split()
    assert head in words
    assert ({"G20", "G21"} - {head}).isdisjoint(words)


@pytest.mark.parametrize("writer", WRITERS)
def test_empty_settings_write_nothing(writer, program):
    lean = program(title="", lines=(), work_offset="", tool_word="", program_number=None, percent=False)
    lines = writer(lean).text().splitlines()
    assert lines[0].lower().startswith("(control ")
    assert blocks("\n".join(lines)) == [*writer(lean).head(), "M09", "M05", writer(lean).end()]


@pytest.mark.parametrize("writer", WRITERS)
def test_spindle_restarted_is_stopped_again(writer, program):
    text = writer(program(FixedSpeed(500.0, "cw"), SpindleStop(), FixedSpeed(500.0, "cw"))).text()
    assert blocks(text)[-4:-1] == ["M09", "M05", writer(program()).end()]


@pytest.mark.parametrize("writer", WRITERS)
def test_feed_word_only_on_change(writer, program):
    feeds = (0.1, 0.1, 0.05, 0.050001, 0.1)
    text = writer(program(*HERE, *(Line(10.0, -1.0 * n, f) for n, f in enumerate(feeds, 1)))).text()
    cuts = [line.split() for line in blocks(text) if line.startswith("G01")]
    assert [line[3:] for line in cuts] == [["F0.1"], [], ["F0.05"], [], ["F0.1"]]


@pytest.mark.parametrize("writer", WRITERS)
def test_same_text_twice(writer, program, fixed_moves):
    one = writer(program(*fixed_moves))
    assert one.text() == one.text() == writer(program(*fixed_moves)).text()


@pytest.mark.parametrize("writer", WRITERS)
def test_block_numbers_start_again(writer, program):
    many = len(BLOCK_NUMBERS) + 5
    text = writer(
        program(*HERE, *(Line(10.0, -0.001 * n, 0.1) for n in range(1, many)), block_numbers=True)
    ).text()
    numbers = [line.split()[0] for line in text.splitlines() if line.startswith("N")]
    assert numbers[:2] == ["N10", "N20"]
    assert numbers[len(BLOCK_NUMBERS) - 1 : len(BLOCK_NUMBERS) + 1] == ["N9990", "N10"]


def test_system_a_has_no_word_that_is_a_cycle_there(program, surface_moves, fixed_moves):
    for moves in (surface_moves, fixed_moves):
        for units in ("mm", "inch"):
            words = " ".join(blocks(SystemA(program(*moves, units=units)).text())).split()
            assert {"G90", "G92", "G94", "G95"}.isdisjoint(words)


@pytest.mark.parametrize("writer", WRITERS)
def test_no_radius_word_and_one_motion_word_a_block(writer, program, fixed_moves):
    for line in blocks(writer(program(*fixed_moves)).text()):
        assert "R" not in line
        assert sum(word in ("G00", "G01", "G02", "G03") for word in line.split()) <= 1


NO_START = r"\): the arc has no start point; move both axes first\.$"


@pytest.mark.parametrize("writer", WRITERS)
@pytest.mark.parametrize(
    ("moves", "message"),
    [
        pytest.param((Arc(1.0, 1.0, 0.0, 1.0, True, 0.1),), NO_START, id="arc-from-nowhere"),
        pytest.param((Rapid(x=1.0), Arc(1.0, 1.0, 0.0, 1.0, True, 0.1)), NO_START, id="arc-half-known"),
        pytest.param(
            (*HERE, Arc(10.0, 0.0, 0.0, 1.0, True, 0.1)),
            r"\): an arc that ends where it starts is read as a full circle\.$",
            id="full-circle",
        ),
        pytest.param((Line(1.0, None, 0.1),), r"move 2, Line.*\): Z is missing\.$", id="half-a-line"),
        pytest.param((Line(1.0, 1.0, 0.0),), r"feed 0.0 must be more than zero", id="no-feed"),
        pytest.param((Line(1.0, 1.0, 1e-7),), r"feed 1e-07 must be more than zero", id="feed-rounds-to-0"),
        pytest.param(
            (Line(1.0, float("nan"), 0.1),), r"move 2, Line.*nan cannot be written", id="not-a-number"
        ),
        pytest.param((Rapid(x=1e9),), r"move 2, Rapid.*must lie within \+-99999\.$", id="too-far"),
        pytest.param((FixedSpeed(0.2),), r"move 2, FixedSpeed.*at least 1\.$", id="no-speed"),
        pytest.param(("M30",), r"move 2, M30: it is no move that the contract knows", id="not-a-move"),
    ],
)
def test_move_failure(writer, program, moves, message):
    with pytest.raises(DialectError, match=message):
        writer(program(*moves)).text()


@pytest.mark.parametrize("move", [SpeedCap(1800.0), SurfaceSpeed(250.0)])
def test_rs274ngc_has_fixed_speeds_only(program, move):
    with pytest.raises(DialectError, match=r"rs274ngc cannot write move 2, .*; give fixed speeds"):
        Rs274ngc(program(move)).text()


@pytest.mark.parametrize("writer", WRITERS)
@pytest.mark.parametrize(
    "header",
    [{"work_offset": "G54\nM30"}, {"work_offset": "G92"}, {"tool_word": "T0101 M30"}, {"tool_word": "T١"}],
)
def test_setup_words_failure(writer, program, header):
    with pytest.raises(DialectError, match=r"cannot write the head: .* is no such word as its pattern"):
        writer(program(**header)).text()


@pytest.mark.parametrize("number", [0, 10_000])
def test_program_number_failure(program, number):
    with pytest.raises(DialectError, match=f"program number {number} must lie between 1 and 9999"):
        SystemA(program(program_number=number)).text()


def test_a_writer_that_breaks_the_line_is_caught(program):
    class Careless(Iso6983):
        def end(self) -> str:
            return "M30\nM00"

    with pytest.raises(DialectError, match="is not one line of at most 256 ASCII characters"):
        Careless(program()).text()


@pytest.mark.parametrize("writer", WRITERS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(title=st.text(), line=st.text(), remark=st.text(), stop=st.text())
def test_no_free_text_changes_a_block(writer, program, fixed_moves, title, line, remark, stop):
    plain = writer(program(*HERE, Stop(False, ""), *fixed_moves)).text()
    wild = writer(
        program(*HERE, Remark(remark), Stop(False, stop), *fixed_moves, title=title, lines=(line,))
    ).text()
    assert blocks(wild) == blocks(plain)
    for comment in set(wild.splitlines()) - set(blocks(wild)):
        assert comment.endswith(")")
        assert len(comment) <= 72
        assert not set(comment[1:-1]) & set("()%;")
    assert wild.isascii()
    assert "\r" not in wild


def test_every_dialect_says_the_same_things_in_the_same_order():
    facts = ["NAME", "READS_AS", "SURFACE_SPEED", "FEED_PER_REV", "X_READING", "DECIMALS", "EXTENSION"]
    words = ["head", "speed_cap", "surface_speed", "fixed_speed", "end"]
    for writer in BUILT_IN.values():
        assert [name for name in vars(writer) if name in facts + words] == facts + words
        assert issubclass(writer, Writer)
