"""The rounding rule, negative zero, the decimal point and trailing zeros, a row each."""

import pytest

from postprocessors.numbers import fixed, trimmed, whole
from toolpath.errors import DialectError


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        pytest.param(0.0005, 3, "0.001", id="half-goes-up"),
        pytest.param(-0.0005, 3, "-0.001", id="half-goes-away-from-zero"),
        pytest.param(2.675, 2, "2.68", id="half-in-decimal-though-below-it-in-binary"),
        pytest.param(0.00049999, 3, "0.000", id="below-half"),
        pytest.param(-0.0, 3, "0.000", id="negative-zero"),
        pytest.param(-0.0004, 3, "0.000", id="rounds-to-negative-zero"),
        pytest.param(12, 2, "12.00", id="whole-number"),
        pytest.param(1e-7, 4, "0.0000", id="no-exponent-small"),
        pytest.param(99999.0, 1, "99999.0", id="largest"),
    ],
)
def test_fixed(value, decimals, text):
    assert fixed(value, decimals) == text


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        pytest.param(34.0, 3, "34.0", id="point-and-one-digit-stay"),
        pytest.param(0.0, 3, "0.0", id="zero"),
        pytest.param(-0.0004, 3, "0.0", id="negative-zero"),
        pytest.param(100.0, 3, "100.0", id="zeros-before-the-point-stay"),
        pytest.param(-2.540, 3, "-2.54", id="one-zero-cut"),
        pytest.param(0.125, 3, "0.125", id="nothing-to-cut"),
        pytest.param(5.0625, 4, "5.0625", id="four-decimals"),
    ],
)
def test_trimmed(value, decimals, text):
    assert trimmed(value, decimals) == text


@pytest.mark.parametrize(
    ("value", "text"), [(1800.0, "1800"), (723.9, "723"), (299.9999999, "300"), (1, "1")]
)
def test_whole_rounds_down(value, text):
    assert whole(value) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -100_000.0])
@pytest.mark.parametrize("form", [lambda v: fixed(v, 3), lambda v: trimmed(v, 3), whole])
def test_numbers_failure(form, value):
    with pytest.raises(DialectError, match="cannot be written: a number must lie within"):
        form(value)


@pytest.mark.parametrize("value", [0.0, 0.5, -3.0])
def test_whole_failure(value):
    with pytest.raises(DialectError, match="as a spindle speed: it must be at least 1"):
        whole(value)
