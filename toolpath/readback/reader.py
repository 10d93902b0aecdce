"""A program's text to motions of the insert centre, with every broken rule named.

This reader shares nothing with the writers: its own words, its own modal state. It is strict: a
word that it does not know, or that could move the tool in a way it cannot follow, is a fault.
"""

import math
from dataclasses import dataclass
from typing import Literal

from toolpath.readback.blocks import Blocks, Faults
from toolpath.readback.dialects import RULES, Dialect, Rules
from toolpath.readback.motions import ControlPoint, Fault, Mode, Motion, arc_motion, centre_offset
from toolpath.readback.tokens import shortened, words_of

RADIUS_RULE = {"mm": 0.002, "inch": 0.0002 * 25.4}  # mm; NIST IR 6556, 3.5.3.2
_MOTION = {0: "G00", 10: "G01", 20: "G02", 30: "G03"}


@dataclass(frozen=True, slots=True)
class Reading:
    """All motions in order, and all faults in order of line."""

    motions: tuple[Motion, ...]
    faults: tuple[Fault, ...]


@dataclass(slots=True)
class _State:
    """What is in force between blocks; positions are the programmed ones in mm, X as radius."""

    x: float | None = None
    z: float | None = None
    motion: int | None = None
    units: int | None = None
    plane: bool = False
    absolute: bool = False
    feed_mode: str = ""
    feed: float = 0.0  # as written, program units
    turning: bool = False
    speed: float = 0.0
    surface: bool = False
    cap: float | None = None  # rev/min
    offset: int | None = None
    tool: int | None = None
    ended: bool = False


def read(
    text: str,
    *,
    dialect: Dialect,
    units: Literal["mm", "inch"],
    x_reading: Literal["diameter", "radius"],
    control_point: ControlPoint,
    insert_radius: float,
    spindle: int | None = None,
) -> Reading:
    """Read a whole program; `insert_radius` in mm. Nothing raises: faults are in the answer.

    `spindle` is the M code, 3 or 4, that alone may start the spindle.
    """
    reader = _Reader(RULES[dialect], units, x_reading, control_point, insert_radius, spindle)
    return reader.run(text)


class _Reader:
    def __init__(
        self,
        rules: Rules,
        units: str,
        x_reading: str,
        control_point: ControlPoint,
        radius: float,
        spindle: int | None,
    ) -> None:
        self.rules, self.units, self.radius = rules, units, radius
        self.unit = 25.4 if units == "inch" else 1.0
        self.x_unit = self.unit / 2 if x_reading == "diameter" else self.unit
        self.dx, self.dz = centre_offset(control_point, radius)
        self.state = _State()
        self.motions: list[Motion] = []
        self.faults = Faults()
        self.fault = self.faults.add
        self.blocks = Blocks(rules, self.faults)
        self.spindle = spindle

    def run(self, text: str) -> Reading:
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
            self.read_block(raw)
        self.faults.line, self.faults.block = last, shortened(lines[last - 1].strip())
        if opened and not closed:
            self.fault("the program starts with % and does not end with one; add it")
        if not self.state.ended and not (self.rules.end_by_percent and closed):
            self.fault("the program has no end; add M30")
        return Reading(tuple(self.motions), tuple(self.faults.found))

    def read_block(self, raw: str) -> None:
        words, unreadable = words_of(raw)
        for why in unreadable:
            self.fault(why)
        if self.rules.longest_line and len(raw) > self.rules.longest_line:
            self.fault(f"the line has {len(raw)} characters, at most {self.rules.longest_line} are allowed")
        if not words:
            return
        if self.state.ended:
            self.fault("it stands after the end of the program; take it out")
            return
        words = self.blocks.without_numbers(words, moved=bool(self.motions))
        codes, values = self.blocks.sorted_words(words)
        self.obey(codes, values)

    def obey(self, codes: dict[str, int], values: dict[str, float]) -> None:
        """Change the state in the order of NIST IR 6556, Table 8, then move."""
        self.set_feed(codes, values)
        self.set_speed(codes, values)
        self.set_modes(codes, values)
        axes = [letter for letter in "XZ" if letter in values]
        if "one-block" in codes:
            self.check_one_block(codes["one-block"], values)
            if "motion" in codes:
                self.fault("a motion word and a word for one block stand together; split the block")
        else:
            if ("P" in values) != (codes.get("work offset") == 541):
                self.fault("a P belongs to G04 and G54.1 only, and G54.1 needs one")
            if "D" in values and "T" not in values:
                self.fault("a D without a tool changes an offset whose amount is not known here")
            self.move(codes, values, axes)
        if codes.get("M stop") in (2, 30):
            self.state.ended = True

    def set_feed(self, codes: dict[str, int], values: dict[str, float]) -> None:
        state = self.state
        if "feed mode" in codes:
            mode = self.rules.feed_modes[codes["feed mode"]]
            if mode != state.feed_mode:
                state.feed = 0.0  # a feed of the other kind must not live on
            state.feed_mode = mode
        if "F" in values:
            if values["F"] <= 0:
                self.fault(f"the feed is {values['F']:g}; it must be above 0")
            state.feed = max(0.0, values["F"])

    def set_speed(self, codes: dict[str, int], values: dict[str, float]) -> None:
        state = self.state
        caps = self.rules.cap is not None and codes.get("one-block") == self.rules.cap
        if "S" in values and values["S"] < 0:
            self.fault(f"the speed is {values['S']:g}; it must not be below 0")
        if caps:
            if "speed mode" in codes:
                self.fault("one S cannot be both the cap and the speed; split the block")
            if values.get("S", 0.0) <= 0:
                self.fault("the cap has no S above 0; write the highest spindle speed")
            else:
                state.cap = values["S"]
        elif "speed mode" in codes:
            if values.get("S", 0.0) <= 0:
                self.fault("the S of the other speed mode would live on; write S in this block")
            state.surface = codes["speed mode"] == 960
            state.speed = values.get("S", 0.0)
            if state.surface and state.cap is None:
                self.fault("constant surface speed without a cap; cap the spindle in a block before")
        elif "S" in values:
            state.speed = values["S"]
        if "M spindle" in codes:
            state.turning = codes["M spindle"] != 5
            if state.turning and self.spindle is not None and codes["M spindle"] != self.spindle:
                self.fault(f"the spindle must be started with M0{self.spindle} for this tool; put it back")
        if "T" in values:
            tool = round(values["T"])
            if tool != values["T"] or tool < 0:
                self.fault("a tool word is whole digits")
            if state.tool not in (None, tool):
                self.fault("a second tool is called; this check knows one insert, make two programs")
            state.tool = tool

    def set_modes(self, codes: dict[str, int], values: dict[str, float]) -> None:
        state = self.state
        state.plane = state.plane or "plane" in codes
        state.absolute = state.absolute or "distance" in codes
        if "units" in codes:
            state.units = codes["units"]
            if (state.units == 200) != (self.units == "inch"):
                self.fault(f"the job's program is in {self.units}; this word says the other unit")
        if "work offset" in codes:
            if self.motions and state.offset not in (None, codes["work offset"]):
                self.fault("a second work offset is called; where it lies is not known here")
            state.offset = codes["work offset"]

    def check_one_block(self, code: int, values: dict[str, float]) -> None:
        if code == 40:
            dwell = [letter for letter in values if letter in self.rules.dwell_words]
            if len(dwell) != 1 or values[dwell[0]] < 0:
                self.fault("a dwell needs one time of at least 0; write P")
            others = set(values) - self.rules.dwell_words - set("FST")
        else:
            others = set(values) - {"S", "F", "T"}
        if others:
            word = "/".join(sorted(others))
            self.fault(f"{word} must not stand with this G word: it would shift the coordinates or the dwell")

    def move(self, codes: dict[str, int], values: dict[str, float], axes: list[str]) -> None:
        state = self.state
        if "motion" in codes:
            state.motion = codes["motion"]
            if not axes and state.motion != 800:
                self.fault("a motion word without X or Z moves nothing; take it out or add the axis")
        arc = state.motion in (20, 30)
        if not axes:
            if ("I" in values or "K" in values) and "motion" not in codes:
                self.fault("I and K need an arc and its end; add X or Z")
            return
        if state.motion not in _MOTION:
            self.fault("no motion is in force; write G00 or G01 in this block")
            return
        if not arc and ("I" in values or "K" in values):
            self.fault(f"I and K belong to arcs, {_MOTION[state.motion]} is in force")
        self.check_modes(rapid=state.motion == 0, arc=arc)
        x = values["X"] * self.x_unit if "X" in values else state.x
        z = values["Z"] * self.unit if "Z" in values else state.z
        if state.motion == 0:
            self.rapid(x, z)
        elif state.x is None or state.z is None:
            self.fault("a feed from a place that no block has stated; rapid to X and Z before it")
        elif arc:
            self.arc(x, z, values)
        else:
            self.emit(False, x, z)
        state.x, state.z = x, z

    def check_modes(self, *, rapid: bool, arc: bool) -> None:
        """The words that must be in force before the tool may move."""
        state, rules = self.state, self.rules
        if state.units is None:
            self.fault("units are not stated before the first motion; write G20 or G21", "units")
        if rules.needs_absolute and not state.absolute:
            self.fault("absolute X and Z are not stated before the first motion; write G90", "absolute")
        if rapid:
            return
        if arc and not state.plane:
            self.fault("the plane is not stated before an arc; write G18", "plane")
        if not state.feed_mode:
            words = " or ".join(f"G{key // 10}" for key in rules.feed_modes)
            self.fault(f"the kind of feed is not stated before the first cut; write {words}", "feed mode")
        if not state.feed:
            self.fault("no feed is in force; write F with a decimal point", f"feed {state.feed_mode}")
        if not state.turning or state.speed <= 0:
            self.fault("a feed while the spindle is not turning; write S and M03 or M04 before it", "spindle")
        per_rev = state.feed * self.unit
        if state.feed_mode == "minute":
            per_rev = per_rev / state.speed if state.speed > 0 and not state.surface else 0.0
        if per_rev > self.radius / 2:
            self.fault(
                f"the feed is {per_rev:.3f} mm/rev, above half the insert radius "
                f"({self.radius / 2:.3f} mm); lower F or look at the kind of feed",
                f"fast {state.feed}",
            )

    def rapid(self, x: float | None, z: float | None) -> None:
        """A rapid; until both axes have been stated there is no place to check."""
        if x is not None and z is not None:
            self.emit(True, x, z)

    def emit(self, rapid: bool, x: float | None, z: float | None) -> None:
        state = self.state
        assert x is not None
        assert z is not None
        self.motions.append(
            Motion(
                self.faults.line,
                self.faults.block,
                rapid,
                None if state.x is None else state.x + self.dx,
                None if state.z is None else state.z + self.dz,
                x + self.dx,
                z + self.dz,
                mode=self.mode(),
            )
        )

    def mode(self) -> Mode:
        """What is in force now, in mm and metres."""
        state = self.state
        feed = state.feed * self.unit
        if state.feed_mode == "minute":
            feed = feed / state.speed if state.speed > 0 and not state.surface else 0.0
        metres = self.unit * 12 / 1000 if self.units == "inch" else 1.0  # feet to metres
        speed = state.speed * (metres if state.surface else 1.0)
        return Mode(feed, state.turning, state.surface, speed, state.cap)

    def arc(self, x: float | None, z: float | None, values: dict[str, float]) -> None:
        state = self.state
        assert x is not None
        assert z is not None
        assert state.x is not None
        assert state.z is not None
        if "I" not in values and "K" not in values:
            self.fault("an arc needs its centre; write I and K")
            self.emit(False, x, z)
            return
        i, k = values.get("I", 0.0) * self.unit, values.get("K", 0.0) * self.unit
        xc, zc = state.x + i, state.z + k
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
                (state.x + self.dx, state.z + self.dz),
                (x + self.dx, z + self.dz),
                (xc + self.dx, zc + self.dz),
                clockwise=state.motion == 20,
                mode=self.mode(),
            )
        )
