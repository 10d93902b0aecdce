"""The root finder against scipy's."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from toolpath.errors import GeometryError
from toolpath.geometry.roots import root


@pytest.mark.parametrize(
    ("f", "lo", "hi"),
    [
        pytest.param(lambda x: x**3 - 2, 0.0, 2.0, id="cubic"),
        pytest.param(lambda x: math.cos(x) - x, 0.0, 1.0, id="cosine"),
        pytest.param(lambda x: math.exp(x) - 1e6, 0.0, 50.0, id="steep"),
        pytest.param(lambda x: max(0.0, x - 4.0) - 1e-3, 0.0, 40.0, id="level, then rising"),
        pytest.param(lambda x: -1.0 if x < 7.25 else 1.0, 0.0, 40.0, id="a step"),
        pytest.param(lambda x: 2 - x, 0.0, 5.0, id="falling"),
        pytest.param(lambda x: x**3 - 0.03, -1.0, 3.0, id="ends either side of zero"),
    ],
)
def test_root_against_brentq(f: Callable[[float], float], lo: float, hi: float) -> None:
    expected = brentq(f, lo, hi, xtol=1e-14, rtol=1e-14)
    assert root(f, lo, hi) == pytest.approx(expected, abs=1e-11)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.01, 30.0), st.floats(0.5, 60.0))
def test_root_of_a_cap_to_1e_9(depth: float, mouth: float) -> None:
    def volume(h: float) -> float:
        return math.pi * h * (3 * mouth**2 + h**2) / 6

    found = root(lambda h: volume(h) - volume(depth), 0.0, 40.0)
    assert volume(found) == pytest.approx(volume(depth), rel=1e-9)


def test_a_root_at_an_end_is_taken_as_it_is() -> None:
    assert root(lambda x: x, 0.0, 5.0) == 0.0
    assert root(lambda x: x - 5.0, 0.0, 5.0) == 5.0


def test_few_calls() -> None:
    """A solve calls for a whole section each time: a dozen of them, not the forty of plain halving."""
    calls = []

    def volume(h: float) -> float:
        calls.append(h)
        return math.pi * h * (3 * 34**2 + h**2) / 6 - 11600

    root(volume, 0.0, 34.0)
    assert len(calls) <= 15


def test_root_failure() -> None:
    with pytest.raises(GeometryError, match=r"No value between 1.0 and 2.0 solves this"):
        root(lambda x: x, 1.0, 2.0)
