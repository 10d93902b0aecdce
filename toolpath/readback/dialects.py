"""The words that each dialect has, by modal group, and why others are refused.

Sources: NIST IR 6556 (RS274/NGC version 3, 2000), Table 4 for `rs274ngc`; the same with the lathe
words of the open control that runs it, tried there, for `rs274-lathe`; EIA RS-274 and
control handbooks for the codes of ISO 6983-1 (`iso6983`), whose own tables were not read; a published
list of turning codes, system A (`system-a`), where G90, G92 and G94 are cycles. Codes that exist but would
take the tool out of reach of a plain reader (offsets, cycles, jumps) are refused on purpose.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple, get_args

Dialect = Literal["iso6983", "system-a", "rs274ngc", "rs274-lathe"]
DIALECTS: tuple[Dialect, ...] = get_args(Dialect)
IndexWords = Mapping[str, str]  # by axis, in order of looking: the block that takes the tool away along it


class WordTable(NamedTuple):
    """One dialect: the group of each G and M word, such as "G54.1", and what it asks for."""

    name: str
    groups: dict[str, str]
    refused: dict[str, str]
    needs_absolute: bool
    feed_modes: dict[str, str]
    cap: str | None = None  # G word that caps the spindle with S
    cap_beside: bool = False  # the cap is a D in the block of G96
    program_number: bool = False
    upper_case: bool = False
    end_by_percent: bool = False
    longest_line: int | None = None
    dwell_words: frozenset[str] = frozenset("P")
    tool_offset: bool = False  # a D beside the T
    x_words: Mapping[str, str] = MappingProxyType({})  # whether X is a diameter or a radius
    swing: IndexWords = MappingProxyType({})
    own: Mapping[str, str] = MappingProxyType({})  # a writer's own words, and what each means

    @property
    def letters(self) -> str:
        """The letters that may stand in a block, beside G, M, N and O."""
        more = "D" if self.tool_offset or self.cap_beside else ""
        return "XZIKFSTP" + more + ("H" if "G43" in self.groups else "")

    @property
    def cap_advice(self) -> str:
        """How the spindle is capped."""
        return "write D in this block" if self.cap_beside else "cap the spindle in a block before"


def with_words(rules: WordTable, words: Mapping[str, str]) -> WordTable:
    """The rules with M words of a writer's own, each meaning a word that the dialect has."""
    return rules._replace(own={_named(own): _named(words[own]) for own in words}) if words else rules


def fault_of(reads_as: str, words: Mapping[str, str]) -> str:
    """Why text of a writer with these facts cannot be read back; "" where it can."""
    if reads_as not in DIALECTS:
        known = ", ".join(DIALECTS)
        return f"has the fact READS_AS = {reads_as!r}, which the readback does not know; it knows {known}"
    rules = next(rules for name, rules in RULES.items() if name == reads_as)
    for own, meant in words.items():
        if _named(own) in rules.groups:
            return f"gives {own} another meaning, which is a word of {rules.name} already"
        if _named(meant) not in rules.groups:
            return f"says that {own} means {meant}, which is no word of {rules.name} programs here"
    return ""


def _named(word: str) -> str:
    return word_name(word[0], float(word[1:])) or word


def word_name(letter: str, value: float) -> str | None:
    """The name of a G or M word, such as "G54.1" or "M3"; None where it is not within 0.0001 of one."""
    tenths = round(value * 10)
    if abs(value * 10 - tenths) > 0.001:
        return None
    whole, tenth = divmod(tenths, 10)
    return f"{letter}{whole}.{tenth}" if tenth else f"{letter}{whole}"


def _group(name: str, words: str) -> dict[str, str]:
    return dict.fromkeys(words.split(), name)


def _refuse(words: str, why: str) -> dict[str, str]:
    return dict.fromkeys(words.split(), why)


_COMMON = {
    **_group("motion", "G0 G1 G2 G3"),
    **_group("one-block", "G4"),
    **_group("plane", "G18"),
    **_group("units", "G20 G21"),
    **_group("compensation", "G40"),
    **_group("work offset", "G54 G55 G56 G57 G58 G59"),
    **_group("stop", "M0 M1 M2 M30"),
    **_group("spindle", "M3 M4 M5"),
    **_group("coolant", "M7 M8 M9"),
}
_REFUSED = {
    **_refuse("G17 G19", "arcs of a section lie in the plane of X and Z; use G18"),
    **_refuse("G41 G42", "radius compensation would move the path; use G40"),
    **_refuse(
        "G28 G30 G53",
        "it moves in machine coordinates, which are not known here; use G00, or the exact words that "
        "take the tool away before its call",
    ),
    **_refuse("G91", "moves must be absolute"),
    **_refuse("G93", "inverse time is not read; use a feed rate"),
    **_refuse("G10 G43 G52", "it changes an offset whose amount is not known here"),
    **_refuse("G65 G66 G67", "macros are not read; write the moves out"),
    **_refuse("G33 G34 G35 G36", "threads are not read"),
    **_refuse("G80.5 G81 G82 G83 G84 G85 G86 G87 G88 G89", "cycles are not read; write the moves out"),
}
_TURNING_CYCLES = _refuse(
    "G70 G71 G72 G73 G74 G75 G76 G77 G78 G79",
    "it is a cycle or a unit word by control; write the moves out",
)
_G53: IndexWords = {"Z": r"G53 G0 Z([-\d.]+)", "X": r"G53 G0 X([-\d.]+)"}
_PER_TURN = "the feeds of these programs are per revolution; a feed per minute would be far too slow"

_NGC = (
    _COMMON
    | _group("distance", "G90")
    | _group("length offset", "G43 G49")
    | _group("work offset", "G59.1 G59.2 G59.3")
    | _group("path control", "G61 G61.1")
    | _group("motion", "G80")
    | _group("tool change", "M6")
    | _group("stop", "M60")
    | _group("overrides", "M48")
)
_NGC_REFUSED = {word: why for word, why in _REFUSED.items() if word != "G43"} | {
    "G64": "it lets the control round corners; use G61",
    "G92": "it moves the coordinate system; nothing but a work offset may",
    "M49": "it takes the feed out of the operator's hand; take it out",
}

RULES: dict[Dialect, WordTable] = {
    "iso6983": WordTable(
        name="ISO 6983-1",
        groups=_COMMON
        | _group("distance", "G90")
        | _group("feed mode", "G95")
        | _group("speed mode", "G96 G97")
        | _group("one-block", "G92")
        | _group("work offset", "G54.1")
        | _group("motion", "G80"),
        refused=_REFUSED | _TURNING_CYCLES | {"G50": "the cap of this dialect is G92 S", "G94": _PER_TURN},
        needs_absolute=True,
        feed_modes={"G95": "revolution"},
        cap="G92",
        program_number=True,
        upper_case=True,
        dwell_words=frozenset("PX"),
        tool_offset=True,
        swing={"Z": "G91 G28 Z0|" + _G53["Z"], "X": "G91 G28 X0|" + _G53["X"]},
    ),
    "system-a": WordTable(
        name="system A",
        groups=_COMMON
        | _group("feed mode", "G99")
        | _group("speed mode", "G96 G97")
        | _group("one-block", "G50")
        | _group("work offset", "G54.1"),
        refused=_REFUSED
        | _TURNING_CYCLES
        | _refuse("G90 G92 G94", "it is a cutting cycle in system A")
        | {"G95": "feed per revolution is G99 in system A", "G98": _PER_TURN},
        needs_absolute=False,
        feed_modes={"G99": "revolution"},
        cap="G50",
        program_number=True,
        upper_case=True,
        dwell_words=frozenset("PX"),
        swing={"Z": "G28 W0|" + _G53["Z"], "X": "G28 U0|" + _G53["X"]},
    ),
    "rs274ngc": WordTable(
        name="NIST IR 6556",
        groups=_NGC | _group("feed mode", "G94"),
        refused=_NGC_REFUSED | _refuse("G7 G8 G33 G50 G95 G96 G97", "NIST IR 6556 has no such word"),
        needs_absolute=True,
        feed_modes={"G94": "minute"},
        end_by_percent=True,
        longest_line=256,
        swing=_G53,
    ),
    "rs274-lathe": WordTable(
        name="RS274/NGC for lathes",
        groups=_NGC
        | _group("feed mode", "G95")
        | _group("speed mode", "G96 G97")
        | _group("X reading", "G7 G8"),
        refused=_NGC_REFUSED
        | _refuse("G50 G99", "this language has no such word for it; the cap is a D beside G96")
        | {"G94": _PER_TURN},
        needs_absolute=True,
        feed_modes={"G95": "revolution"},
        cap_beside=True,
        end_by_percent=True,
        longest_line=255,
        x_words={"G7": "diameter", "G8": "radius"},
        swing=_G53,
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
