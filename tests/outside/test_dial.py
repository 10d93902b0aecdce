"""Harmonic analysis of twelve readings against a printed worked example."""

from math import degrees

import pytest

from toolpath.workholding.centring import centre

# "Higher Engineering Mathematics", 6th edition, chapter 70, table 70.1, page 639: readings at 30, 60 ... 360.
READINGS = [62, 35, -38, -64, -63, -52, -28, 24, 80, 96, 90, 70]


def test_twelve_readings():
    found = centre(READINGS)
    assert found.mean == pytest.approx(212 / 12)  # the sum is printed
    # printed sums of the cosines and sines, 417.94 and -278.53; 2/N of them
    a, b = 417.94 / 6, -278.53 / 6
    assert found.eccentricity == pytest.approx((a**2 + b**2) ** 0.5, abs=0.005)
    assert found.eccentricity == pytest.approx(83.709, abs=0.005)
    # the first reading stands at 30 degrees
    assert (degrees(found.direction) + 30) % 360 == pytest.approx(360 - 33.68, abs=0.01)


def test_ovality_of_the_twelve_readings():
    found = centre(READINGS)
    # printed sums of cos 2t and sin 2t, of rounded factors: -39 and 29.43; diameters differ by 4 amplitudes
    assert found.ovality == pytest.approx(4 / 6 * (39**2 + 29.43**2) ** 0.5, abs=0.01)
    # phase 142.95 degrees of 2t, counted from 30 degrees before the first reading
    assert (degrees(found.long_axis) + 30) % 180 == pytest.approx(142.95 / 2, abs=0.05)


def test_residuals_hold_neither_mean_nor_eccentricity():
    residuals = centre(READINGS).residuals
    again = centre(residuals)
    assert again.mean == pytest.approx(0.0, abs=1e-12)
    assert again.eccentricity == pytest.approx(0.0, abs=1e-12)
    assert again.ovality == pytest.approx(centre(READINGS).ovality)
