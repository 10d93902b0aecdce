"""The reader: every broken rule beside its clean twin.

Rules marked NIST are those of NIST IR 6556 (section numbers are the report's); the others are
common practice or this project's own strictness, no source.
"""

import pytest

from toolpath.readback.dialects import Dialect
from toolpath.readback.reader import ReadProgram, read

R = 5.0
HEADS: dict[Dialect, str] = {
    "iso6983": "G18 G21 G40 G90 G95\nG92 S1800\nG97 S1000 M03\n",
    "system-a": "G18 G21 G40 G99\nG50 S1800\nG97 S1000 M03\n",
    "rs274ngc": "G18 G21 G40 G90 G94\nS1000 M03\n",
}
START = "G00 Z50.0\nG00 X60.0\n"
BODY = "G01 X40.0 Z2.0 F0.1\n"
HEAD_LINES = {name: head.count("\n") for name, head in HEADS.items()}


def reading(text: str, dialect: Dialect = "iso6983") -> ReadProgram:
    return read(
        text,
        dialect=dialect,
        units="mm",
        x_reading="radius",
        control_point="insert-centre",
        insert_radius=R,
    )


def why(text: str, dialect: Dialect = "iso6983") -> list[str]:
    return [f"{fault.line}: {fault.why}" for fault in reading(text, dialect).faults]


def program(blocks: str, dialect: Dialect) -> str:
    """A head, a start place, the blocks under test (from line `first(dialect)`) and an end."""
    return HEADS[dialect] + START + blocks + "\nM30\n"


def first(dialect: Dialect) -> int:
    return HEAD_LINES[dialect] + 3


ALL: tuple[Dialect, ...] = ("iso6983", "system-a", "rs274ngc")
LATHES: tuple[Dialect, ...] = ("iso6983", "system-a")
NGC: tuple[Dialect, ...] = ("rs274ngc",)
ISO: tuple[Dialect, ...] = ("iso6983",)
A: tuple[Dialect, ...] = ("system-a",)

# id, dialects, what breaks it, its clean twin, part of the sentence
RULES: list[tuple[str, tuple[Dialect, ...], str, str, str]] = [
    (
        "decimal point on X",
        ALL,
        "G01 X40 Z2.0 F0.1",
        "G01 X40. Z2.0 F0.1",
        "X40 has no decimal point; write X40.",
    ),
    ("decimal point on Z", ALL, "G01 X40.0 Z2 F0.1", "G01 X40.0 Z2. F0.1", "Z2 has no decimal point"),
    ("decimal point on F", ALL, "G01 X40.0 Z2.0 F1", "G01 X40.0 Z2.0 F1.", "F1 has no decimal point"),
    (
        "decimal point on I",
        ALL,
        "G02 X59.0 Z49.0 I-1 K0.0 F0.1",
        "G02 X59.0 Z49.0 I-1. K0.0 F0.1",
        "I-1 has no decimal",
    ),
    ("two motion words", ALL, "G00 G01 X40.0 F0.1", "G01 X40.0 F0.1", "two words of one group"),  # NIST 3.3.5
    ("a letter twice", ALL, "G01 X40.0 X41.0 F0.1", "G01 X40.0 F0.1", "X stands twice"),  # NIST 3.3.5
    ("two spindle words", ALL, "M03 M05", "M05", "two words of one group"),  # NIST 3.3.5
    ("motion word without an axis", ALL, "G01 F0.1", "G01 X40.0 F0.1", "moves nothing"),  # NIST 3.5.2
    ("no feed", ALL, "G01 X40.0", "G01 X40.0 F0.1", "no feed is in force"),
    ("feed of zero", ALL, "G01 X40.0 F0.0", "G01 X40.0 F0.1", "must be above 0"),
    ("feed after spindle stop", ALL, "M05\nG01 X40.0 F0.1", "M05\nG00 X61.0", "the spindle is not turning"),
    (
        "spindle stop in the block of a feed",
        ALL,
        "G01 X40.0 F0.1 M05",
        "G01 X40.0 F0.1 M09",
        "spindle is not turning",
    ),
    ("speed of zero", NGC, "S0\nG01 X40.0 F0.1", "S1\nG01 X40.0 F1.", "the spindle is not turning"),
    ("negative speed", NGC, "S-5", "S5", "must not be below 0"),  # NIST 3.7.2
    (
        "feed above a quarter of the insert radius a turn",
        LATHES,
        "G01 X40.0 F1.3",
        "G01 X40.0 F1.2",
        "a quarter of the insert radius",
    ),
    ("the same, per minute", NGC, "G01 X40.0 F1300.", "G01 X40.0 F1200.", "a quarter of the insert radius"),
    ("arc by R", ALL, "G02 X59.0 Z49.0 R1.0 F0.1", "G02 X59.0 Z49.0 I-1.0 K0.0 F0.1", "by I and K, not by R"),
    (
        "arc without a centre",
        ALL,
        "G02 X59.0 Z49.0 F0.1",
        "G03 X59.0 Z49.0 I0.0 K-1.0 F0.1",
        "needs its centre",
    ),
    (
        "arc radii 3 microns apart",
        ALL,
        "G02 X59.0 Z49.003 I-1.0 K0.0 F0.1",
        "G02 X59.0 Z49.002 I-1.0 K0.0 F0.1",
        "they may differ by 0.0020 mm",
    ),  # NIST 3.5.3.2
    (
        "arc with no radius",
        ALL,
        "G02 X60.0 Z50.0 I0.0 K0.0 F0.1",
        "G02 X60.0 Z50.0 I1.0 K0.0 F0.1",
        "arc starts 0.0000",
    ),
    ("I on a line", ALL, "G01 X40.0 I1.0 F0.1", "G01 X40.0 F0.1", "I and K belong to arcs"),
    (
        "arc centre without an end",
        ALL,
        "G02 X59.0 Z49.0 I-1.0 K0.0 F0.1\nI1.0",
        "G02 X59.0 Z49.0 I-1.0 K0.0 F0.1",
        "add X or Z",
    ),
    ("plane XY", ALL, "G17", "G18", "G17 is refused"),
    ("plane YZ", ALL, "G19", "G18", "G19 is refused"),
    ("other units", ALL, "G20", "G21", "the job's program is in mm"),
    ("incremental", ALL, "G91", "G40", "moves must be absolute"),
    ("incremental by U", ALL, "G01 U1.0 F0.1", "G01 X1.0 F0.1", "U1.0 is refused"),  # NIST Table 3 has no U
    ("incremental by W", ALL, "G01 W1.0 F0.1", "G01 Z1.0 F0.1", "W1.0 is refused"),
    ("third axis", ALL, "G01 Y1.0 F0.1", "G01 Z1.0 F0.1", "has no Y"),
    ("rotary axis", ALL, "G00 C90.0", "G00 X60.0", "no rotary axis"),
    ("home", ALL, "G28 X0.0", "G00 X60.0", "G28 is refused"),
    ("machine coordinates", ALL, "G53 X0.0", "G54", "G53 is refused"),
    ("compensation left", ALL, "G41", "G40", "G41 is refused"),  # NIST 3.5.10
    ("compensation right", ALL, "G42", "G40", "G42 is refused"),
    ("roughing cycle", LATHES, "G71 P1", "G04 P1", "G71 is refused"),
    ("drilling cycle", ALL, "G81 Z1.0", "G40", "G81 is refused"),
    ("thread", ALL, "G33 Z1.0 K1.0", "G40", "G33 is refused"),
    ("macro", ALL, "G65 P1", "G04 P1", "G65 is refused"),
    ("subprogram", ALL, "M98 P1", "G04 P1", "M98 is refused"),
    ("unknown G", ALL, "G12.3", "G40", "have no such word"),
    ("G not of tenths", ALL, "G1.05 X40.0 F0.1", "G1.0 X40.0 F0.1", "have no such word"),  # NIST 3.3.2.1
    ("inverse time", ALL, "G93", "G40", "inverse time"),
    ("variable", ALL, "#1=2.0", "", "variables are not read"),
    ("expression", ALL, "G01 X[40.0] F0.1", "G01 X40.0 F0.1", "letter X has no number"),
    ("exponent", ALL, "G01 X4.E1 F0.1", "G01 X40. F0.1", "E1 is refused"),  # NIST 3.3.2.1
    ("two decimal points", ALL, "G01 X4.0.0 F0.1", "G01 X40.0 F0.1", "cannot be read"),
    ("letter O for a zero", ALL, "G01 X4O. F0.1", "G01 X40. F0.1", "X4 has no decimal point"),
    ("letter alone", ALL, "G01 X F0.1", "G01 X1.0 F0.1", "letter X has no number"),
    ("block delete", ALL, "/G01 X40.0 F0.1", "G01 X40.0 F0.1", "two programs of one"),
    ("semicolon", ALL, "G40 ; off", "G40 (off)", "a comment stands between"),
    ("nested comment", ALL, "(a (b) c)", "(a [b] c)", "a comment stands inside a comment"),  # NIST 3.3.4
    ("open comment", ALL, "G40 (off", "G40 (off)", "not closed on its line"),  # NIST 3.3.4
    ("closing bracket alone", ALL, "G40 )", "G40", "closed that was not opened"),
    ("not ASCII", ALL, "(\N{DIAMETER SIGN} 90)", "(dia 90)", "is not ASCII"),
    ("percent in a block", ALL, "G40 %", "G40", "must stand alone"),
    ("block number too long", ALL, "N123456 G40", "N99999 G40", "at most five digits"),  # NIST 3.3.1
    ("block number with a sign", ALL, "N-1 G40", "N1 G40", "at most five digits"),  # NIST 3.3.1
    ("block number not first", ALL, "G40 N1", "N1 G40", "stands first on its line"),
    ("second tool", ALL, "T1\nT2", "T1\nT1", "this check knows one insert"),
    ("tool with a point", ALL, "T1.5", "T1", "whole digits"),
    ("second work offset", ALL, "G54\nG55", "G54\nG54", "second work offset"),
    ("P by itself", ALL, "G01 X40.0 F0.1 P1", "G01 X40.0 F0.1", "belongs to G04"),
    ("dwell with an axis", ALL, "G04 P1 Z1.0", "G04 P1", "Z must not stand with this G word"),
    ("dwell below zero", ALL, "G04 P-1", "G04 P0", "at least 0"),  # NIST 3.5.4
    ("dwell without a time", ALL, "G04", "G04 P0.5", "one time"),
    ("dwell by X", NGC, "G04 X1.0", "G04 P1.0", "one time"),
    ("dwell and motion", ALL, "G00 G04 P1", "G04 P1", "split the block"),  # NIST 3.4
    ("after the end", ALL, "M02\nG00 X70.0", "M00", "after the end"),  # NIST 3.1
    ("small letters", LATHES, "g01 X40.0 F0.1", "G01 X40.0 F0.1", "is small"),
    # iso6983
    ("cap of the other dialect", ISO, "G50 S1800", "G92 S1800", "the cap of this dialect is G92 S"),
    ("preset registers", ISO, "G92 X0.0 S1800", "G92 S1800", "would shift the coordinates"),
    ("cap without a speed", ISO, "G92", "G92 S1", "no S above 0"),
    ("EIA inch word", ISO, "G70", "G21", "G70 is refused"),
    ("feed per minute", ISO, "G94", "G95", "per revolution"),
    ("feed per minute", A, "G98", "G99", "per revolution"),
    ("speed mode without a speed", LATHES, "G96", "G96 S200", "would live on"),
    ("fixed speed without a speed", LATHES, "G97", "G97 S200", "would live on"),
    ("offset word without a tool", ISO, "D1", "T1 D1", "D without a tool"),
    ("extended work offset without a number", LATHES, "G54.1", "G54.1 P3", "G54.1 needs one"),
    # system A
    ("G90 is a cycle", A, "G90 X40.0 Z1.0 F0.1", "G01 X40.0 Z1.0 F0.1", "cutting cycle in system A"),
    ("G92 is a cycle", A, "G92 S1800", "G50 S1800", "cutting cycle in system A"),
    ("G94 is a cycle", A, "G94", "G99", "cutting cycle in system A"),
    ("G95 is another thing", A, "G95", "G99", "feed per revolution is G99"),
    ("coordinates by G50", A, "G50 X100.0 S10", "G50 S10", "would shift the coordinates"),
    ("length offset", LATHES, "G43 H1", "G40", "offset whose amount"),
    ("overrides off", NGC, "M49", "M48", "out of the operator's hand"),
    # rs274ngc; NIST Table 5 has none of these
    ("no G95", NGC, "G95", "G94", "no such word"),
    ("no G96", NGC, "G96 S200", "S200", "no such word"),
    ("no G97", NGC, "G97 S200", "S200", "no such word"),
    ("no G50", NGC, "G50 S200", "S200", "no such word"),
    ("no G33", NGC, "G33 X1.0", "G40", "no such word"),
    ("G92 shifts the coordinates", NGC, "G92 S1800", "S1800", "moves the coordinate system"),
    ("path blending", NGC, "G64", "G61", "round corners"),
    ("offset number without its word", NGC, "H1", "G43 H1", "an H belongs to G43"),
    ("no program number", NGC, "O0001", "(O0001)", "no program number here"),  # NIST Table 3
    ("line of 257", NGC, "G40 (" + "x" * 251 + ")", "G40 (" + "x" * 250 + ")", "at most 256"),  # NIST 3.3
    (
        "axis while no motion is in force",
        NGC,
        "G80\nX40.0",
        "G80\nG00 X40.0",
        "no motion is in force",
    ),  # NIST 3.5.15
]
CASES = [
    pytest.param(dialect, broken, clean, part, id=f"{name} [{dialect}]")
    for name, dialects, broken, clean, part in RULES
    for dialect in dialects
]


@pytest.mark.parametrize(("dialect", "broken", "clean", "part"), CASES)
def test_a_broken_rule_names_its_line(dialect: Dialect, broken: str, clean: str, part: str) -> None:
    assert why(program(clean, dialect), dialect) == []
    faults = [f for f in reading(program(broken, dialect), dialect).faults if part in f.why]
    assert faults, why(program(broken, dialect), dialect)
    assert faults[0].line in (first(dialect) + k for k in range(broken.count("\n") + 1))
    assert faults[0].block.removesuffix("...") in broken


# what must stand before the first motion: the head without it
MISSING = [
    ("units", ALL, "G21", "units are not stated"),
    ("absolute", ("iso6983", "rs274ngc"), "G90", "write G90"),
    ("feed per turn", ISO, "G95", "the kind of feed is not stated before the first cut; write G95"),
    ("feed per turn", A, "G99", "write G99"),
    ("feed per minute", NGC, "G94", "write G94"),
    ("spindle", ALL, " M03", "the spindle is not turning"),
]


@pytest.mark.parametrize(
    ("dialect", "word", "part"),
    [pytest.param(d, word, part, id=f"{name} [{d}]") for name, ds, word, part in MISSING for d in ds],
)
def test_a_word_missing_from_the_head(dialect: Dialect, word: str, part: str) -> None:
    whole = program(BODY, dialect)
    assert why(whole, dialect) == []
    bare = whole.replace(word, "", 1)
    found = why(bare, dialect)
    assert len(found) == 1
    assert part in found[0]


def test_an_arc_needs_the_plane() -> None:
    text = program("G02 X59.0 Z49.0 I-1.0 K0.0 F0.1", "rs274ngc").replace("G18 ", "")
    assert why(text, "rs274ngc") == ["5: the plane is not stated before an arc; write G18"]


def test_surface_speed_needs_a_cap() -> None:
    capped = program("G96 S200", "iso6983")
    assert why(capped) == []
    assert why(capped.replace("G92 S1800\n", "")) == [
        "5: constant surface speed without a cap; cap the spindle in a block before"
    ]


def test_one_speed_word_cannot_be_cap_and_speed() -> None:
    assert why(program("G92 G97 S100", "iso6983"))[0].endswith("split the block")


def test_a_feed_from_an_unknown_place() -> None:
    text = HEADS["iso6983"] + "G00 Z5.0\n" + BODY + "M30\n"
    assert why(text) == ["5: a feed from a place that no block has stated; rapid to X and Z before it"]
    assert reading(text).motions == ()


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        pytest.param("%\n{}M30\n%\n", 0, id="both percent signs"),
        pytest.param("{}M30\n", 0, id="none"),
        pytest.param("%\n{}M30\n", 1, id="first only"),
        pytest.param("{}M30\n%\n", 1, id="last only"),
        pytest.param("%\n{}M30\n%\nnotes of the shop\n", 0, id="text after the second"),
        pytest.param("\n%\r\n{}M30\r\n%\r\n", 0, id="blank first line, line ends of another system"),
        pytest.param("{}", 1, id="no end"),
    ],
)
def test_percent_and_end(text: str, faults: int) -> None:
    """NIST IR 6556, 3.1."""
    for dialect in ALL:
        assert len(why(text.format(HEADS[dialect] + START + BODY), dialect)) == faults


def test_percent_signs_alone_end_a_program_of_the_nist_report_only() -> None:
    """NIST IR 6556, 3.1: M02 or M30 is needed only without percent signs."""
    text = "%\n{}%\n"
    assert why(text.format(HEADS["rs274ngc"] + START + BODY), "rs274ngc") == []
    assert "no end" in why(text.format(HEADS["iso6983"] + START + BODY))[0]


def test_an_empty_text_has_no_end() -> None:
    assert why("") == ["1: the program has no end; add M30"]


@pytest.mark.parametrize("number", ["O0001", "O1 (crown)"])
@pytest.mark.parametrize("dialect", LATHES)
def test_program_number(number: str, dialect: Dialect) -> None:
    assert why(f"%\n{number}\n{HEADS[dialect]}{START}{BODY}M30\n%\n", dialect) == []
    assert "before the first motion" in why(program(number, dialect), dialect)[0]


def test_blanks_case_and_word_order_do_not_matter_to_the_nist_report() -> None:
    """NIST IR 6556, 3.3 and 3.3.6."""
    plain = reading(program("G01 X40.0 Z2.0 F0.1", "rs274ngc"), "rs274ngc")
    odd = reading(program("f0.1 x 4 0.0\tz2.0 g1 (turn)", "rs274ngc"), "rs274ngc")
    assert odd.faults == ()
    assert [(m.x2, m.z2) for m in odd.motions] == [(m.x2, m.z2) for m in plain.motions]
