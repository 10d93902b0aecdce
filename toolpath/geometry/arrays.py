"""Small helpers on arrays."""

import numpy as np

from toolpath.geometry.segments import Floats


def distinct(values: Floats) -> Floats:
    """The values in order, each once; numpy's own `unique` loads all of numpy.ma, 10 ms of a start-up."""
    ordered = np.sort(values)
    return ordered[np.concatenate(([True], ordered[1:] != ordered[:-1]))]
