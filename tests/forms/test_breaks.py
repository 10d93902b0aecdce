"""Broken edges: rings whose volume Pappus gives, and sizes that do not fit."""

import math

import pytest

from toolpath.findings import Finding, Stopped
from toolpath.forms.breaks import BreakForm, edge_patch, lip_or_why
from toolpath.forms.sections import flat, spherical
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.segments import Arc, Line

OUTER = 45.2
FILLET_AREA, FILLET_CENTROID = (
    0.214602,
    0.223368,
)  # of r^2 and r: centroid table (area), by arithmetic (centroid)


def lip_patch(section: Chain, size: float, form: BreakForm) -> Chain:
    found = lip_or_why(section, size, form)
    if isinstance(found, Finding):
        raise Stopped(found)
    return found


def broken(section: Chain, patch: Chain) -> float:
    return deeper(section, patch).volume_below() - section.volume_below()


@pytest.mark.parametrize("size", [0.2, 0.4, 1.0])
def test_chamfer_on_an_upright_wall(size: float) -> None:
    """A triangle size^2/2, its centroid a third of the size outside the mouth (Pappus)."""
    pan = flat(34.0, 7.0, OUTER, corner=5.0)
    ring = 2 * math.pi * (34 + size / 3) * size**2 / 2
    assert broken(pan, lip_patch(pan, size, "chamfer")) == pytest.approx(ring, rel=1e-6)


@pytest.mark.parametrize("size", [0.2, 0.4, 1.0])
def test_radius_on_an_upright_wall(size: float) -> None:
    pan = flat(34.0, 7.0, OUTER, corner=5.0)
    ring = 2 * math.pi * (34 + FILLET_CENTROID * size) * FILLET_AREA * size**2
    assert broken(pan, lip_patch(pan, size, "radius")) == pytest.approx(ring, rel=1e-5)
    (arc,) = [s for s in lip_patch(pan, size, "radius").segments if s.length > 1e-6]
    assert isinstance(arc, Arc)
    assert (arc.rc, arc.zc, arc.radius) == pytest.approx((34 + size, -size, size))


@pytest.mark.parametrize("size", [0.2, 0.4, 1.0])
def test_outer_edge(size: float) -> None:
    crown = Chain.flat(0.0, OUTER)
    chamfer = 2 * math.pi * (OUTER - size / 3) * size**2 / 2
    rounded = 2 * math.pi * (OUTER - FILLET_CENTROID * size) * FILLET_AREA * size**2
    assert broken(crown, edge_patch(OUTER, size, "chamfer")) == pytest.approx(chamfer, rel=1e-9)
    assert broken(crown, edge_patch(OUTER, size, "radius")) == pytest.approx(rounded, rel=1e-5)


def test_outer_edge_of_0_4_on_90_4_is_0_023_cc() -> None:
    assert broken(Chain.flat(0.0, OUTER), edge_patch(OUTER, 0.4, "chamfer")) / 1000 == pytest.approx(
        0.0227, abs=5e-5
    )


@pytest.mark.parametrize(
    "section",
    [
        pytest.param(spherical(32.0, 5.5, OUTER), id="bowl"),
        pytest.param(spherical(32.0, 31.9, OUTER), id="almost a half ball"),
        pytest.param(flat(34.0, 3.0, OUTER, corner=5.0), id="arc that runs out"),
        pytest.param(flat(34.0, 7.0, OUTER, corner=5.0, wall=0.4), id="leaning wall"),
    ],
)
def test_chamfer_on_a_slant_takes_equal_lengths(section: Chain) -> None:
    patch = lip_patch(section, 0.5, "chamfer")
    mouth = section.segments[-1].r1
    (chamfer,) = patch.segments
    assert isinstance(chamfer, Line)
    assert (chamfer.r2, chamfer.z2) == pytest.approx((mouth + 0.5, 0.0))
    assert math.hypot(chamfer.r1 - mouth, chamfer.z1) == pytest.approx(0.5, abs=1e-6)
    assert section.at(chamfer.r1) == pytest.approx(chamfer.z1, abs=1e-6)
    assert broken(section, patch) > 0


@pytest.mark.parametrize(
    "section",
    [
        pytest.param(spherical(32.0, 5.5, OUTER), id="bowl"),
        pytest.param(flat(34.0, 3.0, OUTER, corner=5.0), id="arc that runs out"),
        pytest.param(flat(34.0, 7.0, OUTER, corner=5.0, wall=0.4), id="leaning wall"),
    ],
)
def test_radius_on_a_slant_touches_crown_and_wall(section: Chain) -> None:
    """The arc meets both without a corner: slopes and heights agree at its ends."""
    arc = lip_patch(section, 0.8, "radius").segments[0]
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(0.8)
    assert (arc.z2, arc.end_direction) == pytest.approx((0.0, 0.0), abs=1e-5)
    assert section.at(arc.r1) == pytest.approx(arc.z1, abs=1e-6)
    slope = (section.at(arc.r1 + 1e-6) - section.at(arc.r1 - 1e-6)) / 2e-6
    assert math.tan(arc.start_direction) == pytest.approx(slope, abs=1e-3)


@pytest.mark.parametrize("wall", [0.0, math.radians(5), 0.3])
@pytest.mark.parametrize("mouth", [30.303002803087693, 34.0, 39.475776587618874])
@pytest.mark.parametrize("radius", [3.0, 5.0])
def test_rounded_lip_adds_no_sliver_to_the_centre_curve(wall: float, mouth: float, radius: float) -> None:
    """Floor, wall, lip and rim of the insert's centre, and the arc about the crown's edge; nothing else."""
    section = flat(mouth, 7.126915661844673, OUTER, corner=radius, wall=wall)
    curve = centre_curve(deeper(section, lip_patch(section, 0.5, "radius")), radius)
    assert [type(s).__name__ for s in curve.segments] == ["Line", "Line", "Arc", "Line", "Arc"]
    assert min(s.length for s in curve.segments) > 0.1


@pytest.mark.parametrize("form", ["chamfer", "radius"])
def test_a_break_wider_than_the_rim_is_a_stop(form: str) -> None:
    with pytest.raises(Stopped, match=r"dish.lip_break of 1.500 mm is larger than the rim") as stop:
        lip_patch(flat(44.0, 7.0, OUTER, corner=5.0), 1.5, form)  # type: ignore[arg-type]
    assert stop.value.finding.code == "break-over-room"
    assert stop.value.finding.limit == pytest.approx(1.2)


def test_a_break_higher_than_the_wall_is_a_stop() -> None:
    with pytest.raises(Stopped, match=r"dish.lip_break of 1.500 mm is larger than the wall"):
        lip_patch(flat(34.0, 1.0, OUTER), 1.5, "chamfer")


def test_no_mouth_no_break() -> None:
    with pytest.raises(Stopped, match="larger than the rim"):
        lip_patch(Chain.flat(0.0, OUTER), 0.4, "chamfer")
