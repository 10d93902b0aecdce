"""Programs against something outside: the rules of NIST IR 6556 and a general-purpose reader.

NIST IR 6556, "The NIST RS274/NGC Interpreter - Version 3", 17 Aug 2000; section numbers beside the checks.
"""

import re
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pygcode import Line as ReadLine

from postprocessors.iso6983 import Iso6983
from postprocessors.rs274ngc import Rs274ngc
from toolpath.moves import Arc, FixedSpeed, Header, Line, Move, Program, Rapid, Remark, Stop
from toolpath.program import Frame, feed_per_minute, to_program

# Table 4 of the report
MODAL_GROUPS = {
    "motion": "G0 G1 G2 G3 G38.2 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89",
    "plane": "G17 G18 G19",
    "distance": "G90 G91",
    "feed": "G93 G94",
    "units": "G20 G21",
    "radius compensation": "G40 G41 G42",
    "length offset": "G43 G49",
    "return": "G98 G99",
    "coordinates": "G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3",
    "path": "G61 G61.1 G64",
    "non-modal": "G4 G10 G28 G30 G53 G92 G92.1 G92.2 G92.3",
    "stop": "M0 M1 M2 M30 M60",
    "tool": "M6",
    "spindle": "M3 M4 M5",
    "coolant": "M7 M8 M9",
    "overrides": "M48 M49",
}
GROUP_OF = {code: group for group, codes in MODAL_GROUPS.items() for code in codes.split()}


def faults(text: str) -> list[str]:
    """What an interpreter to the letter of the report would refuse, a sentence each."""
    found: list[str] = []
    lines = text.splitlines()
    percents = [n for n, line in enumerate(lines) if line.strip() == "%"]
    if percents not in ([], [0, len(lines) - 1]):  # 3.1
        found.append(f"percent lines at {percents}")
    at: dict[str, float] = {}
    inch, ended, motion = False, False, ""
    for line in lines:
        if line.strip() == "%":
            continue
        if len(line) > 256:  # 3.3
            found.append(f"{len(line)} characters")
        comments = re.findall(r"\([^()]*\)", line)  # 3.3.4: closed on the line, not nested
        rest = re.sub(r"\([^()]*\)", "", line).replace(" ", "").upper()
        found += [f"operator message {c}" for c in comments if re.match(r"\(\s*MSG,", c, re.IGNORECASE)]
        words = re.findall(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))", rest)
        if "".join(letter + value for letter, value in words) != rest:  # 3.3.2
            found.append(f"not only words: {line}")
            continue
        if words and ended:
            found.append(f"after the end: {line}")
        if words and words[0][0] == "N":  # 3.3.1
            if not re.fullmatch(r"\d{1,5}", words[0][1]):
                found.append(f"line number {words[0][1]}")
            words = words[1:]
        codes = [f"{letter}{float(value):g}" for letter, value in words if letter in "GM"]
        others = {letter: float(value) for letter, value in words if letter not in "GM"}
        found += [f"letter {letter}" for letter in others if letter not in "ABCDFHIJKLPQRSTXYZ"]  # Table 3
        found += [f"unknown {code}" for code in codes if code not in GROUP_OF]
        groups = [GROUP_OF[code] for code in codes if code in GROUP_OF]
        if len(set(groups)) < len(groups) or len(others) < len(words) - len(codes):  # 3.3.5
            found.append(f"repeated in {line}")
        inch = "G20" in codes or (inch and "G21" not in codes)
        motion = next((c for c in codes if GROUP_OF.get(c) == "motion"), motion)
        ended = ended or bool({"M2", "M30"} & set(codes))
        axes = {a: others[a] for a in "XYZ" if a in others}
        if any(GROUP_OF.get(c) == "motion" for c in codes) and not axes:  # 3.5.1, 3.5.2
            found.append(f"no axis word in {line}")
        if axes and (not motion or "non-modal" in groups):
            found.append(f"axis words without motion in {line}")
        if {"G41", "G42"} & set(codes) or any(others.get(w, 1) < 0 for w in "FS"):  # 3.5.10, 3.7.2
            found.append(f"refused in {line}")
        if axes and motion in ("G2", "G3"):
            found += _arc_faults(line, others, at, 0.0002 if inch else 0.002)
        elif {"I", "J", "K", "R"} & set(others):
            found.append(f"centre without arc in {line}")
        at |= axes
    if not ended and not percents:
        found.append("no end")
    return found


def _arc_faults(line: str, words: dict[str, float], at: dict[str, float], tolerance: float) -> list[str]:
    """3.5.3.2: I or K in the XZ plane, from a known start, equal radii."""
    if "J" in words or not ({"I", "K"} & set(words)) or not {"X", "Z"} <= set(at):
        return [f"arc form of {line}"]
    i, k = words.get("I", 0.0), words.get("K", 0.0)
    end_x, end_z = words.get("X", at["X"]), words.get("Z", at["Z"])
    apart = abs(hypot(i, k) - hypot(end_x - at["X"] - i, end_z - at["Z"] - k))
    return [f"radii {apart} apart in {line}"] if apart > tolerance else []


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
