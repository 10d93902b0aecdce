"""ISO 1832 keys. The standard was not read: the values are those of makers' tables that quote it."""

from math import degrees

import pytest

from toolpath.tool.insert import decode


# Two dimension tables print these sizes next to the designations.
@pytest.mark.parametrize(
    ("designation", "diameter", "thickness", "relief"),
    [("RPGN 0903 00", 9.525, 3.18, 11), ("RPGN 1204 00", 12.70, 4.76, 11)],
)
def test_sizes_printed_beside_the_designation(
    designation: str, diameter: float, thickness: float, relief: float
):
    insert = decode(designation)
    assert insert.diameter == diameter
    assert insert.radius == diameter / 2
    assert insert.thickness == thickness
    assert degrees(insert.relief) == pytest.approx(relief)


# Put together here from the makers' keys; that 05 with M0 is 5.00 mm is from memory.
@pytest.mark.parametrize(
    ("designation", "diameter", "thickness", "relief", "tolerance"),
    [
        ("RCMT 0602 M0", 6.00, 2.38, 7, 0.05),
        ("RCMT 0803 M0", 8.00, 3.18, 7, 0.05),
        ("RCMT 10T3 M0", 10.00, 3.97, 7, 0.05),
        ("RCMT 1204 M0", 12.00, 4.76, 7, 0.08),
        ("RCGT 0602 M0", 6.00, 2.38, 7, 0.025),
        ("RDHW 0501 M0", 5.00, 1.59, 15, 0.013),
        ("RNMG 1204 00", 12.70, 4.76, 0, 0.08),
    ],
)
def test_sizes_from_the_keys(
    designation: str, diameter: float, thickness: float, relief: float, tolerance: float
):
    insert = decode(designation)
    assert (insert.diameter, insert.thickness, insert.tolerance) == (diameter, thickness, tolerance)
    assert degrees(insert.relief) == pytest.approx(relief)


# Three makers' tables agree on the clearance letters.
@pytest.mark.parametrize(
    ("letter", "relief"),
    [("A", 3), ("B", 5), ("C", 7), ("D", 15), ("E", 20), ("F", 25), ("G", 30), ("N", 0), ("P", 11)],
)
def test_clearance_letters(letter: str, relief: float):
    assert degrees(decode(f"R{letter}GT 10T3 M0").relief) == pytest.approx(relief)


# Two tables print class M for rounds of inch origin; for metric rounds the steps are from memory.
@pytest.mark.parametrize(
    ("size", "diameter", "tolerance"),
    [
        ("0903 00", 9.525, 0.05),
        ("1204 00", 12.70, 0.08),
        ("1506 00", 15.875, 0.10),
        ("1906 00", 19.05, 0.10),
        ("2507 00", 25.40, 0.13),
        ("3109 00", 31.75, 0.15),
        ("1003 M0", 10.0, 0.05),
        ("1606 M0", 16.0, 0.10),
        ("2006 M0", 20.0, 0.10),
        ("2507 M0", 25.0, 0.13),
        ("3209 M0", 32.0, 0.15),
    ],
)
def test_class_m_by_size(size: str, diameter: float, tolerance: float):
    insert = decode(f"RCMT {size}")
    assert (insert.diameter, insert.tolerance) == (diameter, tolerance)


# The thickness codes stand for inch fractions; three makers' tables print them to 0.01 mm.
@pytest.mark.parametrize(
    ("code", "sixty_fourths"),
    [
        ("01", 4),
        ("T1", 5),
        ("02", 6),
        ("T2", 7),
        ("03", 8),
        ("T3", 10),
        ("04", 12),
        ("05", 14),
        ("06", 16),
        ("07", 20),
        ("09", 24),
    ],
)
def test_thickness_codes_are_inch_fractions(code: str, sixty_fourths: int):
    assert decode(f"RCGT 10{code} M0").thickness == pytest.approx(25.4 * sixty_fourths / 64, abs=0.0051)
