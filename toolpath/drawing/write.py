"""Strokes as a sheet: DXF with true lines and arcs, on layers of their own."""

import io
import math
from collections.abc import Iterable, Mapping
from typing import Any

from toolpath.drawing.library import dxf_library
from toolpath.drawing.sheet import Round, Straight, Stroke
from toolpath.geometry.segments import Line, Segment
from toolpath.units import Units, from_mm

COLOURS = (7, 8, 5, 3)  # by their DXF numbers, layer by layer: black or white, grey, blue, green


def strokes_of(segments: Iterable[Segment]) -> list[Stroke]:
    """Segments of a section as strokes, x for r and y for z."""
    return [
        Straight(s.r1, s.z1, s.r2, s.z2)
        if isinstance(s, Line)
        else Round(s.rc, s.zc, s.radius, min(s.t1, s.t2), max(s.t1, s.t2))
        for s in segments
    ]


def dxf(layers: Mapping[str, Iterable[Stroke]], units: Units) -> bytes:
    """A DXF file with a layer for each name; coordinates in `units`, which the file states.

    The same strokes give the same bytes.

    Raises:
        InputError: the library for drawings is not installed.
    """
    library = dxf_library()
    options = library.options
    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no dates and no random marks in the file
    try:
        document = library.new("R2010", units=1 if units == "inch" else 4)
        document.header["$MEASUREMENT"] = 0 if units == "inch" else 1
        space = document.modelspace()
        for k, (name, strokes) in enumerate(layers.items()):
            document.layers.add(name, color=COLOURS[k % len(COLOURS)])
            for stroke in strokes:
                _add(space, stroke, units, name)
        text = io.StringIO()
        document.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return text.getvalue().encode("utf-8")


def _add(space: Any, stroke: Stroke, units: Units, layer: str) -> None:
    if isinstance(stroke, Straight):
        start, end = ((from_mm(x, units), from_mm(y, units)) for x, y in stroke.ends)
        space.add_line(start, end, dxfattribs={"layer": layer})
        return
    space.add_arc(
        (from_mm(stroke.cx, units), from_mm(stroke.cy, units)),
        from_mm(stroke.radius, units),
        math.degrees(stroke.a1) % 360,
        math.degrees(stroke.a2) % 360,
        dxfattribs={"layer": layer},
    )
