"""Turning figures against a maker's guide, makers' formula sheets and a solved textbook exercise."""

from math import degrees, pi

import pytest

from toolpath.tool import cutting_data as data


# A maker's guide to round inserts in heat-resistant alloys, table of bite over diameter.
@pytest.mark.parametrize(
    ("bite_over_diameter", "angle", "feed_factor"),
    [(0.25, 60, 1.16), (0.20, 53, 1.25), (0.15, 46, 1.4), (0.10, 37, 1.66), (0.05, 26, 2.3)],
)
def test_round_insert_table(bite_over_diameter: float, angle: float, feed_factor: float):
    kappa = data.entering_angle(10 * bite_over_diameter, 5.0)
    assert degrees(kappa) == pytest.approx(angle, abs=0.5)
    assert 1 / data.chip_thickness(1.0, kappa) == pytest.approx(feed_factor, abs=0.01)


# The same guide's worked example: diameter 6, bite 0.9.
@pytest.mark.parametrize(("feed", "chip"), [(0.14, 0.10), (0.49, 0.35)])
def test_round_insert_example(feed: float, chip: float):
    assert data.chip_thickness(feed, data.entering_angle(0.9, 3.0)) == pytest.approx(chip, abs=0.005)


# The same guide: largest feed for a peak-to-valley height of 8.0 um. Its first row, radius 0.4 with
# 0.17 mm/rev, is 6 % above its own formula and is left out.
@pytest.mark.parametrize(
    ("radius", "feed"),
    [(0.8, 0.22), (1.2, 0.27), (1.6, 0.32), (4.0, 0.5), (5.0, 0.57), (6.0, 0.62), (8.0, 0.7)],
)
def test_feed_for_roughness_table(radius: float, feed: float):
    assert data.roughness(feed, radius) == pytest.approx(0.008, rel=0.06)


# Two makers' formula sheets: Rz = 125 f^2/r um; 6.25 um for 0.2 mm/rev on a radius of 0.8.
def test_roughness_formula():
    assert data.roughness(0.2, 0.8) * 1000 == pytest.approx(6.25)


# Solved textbook exercise: bar 75 to 65 mm, 400 rev/min, 200 mm/min, specific energy 3.0 to 4.1 J/mm3.
@pytest.mark.parametrize(("energy", "kilowatts", "newtons"), [(3.0, 10.996, 7000), (4.1, 15.027, 9570)])
def test_power_example(energy: float, kilowatts: float, newtons: float):
    outer, mean = pi * 75 * 400 / 1000, pi * 70 * 400 / 1000  # m/min
    assert outer == pytest.approx(94.25, abs=0.005)
    assert data.spindle_speed(37.5, outer) == pytest.approx(400)
    force = data.cutting_force(1000 * energy, bite=5.0, feed=200 / 400)
    found = force * mean / 60000
    assert found == pytest.approx(kilowatts, rel=0.01)
    # the exercise takes its force from the power at the outer speed
    assert 60000 * found / outer == pytest.approx(newtons, rel=0.01)


# Solved tutorial: diameter 20 at 200 rev/min.
def test_surface_speed_example():
    assert data.spindle_speed(10.0, 12.566) == pytest.approx(200, rel=1e-4)
    assert data.cap_diameter(12.566, 200) == pytest.approx(20.0, rel=1e-4)


# "Fundamentals of Modern Manufacturing", unit power at a chip of 0.25 mm as quoted in an exercise:
# 0.7 J/mm3 for soft and 0.8 J/mm3 for harder aluminium. The makers' power law gives the same size.
def test_specific_force_is_of_the_handbook_size():
    assert data.specific_force(700.0, 0.25, 0.25) == pytest.approx(750, rel=0.35)
    assert data.specific_force(700.0, 0.25, 0.25) == pytest.approx(700 * 4**0.25)


# At half the radius deep the entering angle is 60 degrees, as printed.
def test_entering_angle_exact():
    assert data.entering_angle(2.5, 5.0) == pytest.approx(pi / 3)
