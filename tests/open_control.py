"""An open machine control's own interpreter runs our programs: what it refuses, and where it would move.

The interpreter is `rs274` of Debian's package `linuxcnc-uspace`, unpacked together with
`libboost-python1.74.0` into the folder that `DISHPATH_OPEN_CONTROL` names; nothing is installed.
`.ci/run` prepares it. It prints one canonical call a line (NIST IR 6556, section 4.3).
"""

import os
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.jobs.second_cutter import Point, Step

FOLDER = os.environ.get("DISHPATH_OPEN_CONTROL", "")
OFFSET = (76.2, -177.8)  # mm, X and Z of the tool in the control's table; a program must take them
_CALL = re.compile(r"\s*\d+ +N\S+ +(\w+)\((.*)\)\s*$")


def require() -> None:
    """Go on where the interpreter is there; elsewhere the test is not run, which fails in CI."""
    if (Path(FOLDER) / "usr/bin/rs274").is_file() and FOLDER:
        return
    why = "not run: DISHPATH_OPEN_CONTROL names no folder with usr/bin/rs274"
    if os.environ.get("CI") == "true":
        pytest.fail(why)
    pytest.skip(why)


@dataclass(frozen=True, slots=True)
class Ran:
    """What the control did with a program: its calls in order, or why it refused."""

    calls: tuple[tuple[str, str], ...]
    refused: str = ""

    def named(self, name: str) -> list[str]:
        """The arguments of every call of that name."""
        return [arguments for call, arguments in self.calls if call == name]


def run(text: str, place: Path) -> Ran:
    """The calls of a program, run in an empty folder."""
    program, table, out = place / "program.ngc", place / "tool.tbl", place / "calls"
    program.write_text(text, encoding="ascii", newline="\n")
    table.write_text(f"T1 P1 X{OFFSET[0] / 25.4} Z{OFFSET[1] / 25.4} D0 Q9\n", encoding="ascii")
    (place / "vars").write_text("", encoding="ascii")
    root = Path(FOLDER) / "usr"
    done = subprocess.run(
        [root / "bin/rs274", "-g", "-t", table, "-v", place / "vars", program, out],
        env={"LD_LIBRARY_PATH": f"{root / 'lib'}:{root / 'lib/x86_64-linux-gnu'}", "PATH": os.defpath},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    if done.returncode:
        return Ran((), (done.stderr or done.stdout).strip() or f"exit code {done.returncode}")
    found = (_CALL.match(line) for line in out.read_text(encoding="utf-8", errors="replace").splitlines())
    return Ran(tuple((call[1], call[2]) for call in found if call))


@dataclass(frozen=True, slots=True)
class Moved:
    """One motion as the control makes it: path of the insert centre, feed and speed in force.

    `feed` in program units, by `per_turn` a turn or a minute; `speed` as written, with the cap where constant
    surface speed is on (0: fixed).
    """

    step: Step
    feed: float
    per_turn: bool
    speed: float
    cap: float
    turning: bool


def motions(ran: Ran, *, unit: float, shift: Point) -> Iterator[Moved]:
    """Every motion from the second on, when both axes are known; mm, the insert centre."""
    x = z = feed = speed = cap = 0.0
    per_turn = turning = False
    known = 0
    for call, arguments in ran.calls:
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", arguments)]
        match call:
            case "SET_FEED_RATE":
                feed = numbers[0]
            case "SET_FEED_MODE":
                per_turn = numbers[1] == 1
            case "SET_SPINDLE_MODE":
                cap = numbers[1]
            case "SET_SPINDLE_SPEED":
                speed = numbers[1]
            case "START_SPINDLE_CLOCKWISE" | "START_SPINDLE_COUNTERCLOCKWISE":
                turning = True
            case "STOP_SPINDLE_TURNING":
                turning = False
            case "STRAIGHT_TRAVERSE" | "STRAIGHT_FEED" | "ARC_FEED":
                centre, clockwise = None, False
                if call == "ARC_FEED":
                    to_z, to_x, centre_z, centre_x, turns = numbers[:5]
                    centre, clockwise = (centre_x * unit + shift[0], centre_z * unit + shift[1]), turns < 0
                else:
                    to_x, to_z = numbers[0], numbers[2]
                to = (to_x * unit + shift[0], to_z * unit + shift[1])
                known += 1
                if known > 1:
                    start = (x, z) if known > 2 else to
                    step = Step(known, call == "STRAIGHT_TRAVERSE", start, to, centre, clockwise)
                    yield Moved(step, feed, per_turn, speed, cap, turning)
                x, z = to
