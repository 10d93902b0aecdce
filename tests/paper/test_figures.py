"""What is drawn and written equals the report: texts word for word, lengths measured on the paper."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.collections import LineCollection, PolyCollection
from numpy.typing import NDArray

from tests.paper.conftest import Drawn, drawn
from toolpath.geometry.chain import Chain
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.corner import clipped, shown_at
from toolpath.paper.curve import curve, marks, ticks
from toolpath.paper.labels import Box
from toolpath.paper.outlines import control_point, finishing, stations
from toolpath.paper.scale import bar_length, fitting
from toolpath.paper.subject import Subject
from toolpath.readings.log import Reading
from toolpath.recut import resolve
from toolpath.report.made import report_of
from toolpath.units import MM_PER_INCH

SECTION, CORNER, TEMPLATE = 1, 2, -1
BY_EYE = 1e-6  # mm on the paper


def texts(page: Page) -> list[str]:
    return [t.get_text() for t in page.axes.texts]


def scale_of(page: Page) -> float:
    """The scale that the page itself states."""
    (found,) = (m for t in texts(page) if (m := re.match(r"scale ([\d.]+):(\d+);", t)))
    return float(found[1]) / float(found[2])


def traces(page: Page) -> list[NDArray[Any]]:
    return [
        np.asarray(trace)
        for lines in page.axes.collections
        if isinstance(lines, LineCollection)
        for trace in lines.get_segments()
    ]


def spans(page: Page, axis: int) -> list[float]:
    """Lengths of all straight lines along an axis of the paper, mm."""
    return [
        abs(float(t[1][axis] - t[0][axis]))
        for t in traces(page)
        if len(t) == 2 and abs(t[1][1 - axis] - t[0][1 - axis]) < BY_EYE
    ]


def written(drawn: Drawn, mm: float) -> str:
    if drawn.recut.job.machine.program_units == "mm":
        return f"{mm:.3f} mm"
    return f"{mm / 25.4:.4f} in"


def test_dimensions_are_the_reports(sample: Drawn) -> None:
    section = sample.report.section
    said = texts(sample.sheet()[SECTION])
    assert f"depth {written(sample, section.depth_mm)}" in said
    assert f"mouth Ø {written(sample, section.mouth_diameter_mm)}" in said
    assert f"crown Ø {written(sample, sample.recut.job.piston.crown_diameter)}" in said
    assert f"skim {written(sample, sample.recut.design.skim)}" in said
    land = sample.recut.job.piston.top_land
    assert land is not None
    assert f"top land left {written(sample, land - (sample.recut.design.skim))}" in said
    if section.corner_radius_mm is not None:
        assert f"corner R {written(sample, section.corner_radius_mm)}" in said
    if section.floor_thickness_mm is not None:
        assert any(t.startswith(f"floor left {written(sample, section.floor_thickness_mm)}") for t in said)
    assert sample.recut.clearance is not None
    assert f"flat rim {written(sample, sample.recut.clearance.crown.rim)}" in said


def test_drawn_lengths_are_the_reports(sample: Drawn) -> None:
    page, section = sample.sheet()[SECTION], sample.report.section
    scale = scale_of(page)
    across, upright = spans(page, 0), spans(page, 1)
    assert min(abs(s - section.depth_mm * scale) for s in across) < BY_EYE
    for diameter in (section.mouth_diameter_mm, sample.recut.job.piston.crown_diameter):
        # the dimension line of a half view runs 3 mm past the axis
        assert min(abs(s - diameter / 2 * scale - 3) for s in upright) < BY_EYE


def test_scale_bar_is_as_long_as_it_says(sample: Drawn) -> None:
    page = sample.sheet()[SECTION]
    (found,) = (m for t in texts(page) if (m := re.search(r"the bar is ([\d.]+) (mm|in)", t)))
    length = float(found[1]) * (1.0 if found[2] == "mm" else MM_PER_INCH) * scale_of(page)
    bars = [t for t in traces(page) if len(t) == 5 and abs(np.ptp(t[:, 1]) - 1.2) < BY_EYE]
    assert [float(np.ptp(t[:, 0])) for t in bars] == pytest.approx([length])


@pytest.mark.parametrize("scale", [0.25, 1.0, 3.0, 50.0])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_bar_is_round(scale: float, units: Any) -> None:
    length = bar_length(scale, style.Figures(units)) / (1.0 if units == "mm" else MM_PER_INCH)
    assert f"{length:.0e}"[0] in "125"
    assert float(f"{length:.0e}") == pytest.approx(length)
    assert bar_length(scale, style.Figures(units)) * scale <= 36


def test_finished_section_is_drawn_to_scale(pump: Drawn) -> None:
    """The thick outline, taken back to mm with the stated scale, has the section's volume."""
    page = pump.sheet()[SECTION]
    scale = scale_of(page)
    thick = [t for t in traces(page) if len(t) > 20]
    finished = pump.recut.finished.volume_below()
    volumes = []
    for t in thick:
        r = (t[:, 1] - t[0, 1]) / scale
        z = (t[:, 0] - t[-1, 0]) / scale + pump.recut.finished.segments[-1].z2
        if abs(r[-1] - pump.recut.finished.outer) < 1e-6:
            rises = np.diff(z) * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) / 3
            volumes.append(float(np.pi * (rises.sum() - r[-1] ** 2 * z[-1])))
    assert min(abs(v - finished) for v in volumes) < 0.002 * finished


def test_control_point_agrees_with_touch_off(sample: Drawn) -> None:
    """Where the insert stands when Z is touched, the words for it are those of the touch-off."""
    touch = sample.recut.touch_off
    centre = (touch.rim_middle, touch.skim + touch.feeler + touch.insert_radius)
    x, z = control_point(sample.recut, *centre)
    assert x == pytest.approx(touch.x_over_rim)
    assert z == pytest.approx(touch.z_to_set)


def test_stations_lie_on_the_finishing_pass(sample: Drawn) -> None:
    (one,) = finishing(sample.recut)
    at = stations((one,))
    assert at.deepest[1] == pytest.approx(one.cut.path.lowest)
    assert at.leaving[0] == one.cut.path.outer
    assert at.entry[1] >= one.legs[0].start_height


def test_both_runs_of_a_finishing_contour_are_drawn() -> None:
    """The picture showed the outer run alone, with a place on the rim as the deepest."""
    job = Path(__file__).parents[1] / "jobs" / "found" / "finishing-in-two-runs.toml"
    twice = drawn(job.read_text(encoding="utf-8"))
    assert twice is not None
    floor, shelf = finishing(twice.recut)
    at = stations((floor, shelf))
    assert at.deepest[1] == pytest.approx(floor.cut.path.lowest)
    assert at.deepest[1] < shelf.cut.path.lowest - 1.0
    assert at.entry[0] == floor.legs[0].starts_at
    assert at.leaving[0] == shelf.cut.path.outer
    x, z = control_point(twice.recut, *at.deepest)
    said = " ".join(texts(twice.sheet()[SECTION]))
    assert f"insert deepest at X {2 * x / MM_PER_INCH:.4f} in diameter Z {z / MM_PER_INCH:.4f} in" in said


def test_insert_in_the_corner_touches_the_section(sample: Drawn) -> None:
    at = shown_at(sample.recut)
    gap = float(sample.recut.finished.distances(np.array([at]))[0])
    assert gap == pytest.approx(sample.recut.insert.radius, abs=1e-6)


def test_corner_says_what_is_left(draw: Callable[[str], Drawn | None], sample: Drawn) -> None:
    corner = sample.recut.design
    assert corner is not None
    said = " ".join(texts(sample.sheet()[CORNER]))
    if corner.corner.area < 1e-4:
        assert "left uncut: nothing" in said
    else:
        assert f"left uncut (black): {corner.corner.volume / 1000:.3f} cc" in said
    said += " ".join(texts(sample.sheet()[TEMPLATE]))
    clearance = sample.report.clearance
    assert written(sample, clearance.flank_contact_height_mm) in said
    if clearance.insert_underside_room_mm is not None:
        assert written(sample, clearance.insert_underside_room_mm) in said
    if clearance.holder_gap_mm is not None:
        assert written(sample, clearance.holder_gap_mm) in said


def test_flank_meets_the_circle_where_the_report_says(pump: Drawn) -> None:
    """The dot of contact lies on the drawn curve of the work and the height below the edge."""
    page = pump.sheet()[TEMPLATE]
    heights = [t for t in traces(page) if len(t) == 2 and abs(t[0][0] - t[1][0]) < BY_EYE]
    titles = [t for t in texts(page) if t.startswith("Seen along the spindle")]
    scale = float(titles[0].split(", ")[1].split(":")[0])
    wanted = pump.report.clearance.flank_contact_height_mm * scale
    assert min(abs(abs(t[1][1] - t[0][1]) - wanted) for t in heights) < BY_EYE


def test_curve_passes_through_the_report(sample: Drawn) -> None:
    spots = curve(sample.recut)
    depth, volume = sample.report.section.depth_mm, sample.report.volume.finished_cc
    assert float(np.interp(depth, spots[:, 0], spots[:, 1])) == pytest.approx(volume, rel=2e-3)
    assert spots[0, 1] == pytest.approx(sample.report.volume.after_skim_cc, abs=0.03)
    assert (np.diff(spots[:, 1]) >= -1e-9).all()
    assert spots[-1, 1] > sample.report.volume.target_cc


def test_stages_mark_the_curve(pump: Drawn) -> None:
    """The first stop lies short of the target; the last cut starts from the cut before it."""
    job = pump.recut.job
    first = resolve(job, stage="first", piston=1)
    one = Subject(first, report_of(first), diameter=True)
    (stop,) = marks(one, curve(first))
    assert first.next_cut is not None
    assert stop.volume == pytest.approx(first.next_cut.expected.volume / 1000)
    assert stop.spread == pytest.approx(2 * first.next_cut.expected.u / 1000)
    assert stop.volume < one.report.volume.target_cc
    assert stop.words == "first cut stops here"
    read = Reading(1, "first", "burette", first.next_cut.expected.volume - 30.0)
    last = resolve(job, stage="last", piston=1, readings=[read])
    before, end = marks(Subject(last, report_of(last), diameter=True), curve(last))
    assert before.depth == pytest.approx(stop.depth, abs=0.05)
    assert before.depth < end.depth
    assert before.volume < end.volume
    assert end.words == "last cut"


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.23), (7.6, 12.3), (0.0, 390.0)])
def test_ticks(low: float, high: float) -> None:
    found = ticks(low, high)
    assert 3 <= len(found) <= 8
    assert low <= found[0]
    assert found[-1] <= high
    assert np.ptp(np.diff(found)) < 1e-9


def test_fitting_never_overflows() -> None:
    room = Box(0.0, 0.0, 120.0, 180.0)
    for wide in (3.0, 20.0, 45.0, 110.0, 300.0):
        assert wide * fitting(wide, 10.0, room) <= 120


def test_polygon_is_cut_off_at_the_box() -> None:
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    found = clipped(square, Box(5.0, 5.0, 20.0, 7.0))
    assert found.min(axis=0) == pytest.approx((5.0, 5.0))
    assert found.max(axis=0) == pytest.approx((10.0, 7.0))
    assert len(clipped(square, Box(20.0, 20.0, 30.0, 30.0))) == 0


RING_ONLY = """
units = "mm"
piston = {crown_diameter = 90, underside_depth = 20, top_land = 8}
existing = {form = "spherical", mouth_diameter = 60, depth = 9}
crown = {skim = 0.4}
dish = {form = "flat", mouth_diameter = 70, depth = 3}
tool = {insert = "RCGT 0803 M0"}
cutting = {fixed_rpm = 800, feed = 0.1, skim_depth_of_cut = 0.2, dish_depth_of_cut = 0.5}
machine = {post = "iso6983"}
"""


def test_a_ring_says_that_the_old_dish_stays(draw: Callable[[str], Drawn | None]) -> None:
    ring = draw(RING_ONLY)
    assert ring is not None
    said = " ".join(texts(ring.sheet()[SECTION]))
    assert "the old dish lies" in said
    assert "depth 3.000 mm" in said


def test_a_solid_floor_says_nothing_of_an_old_dish(draw: Callable[[str], Drawn | None]) -> None:
    solid = draw(RING_ONLY.replace("depth = 9", "depth = 2"))
    assert solid is not None
    assert "the old dish lies" not in " ".join(texts(solid.sheet()[SECTION]))


def test_no_two_lines_look_alike_in_black_and_white() -> None:
    from toolpath.paper.section import LINES

    looks = [(kind.width, kind.dashes) for kind, _ in LINES]
    assert len(set(looks)) == len(looks)


def test_metal_that_goes_is_filled_between_old_and_new(pump: Drawn) -> None:
    page = pump.sheet()[SECTION]
    scale = scale_of(page)
    areas = []
    for patch in page.axes.collections:
        if isinstance(patch, PolyCollection):
            for path in patch.get_paths():
                x, y = np.asarray(path.vertices)[:-1].T
                areas.append(abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))) / 2)
    plan = pump.recut.plan
    assert plan is not None
    goes = _area(plan.work.stock.surface) - _area(pump.recut.finished)
    assert min(abs(a / scale**2 - goes) for a in areas) < 0.01 * goes


def _area(chain: Chain) -> float:
    points = chain.points(0.001)
    return float(np.trapezoid(points[:, 1], points[:, 0]))
