"""What stands on a sheet: straight and round strokes by layer, and the vertical centre lines.

Coordinates are mm on the sheet, x to the right and y up, angles rad; a round stroke runs
counter-clockwise from a1 to a2.
"""

import io
import math
from collections.abc import Iterator
from typing import Any, Final, NamedTuple, TypeAlias

from toolpath.drawing.library import dxf_library
from toolpath.units import MM_PER_INCH

Spot: TypeAlias = tuple[float, float]
MM_PER_UNIT: Final = {1: MM_PER_INCH, 4: 1.0, 5: 10.0}  # $INSUNITS; nobody draws a piston in another unit
NO_SECTION: Final = {  # what may look like a part of a section, and what to do with it
    "SPLINE": "draw it as arcs",
    "ELLIPSE": "draw it as arcs",
    "CIRCLE": "trim it to the arc that belongs to the section",
    "INSERT": "explode the block",
    "MLINE": "explode it to lines",
    "XLINE": "trim it to a line",
    "RAY": "trim it to a line",
    "3DSOLID": "draw the section of it",
    "REGION": "explode it to lines and arcs",
}
CENTRE_TYPES: Final = ("CENTER", "CENTRE", "DASHDOT", "ISO04W", "ISO08W", "ISO10W", "CHAIN")
MOST_STROKES: Final = 20_000


class DrawingError(ValueError):
    """A drawing that shows no section that can be cut; its text is the end of a sentence about it."""


class Straight(NamedTuple):
    """A straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float

    @property
    def ends(self) -> tuple[Spot, Spot]:
        """Both ends."""
        return (self.x1, self.y1), (self.x2, self.y2)


class Round(NamedTuple):
    """An arc, counter-clockwise."""

    cx: float
    cy: float
    radius: float
    a1: float
    a2: float

    @property
    def ends(self) -> tuple[Spot, Spot]:
        """Both ends."""
        return self.spot(self.a1), self.spot(self.a2)

    def spot(self, a: float) -> Spot:
        """The place at an angle."""
        return self.cx + self.radius * math.cos(a), self.cy + self.radius * math.sin(a)


Stroke: TypeAlias = Straight | Round


class DrawingSheet(NamedTuple):
    """A drawing as far as sections go."""

    name: str
    mm_per_unit: float
    units_stated: bool
    strokes: tuple[tuple[str, Stroke], ...]  # with their layers
    axes: tuple[tuple[str, float], ...]  # layer and x of each vertical centre line
    others: tuple[tuple[str, str, Spot], ...]  # layer, kind and place of what no section is made of

    def layers(self) -> list[str]:
        """The layers that hold a stroke, in order."""
        return sorted({layer for layer, _ in self.strokes})


def read_sheet(data: bytes, name: str, mm_per_unit: float) -> DrawingSheet:
    """The sheet in a DXF file; `mm_per_unit` is taken where the file states no unit that fits.

    Raises:
        DrawingError: it is not a drawing, or holds too much.
        InputError: the library for drawings is not installed.
    """
    dxf_library()
    from ezdxf import recover

    try:
        document, _ = recover.read(io.BytesIO(data))
    except Exception as error:  # a broken file can break its reader in any way
        raise DrawingError("it is not a DXF drawing; save the drawing as DXF text") from error
    stated = MM_PER_UNIT.get(int(document.header.get("$INSUNITS", 0)))
    unit = stated or mm_per_unit
    strokes: list[tuple[str, Stroke]] = []
    axes: list[tuple[str, float]] = []
    others: list[tuple[str, str, Spot]] = []
    for entity in document.modelspace():
        kind, layer = entity.dxftype(), str(entity.dxf.layer)
        if kind in NO_SECTION:
            others.append((layer, kind, _somewhere(entity, unit)))
            continue
        for part in _simple(entity):
            stroke = _stroke(part, unit)
            if isinstance(stroke, Straight) and _is_upright(stroke) and _is_centre_line(document, entity):
                axes.append((layer, (stroke.x1 + stroke.x2) / 2))
            elif stroke is not None:
                strokes.append((layer, stroke))
        if len(strokes) > MOST_STROKES:
            raise DrawingError(
                f"it holds more than {MOST_STROKES:,} lines and arcs; save the section alone in a file"
            )
    return DrawingSheet(name, unit, stated is not None, tuple(strokes), tuple(axes), tuple(others))


def _simple(entity: Any) -> Iterator[Any]:
    """Lines and arcs of an entity; text, dimensions and hatching have none."""
    if entity.dxftype() in ("LINE", "ARC"):
        yield entity
    elif entity.dxftype() == "LWPOLYLINE" or (entity.dxftype() == "POLYLINE" and entity.is_2d_polyline):
        yield from entity.virtual_entities()


def _stroke(part: Any, unit: float) -> Stroke | None:
    if part.dxftype() == "LINE":
        start, end = part.dxf.start, part.dxf.end
        line = Straight(start.x * unit, start.y * unit, end.x * unit, end.y * unit)
        return line if line.ends[0] != line.ends[1] else None
    first, last = math.radians(part.dxf.start_angle), math.radians(part.dxf.end_angle)
    x, y = part.dxf.center.x, part.dxf.center.y
    if part.dxf.extrusion.z < 0:  # drawn mirrored, as seen from behind
        x, first, last = -x, math.pi - last, math.pi - first
    first = math.remainder(first, 2 * math.pi)
    last = first + (last - first) % (2 * math.pi)
    radius = part.dxf.radius * unit
    return Round(x * unit, y * unit, radius, first, last) if radius > 0 and last > first else None


def _is_upright(line: Straight) -> bool:
    return abs(line.x2 - line.x1) <= 1e-6 * abs(line.y2 - line.y1)


def _is_centre_line(document: Any, entity: Any) -> bool:
    """Whether its line type, or its layer's, is one of those for centre lines."""
    kind = str(entity.dxf.linetype)
    if kind.upper() == "BYLAYER" and entity.dxf.layer in document.layers:
        kind = str(document.layers.get(entity.dxf.layer).dxf.linetype)
    return any(word in kind.upper() for word in CENTRE_TYPES)


def _somewhere(entity: Any, unit: float) -> Spot:
    """A place of something that is not used, for a message."""
    if entity.dxftype() == "SPLINE":
        points = [*entity.control_points, *entity.fit_points]
        return (points[0][0] * unit, points[0][1] * unit) if points else (0.0, 0.0)
    for name in ("center", "insert", "start_location", "start", "location"):
        if entity.dxf.hasattr(name):
            spot = entity.dxf.get(name)
            return spot.x * unit, spot.y * unit
    return 0.0, 0.0
