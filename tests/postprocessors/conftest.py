"""A small program that the writer tests share: every kind of move, numbers to check by head."""

from collections.abc import Callable

import pytest

from toolpath.moves import (
    Arc,
    Begin,
    Coolant,
    FixedSpeed,
    Header,
    Line,
    Move,
    Program,
    Rapid,
    Remark,
    SpeedCap,
    SpindleStop,
    Stop,
    SurfaceSpeed,
)

HEADER = Header(
    title="Pump engine",
    lines=("Z0 is the FINISHED crown",),
    units="mm",
    x_reading="diameter",
    decimals=3,
    work_offset="G54",
    tool_word="",
    program_number=12,
    block_numbers=False,
    percent=True,
)

START: tuple[Move, ...] = (
    Remark("proof"),
    Stop(False, "readout must show X = 90.40"),
    Begin(2, "Dish roughing", "Skim"),
)
CUT: tuple[Move, ...] = (
    Rapid(x=68.0),
    Rapid(z=1.0),
    Line(60.0, -2.5, 0.1),
    Arc(70.0, 2.5, 0.0, 5.0, True, 0.1),
    Stop(True, "clear chips"),
    Arc(72.0, 3.5, 1.0, 0.0, False, 0.05),
    Rapid(z=100.0),
)
FIXED: tuple[Move, ...] = (
    *START,
    FixedSpeed(1000.0, "cw"),
    Coolant(True),
    *CUT,
    SpindleStop(),
    Coolant(False),
)
SURFACE: tuple[Move, ...] = (
    *START,
    SpeedCap(1800.0),
    FixedSpeed(1000.0, "ccw"),
    Coolant(True),
    *CUT[:2],
    SurfaceSpeed(250.0),
    *CUT[2:],
    FixedSpeed(900.0),
)


@pytest.fixture
def fixed_moves() -> tuple[Move, ...]:
    """Moves with fixed spindle speeds only; coolant and spindle are off at the end."""
    return FIXED


@pytest.fixture
def surface_moves() -> tuple[Move, ...]:
    """The same cuts with constant surface speed; coolant and spindle are left on."""
    return SURFACE


@pytest.fixture
def program() -> Callable[..., Program]:
    """Makes a program of one section under the common header, fields of it replaced by name."""

    def make(*moves: Move, **header: object) -> Program:
        return Program(HEADER._replace(**header), (Begin(), *moves))

    return make
