"""Compression ratios of solved exercises, and the crown thickness of a machine-design textbook."""

from math import pi

import pytest

from toolpath.profile.crown_formula import flat_plate_thickness
from toolpath.profile.engine import Engine


def engine(bore: float, stroke: float, clearance: float) -> Engine:
    """An engine whose clearance is stated as a whole: flush piston, a gasket as thin as nothing."""
    return Engine(bore, stroke, clearance, gasket_bore=bore, gasket_thickness=1e-9, deck=0.0)


# Solved textbook question (from memory "Internal Combustion Engines", example 1.1):
# 245 cc, bore over stroke 1.1, clearance 27.2 cc: bore 7.00 cm, stroke 6.36 cm, ratio 10.007.
def test_single_cylinder():
    single = engine(70.0, 63.6, 27.2e3)
    assert single.swept == pytest.approx(245e3, rel=0.002)
    bore = (245e3 * 1.1 * 4 / pi) ** (1 / 3)
    exact = engine(bore, bore / 1.1, 27.2e3)
    assert exact.bore == pytest.approx(70.0, abs=0.05)
    assert exact.stroke == pytest.approx(63.6, abs=0.05)
    assert exact.ratio(0.0) == pytest.approx(10.007, abs=0.0005)


# Engineering-exam solution: six cylinders of 17 x 30 cm, clearance 9225 cm3 in all: swept 40 856.41 cm3,
# ratio printed as 5.42 (5.4289 unrounded).
def test_six_cylinders():
    sixth = engine(170.0, 300.0, 9225e3 / 6)
    assert 6 * sixth.swept == pytest.approx(40_856.41e3, abs=10.0)
    assert sixth.ratio(0.0) == pytest.approx(5.42, abs=0.01)


# Exam key: swept 250 cc, clearance 30 cc, ratio 9.33. (The working printed with it is wrong.)
def test_exam_key():
    bore = (250e3 * 1.2 * 4 / pi) ** (1 / 3)
    assert engine(bore, bore / 1.2, 30e3).ratio(0.0) == pytest.approx(9.33, abs=0.005)


# The exercise asks for bore = stroke, 3.0 L in six, ratio 9.5; its numbers were worked out here:
# bore 86.03 mm, clearance 58.82 cc. hollow_for turns the ratio back into that volume.
def test_volume_for_a_ratio():
    square = engine(86.025, 86.025, 0.0)
    assert square.hollow_for(9.5) == pytest.approx(58.82e3, rel=0.0005)


# "A Textbook of Machine Design", section 32.8, example 32.2: grey iron at 38 MPa, 5 N/mm2, 100 mm.
# 15.7 mm is printed from memory; the book adopts 16 mm.
def test_crown_formula():
    assert flat_plate_thickness(5.0, 100.0, 38.0) == pytest.approx(15.707, abs=0.0005)
