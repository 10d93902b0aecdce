"""Drawings in: textbook solids with published volumes, every place and half, and what is said of them."""

import math
from pathlib import Path
from typing import Any

import pytest

from tests.drawing.sheets import CM, INCH, MM, UNSTATED, Draw, job_from, sheet
from toolpath.profile.design import Received


def volume(received: Received) -> float:
    return received.section.volume_below()


def arc(space: Any, x: float, y: float, radius: float, start: float, end: float, **on: Any) -> None:
    space.add_arc((x, y), radius, start, end, dxfattribs=on)


def line(space: Any, x1: float, y1: float, x2: float, y2: float, **on: Any) -> None:
    space.add_line((x1, y1), (x2, y2), dxfattribs=on)


def cap(space: Any) -> None:
    """Sphere radius 10, height 3."""
    arc(space, 0, 7, 10, 270, 360 - math.degrees(math.acos(math.sqrt(51) / 10)))


def segment(space: Any) -> None:
    """Ends of diameter 24 and 40, height 7.00: a sphere of diameter 49.74."""
    up = (20**2 - 12**2 - 7**2) / 14
    radius, low = math.hypot(20, up), up + 7
    assert round(2 * radius, 2) == 49.74
    line(space, 0, -7, 12, -7)
    arc(space, 0, up, radius, -math.degrees(math.atan2(low, 12)), -math.degrees(math.atan2(up, 20)))
    line(space, 20, 0, 44, 0)


def frustum(space: Any) -> None:
    """In cm: radii 3.0 and 2.0, height 3.6."""
    line(space, 0, -3.6, 2, -3.6)
    line(space, 2, -3.6, 3, 0)


def half_torus(space: Any) -> None:
    """Ten times (x - 2)^2 + y^2 = 1, its lower half."""
    line(space, 0, 0, 10, 0)
    arc(space, 20, 0, 10, 180, 360)


def cone(space: Any) -> None:
    """y = 2 x from 0 to 3, about the x axis: here about y."""
    line(space, 0, -3, 6, 0)


@pytest.mark.parametrize(
    ("draw", "unit", "volume_expected", "within"),
    [
        # pi h^2 (3 R - h) / 3 of an encyclopedia's article on the spherical cap
        pytest.param(cap, MM, 81 * math.pi, 1e-9, id="spherical cap"),
        # worked in a textbook of engineering mathematics (its title from memory): 6161
        pytest.param(segment, MM, 6161.0, 5e-5, id="sphere segment"),
        # "Basic Engineering Mathematics", 5th ed., ch. 27, problem 24: 71.6 cm3
        pytest.param(frustum, CM, 71_600.0, 7e-4, id="cone frustum"),
        # a college calculus text, sec. 7.6, example 7: the whole torus 4 pi^2, printed 39.5
        pytest.param(half_torus, MM, 1000 * 4 * math.pi**2 / 2, 1e-9, id="half torus"),
        # HELM workbook 14.3, sec. 1, first task: 36 pi
        pytest.param(cone, MM, 36 * math.pi, 1e-9, id="cone"),
    ],
)
def test_a_textbook_solid_has_its_volume(
    draw: Draw, unit: int, volume_expected: float, within: float, tmp_path: Path
) -> None:
    received = Received.of(job_from(tmp_path, sheet(draw, unit=unit)))
    assert volume(received) == pytest.approx(volume_expected, rel=within)


def pan(space: Any, x: float = 0.0, y: float = 0.0, side: int = 1, **on: Any) -> None:
    """A half section: floor 4 mm deep to r 28, corner 5, wall at r 33 from 1 mm below, rim, edge."""
    line(space, x, y - 4, x + side * 28, y - 4, **on)
    if side > 0:
        arc(space, x + 28, y + 1, 5, 270, 360 - math.degrees(math.asin(0.2)), **on)
    else:
        arc(space, x - 28, y + 1, 5, 180 + math.degrees(math.asin(0.2)), 270, **on)
    mouth = 28 + math.sqrt(24)
    line(space, x + side * mouth, y, x + side * 44.6, y, **on)
    line(space, x + side * 44.6, y, x + side * 45, y - 0.4, **on)
    line(space, x + side * 45, y - 0.4, x + side * 45, y - 20, **on)


def pan_volume() -> float:
    """Cylinder of r 28 and the ring under the corner, the latter by Simpson's rule (mm3)."""
    n = 20_000
    top = 28 + math.sqrt(24)
    step = (top - 28) / n
    depths = [math.sqrt(25 - (28 + k * step - 28) ** 2) - 1 for k in range(n + 1)]
    rings = [2 * math.pi * (28 + k * step) * depth for k, depth in enumerate(depths)]
    ring = step / 3 * (rings[0] + rings[-1] + 4 * sum(rings[1:-1:2]) + 2 * sum(rings[2:-1:2]))
    return math.pi * 28**2 * 4 + ring


def centre_line(space: Any, x: float, **on: Any) -> None:
    line(space, x, -30, x, 10, linetype="CENTER", **on)


def half_left(space: Any) -> None:
    pan(space, 200, 80, -1)
    centre_line(space, 200)


def half_right(space: Any) -> None:
    pan(space, 200, 80)
    centre_line(space, 200)


def full(space: Any) -> None:
    pan(space, 200, 80)
    pan(space, 200, 80, -1)
    centre_line(space, 200)


def full_without_centre_line(space: Any) -> None:
    pan(space, -300, -80)
    pan(space, -300, -80, -1)


def floor_in_one(space: Any) -> None:
    """The floor runs across the axis in one line, in a polyline with bulges, no rim drawn."""
    bulge = math.tan((math.pi / 2 - math.asin(0.2)) / 4)
    mouth = 28 + math.sqrt(24)
    points = [(-mouth, 0, bulge), (-28, -4, 0), (28, -4, bulge), (mouth, 0, 0)]
    space.add_lwpolyline([(x + 70, y, 0, 0, b) for x, y, b in points])


def closed_at_the_axis(space: Any) -> None:
    pan(space)
    line(space, 0, -4, 0, 3)
    space.add_text("dish", height=3).set_placement((10, 10))
    space.add_linear_dim(base=(0, 8), p1=(0, -4), p2=(28, -4)).render()


def drawn_from_behind(space: Any) -> None:
    """As mirroring in a CAD program leaves it: entities whose extrusion points away."""
    behind = {"extrusion": (0, 0, -1)}
    line(space, 0, -4, 28, -4)
    space.add_arc((-28, 1), 5, 180 + math.degrees(math.asin(0.2)), 270, dxfattribs=behind)
    line(space, 28 + math.sqrt(24), 0, 44, 0)


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        pytest.param(pan, "half section about the sheet's own axis at x 0.000", id="half from x 0"),
        pytest.param(half_right, "half section about the vertical centre line at x 200.000", id="right half"),
        pytest.param(half_left, "half section about the vertical centre line at x 200.000", id="left half"),
        pytest.param(full, "full section about the vertical centre line at x 200.000", id="full"),
        pytest.param(
            full_without_centre_line, "full section about the mirror line at x -300.000", id="mirror line"
        ),
        pytest.param(floor_in_one, "full section about the mirror line at x 70.000", id="polyline, bulges"),
        pytest.param(closed_at_the_axis, "half section", id="line on the axis, text, dimension"),
        pytest.param(drawn_from_behind, "half section", id="drawn from behind"),
    ],
)
def test_any_half_in_any_place(draw: Draw, told: str, tmp_path: Path) -> None:
    received = Received.of(job_from(tmp_path, sheet(draw)))
    assert volume(received) == pytest.approx(pan_volume(), rel=1e-9)
    (found,) = (f for f in received.findings if f.code == "drawing-read")
    assert found.what.startswith("existing: layer 0 of bowl.dxf: ")
    assert told in found.what
    assert f"its mouth is {2 * (28 + math.sqrt(24)):.3f} mm across" in found.what
    assert found.value == pytest.approx(4.0)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2018"])
def test_old_and_new_files(version: str, tmp_path: Path) -> None:
    received = Received.of(job_from(tmp_path, sheet(pan, version=version)))
    assert volume(received) == pytest.approx(pan_volume(), rel=1e-9)


@pytest.mark.parametrize(("unit", "units"), [(INCH, "mm"), (INCH, "inch"), (UNSTATED, "inch")])
def test_inches(unit: int, units: str, tmp_path: Path) -> None:
    """A file's own units go before the job's; where it states none, the job's count, and that is said."""

    def draw(space: Any) -> None:
        line(space, 0, -0.1, 1.25, -0.1)
        line(space, 1.25, -0.1, 1.25, 0)

    received = Received.of(job_from(tmp_path, sheet(draw, unit=unit), units=units))
    assert volume(received) == pytest.approx(math.pi * 1.25**2 * 0.1 * 25.4**3, rel=1e-12)
    (found,) = (f for f in received.findings if f.code == "drawing-read")
    assert ("in the job's units, since it states none" in found.what) == (unit == UNSTATED)


def test_a_layer_by_its_name_in_either_case(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        pan(space, layer="Bowl")
        line(space, -90, 50, 90, 50, layer="FRAME")

    for name in ("Bowl", "BOWL"):
        received = Received.of(job_from(tmp_path, sheet(draw), layer=name))
        assert volume(received) == pytest.approx(pan_volume(), rel=1e-9)


def test_ends_that_the_drawing_rounds_are_joined(tmp_path: Path) -> None:
    """Coordinates to a thousandth, as some programs write them: up to 0.0007 mm between two ends."""

    def draw(space: Any) -> None:
        line(space, 0, -4, 28.0004, -4)
        arc(space, 28, 1, 5, 270, 348.463)
        line(space, 32.899, 0, 44, 0)

    received = Received.of(job_from(tmp_path, sheet(draw)))
    assert volume(received) == pytest.approx(pan_volume(), rel=1e-4)
