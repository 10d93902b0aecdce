"""A bracketed root finder; scipy is a test dependency only."""

import math
from collections.abc import Callable

from toolpath.errors import GeometryError


def root(
    f: Callable[[float], float], lo: float, hi: float, *, within: float = 1e-13, near: float = 0.0
) -> float:
    """The x in [lo, hi] where f changes sign, to `within` of the bracket's size or to |f| <= `near`.

    Chandrupatla's method (Advances in Engineering Software 28, 1997, 145-149): inverse quadratic
    steps where they are safe, halves where they are not.

    Raises:
        GeometryError: f has the same sign at both ends.

    >>> round(root(lambda x: x * x - 2, 0, 2), 12)
    1.414213562373
    """
    a, b = hi, lo
    fa, fb = f(a), f(b)
    if fb == 0:
        return b
    if fa == 0:
        return a
    if math.copysign(1, fa) == math.copysign(1, fb):
        raise GeometryError(f"No value between {lo} and {hi} solves this.")
    c, fc, share = a, fa, 0.5
    small = within * max(abs(lo), abs(hi), 1e-300)
    for _ in range(200):
        x = a + share * (b - a)
        fx = f(x)
        if math.copysign(1, fx) == math.copysign(1, fa):
            c, fc = a, fa
        else:
            c, b, fc, fb = b, a, fb, fa
        a, fa = x, fx
        best = a if abs(fa) < abs(fb) else b
        room = small / abs(b - a) if b != a else 1.0
        if room >= 0.5 or min(abs(fa), abs(fb)) <= near:
            return best
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        if phi * phi < xi and (1 - phi) ** 2 < 1 - xi:
            share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        else:
            share = 0.5
        share = min(max(share, room), 1 - room)
    return best
