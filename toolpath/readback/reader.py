"""A program's text to motions of the insert centre, with every broken rule named.

This reader shares nothing with the writers: its own words, its own modal state. It is strict: a
word that it does not know, or that could move the tool in a way it cannot follow, is a fault.
"""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from toolpath.readback.blocks import Blocks, Faults
from toolpath.readback.dialects import RULES, Dialect, WordTable, with_words
from toolpath.readback.indexing import Indexing
from toolpath.readback.modes import Modes
from toolpath.readback.motions import BrokenRule, ControlPoint, Motion, arc_motion, centre_offset
from toolpath.readback.tokens import shortened, words_of
from toolpath.units import MM_PER_INCH

RADIUS_RULE = {"mm": 0.002, "inch": 0.0002 * MM_PER_INCH}  # mm; NIST IR 6556, 3.5.3.2
MOST_FEED = 0.25  # of the insert's radius, a revolution; the job's own limit
ROUNDED = 1.01  # what the last decimal of a feed may add to it
_NO_WORDS: Mapping[str, str] = MappingProxyType({})


class Halt(NamedTuple):
    """A stop: its line and block, the word, how many motions ran before it, and whether the spindle turns."""

    line: int
    block: str
    word: str
    after: int
    turning: bool


class ReadProgram(NamedTuple):
    """All motions, stops and comments (line, text) in order, and all faults in order of line.

    `tools` and `offsets` are what was called before the first motion of each section, with its line and
    block: a section begins at the head of the program and after every stop.
    """

    motions: tuple[Motion, ...]
    faults: tuple[BrokenRule, ...]
    halts: tuple[Halt, ...] = ()
    comments: tuple[tuple[int, str], ...] = ()
    tools: tuple[tuple[int, str, Mapping[str, float]], ...] = ()
    offsets: tuple[tuple[int, str, str], ...] = ()
    away: tuple[
        tuple[int, str, str, float | None], ...
    ] = ()  # line, block, axis and place of the turret's swing


def read(
    text: str,
    *,
    dialect: Dialect,
    units: Literal["mm", "inch"],
    x_reading: Literal["diameter", "radius"],
    control_point: ControlPoint,
    insert_radius: float,
    spindle: int | None = None,
    words: Mapping[str, str] = _NO_WORDS,
) -> ReadProgram:
    """Read a whole program; `insert_radius` in mm. Nothing raises: faults are in the answer.

    `spindle` is the M code, 3 or 4, that alone may start the spindle; `words` are M words of a writer's
    own, each with the word of the dialect that it means.
    """
    rules = with_words(RULES[dialect], words)
    return _Reader(rules, units, x_reading, control_point, insert_radius, spindle).run(text)


class _Reader:
    def __init__(
        self,
        rules: WordTable,
        units: str,
        x_reading: str,
        control_point: ControlPoint,
        radius: float,
        spindle: int | None,
    ) -> None:
        self.rules, self.units, self.radius, self.x_reading = rules, units, radius, x_reading
        self.faults = Faults()
        self.fault = self.faults.add
        self.modes = Modes(rules, units == "inch", spindle, self.fault)
        self.unit = self.modes.unit
        self.x_unit = self.unit / 2 if x_reading == "diameter" else self.unit
        self.dx, self.dz = centre_offset(control_point, radius)
        self.blocks = Blocks(rules, self.faults)
        self.indexing = Indexing(rules.swing, self.fault)
        self.x: float | None = None  # programmed, mm, a radius
        self.z: float | None = None
        self.motion = ""
        self.x_stated = not rules.x_words
        self.ended = False
        self.motions: list[Motion] = []
        self.halts: list[Halt] = []
        self.comments: list[tuple[int, str]] = []
        self.tools: list[tuple[int, str, Mapping[str, float]]] = []
        self.offsets: list[tuple[int, str, str]] = []
        self.away: list[tuple[int, str, str, float | None]] = []

    def run(self, text: str) -> ReadProgram:
        lines = text.split("\n")
        opened = closed = False
        last = 1
        for number, raw in enumerate(lines, start=1):
            self.faults.line, self.faults.block = number, shortened(raw.strip())
            if not self.faults.block:
                continue
            last = number
            if self.faults.block == "%":
                if opened:
                    closed = True
                    break
                opened = True
                if any(line.strip() for line in lines[: number - 1]):
                    self.fault("a % stands here but not on the first line; put one there or take this out")
                    closed = True
                    break
                continue
            self.read_block(raw.removesuffix("\r"))
        self.faults.line, self.faults.block = last, shortened(lines[last - 1].strip())
        if opened and not closed:
            self.fault("the program starts with % and does not end with one; add it")
        if not self.ended and not (self.rules.end_by_percent and closed):
            self.fault("the program has no end; add M30")
        return ReadProgram(
            tuple(self.motions),
            tuple(self.faults.found),
            tuple(self.halts),
            tuple(self.comments),
            tuple(self.tools),
            tuple(self.offsets),
            tuple(self.away),
        )

    def read_block(self, raw: str) -> None:
        words, comments, unreadable = words_of(raw)
        self.comments += [(self.faults.line, comment) for comment in comments]
        for why in unreadable:
            self.fault(why)
        if self.rules.longest_line and len(raw) > self.rules.longest_line:
            self.fault(f"the line has {len(raw)} characters, at most {self.rules.longest_line} are allowed")
        if not words:
            return
        if self.ended:
            self.fault("it stands after the end of the program; take it out")
            return
        words = self.blocks.without_numbers(words, moved=bool(self.motions))
        if self.indexing.takes(words, tool_called=bool(self.modes.tool), turning=self.modes.turning):
            self.away.append((self.faults.line, self.faults.block, *self.indexing.place))
            self.x = self.z = None  # machine coordinates: where that is is not known here
            self.modes.absolute = False
            return
        codes, values = self.blocks.sorted_words(words)
        self.obey(codes, values)

    def obey(self, codes: dict[str, str], values: dict[str, float]) -> None:
        """Change what is in force in the order of NIST IR 6556, Table 8, then move and stop."""
        self.modes.set(codes, values, moved=bool(self.motions))
        self.set_x_reading(codes)
        axes = [letter for letter in "XZ" if letter in values]
        if "one-block" in codes:
            self.check_one_block(codes["one-block"], values)
            if "motion" in codes:
                self.fault("a motion word and a word for one block stand together; split the block")
        else:
            self.check_company(codes, values)
            self.move(codes, values, axes)
        if "stop" in codes:
            self.stop(codes["stop"])

    def stop(self, word: str) -> None:
        """A stop, or the end: the section after it must state everything anew."""
        here = self.faults
        self.halts.append(Halt(here.line, here.block, word, len(self.motions), self.modes.turning))
        self.ended = word in ("M2", "M30")
        self.modes.stopped()
        self.motion = ""
        self.x_stated = not self.rules.x_words
        self.indexing.begin()

    def set_x_reading(self, codes: dict[str, str]) -> None:
        word = codes.get("X reading")
        if word is None:
            return
        self.x_stated = True
        if self.rules.x_words[word] != self.x_reading:
            self.fault(f"X of the job's program is a {self.x_reading}; this word says the other")

    def check_company(self, codes: dict[str, str], values: dict[str, float]) -> None:
        """The letters that belong to another word of their block."""
        if ("P" in values) != (codes.get("work offset") == "G54.1"):
            self.fault("a P belongs to G04 and G54.1 only, and G54.1 needs one")
        capping = self.rules.cap_beside and codes.get("speed mode") == "G96"
        if "D" in values and "T" not in values and not capping:
            self.fault("a D without a tool changes an offset whose amount is not known here")
        if "H" in values and codes.get("length offset") != "G43":
            self.fault("an H belongs to G43; take it out")

    def check_one_block(self, code: str, values: dict[str, float]) -> None:
        if code == "G4":
            dwell = [letter for letter in values if letter in self.rules.dwell_words]
            if len(dwell) != 1 or values[dwell[0]] < 0:
                self.fault("a dwell needs one time of at least 0; write P")
            others = set(values) - self.rules.dwell_words - set("FST")
        else:
            others = set(values) - {"S", "F", "T"}
        if others:
            word = "/".join(sorted(others))
            self.fault(f"{word} must not stand with this G word: it would shift the coordinates or the dwell")

    def move(self, codes: dict[str, str], values: dict[str, float], axes: list[str]) -> None:
        if "motion" in codes:
            self.motion = codes["motion"]
            if not axes and self.motion != "G80":
                self.fault("a motion word without X or Z moves nothing; take it out or add the axis")
        arc = self.motion in ("G2", "G3")
        if not axes:
            if ("I" in values or "K" in values) and "motion" not in codes:
                self.fault("I and K need an arc and its end; add X or Z")
            return
        if self.motion not in ("G0", "G1", "G2", "G3"):
            self.fault("no motion is in force; write G00 or G01 in this block")
            return
        if not arc and ("I" in values or "K" in values):
            self.fault(f"I and K belong to arcs, G0{self.motion[1]} is in force")
        self.check_modes(rapid=self.motion == "G0", arc=arc)
        self.note_section()
        x = values["X"] * self.x_unit if "X" in values else self.x
        z = values["Z"] * self.unit if "Z" in values else self.z
        if x is not None and z is not None:
            self.go(x, z, values)
        elif self.motion != "G0":
            self.fault("a feed from a place that no block has stated; rapid to X and Z before it")
        self.x, self.z = x, z

    def note_section(self) -> None:
        """Keep the tool and the offsets under which a section begins to move."""
        if len(self.tools) <= len(self.halts):
            here, modes = self.faults, self.modes
            missing = len(self.halts) + 1 - len(self.tools)
            self.tools += [(here.line, here.block, dict(modes.tool))] * missing
            self.offsets += [(here.line, here.block, modes.work_offset)] * missing
        elif self.modes.tool != self.tools[-1][2]:
            why = "the tool call changes after the section has begun to move; call one tool, before it"
            self.fault(why, f"call {len(self.halts)}")

    def check_modes(self, *, rapid: bool, arc: bool) -> None:
        """The words that must be in force before the tool may move."""
        modes, rules, section = self.modes, self.rules, len(self.halts)
        if not modes.units:
            self.fault("units are not stated before the first motion; write G20 or G21", f"units {section}")
        if not self.x_stated:
            words = " or ".join(rules.x_words)
            self.fault(f"whether X is a diameter is not stated; write {words}", f"X {section}")
        if rules.needs_absolute and not modes.absolute:
            why = "absolute X and Z are not stated before the first motion; write G90"
            self.fault(why, f"absolute {section}")
        if rapid:
            return
        if arc and not modes.plane:
            self.fault("the plane is not stated before an arc; write G18", f"plane {section}")
        if not modes.feed_mode:
            words = " or ".join(rules.feed_modes)
            why = f"the kind of feed is not stated before the first cut; write {words}"
            self.fault(why, f"feed mode {section}")
        if not modes.feed:
            self.fault("no feed is in force; write F with a decimal point", f"feed {section}")
        if not modes.turning or modes.speed <= 0:
            why = "a feed while the spindle is not turning; write S and M03 or M04 before it"
            self.fault(why, f"spindle {section}")
        if modes.per_turn > self.radius * MOST_FEED * ROUNDED:
            self.fault(
                f"the feed is {modes.per_turn:.3f} mm/rev, above a quarter of the insert radius "
                f"({self.radius * MOST_FEED:.3f} mm); lower F or look at the kind of feed",
                f"fast {modes.feed}",
            )

    def go(self, x: float, z: float, values: dict[str, float]) -> None:
        """Move to a known place; a feed needs a known start too."""
        if self.motion == "G0":
            self.emit(True, x, z)
        elif self.x is None or self.z is None:
            self.fault("a feed from a place that no block has stated; rapid to X and Z before it")
        elif self.motion == "G1":
            self.emit(False, x, z)
        else:
            self.arc((self.x, self.z), x, z, values)

    def emit(self, rapid: bool, x: float, z: float) -> None:
        self.motions.append(
            Motion(
                self.faults.line,
                self.faults.block,
                rapid,
                None if self.x is None else self.x + self.dx,
                None if self.z is None else self.z + self.dz,
                x + self.dx,
                z + self.dz,
                mode=self.modes.mode(len(self.halts)),
            )
        )

    def arc(self, start: tuple[float, float], x: float, z: float, values: dict[str, float]) -> None:
        if "I" not in values and "K" not in values:
            self.fault("an arc needs its centre; write I and K")
            self.emit(False, x, z)
            return
        i, k = values.get("I", 0.0) * self.unit, values.get("K", 0.0) * self.unit
        xc, zc = start[0] + i, start[1] + k
        radius, at_end = math.hypot(i, k), math.hypot(x - xc, z - zc)
        limit = RADIUS_RULE[self.units]
        if abs(radius - at_end) > limit + 1e-9 or radius <= limit:
            self.fault(
                f"the arc starts {radius:.4f} mm and ends {at_end:.4f} mm from its centre; "
                f"they may differ by {limit:.4f} mm, put I and K right"
            )
            if radius <= limit:
                self.emit(False, x, z)
                return
        self.motions.append(
            arc_motion(
                self.faults.line,
                self.faults.block,
                (start[0] + self.dx, start[1] + self.dz),
                (x + self.dx, z + self.dz),
                (xc + self.dx, zc + self.dz),
                clockwise=self.motion == "G2",
                mode=self.modes.mode(len(self.halts)),
            )
        )
