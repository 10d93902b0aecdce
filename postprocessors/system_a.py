"""Turning programs in G-code system A.

Decisions of this dialect:
- absolute by the letters X and Z themselves (U and W would be incremental), feed per revolution (G99);
- never G90, G92 or G94: these are cycles here;
- plane ZX (G18), units G20 inch or G21 mm in a block of their own, before anything else;
- X as a diameter unless the job says radius; arcs by I and K (I as a radius), no R word;
- 3 decimals in mm, 4 in inch;
- spindle cap G50 S, constant surface speed G96 S in m/min or ft/min, fixed speed G97 S;
- tool radius compensation is off (G40): the program carries the path itself;
- the program number is an O word of four digits, the first block;
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

    def head(self) -> tuple[str, ...]:
        return ("G21" if self.units == "mm" else "G20", "G18 G40 G99")

    def speed_cap(self, rpm: str) -> str:
        return f"G50 S{rpm}"

    def surface_speed(self, speed: str) -> str:
        return f"G96 S{speed}"

    def fixed_speed(self, rpm: str) -> str:
        return f"G97 S{rpm}"

    def end(self) -> str:
        return "M30"

    def program_number(self, number: int) -> str:
        if not 1 <= number <= 9999:
            raise self.cannot(f"the program number {number} must lie between 1 and 9999")
        return f"O{number:04d}"
