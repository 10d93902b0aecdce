"""The words that each dialect has, by modal group, and why others are refused.

Sources: NIST IR 6556 (RS274/NGC version 3, 2000), Table 4 for `rs274ngc`; EIA RS-274 and
control handbooks for the codes of ISO 6983-1 (`iso6983`); a published list of turning codes,
system A (`system-a`), where G90, G92 and G94 are cycles. Codes that exist but would take the
tool out of reach of a plain reader (offsets, cycles, jumps) are refused on purpose.
"""

from dataclasses import dataclass
from typing import Literal

Dialect = Literal["iso6983", "system-a", "rs274ngc"]


def g_key(value: float) -> int | None:
    """Ten times the number of a G word, None where it is not within 0.0001 of a tenth."""
    key = round(value * 10)
    return key if abs(value * 10 - key) <= 0.001 else None


@dataclass(frozen=True, slots=True)
class Rules:
    """One dialect: group of each G code (keys are ten times the code) and what it asks for."""

    name: str
    groups: dict[int, str]
    refused: dict[int, str]
    needs_absolute: bool
    feed_modes: dict[int, str]
    m_groups: dict[int, str]
    cap: int | None = None  # G code (times ten) that caps the spindle with S
    surface_speed: bool = False
    program_number: bool = False
    upper_case: bool = False
    end_by_percent: bool = False
    longest_line: int | None = None
    dwell_words: frozenset[str] = frozenset("P")
    tool_offset: bool = False  # a D beside the T


def _g(*codes: float) -> list[int]:
    return [round(code * 10) for code in codes]


_COMMON = {
    **dict.fromkeys(_g(0, 1, 2, 3), "motion"),
    **dict.fromkeys(_g(4), "one-block"),
    **dict.fromkeys(_g(18), "plane"),
    **dict.fromkeys(_g(20, 21), "units"),
    **dict.fromkeys(_g(40), "compensation"),
    **dict.fromkeys(_g(54, 55, 56, 57, 58, 59), "work offset"),
}
_M = {
    **dict.fromkeys((0, 1, 2, 30), "stop"),
    **dict.fromkeys((3, 4, 5), "spindle"),
    **dict.fromkeys((7, 8, 9), "coolant"),
}
_REFUSED = {
    **dict.fromkeys(_g(17, 19), "arcs of a section lie in the plane of X and Z; use G18"),
    **dict.fromkeys(_g(41, 42), "radius compensation would move the path; use G40"),
    **dict.fromkeys(_g(28, 30, 53), "it moves in machine coordinates, which are not known here; use G00"),
    **dict.fromkeys(_g(91), "moves must be absolute"),
    **dict.fromkeys(_g(93), "inverse time is not read; use a feed rate"),
    **dict.fromkeys(_g(10, 43, 52), "it changes an offset whose amount is not known here"),
    **dict.fromkeys(_g(65, 66, 67), "macros are not read; write the moves out"),
    **dict.fromkeys(_g(33, 34, 35, 36), "threads are not read"),
    **dict.fromkeys(_g(80.5, 81, 82, 83, 84, 85, 86, 87, 88, 89), "cycles are not read; write the moves out"),
}
_TURNING_CYCLES = dict.fromkeys(
    _g(70, 71, 72, 73, 74, 75, 76, 77, 78, 79), "it is a cycle or a unit word by control; write the moves out"
)

_PER_TURN = "the feeds of these programs are per revolution; a feed per minute would be far too slow"

RULES: dict[Dialect, Rules] = {
    "iso6983": Rules(
        name="ISO 6983-1",
        groups=_COMMON
        | dict.fromkeys(_g(90), "distance")
        | dict.fromkeys(_g(95), "feed mode")
        | dict.fromkeys(_g(96, 97), "speed mode")
        | dict.fromkeys(_g(92), "one-block")
        | dict.fromkeys(_g(54.1), "work offset")
        | dict.fromkeys(_g(80), "motion"),
        refused=_REFUSED | _TURNING_CYCLES | {500: "the cap of this dialect is G92 S", 940: _PER_TURN},
        needs_absolute=True,
        feed_modes={950: "revolution"},
        m_groups=_M,
        cap=920,
        surface_speed=True,
        program_number=True,
        upper_case=True,
        dwell_words=frozenset("PX"),
        tool_offset=True,
    ),
    "system-a": Rules(
        name="system A",
        groups=_COMMON
        | dict.fromkeys(_g(99), "feed mode")
        | dict.fromkeys(_g(96, 97), "speed mode")
        | dict.fromkeys(_g(50), "one-block")
        | dict.fromkeys(_g(54.1), "work offset"),
        refused=_REFUSED
        | _TURNING_CYCLES
        | dict.fromkeys(_g(90, 92, 94), "it is a cutting cycle in system A")
        | {950: "feed per revolution is G99 in system A", 980: _PER_TURN},
        needs_absolute=False,
        feed_modes={990: "revolution"},
        m_groups=_M,
        cap=500,
        surface_speed=True,
        program_number=True,
        upper_case=True,
        dwell_words=frozenset("PX"),
    ),
    "rs274ngc": Rules(
        name="NIST IR 6556",
        groups=_COMMON
        | dict.fromkeys(_g(90), "distance")
        | dict.fromkeys(_g(94), "feed mode")
        | dict.fromkeys(_g(49), "length offset")
        | dict.fromkeys(_g(59.1, 59.2, 59.3), "work offset")
        | dict.fromkeys(_g(61, 61.1), "path control")
        | dict.fromkeys(_g(80), "motion"),
        refused=_REFUSED
        | {
            640: "it lets the control round corners; use G61",
            920: "it moves the coordinate system; nothing but a work offset may",
        }
        | dict.fromkeys(_g(33, 50, 95, 96, 97), "NIST IR 6556 has no such word"),
        needs_absolute=True,
        feed_modes={940: "minute"},
        m_groups=_M | {6: "tool change", 60: "stop", 48: "overrides", 49: "overrides"},
        end_by_percent=True,
        longest_line=256,
    ),
}

ADDRESSES: dict[str, str] = {
    "U": "U is an incremental X here; moves must be absolute",
    "W": "W is an incremental Z here; moves must be absolute",
    "V": "V is an axis that this lathe does not have",
    "Y": "a turned section has no Y",
    "A": "a turned section has no rotary axis",
    "B": "a turned section has no rotary axis",
    "C": "a turned section has no rotary axis",
    "R": "arcs are given by I and K, not by R",
    "J": "an arc in the plane of X and Z has no J",
}
