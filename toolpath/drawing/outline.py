"""The section that a layer of a sheet shows: about which axis, which half, and where its crown is."""

import math
from functools import lru_cache
from typing import NamedTuple

from toolpath.drawing.sheet import NO_SECTION, DrawingError, DrawingSheet, Spot, Stroke
from toolpath.drawing.strokes import CLOSE, Tell, chain_of, mirrored, moved, right_of_axis
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import Line
from toolpath.geometry.tolerance import JOIN
from toolpath.units import MM_PER_INCH, MM_PER_METRE

SAME_HALF = 0.01  # mm by which the halves of a full section may differ
LEAST_DEEP = 0.001  # mm; what is no deeper is no dish


class Outline(NamedTuple):
    """A dish as drawn: from the axis outward to its mouth, crown at z = 0; mm."""

    chain: Chain
    told: str  # what was taken: layer, half or full section, axis, units

    @property
    def mouth(self) -> float:
        """Radius of the mouth."""
        return self.chain.outer


@lru_cache(maxsize=16)
def outline_of(sheet: DrawingSheet, layer: str | None) -> Outline:
    """The dish on a layer of a sheet; the only layer with lines where none is stated.

    Raises:
        DrawingError: the layer shows no section of a dish.
    """
    chain, told = path_of(sheet, layer)
    return Outline(_dish(chain), told)


@lru_cache(maxsize=16)
def path_of(sheet: DrawingSheet, layer: str | None) -> tuple[Chain, str]:
    """All of a layer as a chain from the axis outward, heights as on the sheet, and what was taken.

    Raises:
        DrawingError: the layer shows no such chain.
    """
    name = _layer(sheet, layer)
    strokes = [stroke for on, stroke in sheet.strokes if on == name]
    unit = sheet.mm_per_unit

    def place(spot: Spot) -> str:
        return f"x {spot[0] / unit:.3f} y {spot[1] / unit:.3f}"

    for on, kind, spot in sheet.others:
        if on == name:
            raise DrawingError(f"layer {name} holds {kind} at {place(spot)}; {NO_SECTION[kind]}")
    axis, which = _axis(sheet, name, strokes, place)
    chain, half = _about(strokes, axis, place)
    unstated = "" if sheet.units_stated else ", in the job's units, since it states none"
    return (
        chain,
        f"layer {name} of {sheet.name}: {half} section about {which} at x {axis / unit:.3f}{unstated}",
    )


def _layer(sheet: DrawingSheet, layer: str | None) -> str:
    known = sheet.layers()
    if not known and sheet.others:
        return sheet.others[0][0]
    if not known:
        raise DrawingError("it holds no line and no arc")
    listed = ", ".join(known)
    if layer is None:
        if len(known) > 1:
            raise DrawingError(f"it has several layers; state layer, one of {listed}")
        return known[0]
    for name in known:
        if name.casefold() == layer.casefold():
            return name
    if any(on == layer for on, _, _ in sheet.others):
        return layer
    raise DrawingError(f"layer {layer} holds no line and no arc; these layers do: {listed}")


def _axis(sheet: DrawingSheet, layer: str, strokes: list[Stroke], place: Tell) -> tuple[float, str]:
    """The x of the axis, and what it was taken from."""
    on_layer = [x for on, x in sheet.axes if on == layer]
    xs = on_layer or [x for _, x in sheet.axes]
    if xs:
        if max(xs) - min(xs) > CLOSE:
            unit = sheet.mm_per_unit
            raise DrawingError(
                f"there are vertical centre lines at x {min(xs) / unit:.3f} and x {max(xs) / unit:.3f}; "
                "put that of the section on its layer, alone"
            )
        return xs[0], "the vertical centre line"
    ends = [x for stroke in strokes for x, _ in stroke.ends]
    if min(ends) >= -CLOSE and min(ends) <= CLOSE:
        return 0.0, "the sheet's own axis"
    middle = (min(ends) + max(ends)) / 2
    try:
        _about(strokes, middle, place)
    except HalvesDifferError:
        raise DrawingError(
            "the axis is not to be found: draw it as a vertical centre line (line type CENTER), or draw the "
            "half section from x 0"
        ) from None
    return middle, "the mirror line"


class HalvesDifferError(DrawingError):
    """The halves of a full section differ."""


def _about(strokes: list[Stroke], axis: float, place: Tell) -> tuple[Chain, str]:
    """The half section right of an axis, and whether both halves are drawn."""
    here = [moved(stroke, -axis) for stroke in strokes]
    right = [part for stroke in here for part in right_of_axis(stroke)]
    left = [part for stroke in here for part in right_of_axis(mirrored(stroke))]

    def on_right(spot: Spot) -> str:
        return place((axis + spot[0], spot[1]))

    def on_left(spot: Spot) -> str:
        return place((axis - spot[0], spot[1]))

    if not _has_width(left):
        return chain_of(right, on_right), "half"
    if not _has_width(right):
        return chain_of(left, on_left), "half"
    chain, other = chain_of(right, on_right), chain_of(left, on_left)
    for one, against, tell in ((other, chain, on_left), (chain, other, on_right)):
        points = one.points(SAME_HALF / 10)
        off = against.distances(points)
        r, z = map(float, points[int(off.argmax())])
        if off.max() > SAME_HALF:
            raise HalvesDifferError(
                f"its halves differ by {off.max():.3f} mm at {tell((r, z))}; "
                "draw one half, or both alike about the centre line"
            )
    return chain, "full"


def _has_width(strokes: list[Stroke]) -> bool:
    return any(max(x for x, _ in stroke.ends) > CLOSE for stroke in strokes)


def _dish(chain: Chain) -> Chain:
    """The dish of a path: its highest level is the crown, what lies further out is the crown's edge."""
    top = chain.highest
    lifted = chain.moved(-top)
    dish = list(lifted.segments)
    while dish and abs(dish[-1].z2) > JOIN:  # the edge break and the side of the crown
        dish.pop()
    while dish and isinstance(dish[-1], Line) and abs(dish[-1].z1) <= JOIN and abs(dish[-1].z2) <= JOIN:
        dish.pop()
    if not dish or Chain(tuple(dish)).lowest > -LEAST_DEEP:
        raise DrawingError(
            "the section is nowhere deeper than its outer end, as a dish is; draw the crown upward"
        )
    return Chain(tuple(dish))


def unit_doubt(outline: Outline, crown_diameter: float) -> str | None:
    """What is odd about the size of a drawing, against the crown (mm); None where nothing is."""
    across = 2 * outline.mouth
    share = across / crown_diameter
    if 0.08 <= share <= 2.5:
        return None
    names = {
        MM_PER_INCH: "inches",
        1 / MM_PER_INCH: "mm taken for inches",
        10.0: "cm",
        MM_PER_METRE: "metres",
    }
    guess = names.get(min((*names, 0.1, 0.001), key=lambda f: abs(math.log(0.7 / (share * f)))))
    seems = f"; it seems to be in {guess}" if guess else ""
    return (
        f"its mouth is {across:.4g} mm across on a crown of {crown_diameter:.4g} mm{seems}: "
        "save the drawing with its units stated"
    )
