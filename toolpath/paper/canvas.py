"""A sheet of paper measured in mm: lines, hatching, dimensions and lettering."""

import io
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from toolpath.geometry.chain import Chain
from toolpath.paper import style
from toolpath.paper.labels import (
    LEADING,
    Across,
    Box,
    Spot,
    Taken,
    box_of,
    width_of,
    wrapped,
)
from toolpath.paper.letters import Face, drawable, properties
from toolpath.units import MM_PER_INCH

Floats = NDArray[np.float64]

SAGITTA = 0.02  # mm on the paper between an arc and the chords that draw it


class View(NamedTuple):
    """From the piston to the paper: Z to the right and X up, `scale` mm of paper for a mm of metal."""

    x: float  # paper, of the point z = 0 on the axis
    y: float
    scale: float

    def spot(self, r: float, z: float) -> Spot:
        """A point of the section on the paper."""
        return (self.x + self.scale * z, self.y + self.scale * r)

    def trace(self, rz: Floats) -> Floats:
        """Points (N, 2) of the section as points on the paper."""
        return np.column_stack((self.x + self.scale * rz[:, 1], self.y + self.scale * rz[:, 0]))

    def chain(self, chain: Chain) -> Floats:
        """A chain on the paper."""
        return self.trace(chain.points(SAGITTA / self.scale))


class Page:
    """One page; everything is given in mm from its lower left corner."""

    def __init__(self, paper: style.Paper, figure: Figure | None = None) -> None:
        self.paper = paper
        self.width, self.height = style.SIZES[paper]
        self.figure = Figure() if figure is None else figure
        self.figure.set_size_inches(self.width / MM_PER_INCH, self.height / MM_PER_INCH)
        self.axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0.0, self.width)
        self.axes.set_ylim(0.0, self.height)
        self.axes.set_axis_off()
        self.taken = Taken()
        self._lines: dict[tuple[style.Pen, Box | None], list[Any]] = defaultdict(list)

    @property
    def inside(self) -> Box:
        """The page within its margins."""
        m = style.MARGIN
        return Box(m, m, self.width - m, self.height - m)

    # ---- lines ---------------------------------------------------------------------------------

    def line(self, kind: style.Pen, *traces: Sequence[Spot] | Floats, within: Box | None = None) -> None:
        """Lines of one type, cut off at the box `within`."""
        self._lines[kind, within].extend(traces)

    def circle(
        self,
        kind: style.Pen,
        at: Spot,
        radius: float,
        *,
        within: Box | None = None,
        arc: Spot = (0.0, 360.0),
    ) -> None:
        """A circle, or its arc between two angles in degrees."""
        self.line(kind, self.ring(at, radius, arc), within=within)

    @staticmethod
    def ring(at: Spot, radius: float, arc: Spot = (0.0, 360.0)) -> Floats:
        """Points of a circle, or of its arc between two angles in degrees, (N, 2)."""
        t = np.radians(np.linspace(*arc, max(9, int(abs(arc[1] - arc[0]) / 3))))
        return np.column_stack((at[0] + radius * np.cos(t), at[1] + radius * np.sin(t)))

    def tool(self, at: Spot, radius: float, *, within: Box | None = None) -> None:
        """An insert with a cross at its centre."""
        self.circle(style.TOOL, at, radius, within=within)
        self.cross(style.TOOL, at, 1.3, within=within)

    def cross(self, kind: style.Pen, at: Spot, half: float, *, within: Box | None = None) -> None:
        """An upright cross."""
        x, y = at
        self.line(kind, [(x - half, y), (x + half, y)], [(x, y - half), (x, y + half)], within=within)

    def outline(self, kind: style.Pen, box: Box) -> None:
        """The four sides of a box."""
        left, bottom, right, top = box.left, box.bottom, box.right, box.top
        self.line(kind, [(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)])

    def fill(
        self, colour: str, *outlines: Sequence[Spot] | Floats, within: Box | None = None, above: bool = False
    ) -> None:
        """Areas without an edge."""
        patch = PolyCollection(
            [np.asarray(o) for o in outlines],
            facecolors=colour,
            edgecolors="none",
            linewidths=0,
            zorder=2.5 if above else 1,
        )
        self.axes.add_collection(patch, autolim=False)
        if within is not None:
            patch.set_clip_path(self._window(within))

    def hatch(self, outline: Floats, *, step: float = style.HATCH_STEP, falling: bool = False) -> None:
        """Thin lines at 45 degrees over an area."""
        (left, low), (right, high) = outline.min(axis=0), outline.max(axis=0)
        tall = high - low
        starts = np.arange(math.floor((left - tall) / step) * step, right, step)
        first, last = (high, low) if falling else (low, high)
        lines = LineCollection(
            [[(s, first), (s + tall, last)] for s in starts],
            linewidths=style.HATCHING.width / style.POINT,
            colors=style.HATCHING.colour,
            zorder=1.5,
        )
        self.axes.add_collection(lines, autolim=False)
        clip = PolyCollection([outline])
        lines.set_clip_path(clip.get_paths()[0], self.axes.transData)

    def arrow(self, tip: Spot, towards: float, colour: str = style.INK) -> None:
        """An arrow head with its tip there, pointing along `towards` (rad)."""
        long, half = style.ARROW
        c, s = math.cos(towards), math.sin(towards)
        base = (tip[0] - long * c, tip[1] - long * s)
        self.fill(
            colour,
            [tip, (base[0] - half * s, base[1] + half * c), (base[0] + half * s, base[1] - half * c)],
            above=True,
        )

    def _window(self, box: Box) -> Rectangle:
        corner, wide, tall = (box.left, box.bottom), box.right - box.left, box.top - box.bottom
        return Rectangle(corner, wide, tall, transform=self.axes.transData)

    # ---- lettering -----------------------------------------------------------------------------

    def text(
        self,
        x: float,
        y: float,
        text: str,
        height: float = style.PLAIN,
        *,
        across: Across = "left",
        face: Face = "sans",
        upright: bool = True,
        colour: str = style.INK,
        clear: bool = False,
    ) -> Box:
        """Lettering on its first base line at (x, y); `clear` wipes the drawing behind it."""
        box = box_of(x, y, text, height, across=across, face=face, upright=upright)
        behind = {"facecolor": style.WHITE, "edgecolor": "none", "pad": 1.2} if clear else None
        for k, line in enumerate(text.split("\n")):
            down = k * LEADING * height
            self.axes.text(
                x if upright else x + down,
                y - down if upright else y,
                drawable(line, face),
                fontproperties=properties(face),
                fontsize=style.points(height),
                ha="left" if not upright and across == "left" else across,
                va="baseline",
                rotation=0 if upright else 90,
                rotation_mode="anchor",
                color=colour,
                bbox=behind,
                zorder=4,
            )
        self.taken.add(box)
        return box

    def place(
        self,
        text: str,
        height: float,
        spots: Iterable[tuple[float, float, Across]],
        *,
        inside: Box | None = None,
    ) -> Box:
        """Lettering at the first of the spots where nothing is in its way and, if it can be, inside a box."""
        choices = list(spots)
        boxes = [box_of(x, y, text, height, across=a, upright=True) for x, y, a in choices]
        if inside is not None:
            within = [k for k, box in enumerate(boxes) if box.within(inside)]
            choices = [choices[k] for k in within] or choices
            boxes = [boxes[k] for k in within] or boxes
        x, y, across = choices[self.taken.first_free(boxes)]
        return self.text(x, y, text, height, across=across, clear=True)

    def place_upwards(self, text: str, height: float, x: float, places: Sequence[float]) -> Box:
        """Lettering that reads upwards, centred on the first of the places (y) where nothing is in its way."""
        boxes = [box_of(x, y, text, height, across="center", upright=False) for y in places]
        y = places[self.taken.first_free(boxes)]
        return self.text(x, y, text, height, across="center", upright=False, clear=True)

    def paragraph(
        self, x: float, y: float, text: str, width: float, height: float = style.PLAIN, *, face: Face = "sans"
    ) -> float:
        """Text broken to a width, from its first base line down; gives the next base line."""
        for line in wrapped(text, width, height, face):
            self.text(x, y, line, height, face=face)
            y -= LEADING * height
        return y

    # ---- dimensions ----------------------------------------------------------------------------

    def dimension_across(
        self, x1: float, x2: float, y: float, text: str, height: float = style.SMALL
    ) -> None:
        """A horizontal dimension; arrows turn inward and the figure steps aside where it is short."""
        left, right = sorted((x1, x2))
        wide = width_of(text, height)
        long = style.ARROW[0]
        if right - left >= 2 * long + 1:
            self.line(style.EDGE, [(left, y), (right, y)])
            self.arrow((left, y), math.pi)
            self.arrow((right, y), 0.0)
        else:
            self.line(style.EDGE, [(left - 2 * long, y), (right + 2 * long, y)])
            self.arrow((left, y), 0.0)
            self.arrow((right, y), math.pi)
        base = y - height / 2
        spots: list[tuple[float, float, Across]] = [
            (right + 2 * long + 1.5, base, "left"),
            (left - 2 * long - 1.5, base, "right"),
        ]
        if spots[0][0] + wide > self.inside.right:
            spots.reverse()
        if right - left >= wide + 2 * long + 2:
            spots.insert(0, ((left + right) / 2, base, "center"))
        self.place(text, height, spots)

    # ---- out -----------------------------------------------------------------------------------

    def done(self) -> Figure:
        """The figure with everything on it."""
        for (kind, within), traces in self._lines.items():
            lines = LineCollection(
                [np.asarray(t) for t in traces],
                linewidths=kind.width / style.POINT,
                colors=kind.colour,
                linestyles=[kind.pattern],
                capstyle="butt" if kind.dashes else "round",
                joinstyle="round",
                zorder=3 if kind.width >= style.THICK else 2,
            )
            self.axes.add_collection(lines, autolim=False)
            if within is not None:
                lines.set_clip_path(self._window(within))
        self._lines.clear()
        return self.figure

    def picture(self, ending: str, dpi: float) -> bytes:
        """The page as a file of that kind."""
        out = io.BytesIO()
        metadata: dict[str, None] = {
            "png": {"Software": None},
            "svg": {"Date": None, "Creator": None},
            "pdf": {"CreationDate": None, "Producer": None, "Creator": None},
        }[ending]
        self.done().savefig(out, format=ending, dpi=dpi, metadata=metadata)
        return out.getvalue()
