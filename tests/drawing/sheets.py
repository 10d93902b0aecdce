"""Sheets made by ezdxf alone, and jobs that take a dish from them."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeAlias

import ezdxf

from toolpath.api import load_job
from toolpath.job.model import Job

MM, INCH, CM, UNSTATED = 4, 1, 5, 0
Draw: TypeAlias = Callable[[Any], None]
JOB = """
units = "{units}"
[piston]
crown_diameter = {crown}
[existing]
form = "drawn"
drawing = "bowl.dxf"
{layer}
[dish]
form = "spherical"
mouth_diameter = "70 mm"
depth = "12 mm"
[tool]
insert_diameter = "6 mm"
relief = 7
[cutting]
fixed_rpm = 900
feed = "0.1 mm"
skim_depth_of_cut = "0.25 mm"
dish_depth_of_cut = "0.5 mm"
[machine]
post = "iso6983"
"""


def sheet(draw: Draw, *, unit: int = MM, version: str = "R2010") -> bytes:
    """A DXF file; `draw` puts the entities into its modelspace."""
    document = ezdxf.new(version, units=unit, setup=["linetypes"])
    draw(document.modelspace())
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def job_from(
    place: Path, data: bytes, *, layer: str | None = None, units: str = "mm", crown: str = '"90 mm"'
) -> Job:
    """A job whose old dish is that of a drawing."""
    (place / "bowl.dxf").write_bytes(data)
    stated = "" if layer is None else f'layer = "{layer}"'
    text = JOB.format(units=units, crown=crown, layer=stated)
    (place / "job.toml").write_text(text, encoding="utf-8")
    return load_job(place / "job.toml")
