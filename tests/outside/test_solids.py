"""Solids whose volumes are printed in books: the source stands beside each number."""

import math

import pytest

from toolpath.forms.sections import cap_volume, flat, spherical
from toolpath.geometry.chain import Chain
from toolpath.geometry.segments import HALF_PI, Arc, Line


def turned(rc: float, radius: float) -> float:
    """A full disc turned about the axis: its lower half outward, its upper half back again."""
    return (
        Arc(rc, 0.0, radius, -math.pi, 0.0).inner_volume() - Arc(rc, 0.0, radius, math.pi, 0.0).inner_volume()
    )


def test_spherical_cap() -> None:
    """Encyclopedia article, formula; R = 10, h = 3 gives 81 pi = 254.4690 by arithmetic."""
    assert spherical(math.sqrt(51), 3.0, 20.0).volume_below() == pytest.approx(254.4690, abs=5e-5)
    assert cap_volume(math.sqrt(51), 3.0) == pytest.approx(81 * math.pi, rel=1e-12)
    # the same body in its other form, pi h^2 (3 R - h)/3
    assert spherical(math.sqrt(51), 3.0, 20.0).volume_below() == pytest.approx(
        math.pi * 9 * 27 / 3, rel=1e-12
    )


def test_sphere_segment_across_the_equator() -> None:
    """Two bases, end diameters 12 and 10, height 4: 416.785 (a 19th-century arithmetic text)."""
    below, above = 3.375, 0.625  # distances of the bases from the centre: 25 + 3.375^2 = 36 + 0.625^2
    sphere = math.hypot(5, below)
    lower = Arc(0.0, 0.0, sphere, math.atan2(-below, 5), 0.0)
    upper = Arc(0.0, 0.0, sphere, math.atan2(above, 6), 0.0)
    assert lower.inner_volume() - upper.inner_volume() == pytest.approx(416.785, abs=1e-3)


def test_sphere_segment_below_the_equator() -> None:
    """Sphere diameter 49.74, end diameters 24.0 and 40.0, height 7.00: 6161 (attributed from memory)."""
    far = ((400 - 144) / 7 + 7) / 2  # of the smaller base from the centre
    sphere = math.hypot(12, far)
    assert 2 * sphere == pytest.approx(49.74, abs=0.005)
    arc = Arc(0.0, 0.0, sphere, math.atan2(-far, 12), math.atan2(7 - far, 20))
    assert arc.inner_volume() == pytest.approx(6161.19, abs=0.01)


def test_cone_frustums() -> None:
    """ "Basic Engineering Mathematics", 5th ed., ch. 27: problem 24 (p. 253) and problem 29 (p. 255)."""
    assert Line(2.0, 0.0, 3.0, 3.6).inner_volume() == pytest.approx(71.6, abs=0.05)
    roof = Line(6.0, 0.0, 12.5, 18.0).inner_volume()
    drum = Line(12.5, 18.0, 12.5, 30.0).inner_volume()
    assert roof == pytest.approx(5038, abs=0.5)
    assert drum == pytest.approx(5890, abs=0.5)
    assert roof + drum == pytest.approx(10928, abs=0.5)


def test_cone_by_the_disk_method() -> None:
    """HELM workbook 14.3, section 1: y = 2x from 0 to 3 turned about x is 36 pi."""
    assert Line(0.0, 0.0, 6.0, 3.0).inner_volume() == pytest.approx(113.0973, abs=5e-5)


@pytest.mark.parametrize(
    ("rc", "radius", "printed", "within"),
    [
        pytest.param(4.0, 2.0, 315.8273, 5e-5, id="OpenStax Calculus 1, section 6.6, example 6.34: 32 pi^2"),
        pytest.param(
            2.0, 1.0, 39.5, 0.05, id="college calculus text, section 7.6, example 7, p. 501: 4 pi^2"
        ),
        pytest.param(3.0, 2.0, 236.871, 5e-4, id="essential calculus text, ch. 5, problem 58: 24 pi^2"),
    ],
)
def test_torus(rc: float, radius: float, printed: float, within: float) -> None:
    assert turned(rc, radius) == pytest.approx(printed, abs=within)
    assert turned(rc, radius) == pytest.approx(2 * math.pi**2 * rc * radius**2, rel=1e-12)


def test_quarter_disc_turned() -> None:
    """Centroid table: A = pi r^2/4, centroid 4r/(3 pi) = 0.42441 r from each straight side."""
    quarter = Chain((Arc(20.0, 0.0, 5.0, -HALF_PI, 0.0),)).volume_below() - math.pi * 20**2 * 5
    ring = Chain((Line(0.0, -5.0, 20.0, -5.0), Arc(20.0, 0.0, 5.0, -HALF_PI, 0.0))).volume_below()
    by_table = 2 * math.pi * (20 + 0.42441 * 5) * math.pi * 25 / 4
    assert ring - math.pi * 20**2 * 5 == pytest.approx(by_table, rel=1e-6)
    # a chain that starts off the axis is closed to the axis by its first point
    assert quarter + math.pi * 20**2 * 5 == pytest.approx(ring, rel=1e-12)


def test_fillet_ring_in_a_flat_bottom_bore() -> None:
    """Corner fillet (centroid table): area (1 - pi/4) r^2, centroid 0.223368 r; R 30, r 5: 973.64 mm3."""
    ring = flat(30.0, 8.0, 40.0).volume_below() - flat(30.0, 8.0, 40.0, corner=5.0).volume_below()
    assert ring == pytest.approx(973.64, abs=0.005)
    assert ring == pytest.approx(2 * math.pi * (30 - 0.223368 * 5) * 0.214602 * 25, rel=3e-6)
