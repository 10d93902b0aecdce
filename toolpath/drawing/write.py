"""Sections and paths as a sheet: DXF with true lines and arcs, x for r and y for z."""

import io
import math
from collections.abc import Iterable, Mapping
from typing import Any

from toolpath.drawing.library import dxf_library
from toolpath.geometry.segments import Line, Segment
from toolpath.units import Units, from_mm

COLOURS = (7, 8, 5, 3, 1, 6)  # by their DXF numbers, layer by layer


def dxf(layers: Mapping[str, Iterable[Segment]], units: Units) -> bytes:
    """A DXF file with a layer for each name; coordinates in `units`, which the file states.

    The same segments give the same bytes.

    Raises:
        InputError: the library for drawings is not installed.
    """
    library = dxf_library()
    fixed = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True  # no dates and random marks in the file
    try:
        document = library.new("R2010", units=1 if units == "inch" else 4)
        document.header["$MEASUREMENT"] = 0 if units == "inch" else 1
        space = document.modelspace()
        for (name, segments), colour in zip(layers.items(), COLOURS, strict=False):
            document.layers.add(name, color=colour)
            for s in segments:
                _add(space, s, units, name)
        text = io.StringIO()
        document.write(text)
    finally:
        library.options.write_fixed_meta_data_for_testing = fixed
    return text.getvalue().encode("utf-8")


def _add(space: Any, s: Segment, units: Units, layer: str) -> None:
    on = {"layer": layer}

    def at(r: float, z: float) -> tuple[float, float]:
        return from_mm(r, units), from_mm(z, units)

    if isinstance(s, Line):
        space.add_line(at(s.r1, s.z1), at(s.r2, s.z2), dxfattribs=on)
        return
    first, last = (s.t1, s.t2) if s.lower else (s.t2, s.t1)
    space.add_arc(
        at(s.rc, s.zc),
        from_mm(s.radius, units),
        math.degrees(first) % 360,
        math.degrees(last) % 360,
        dxfattribs=on,
    )
