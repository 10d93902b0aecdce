"""The drawing office: paper, lines, lettering and figures.

Line types and widths follow ISO 128-2 (thick to thin 2 : 1, dashes in multiples of the line's width),
lettering heights are those of ISO 3098-1. Nothing is told apart by colour alone: every line has its
own type or width, so the pages read the same from a black and white printer.
"""

from typing import Any, Final, Literal, NamedTuple

from toolpath.units import METRES_PER_FOOT, MM_PER_INCH, Units, from_mm

Paper = Literal["a4", "letter"]

SIZES: Final[dict[Paper, tuple[float, float]]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm
MARGIN: Final = 12.0  # mm, enough for any office printer and the holes of a clip
POINT: Final = MM_PER_INCH / 72  # mm
CAPITAL: Final = 0.729  # height of a capital over the size of the type, DejaVu Sans


def height(size: float) -> float:
    """Height of the capitals, mm, of type of `size` points."""
    return size * CAPITAL * POINT


# heights of capitals, mm; nothing is smaller than what is read at arm's length
SMALL: Final = height(9)
PLAIN: Final = height(11)
LARGE: Final = height(16)  # figures to set
HEAD: Final = height(24)  # piston and cut

THICK: Final = 0.5  # mm
THIN: Final = 0.25
HATCH_STEP: Final = 2.6  # mm between hatching lines
ARROW: Final = (2.6, 0.45)  # mm, length and half width of an arrow head

INK: Final = "#000000"
GREY: Final = "#555555"
PALE: Final = "#e9e9e9"  # metal that goes
BLUE: Final = "#123f8c"
BROWN: Final = "#6b3d00"
WHITE: Final = "#ffffff"

SETTINGS: Final[dict[Any, Any]] = {
    "pdf.fonttype": 42,  # whole outlines, so that text can be searched and copied
    "svg.fonttype": "none",
    "svg.hashsalt": "dishpath",
    "font.family": ["DejaVu Sans"],
    "text.parse_math": False,
    "path.simplify": False,
    "axes.linewidth": THIN / POINT,
    "pdf.compression": 6,
}


class Pen(NamedTuple):
    """A line type: width in mm, dashes and gaps in multiples of the width (none: continuous)."""

    width: float
    dashes: tuple[float, ...] = ()
    colour: str = INK

    @property
    def pattern(self) -> tuple[float, tuple[float, ...] | None]:
        """Dash pattern in points."""
        if not self.dashes:
            return (0.0, None)
        return (0.0, tuple(d * self.width / POINT for d in self.dashes))


_LONG, _GAP, _DOT, _DASH = 24.0, 3.0, 0.6, 12.0

OUTLINE: Final = Pen(THICK)  # visible outlines of the finished work
EDGE: Final = Pen(THIN)  # extension, dimension and leader lines
HATCHING: Final = Pen(0.18, colour=GREY)
HIDDEN: Final = Pen(THIN, (_DASH, _GAP))
AXIS: Final = Pen(THIN, (_LONG, _GAP, _DOT, _GAP))
RECEIVED: Final = Pen(THIN, (_LONG, _GAP, _DOT, _GAP, _DOT, _GAP), BROWN)  # outline before the cut
SKIMMED: Final = Pen(THIN, (_DASH, _GAP), BROWN)
LEVEL: Final = Pen(0.18, colour=INK)
PATH: Final = Pen(0.35, (_LONG * 0.6, _GAP, _DOT, _GAP), BLUE)  # where the insert's centre goes
TOOL: Final = Pen(0.35, colour=BLUE)
BODY: Final = Pen(0.35, (_DASH * 0.7, _GAP), BLUE)  # the tool's body
GRIND: Final = Pen(THICK, (_DASH * 0.5, _GAP * 0.7))
THICK_BAR: Final = Pen(0.35)
RULE: Final = Pen(0.18, colour=GREY)


def points(height: float) -> float:
    """Size of type, points, whose capitals are `height` mm tall."""
    return height / CAPITAL / POINT


class Figures(NamedTuple):
    """How lengths are written: always with their unit, in the units of the readout."""

    units: Units

    @property
    def unit(self) -> str:
        """mm or in."""
        return "mm" if self.units == "mm" else "in"

    @property
    def decimals(self) -> int:
        """Thousandths of a mm, ten-thousandths of an inch."""
        return 3 if self.units == "mm" else 4

    def number(self, mm: float) -> str:
        """The bare number; never a negative zero."""
        return f"{round(from_mm(mm, self.units), self.decimals) + 0.0:.{self.decimals}f}"

    def length(self, mm: float) -> str:
        """A length with its unit."""
        return f"{self.number(mm)} {self.unit}"

    def surface_speed(self, speed: float) -> str:
        """A surface speed with its unit, from m/min."""
        return f"{speed:.0f} m/min" if self.units == "mm" else f"{speed / METRES_PER_FOOT:.0f} ft/min"

    def across(self, radius: float) -> str:
        """A diameter with its sign and unit, from a radius in mm."""
        return f"Ø {self.length(2 * radius)}"
