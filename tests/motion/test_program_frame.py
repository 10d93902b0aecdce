"""Moves to moves: control point, reading, rounding, arcs on the last decimal, speeds and times."""

from cmath import phase, rect
from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, pi, sin, sqrt, tau

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.motion.rounding import to_program
from toolpath.motion.speeds import feed_per_minute, fixed_speed, lifted
from toolpath.motion.times import Durations, seconds_of, timed
from toolpath.moves import (
    Arc,
    Coolant,
    FixedSpeed,
    Line,
    Rapid,
    Remark,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)

MM = Frame("insert-centre", 5.0, "radius", "mm", 3)


# ---- the program frame -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("control_point", "x_reading", "x", "z"),
    [
        ("insert-centre", "radius", 29.0, 2.5),
        ("insert-centre", "diameter", 58.0, 2.5),
        ("face-outer", "radius", 34.0, -2.5),
        ("face-outer", "diameter", 68.0, -2.5),
        ("face-inner", "radius", 24.0, -2.5),
        ("face-inner", "diameter", 48.0, -2.5),
    ],
)
def test_control_point(control_point, x_reading, x, z):
    moves = to_program((Rapid(x=29.0), Rapid(z=2.5)), Frame(control_point, 5.0, x_reading, "mm", 3))
    assert moves == (Rapid(x=x), Rapid(z=z))


def test_face_inner_gives_negative_x_inside_the_insert_radius():
    moves = (Rapid(x=1.0), Rapid(z=5.0), Line(0.0, 5.0, 0.1))
    assert to_program(moves, Frame("face-inner", 5.0, "diameter", "mm", 3))[2] == Line(-10.0, 0.0, 0.1)


def test_inch_program():
    frame = Frame("insert-centre", 5.0, "diameter", "inch", 4)
    moves = (SpeedCap(1800.0), SurfaceSpeed(91.44), Rapid(x=25.4), Rapid(z=2.54), Line(12.7, -1.27, 0.127))
    cap, speed, *rest = to_program(moves, frame)
    assert cap == SpeedCap(1800.0)
    assert speed.speed == pytest.approx(300.0, rel=1e-12)  # 1 ft = 0.3048 m exactly
    assert rest[:2] == [Rapid(x=2.0), Rapid(z=0.1)]
    assert (rest[2].x, rest[2].z, rest[2].feed) == (1.0, -0.05, pytest.approx(0.005))


def test_arc_centre_is_a_radius_under_either_reading():
    moves = (Rapid(x=30.0), Rapid(z=0.0), Arc(35.0, 5.0, 0.0, 5.0, True, 0.1))
    assert to_program(moves, MM)[2] == Arc(35.0, 5.0, 0.0, 5.0, True, 0.1)
    assert to_program(moves, replace(MM, x_reading="diameter"))[2] == Arc(70.0, 5.0, 0.0, 5.0, True, 0.1)


def test_other_moves_pass_unchanged():
    others = (
        Remark("a"),
        Stop(True, "b"),
        FixedSpeed(900.0, "cw"),
        SpindleStop(),
        Coolant(True),
        SurfaceSpeed(200.0),
    )
    assert to_program(others, MM) == others


@pytest.mark.parametrize(
    ("moves", "expected"),
    [
        pytest.param((Line(20.0, 1.0004, 0.1),), (), id="line-without-length"),
        pytest.param((Line(20.0, 1.0006, 0.1),), (Line(20.0, 1.001, 0.1),), id="line-of-one-step"),
        pytest.param((Rapid(x=20.0002),), (), id="rapid-without-length"),
        pytest.param((Rapid(z=1.0),), (), id="rapid-to-the-same-z"),
        pytest.param((Line(20.0, 0.0, 0.1), Rapid(z=-0.0001)), (Line(20.0, 0.0, 0.1),), id="negative-zero"),
        pytest.param(
            (Line(20.0004, 1.0, 0.1), Line(20.0008, 1.0, 0.1)),
            (Line(20.001, 1.0, 0.1),),
            id="short-lines-do-not-add-up-their-errors",
        ),
        pytest.param((Arc(20.0003, 1.0003, 0.0, 0.0003, True, 0.1),), (), id="arc-without-length"),
        pytest.param(  # radius 100: a chord of 0.2 lies 0.00005 off it
            (Arc(20.2, 1.0002, 0.0, 100.0, True, 0.1),), (Line(20.2, 1.0, 0.1),), id="flat-arc-becomes-line"
        ),
    ],
)
def test_what_rounding_leaves(moves, expected):
    assert to_program((Rapid(x=20.0), Rapid(z=1.0), *moves), MM)[2:] == expected


def test_an_arc_that_no_centre_suits_becomes_a_line_where_it_is_small():
    """A half turn of radius 0.0015 mm: its ends are one step apart and every centre sits on one of them."""
    frame = replace(MM, units="inch", decimals=4)
    moves = to_program((Rapid(x=20.0096), Rapid(z=0.009), Arc(20.0096, 0.012, 0.0, 0.0015, True, 0.1)), frame)
    assert isinstance(moves[2], Line)


@pytest.mark.parametrize(
    ("moves", "message"),
    [
        pytest.param(
            (Arc(20.0, 1.0, 0.0, 1.0, True, 0.1),),
            r"Move 1, arc of the insert centre to radius 20.0000, Z 1.0000 mm, has no start point",
            id="no-start",
        ),
        pytest.param(
            (Rapid(x=20.0), Rapid(z=1.0), Arc(20.0002, 1.0, 0.0, 5.0, False, 0.1)),
            r"Move 3, arc .* round to one point, which would be read as a full circle",
            id="nearly-a-full-circle",
        ),
        pytest.param(
            (Rapid(x=20.0), Rapid(z=1.0), Arc(25.05, 6.0, 0.0, 5.0, True, 0.1)),
            r"Move 3, arc .* no centre on 3 decimals .* within 0.002 mm; use more decimals",
            id="ends-on-two-circles",
        ),
    ],
)
def test_to_program_failure(moves, message):
    with pytest.raises(DialectError, match=message):
        to_program(moves, MM)


@pytest.mark.parametrize(
    ("radius", "decimals", "message"),
    [
        (0.0, 3, "insert radius 0.0 mm must be more"),
        (float("nan"), 3, "nan mm"),
        (5.0, 0, "0 decimals: between"),
    ],
)
def test_frame_failure(radius, decimals, message):
    with pytest.raises(ValueError, match=message):
        Frame("insert-centre", radius, "radius", "mm", decimals)


# ---- arcs on the last decimal ------------------------------------------------------------------

LATTICES = [("mm", 3), ("mm", 4), ("mm", 5), ("inch", 4), ("inch", 5)]


def drawn(frame: Frame, x: float, z: float, arc: Arc) -> tuple[float, float, float, complex, complex]:
    """Radii at start and end (mm), signed sweep, centre and start of a written arc; points as z + ix."""
    start, end = (complex(*reversed(frame.meant_by(*p))) for p in ((x, z), (arc.x, arc.z)))
    centre = start + complex(arc.k, arc.i) * frame.unit
    angle = phase((end - centre) / (start - centre)) % tau
    return abs(start - centre), abs(end - centre), (angle - tau if arc.clockwise else angle), centre, start


@pytest.mark.parametrize(("units", "decimals"), LATTICES)
@given(
    radius=st.floats(0.001, 200.0),
    first=st.floats(-pi, pi),
    sweep=st.floats(1e-5, pi / 2),
    clockwise=st.booleans(),
    centre=st.tuples(st.floats(-20.0, 20.0), st.floats(0.0, 50.0)),
    point=st.sampled_from(["insert-centre", "face-outer", "face-inner"]),
    x_reading=st.sampled_from(["diameter", "radius"]),
)
def test_arcs_up_to_a_quarter(units, decimals, radius, first, sweep, clockwise, centre, point, x_reading):
    frame = Frame(point, 4.7625, x_reading, units, decimals)
    last = first - sweep if clockwise else first + sweep
    (z0, x0), (z1, x1) = ((centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in (first, last))
    moves = (Rapid(x=x0), Rapid(z=z0), Arc(x1, z1, centre[1] - x0, centre[0] - z0, clockwise, 0.1))
    at_x, at_z, *rest = to_program(moves, frame)
    if not rest:
        assert hypot(x1 - x0, z1 - z0) < max(1.5 * frame.step, 0.006)
        return
    arc = rest[0]
    if isinstance(arc, Line):
        assert radius * (1 - cos(sweep / 2)) <= max(frame.step, 0.001)
        return
    start_radius, end_radius, turned, middle, start = drawn(frame, at_x.x, at_z.z, arc)
    assert abs(start_radius - end_radius) <= 0.002  # NIST IR 6556, 3.5.3.2
    # the same arc: not the long way round
    assert turned * (-1 if clockwise else 1) == pytest.approx(sweep, abs=pi / 4)
    half = middle + (start - middle) * (start_radius + end_radius) / (2 * start_radius) * rect(1, turned / 2)
    true_centre = complex(centre[0] + frame.shift[1], centre[1] + frame.shift[0])
    assert abs(abs(half - true_centre) - radius) <= frame.step


def test_the_centre_is_not_just_the_rounded_one():
    """Ends and centre rounded each on its own would leave the radii 0.0019 mm apart."""
    x, z, radius, first, last = 20.0024, 0.0033, 4.4981, pi - 0.5, pi - 1.99
    i, k = -radius * sin(first), -radius * cos(first)
    end_x, end_z = x + i + radius * sin(last), z + k + radius * cos(last)
    naive = abs(
        hypot(-2.157, 3.947) - hypot(round(end_x, 3) - 20.002 + 2.157, round(end_z, 3) - 0.003 - 3.947)
    )
    assert (round(i, 3), round(k, 3), round(naive, 4)) == (-2.157, 3.947, 0.0019)
    arc = to_program((Rapid(x=x), Rapid(z=z), Arc(end_x, end_z, i, k, True, 0.1)), MM)[2]
    start_radius, end_radius, *_ = drawn(MM, 20.002, 0.003, arc)
    assert abs(start_radius - end_radius) < 0.0005


# ---- proving copy ------------------------------------------------------------------------------


def test_lifted():
    moves = (
        Rapid(x=20.0),
        Rapid(z=1.0),
        Line(20.0, -2.0, 0.1),
        Arc(25.0, 3.0, 0.0, 5.0, True, 0.1),
        Stop(False, "a"),
    )
    assert lifted(moves, 25.0) == (
        Rapid(x=20.0),
        Rapid(z=26.0),
        Line(20.0, 23.0, 0.1),
        Arc(25.0, 28.0, 0.0, 5.0, True, 0.1),
        Stop(False, "a"),
    )


# ---- speeds ------------------------------------------------------------------------------------

HERE = (Rapid(x=60.0), Rapid(z=0.0))


@pytest.mark.parametrize(
    ("point", "moves", "rpm"),
    [
        # 100 m/min on diameter 80: 1000 * 100 / (pi * 80) = 397.9
        pytest.param("insert-centre", (Line(40.0, 0.0, 0.1), Line(10.0, 0.0, 0.1)), 265, id="start-counts"),
        pytest.param("insert-centre", (Rapid(x=40.0), Line(10.0, 0.0, 0.1)), 397, id="rapids-do-not-count"),
        pytest.param("face-outer", (Rapid(x=35.0), Line(10.0, 0.0, 0.1)), 397, id="control-point-not-centre"),
        pytest.param("face-inner", (Rapid(x=2.0), Line(0.0, 0.0, 0.1)), 3183, id="negative-x"),
        pytest.param("insert-centre", (Rapid(x=3.0), Line(0.0, 0.0, 0.1)), 5000, id="limit"),
        # about (35, 4), radius 5: over its top at x = 40, or round below (418.8)
        pytest.param("insert-centre", (Rapid(x=38.0), Arc(38.0, 8.0, -3.0, 4.0, True, 0.1)), 397, id="over"),
        pytest.param(
            "insert-centre", (Rapid(x=38.0), Arc(38.0, 8.0, -3.0, 4.0, False, 0.1)), 418, id="below"
        ),
    ],
)
def test_fixed_speed(point, moves, rpm):
    frame = Frame(point, 5.0, "diameter", "mm", 3)
    slow = fixed_speed((*HERE, SurfaceSpeed(100.0), *moves), frame, 5000.0)
    assert slow == (*HERE, FixedSpeed(float(rpm)), *moves)


def test_fixed_speed_of_each_stretch():
    moves = (
        SpeedCap(1200.0),
        FixedSpeed(500.0, "ccw"),
        *HERE,
        SurfaceSpeed(100.0),
        Line(50.0, 0.0, 0.1),
        SurfaceSpeed(200.0),
        Rapid(x=5.0),
        Line(0.0, 0.0, 0.1),
        SurfaceSpeed(250.0),
        FixedSpeed(400.0),
        Line(1.0, 0.0, 0.1),
    )
    speeds = [m for m in fixed_speed(moves, MM) if isinstance(m, FixedSpeed)]
    # 1000 * 100 / (pi * 120) = 265.3; 200 m/min on diameter 10 is over the cap; nothing is fed at 250
    assert speeds == [FixedSpeed(500.0, "ccw"), FixedSpeed(265.0), FixedSpeed(1200.0), FixedSpeed(400.0)]
    assert not any(isinstance(m, SpeedCap | SurfaceSpeed) for m in fixed_speed(moves, MM))


def test_feed_per_minute():
    moves = (
        FixedSpeed(500.0, "cw"),
        Line(1.0, 0.0, 0.1),
        FixedSpeed(800.0),
        Arc(2.0, 1.0, 0.0, 1.0, True, 0.1),
    )
    fed = feed_per_minute(moves)
    assert [m.feed for m in fed if isinstance(m, Line | Arc)] == pytest.approx([50.0, 80.0])
    assert replace(fed[3], feed=0.1) == moves[3]


@pytest.mark.parametrize(
    "words", [(), (FixedSpeed(500.0), SurfaceSpeed(90.0)), (FixedSpeed(500.0), SpindleStop())]
)
def test_feed_per_minute_failure(words):
    with pytest.raises(DialectError, match=r"Move \d, line .* radius 1.0000.*feeds under no fixed speed"):
        feed_per_minute((*words, Line(1.0, 0.0, 0.1)))


# ---- times -------------------------------------------------------------------------------------


def test_times_by_hand():
    """t = l / (f n), as a solved textbook exercise has it: 200 long, 0.5 mm/rev, 400 rev/min is 60 s."""
    moves = (Rapid(x=40.0), Rapid(z=0.0), FixedSpeed(400.0, "cw"), Line(40.0, -200.0, 0.5), Rapid(z=100.0))
    assert timed(moves, MM, 3000.0) == Durations(60.0, 6.0, 66.0)
    assert seconds_of(moves, MM, 3000.0) == (0.0, 0.0, 0.0, 60.0, 6.0)


def test_facing_under_constant_surface_speed_takes_the_mean_diameter():
    """Makers' formula sheets: facing turns at the mean diameter, here 40; the cap is not reached."""
    moves = (*HERE[1:], Rapid(x=30.0), SpeedCap(5000.0), SurfaceSpeed(100.0), Line(10.0, 0.0, 0.1))
    mean_rpm = 1000 * 100 / (pi * 40)
    assert timed(moves, MM, 3000.0).cutting_s == pytest.approx(60 * 20 / (0.1 * mean_rpm), rel=1e-12)


def test_the_speed_is_that_of_the_control_point():
    moves = (Rapid(x=20.0), Rapid(z=0.0), SurfaceSpeed(100.0), Line(20.0, -10.0, 0.1))
    seconds = {
        p: timed(moves, replace(MM, control_point=p), 3000.0).cutting_s for p in ("face-outer", "face-inner")
    }
    # insert radius 5: the control takes 25 or 15 for the radius of 20
    assert seconds["face-outer"] / seconds["face-inner"] == pytest.approx(25 / 15)


@given(
    radius=st.floats(0.5, 80.0),
    first=st.floats(-pi, pi),
    sweep=st.floats(0.01, 6.0),
    clockwise=st.booleans(),
    centre_x=st.floats(-30.0, 60.0),
    cap=st.floats(100.0, 3000.0),
    straight=st.booleans(),
)
def test_times_against_quadrature(radius, first, sweep, clockwise, centre_x, cap, straight):
    """Closed pieces against scipy's adaptive quadrature of ds / (f n)."""
    last = first - sweep if clockwise else first + sweep
    (x0, z0), (x1, z1) = ((centre_x + radius * sin(a), radius * cos(a)) for a in (first, last))
    frame = replace(MM, control_point="face-outer")
    move = Line(x1, z1, 0.08) if straight else Arc(x1, z1, centre_x - x0, -z0, clockwise, 0.08)
    length = hypot(x1 - x0, z1 - z0) if straight else radius * sweep
    assume(length > 0.01)

    def seconds_per_share(t: float) -> float:
        x = x0 + (x1 - x0) * t if straight else centre_x + radius * sin(first + (last - first) * t)
        rpm = min(cap, 1000 * 180.0 / (tau * abs(x + 5.0) or 1e-12))
        return 60 * length / (0.08 * rpm)

    steps = [n / 40 for n in range(41)]
    expected = sum(quad(seconds_per_share, a, b, limit=200)[0] for a, b in pairwise(steps))
    moves = (Rapid(x=x0), Rapid(z=z0), SpeedCap(cap), SurfaceSpeed(180.0), move)
    assert timed(moves, frame, 3000.0).cutting_s == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("word", [Remark("none"), SpindleStop()])
def test_times_failure(word):
    with pytest.raises(DialectError, match=r"Move 4, line .* feeds under no speed"):
        seconds_of((Rapid(x=1.0), Rapid(z=1.0), word, Line(0.0, 0.0, 0.1)), MM, 3000.0)


def test_an_arc_of_metres_is_written_as_few_lines():
    radius, run = 221_701.668, 96.0
    frame = Frame("insert-centre", 5.0, "radius", "mm", 4)
    rise = radius - sqrt(radius**2 - run**2)
    moves = (Rapid(x=0.0), Rapid(z=0.0), Arc(run, rise, 0.0, radius, True, 0.1))
    lines = [m for m in to_program(moves, frame) if isinstance(m, Line)]
    assert 1 <= len(lines) <= 9
    assert (lines[-1].x, lines[-1].z) == (run, pytest.approx(rise, abs=1e-4))
    for m in lines:
        assert m.z == pytest.approx(radius - sqrt(radius**2 - m.x**2), abs=3e-4)
