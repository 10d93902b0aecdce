"""Small helpers on arrays."""

import numpy as np
from numpy.typing import NDArray

from toolpath.geometry.segments import Floats


def distinct(values: Floats) -> Floats:
    """The values in order, each once; numpy's own `unique` loads all of numpy.ma, 10 ms of a start-up."""
    ordered = np.sort(values)
    return ordered[np.concatenate(([True], ordered[1:] != ordered[:-1]))]


def bends(heights: Floats) -> NDArray[np.bool_]:
    """Which of K points a line through heights (K,), or all of N such lines (N, K), cannot do without, (K,).

    It can do without those between two of their own height.
    """
    needed = np.ones(heights.shape[-1], dtype=bool)
    unlike = heights[..., 1:] != heights[..., :-1]
    inner = unlike[..., 1:] | unlike[..., :-1]
    needed[1:-1] = np.atleast_2d(inner).any(axis=0)
    return needed
