"""RS274/NGC programs, to the letter of NIST IR 6556 (17 Aug 2000).

Decisions of this dialect:
- absolute (G90), feed per minute (G94), plane ZX (G18), units G20 inch or G21 mm, exact path (G61);
- X as a radius unless the job says diameter: the report knows no diameter mode;
- arcs by I and K, no R word; 4 decimals in mm, 5 in inch, since start and end radius may differ
  by 0.002 mm only (3.5.3.2);
- fixed speeds by S alone: there is no cap and no constant surface speed (no G50, G96, G97);
- cutter radius compensation is off (G40; G41 and G42 are errors in this plane, 3.5.10);
- the tool is called in (T1 M6: a T alone only chooses a carousel slot, 3.7.3) and its length offset taken
  (G43 H1) in a block of its own; a stale length in the table would be added, so both are told before the
  touch-off;
- no word for the home of an axis that could not pass through the work: G53 alone;
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
    X_READING: ClassVar[Literal["diameter", "radius"]] = "radius"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 4, "inch": 5}
    EXTENSION = ".nc"
    WORK_OFFSET = r"G5[4-9]|G59\.[1-3]"
    TOOL_WORD = r"T\d{1,5} M0?6( G43( H\d{1,5})?)?"
    TOOL = "T1 M6 G43 H1"
    BEFORE_TOUCH_OFF = "Before touching off, MDI: {tool} and {offset}, else a stale length is added"

    def head(self) -> tuple[str, ...]:
        return (f"G18 {'G21' if self.units == 'mm' else 'G20'} G40 G90 G94 G61",)

    def speed_cap(self, rpm: str) -> str | None:
        raise self.cannot(f"there is no spindle cap (S{rpm}); give fixed speeds")

    def surface_speed(self, speed: str, cap: str) -> str:
        raise self.cannot(f"there is no constant surface speed (S{speed}); give fixed speeds")

    def fixed_speed(self, rpm: str) -> str:
        return f"S{rpm}"

    def end(self) -> str:
        return "M02"

    def tool_call(self, words: str) -> tuple[str, ...]:
        called, offset, number = words.partition(" G43")
        return (called, f"G43{number}") if offset else (words,)
