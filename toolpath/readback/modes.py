"""What is in force between the blocks of a program: units, plane, tool, offsets, feed, speed, coolant."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from toolpath.readback.dialects import WordTable
from toolpath.readback.motions import Mode
from toolpath.units import MM_PER_INCH

_PER_FOOT = 0.3048  # m, exact
Call = Mapping[str, float]  # a tool call: its words, with their numbers where they have one


@dataclass(slots=True)
class Modes:
    """The modal words of one program as they stand; what breaks a rule goes to `fault`."""

    rules: WordTable
    inch: bool  # what the job says
    spindle: int | None  # the M code that alone may start the spindle
    fault: Callable[[str], None]
    units: str = ""
    plane: bool = False
    absolute: bool = False
    feed_mode: str = ""
    feed: float = 0.0  # as written, program units
    turning: bool = False
    speed: float = 0.0  # as written
    surface: bool = False
    cap: float | None = None
    coolant: bool = False
    work_offset: str = ""
    placed: str = ""  # the one work offset of the program
    tool: dict[str, float] = field(default_factory=dict)
    called: float | None = None  # the one tool of the program

    @property
    def unit(self) -> float:
        """One unit of the program, mm."""
        return MM_PER_INCH if self.inch else 1.0

    @property
    def per_turn(self) -> float:
        """The feed in force, mm/rev; 0 where there is none, or none that can be told."""
        feed = self.feed * self.unit
        if self.feed_mode != "minute":
            return feed
        return feed / self.speed if self.speed > 0 and not self.surface else 0.0

    def mode(self, section: int) -> Mode:
        """What a motion runs under, `section` being the number of stops before it."""
        speed = self.speed * (_PER_FOOT if self.surface and self.inch else 1.0)
        return Mode(self.per_turn, self.turning, self.surface, speed, self.cap, self.coolant, section)

    def stopped(self) -> None:
        """Forget what a section must state again: after a stop the program may be started there."""
        self.units = self.feed_mode = self.work_offset = ""
        self.plane = self.absolute = False
        self.feed, self.cap = 0.0, None
        self.tool = {}

    def set(self, codes: dict[str, str], values: dict[str, float], *, moved: bool) -> None:
        """Take over the words of a block, in the order of NIST IR 6556, Table 8."""
        self._set_feed(codes, values)
        self._set_speed(codes, values)
        self._set_tool(codes, values)
        self._set_places(codes, moved)
        if "coolant" in codes:
            self.coolant = codes["coolant"] != "M9"

    def _set_feed(self, codes: dict[str, str], values: dict[str, float]) -> None:
        if "feed mode" in codes:
            mode = self.rules.feed_modes[codes["feed mode"]]
            if mode != self.feed_mode:
                self.feed = 0.0  # a feed of the other kind must not live on
            self.feed_mode = mode
        if "F" in values:
            if values["F"] <= 0:
                self.fault(f"the feed is {values['F']:g}; it must be above 0")
            self.feed = max(0.0, values["F"])

    def _set_speed(self, codes: dict[str, str], values: dict[str, float]) -> None:
        if values.get("S", 0.0) < 0:
            self.fault(f"the speed is {values['S']:g}; it must not be below 0")
        speed = values.get("S", 0.0)
        if self.rules.cap is not None and codes.get("one-block") == self.rules.cap:
            if "speed mode" in codes:
                self.fault("one S cannot be both the cap and the speed; split the block")
            if speed <= 0:
                self.fault("the cap has no S above 0; write the highest spindle speed")
            else:
                self.cap = speed
        elif "speed mode" in codes:
            if speed <= 0:
                self.fault("the S of the other speed mode would live on; write S in this block")
            self.surface, self.speed = codes["speed mode"] == "G96", speed
            if self.surface and self.rules.cap_beside:
                self.cap = values.get("D")
            if self.surface and not self.cap:
                self.fault(f"constant surface speed without a cap; {self.rules.cap_advice}")
        elif "S" in values:
            self.speed = speed
        if "spindle" in codes:
            self.turning = codes["spindle"] != "M5"
            if self.turning and self.spindle is not None and codes["spindle"] != f"M{self.spindle}":
                self.fault(f"the spindle must be started with M0{self.spindle} for this tool; put it back")

    def _set_tool(self, codes: dict[str, str], values: dict[str, float]) -> None:
        if "T" in values:
            tool = values["T"]
            if tool != round(tool) or tool < 0:
                self.fault("a tool word is whole digits")
            if self.called not in (None, tool):
                self.fault("a second tool is called; this check knows one insert, make two programs")
            self.called = tool
            self.tool = {"T": tool}
        if "tool change" in codes:
            self.tool["M6"] = 1.0
        if codes.get("length offset") == "G49":
            for word in ("G43", "H"):
                self.tool.pop(word, None)
        elif "length offset" in codes:
            self.tool["G43"] = 1.0
        if "D" in values and codes.get("speed mode") != "G96":  # there it is the cap
            self.tool["D"] = values["D"]
        if "H" in values:
            self.tool["H"] = values["H"]

    def _set_places(self, codes: dict[str, str], moved: bool) -> None:
        self.plane = self.plane or "plane" in codes
        self.absolute = self.absolute or "distance" in codes
        if "units" in codes:
            self.units = codes["units"]
            if (self.units == "G20") != self.inch:
                said = "inch" if self.inch else "mm"
                self.fault(f"the job's program is in {said}; this word says the other unit")
        if "work offset" in codes:
            if moved and self.placed not in ("", codes["work offset"]):
                self.fault("a second work offset is called; where it lies is not known here")
            self.work_offset = self.placed = codes["work offset"]
