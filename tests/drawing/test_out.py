"""A recut as a drawing: layers, units, scale, true lines and arcs, and the same bytes each time."""

import io
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from tests.sample_jobs import job_file, run
from toolpath.api import load_job
from toolpath.recut import Recut, resolve

LAYERS = ["FINISHED", "AS_RECEIVED", "CENTRE_PATH", "HOLDER"]


def plotted(sample: str, place: Path) -> tuple[Any, Recut]:
    done = run("plot", job_file(sample), "--out", place / f"{sample}.dxf")
    assert done.exit_code == 0, done.output
    recut = resolve(load_job(job_file(sample)))
    assert isinstance(recut, Recut)
    return ezdxf.readfile(place / f"{sample}.dxf"), recut


@pytest.mark.parametrize(("sample", "unit"), [("pump-engine", 4), ("tractor-pair", 1)])
def test_layers_units_and_kinds(sample: str, unit: int, tmp_path: Path) -> None:
    document, recut = plotted(sample, tmp_path)
    assert document.header["$INSUNITS"] == unit
    assert {"LINE", "ARC"} == {e.dxftype() for e in document.modelspace()}
    assert [layer.dxf.name for layer in document.layers if layer.dxf.name not in ("0", "Defpoints")] == LAYERS
    per = 25.4 if unit == 1 else 1.0
    finished = document.modelspace().query('*[layer=="FINISHED"]')
    assert len(finished) == len(recut.finished.segments)
    xs = [x * per for e in finished for x in ends(e)[::2]]
    assert max(xs) == pytest.approx(recut.finished.outer, rel=1e-12)


def ends(e: Any) -> tuple[float, float, float, float]:
    a, b = (e.dxf.start, e.dxf.end) if e.dxftype() == "LINE" else (e.start_point, e.end_point)
    return a.x, a.y, b.x, b.y


def volume(entities: Iterator[Any]) -> float:
    """Turned volume under the entities of a section, by midpoints of many thin rings (mm3)."""
    total = 0.0
    for e in entities:
        x1, y1, x2, y2 = ends(e)
        steps = 20_000
        for k in range(steps if x1 != x2 else 0):
            x = min(x1, x2) + abs(x2 - x1) * (k + 0.5) / steps
            if e.dxftype() == "LINE":
                y = y1 + (y2 - y1) * (x - x1) / (x2 - x1)
            else:
                rise = math.sqrt(e.dxf.radius**2 - (x - e.dxf.center.x) ** 2)
                below = math.sin(math.radians((e.dxf.start_angle + e.dxf.end_angle) / 2)) < 0
                if e.dxf.end_angle < e.dxf.start_angle:
                    below = not below
                y = e.dxf.center.y - rise if below else e.dxf.center.y + rise
            total -= 2 * math.pi * x * y * abs(x2 - x1) / steps
    return total


def test_the_finished_section_holds_the_target(tmp_path: Path) -> None:
    """By rings of its own, out of nothing but the drawing."""
    document, recut = plotted("pump-engine", tmp_path)
    dish = [e for e in document.modelspace().query('*[layer=="FINISHED"]') if max(ends(e)[::2]) < 34.1]
    assert volume(iter(dish)) == pytest.approx(recut.design.target, rel=1e-6)


def test_the_path_of_the_insert_centre_leaves_the_finished_section(tmp_path: Path) -> None:
    document, recut = plotted("pump-engine", tmp_path)
    path = document.modelspace().query('*[layer=="CENTRE_PATH"]')
    radius = recut.insert.radius
    lowest = min(y for e in path for y in ends(e)[1::2])
    assert lowest - radius == pytest.approx(-recut.design.depth, abs=1e-9)
    assert min(x for e in path for x in ends(e)[::2]) >= -1e-9


def test_the_holder_is_drawn_about_the_insert_where_that_is_deepest(tmp_path: Path) -> None:
    document, recut = plotted("pump-engine", tmp_path)
    holder = document.modelspace().query('*[layer=="HOLDER"]')
    arcs, lines = holder.query("ARC"), holder.query("LINE")
    assert [arc.dxf.radius for arc in arcs] == pytest.approx([recut.insert.radius] * 2)
    assert len(lines) == 4
    assert max(ends(e)[1] for e in lines) - arcs[0].dxf.center.y == pytest.approx(40.0 - recut.insert.radius)


def test_the_same_job_gives_the_same_bytes(tmp_path: Path) -> None:
    plotted("four-valve", tmp_path)
    first = (tmp_path / "four-valve.dxf").read_bytes()
    plotted("four-valve", tmp_path)
    assert (tmp_path / "four-valve.dxf").read_bytes() == first
    assert not ezdxf.options.write_fixed_meta_data_for_testing
    assert not ezdxf.read(io.StringIO(first.decode())).audit().errors


def test_the_report_has_the_sections_as_segments(tmp_path: Path) -> None:
    """Rings of cone and sphere segment out of nothing but the report (any table of solids)."""
    import json

    found = json.loads(run("check", job_file("pump-engine"), "--json").output)["section"]["segments"]
    assert [s["kind"] for s in found["finished"]] == ["arc", "line", "arc", "line", "line"]
    assert [s["kind"] for s in found["as_received"]] == ["arc", "line"]
    (bowl, _) = found["as_received"]
    (r1, z1), (r2, z2) = bowl["from_mm"], bowl["to_mm"]
    assert bowl["counter_clockwise"] is True
    assert math.dist(bowl["centre_mm"], (r2, z2)) == pytest.approx(bowl["radius_mm"], rel=1e-12)
    high = z2 - z1
    assert math.pi * high * (3 * r2**2 + 3 * r1**2 + high**2) / 6 == pytest.approx(9300.0, rel=1e-9)
    for one in found["finished"]:
        assert one["from_mm"] != one["to_mm"]
