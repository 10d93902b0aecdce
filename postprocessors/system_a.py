"""Turning programs in G-code system A.

Decisions of this dialect:
- absolute by the letters X and Z themselves (U and W would be incremental), feed per revolution (G99);
- never G90, G92 or G94: these are cycles here;
- plane ZX (G18), units G20 inch or G21 mm in a block of their own, before anything else;
- X as a diameter unless the job says radius; arcs by I and K (I as a radius), no R word;
- 3 decimals in mm, 4 in inch;
- spindle cap G50 S, constant surface speed G96 S in m/min or ft/min, fixed speed G97 S;
- tool radius compensation is off (G40): the program carries the path itself;
- the program number is an O word of four digits, the first block; comments are in capitals;
- the turret swings at the home of the axes (G28 W0, then G28 U0: incremental by nothing) or at G53;
- tip numbers of its own table (from memory): 0 for the centre, 2 towards +X -Z, 3 towards -X -Z;
- ends with M30.
"""

from typing import ClassVar, Literal

from postprocessors.writer import Writer


class SystemA(Writer):
    """Writes turning programs in G-code system A; decisions in the module docstring."""

    NAME = "system-a"
    READS_AS = "system-a"
    SURFACE_SPEED = True
    FEED_PER_REV = True
    X_READING: ClassVar[Literal["diameter", "radius"]] = "diameter"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 3, "inch": 4}
    EXTENSION = ".nc"
    UPPER_CASE = True
    TIP_NUMBERS: ClassVar[dict[str, int]] = {"insert-centre": 0, "face-outer": 2, "face-inner": 3}

    def head(self) -> tuple[str, ...]:
        return ("G21" if self.units == "mm" else "G20", "G18 G40 G99")

    def speed_cap(self, rpm: str) -> str | None:
        return f"G50 S{rpm}"

    def surface_speed(self, speed: str, cap: str) -> str:
        return f"G96 S{speed}"

    def fixed_speed(self, rpm: str) -> str:
        return f"G97 S{rpm}"

    def end(self) -> str:
        return "M30"

    def program_number(self, number: int) -> str:
        if not 1 <= number <= 9999:
            raise self.cannot(f"the program number {number} must lie between 1 and 9999")
        return f"O{number:04d}"

    def index(self, axis: str, at: float | None) -> tuple[str, ...]:
        if at is not None:
            return super().index(axis, at)
        return ("G28 W0" if axis == "z" else "G28 U0",)
