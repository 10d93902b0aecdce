"""RS274/NGC programs for lathes, with the lathe words of the open machine control that reads them.

Decisions of this dialect, tried on that control's own interpreter:
- as `rs274ngc`: absolute (G90), plane ZX (G18), units G20 inch or G21 mm, exact path (G61), arcs by I and K,
  4 decimals in mm, 5 in inch, G53 alone for the turret, the program number as a comment, M02 at the end;
- X as a diameter (G7) unless the job says radius (G8); I is a radius under both;
- feed per revolution (G95); constant surface speed G96 with the cap as its D; fixed speed G97 S;
- the tool is called in and its own offset taken: T1 M6, then G43;
- tip numbers of its own tool table: 9 for the centre, 3 towards +X -Z, 2 towards -X -Z.
"""

from typing import ClassVar, Literal

from postprocessors.rs274ngc import Rs274ngc


class Rs274Lathe(Rs274ngc):
    """Writes RS274/NGC programs for lathes; decisions in the module docstring."""

    NAME = "rs274-lathe"
    READS_AS = "rs274-lathe"
    SURFACE_SPEED = True
    FEED_PER_REV = True
    X_READING: ClassVar[Literal["diameter", "radius"]] = "diameter"
    DECIMALS: ClassVar[dict[str, int]] = {"mm": 4, "inch": 5}
    EXTENSION = ".nc"
    TOOL = "T1 M6 G43"
    TIP_NUMBERS: ClassVar[dict[str, int]] = {"insert-centre": 9, "face-outer": 3, "face-inner": 2}

    def head(self) -> tuple[str, ...]:
        x = "G7" if self.program.header.x_reading == "diameter" else "G8"
        return (f"G18 {'G21' if self.units == 'mm' else 'G20'} {x} G40 G90 G95 G61",)

    def speed_cap(self, rpm: str) -> str | None:
        return None  # it stands with the surface speed

    def surface_speed(self, speed: str, cap: str) -> str:
        if not cap:
            raise self.cannot("a surface speed needs a cap before it")
        return f"G96 D{cap} S{speed}"

    def fixed_speed(self, rpm: str) -> str:
        return f"G97 S{rpm}"

    def end(self) -> str:
        return "M02"
