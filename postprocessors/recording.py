"""A writer that keeps the calls of its hooks as plain tuples, for tests of what comes before a writer."""

from typing import ClassVar, Literal

from postprocessors.writer import Writer
from toolpath.moves import Arc, Line, Program, Rapid

Call = tuple[str | float | bool | None, ...]


class RecordingWriter(Writer):
    """After `text()`, `calls` holds one tuple a hook call: its name, then the fields as they came."""

    NAME = "recording"
    READS_AS = "recording"
    SURFACE_SPEED = True
    FEED_PER_REV = True
    X_READING: ClassVar[Literal["diameter", "radius"]] = "diameter"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 3, "inch": 4}
    EXTENSION = ".txt"

    def __init__(self, program: Program) -> None:
        super().__init__(program)
        self.calls: list[Call] = []

    def _keep(self, *call: str | float | bool | None) -> str:
        self.calls.append(call)
        return " ".join(map(str, call))

    def head(self) -> tuple[str, ...]:
        return (self._keep("head"),)

    def speed_cap(self, rpm: str) -> str | None:
        return self._keep("speed_cap", rpm)

    def surface_speed(self, speed: str, cap: str) -> str:
        return self._keep("surface_speed", speed, cap)

    def fixed_speed(self, rpm: str) -> str:
        return self._keep("fixed_speed", rpm)

    def end(self) -> str:
        return self._keep("end")

    def comment(self, text: str) -> str:
        return self._keep("comment", text)

    def rapid(self, move: Rapid) -> str:
        return self._keep("rapid", move.x, move.z)

    def line(self, move: Line) -> str:
        return self._keep("line", move.x, move.z, move.feed)

    def arc(self, move: Arc) -> str:
        return self._keep("arc", move.x, move.z, move.i, move.k, move.clockwise, move.feed)

    def stop(self, optional: bool) -> str:
        return self._keep("stop", optional)

    def spindle_start(self, sense: Literal["cw", "ccw"]) -> str:
        return self._keep("spindle_start", sense)

    def spindle_stop(self) -> str:
        return self._keep("spindle_stop")

    def coolant(self, on: bool) -> str:
        return self._keep("coolant", on)
