"""Cutting data against plain arithmetic; published values stand in tests/outside/test_turning.py."""

from math import pi, sqrt

import pytest

from toolpath.tool import cutting_data as data


def test_deeper_than_the_radius_the_entering_angle_is_square():
    assert data.entering_angle(7.0, 5.0) == data.entering_angle(5.0, 5.0) == pytest.approx(pi / 2)


def test_roughness_is_the_exact_height_of_the_cusp_for_small_feeds():
    assert data.roughness(0.1, 5.0) == pytest.approx(5 - sqrt(25 - 0.1**2 / 4), rel=1e-4)


def test_spindle_speed_is_revolutions_of_the_circumference():
    assert data.spindle_speed(32.0, 2 * pi * 32.0 * 1100.0 / 1000) == pytest.approx(1100.0)


def test_the_cap_takes_over_where_the_speed_asks_for_it():
    diameter = data.cap_diameter(250.0, 1800.0)
    assert diameter == pytest.approx(44.21, abs=0.005)
    assert data.spindle_speed(diameter / 2, 250.0) == pytest.approx(1800.0)


def test_a_thinner_chip_takes_more_force_for_its_area():
    assert data.specific_force(700.0, 0.25, 1.0) == 700.0
    assert data.specific_force(700.0, 0.25, 0.0625) == pytest.approx(1400.0)
