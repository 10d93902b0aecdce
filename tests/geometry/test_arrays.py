"""Small helpers on arrays, against numpy's own."""

import numpy as np
import pytest

from toolpath.geometry.arrays import distinct


@pytest.mark.parametrize("values", [[3.0], [2.0, 1.0], [1.0, 1.0, 1.0], [5.0, 0.0, 5.0, 2.0, 0.0, 7.0, 7.0]])
def test_distinct(values: list[float]) -> None:
    assert distinct(np.array(values)).tolist() == np.unique(values).tolist()
