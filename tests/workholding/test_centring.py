"""Readings made from a known eccentricity and ovality come back; the published one is in tests/outside."""

from math import cos, pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import InputError
from toolpath.workholding.centring import centre


def dial(count: int, e: float, direction: float, oval: float, axis: float) -> list[float]:
    """Readings round a piston whose axis lies `e` off and whose diameters differ by `oval`."""
    angles = [2 * pi * i / count for i in range(count)]
    return [1.0 + e * cos(t - direction) + oval / 4 * cos(2 * (t - axis)) for t in angles]


@given(
    st.integers(5, 24), st.floats(0.01, 1.0), st.floats(0.1, 6.2), st.floats(0.01, 0.5), st.floats(0.1, 3.0)
)
def test_centre_finds_what_was_put_in(count: int, e: float, direction: float, oval: float, axis: float):
    found = centre(dial(count, e, direction, oval, axis))
    assert found.mean == pytest.approx(1.0)
    assert found.eccentricity == pytest.approx(e)
    assert found.direction == pytest.approx(direction)
    assert found.ovality == pytest.approx(oval)
    assert found.long_axis == pytest.approx(axis)
    assert found.ovality_known


def test_runout_of_a_round_piston_is_twice_the_eccentricity():
    found = centre(dial(8, 0.05, 0.0, 0.0, 0.0))
    assert found.runout == pytest.approx(2 * found.eccentricity)
    assert found.residuals == pytest.approx([0.0] * 8, abs=1e-12)


def test_four_readings_see_only_the_difference_of_two_diameters():
    along = centre(dial(4, 0.05, 1.0, 0.2, 0.0))
    assert along.eccentricity == pytest.approx(0.05)
    assert along.ovality == pytest.approx(0.2)
    across = centre(dial(4, 0.05, 1.0, 0.2, radians(45)))
    assert across.ovality == pytest.approx(0.0, abs=1e-12)
    assert not across.ovality_known
    assert "four readings cannot tell the whole ovality" in across.lines()[-1]


def test_lines_say_which_way_to_move():
    lines = centre(dial(8, 0.05, pi / 2, 0.02, 0.0)).lines()
    assert lines == (
        "mean 1, runout 0.1",
        "high side at 90 degrees from the first reading, in the order of the readings (reading 3.0)",
        "move the piston 0.05 away from the high side",
        "ovality 0.02, greatest diameter at 0 degrees",
    )


@pytest.mark.parametrize("count", [0, 3, 25])
def test_count_failure(count: int):
    with pytest.raises(InputError, match=f"{count} dial readings: take 4 to 24"):
        centre([0.0] * count)


def test_not_finite_failure():
    with pytest.raises(InputError, match="finite"):
        centre([1.0, 2.0, float("nan"), 3.0])
