"""RS274/NGC programs, to the letter of NIST IR 6556 (17 Aug 2000).

Decisions of this dialect:
- absolute (G90), feed per minute (G94), plane ZX (G18), units G20 inch or G21 mm;
- X as a radius unless the job says diameter: the report knows no diameter mode;
- arcs by I and K, no R word; 4 decimals in mm, 5 in inch, since start and end radius may differ
  by 0.002 mm only (3.5.3.2);
- fixed speeds by S alone: there is no cap and no constant surface speed (no G50, G96, G97);
- cutter radius compensation is off (G40; G41 and G42 are errors in this plane, 3.5.10);
- a tool length offset stays as it was at the touch-off: G43 and G49 are not written;
- the program number is a comment (no O word, Table 3);
- ends with M02: M30 would also exchange a pallet (3.6.1).
"""

from typing import ClassVar, Literal

from postprocessors.writer import Writer


class Rs274ngc(Writer):
    """Writes RS274/NGC programs; decisions in the module docstring."""

    NAME = "rs274ngc"
    READS_AS = "rs274ngc"
    SURFACE_SPEED = False
    FEED_PER_REV = False
    PROOF_STOP = True  # nothing in the text itself tells the control whether X is a radius
    X_READING: ClassVar[Literal["diameter", "radius"]] = "radius"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 4, "inch": 5}
    EXTENSION = ".nc"
    WORK_OFFSET = r"G5[4-9]|G59\.[1-3]"
    TOOL_WORD = r"T\d{1,5}( M0?6)?"

    def head(self) -> tuple[str, ...]:
        return (f"G18 {'G21' if self.units == 'mm' else 'G20'} G40 G90 G94",)

    def speed_cap(self, rpm: str) -> str:
        raise self.cannot(f"there is no spindle cap (S{rpm}); give fixed speeds")

    def surface_speed(self, speed: str) -> str:
        raise self.cannot(f"there is no constant surface speed (S{speed}); give fixed speeds")

    def fixed_speed(self, rpm: str) -> str:
        return f"S{rpm}"

    def end(self) -> str:
        return "M02"
