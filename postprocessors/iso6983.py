"""ISO 6983-1 turning programs.

Decisions of this dialect:
- absolute (G90), feed per revolution (G95), plane ZX (G18), units G20 inch or G21 mm;
- X as a diameter unless the job says radius; arcs by I and K (I as a radius), no R word;
- 3 decimals in mm, 4 in inch;
- spindle cap G92 S, constant surface speed G96 S in m/min or ft/min, fixed speed G97 S;
- tool radius compensation is off (G40): the program carries the path itself;
- the program number is a comment; comments are in capitals;
- the turret swings at the home of the axes (G91 G28, one axis a block, then G90) or at G53;
- ends with M30.

From memory, the standard's own tables were not read: G92 S as the cap, and G20 and G21, which most
controls read where the older EIA list has G70 and G71.
"""

from typing import ClassVar, Literal

from postprocessors.writer import Writer


class Iso6983(Writer):
    """Writes turning programs in the words of ISO 6983-1; decisions, and what is from memory, stand above."""

    NAME = "iso6983"
    READS_AS = "iso6983"
    SURFACE_SPEED = True
    FEED_PER_REV = True
    X_READING: ClassVar[Literal["diameter", "radius"]] = "diameter"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 3, "inch": 4}
    EXTENSION = ".nc"
    UPPER_CASE = True

    def head(self) -> tuple[str, ...]:
        return (f"G18 {'G21' if self.units == 'mm' else 'G20'} G40 G90 G95",)

    def speed_cap(self, rpm: str) -> str | None:
        return f"G92 S{rpm}"

    def surface_speed(self, speed: str, cap: str) -> str:
        return f"G96 S{speed}"

    def fixed_speed(self, rpm: str) -> str:
        return f"G97 S{rpm}"

    def end(self) -> str:
        return "M30"

    def index(self, axis: str, at: float | None) -> tuple[str, ...]:
        if at is not None:
            return super().index(axis, at)
        home = (f"G91 G28 {axis.upper()}0.0",)
        return home if axis == "z" else (*home, "G90")  # Z goes first
