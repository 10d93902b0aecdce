"""From blocks to motions of the insert centre: modal words, units, control points, arcs."""

import math
from typing import Literal

import pytest

from toolpath.readback.motions import ControlPoint
from toolpath.readback.reader import ReadProgram, read

R = 5.0
HEAD = "G18 G21 G40 G90 G95\nG92 S1800\nG97 S1000 M03\n"
START = "G00 Z50.0\nG00 X60.0\n"


def program(blocks: str) -> str:
    return HEAD + START + blocks + "\nM30\n"


def reading(
    text: str,
    *,
    units: Literal["mm", "inch"] = "mm",
    x_reading: Literal["diameter", "radius"] = "radius",
    control_point: ControlPoint = "insert-centre",
) -> ReadProgram:
    return read(
        text,
        dialect="iso6983",
        units=units,
        x_reading=x_reading,
        control_point=control_point,
        insert_radius=R,
    )


def test_modal_motion_and_kept_axes() -> None:
    found = reading(program("G01 X40.0 F0.1\nZ2.0\nX30.0")).motions
    assert [(m.line, m.rapid, m.x1, m.z1, m.x2, m.z2) for m in found] == [
        (5, True, None, 50.0, 60.0, 50.0),
        (6, False, 60.0, 50.0, 40.0, 50.0),
        (7, False, 40.0, 50.0, 40.0, 2.0),
        (8, False, 40.0, 2.0, 30.0, 2.0),
    ]


@pytest.mark.parametrize(
    ("control_point", "centre"),
    [("insert-centre", (20.0, 2.0)), ("face-outer", (15.0, 7.0)), ("face-inner", (25.0, 7.0))],
)
@pytest.mark.parametrize(
    ("units", "x_reading", "words"),
    [
        ("mm", "radius", "X20.0 Z2.0"),
        ("mm", "diameter", "X40.0 Z2.0"),
        ("inch", "radius", "X0.7874015748 Z0.0787401575"),
        ("inch", "diameter", "X1.5748031496 Z0.0787401575"),
    ],
)
def test_from_the_programmed_point_to_the_insert_centre(
    control_point: ControlPoint,
    centre: tuple[float, float],
    units: Literal["mm", "inch"],
    x_reading: Literal["diameter", "radius"],
    words: str,
) -> None:
    text = program(f"G01 {words} F0.01")
    if units == "inch":
        text = text.replace("G21", "G20")
    found = reading(text, units=units, x_reading=x_reading, control_point=control_point)
    assert found.faults == ()
    assert (found.motions[-1].x2, found.motions[-1].z2) == pytest.approx(centre, abs=1e-8)


@pytest.mark.parametrize(
    ("block", "middle"),
    [
        # from X60 Z50; as drawn with Z to the right and X up, G02 is clockwise (NIST IR 6556, 3.5.3.1)
        pytest.param(
            "G02 X62.0 Z52.0 I0.0 K2.0 F0.1",
            (60 + 2 * math.sqrt(0.5), 52 - 2 * math.sqrt(0.5)),
            id="floor to wall, outward, is G02",
        ),
        pytest.param(
            "G03 X62.0 Z52.0 I2.0 K0.0 F0.1",
            (62 - 2 * math.sqrt(0.5), 50 + 2 * math.sqrt(0.5)),
            id="over a lip the other way is G03",
        ),
        pytest.param(
            "G02 X62.0 Z52.0 I2.0 K0.0 F0.1",
            (62 + 2 * math.sqrt(0.5), 50 - 2 * math.sqrt(0.5)),
            id="the long way round",
        ),
        pytest.param("G02 X60.0 Z50.0 I1.0 K0.0 F0.1", (62.0, 50.0), id="full circle"),
        pytest.param("G03 X60.0 I1.0 F0.1", (62.0, 50.0), id="full circle, one axis named"),
    ],
)
def test_arc_sense(block: str, middle: tuple[float, float]) -> None:
    found = reading(program(block))
    assert found.faults == ()
    arc = found.motions[-1]
    angle = arc.start + arc.sweep / 2
    at_middle = (arc.xc + arc.radius * math.cos(angle), arc.zc + arc.radius * math.sin(angle))
    assert at_middle == pytest.approx(middle)
    assert 0 < (arc.sweep if block.startswith("G02") else -arc.sweep) <= 2 * math.pi


def test_i_is_a_radius_where_x_is_a_diameter() -> None:
    text = program("G02 X124.0 Z52.0 I0.0 K2.0 F0.1\nG02 X120.0 Z54.0 I-2.0 K0.0 F0.1")
    found = reading(text.replace("X60.0", "X120.0"), x_reading="diameter")
    assert found.faults == ()
    assert [(m.xc, m.radius) for m in found.motions[1:]] == [(60.0, 2.0), (60.0, 2.0)]


def test_the_radius_rule_of_an_inch_program_is_0_0002_inch() -> None:
    """NIST IR 6556, 3.5.3.2."""
    for end, faults in (("1.9002", 0), ("1.9003", 1)):
        text = program(f"G02 X2.3 Z{end} I-0.1 K0.0 F0.004")
        text = text.replace("G21", "G20").replace("X60.0", "X2.4").replace("Z50.0", "Z2.0")
        assert len(reading(text, units="inch").faults) == faults
