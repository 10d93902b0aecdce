"""Readings that cannot be right: the whole sentence, and either side of each limit."""

import pytest

from toolpath.readings.log import doubt

BACK = "before the cut, and metal does not grow back; look for a bubble, a leak or the wrong piston number"
FAR = "look for a bubble, a leak, the wrong piston number or a missed cut"


@pytest.mark.parametrize(
    ("value", "known"),
    [
        (11.42, {"expected": 11.40, "u": 0.05, "most": 25.0, "earlier": 11.3, "u_reading": 0.02}),
        (0.5, {}),
        (25.0, {"most": 25.0}),
        (11.22, {"earlier": 11.3, "u_reading": 0.02}),  # 3 sqrt(2) 0.02 = 0.085
        (11.25, {"expected": 10.0, "u": 0.25}),  # five times u to the last bit
        (11.4, {"expected": 11.4}),
    ],
)
def test_no_doubt(value, known):
    assert doubt(value, "cc", **known) is None


@pytest.mark.parametrize(
    ("value", "known", "said"),
    [
        (0.0, {}, "0 cc cannot be; a reading is a number above 0"),
        (float("nan"), {}, "nan cc cannot be; a reading is a number above 0"),
        (float("inf"), {}, "inf cc cannot be; a reading is a number above 0"),
        (26.0, {"most": 25.0}, "26 cc is more than the largest possible 25 cc; read the scale again"),
        (11.21, {"earlier": 11.3, "u_reading": 0.02}, f"11.21 cc is less than the 11.3 cc {BACK}"),
        (11.2, {"earlier": 11.3}, f"11.2 cc is less than the 11.3 cc {BACK}"),
        (
            14.2,
            {"expected": 11.4, "u": 0.05},
            f"14.2 cc is far from the expected 11.4 cc +- 0.1 cc (k = 2); {FAR}",
        ),
        (11.5, {"expected": 11.4}, f"11.5 cc is far from the expected 11.4 cc +- 0 cc (k = 2); {FAR}"),
    ],
)
def test_doubt(value, known, said):
    assert doubt(value, "cc", **known) == said
