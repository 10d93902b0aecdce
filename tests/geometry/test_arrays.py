"""Small helpers on arrays, against numpy's own."""

import numpy as np
import pytest

from toolpath.geometry.arrays import bends, distinct


@pytest.mark.parametrize("values", [[3.0], [2.0, 1.0], [1.0, 1.0, 1.0], [5.0, 0.0, 5.0, 2.0, 0.0, 7.0, 7.0]])
def test_distinct(values: list[float]) -> None:
    assert distinct(np.array(values)).tolist() == np.unique(values).tolist()


@pytest.mark.parametrize(
    ("heights", "needed"),
    [
        ([1.0], [True]),
        ([1.0, 1.0], [True, True]),
        ([0.0, 0.0, 0.0, 0.0], [True, False, False, True]),
        ([1.0, 1.0, 1.0, 2.0, 2.0, 2.0], [True, False, True, True, False, True]),
        ([[0.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]], [True, False, True, True]),
    ],
)
def test_bends(heights: list[float], needed: list[bool]) -> None:
    """Ends, and every point beside one of another height in any of the lines."""
    assert bends(np.array(heights)).tolist() == needed
