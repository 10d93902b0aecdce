"""ISO 385 error limits: spot checks, and one against a second source."""

import pytest

from toolpath.reference import table


# An open data package of permissible errors that names ISO 385:2005; a laboratory guide quoting
# ISO 385 prints the 50 mL row as well.
@pytest.mark.parametrize(
    ("capacity", "graduation", "class_a", "class_b"),
    [(10, 0.02, 0.02, 0.05), (25, 0.1, 0.05, 0.1), (50, 0.1, 0.05, 0.10), (100, 0.2, 0.1, 0.2)],
)
def test_burette_limits(capacity: float, graduation: float, class_a: float, class_b: float):
    (row,) = (
        row
        for row in table("burettes")["burette"]
        if (row["capacity_cc"], row["graduation_cc"]) == (capacity, graduation)
    )
    assert (row["A"], row["B"]) == (class_a, class_b)


# ASTM E287-02, 1.1.2, puts class B within twice class A; ISO 385 is looser in one row, as tabled.
def test_class_b_is_about_twice_class_a():
    wider = [row for row in table("burettes")["burette"] if row["B"] > 2 * row["A"] + 1e-9]
    assert [(row["capacity_cc"], row["graduation_cc"]) for row in wider] == [(10, 0.02)]
