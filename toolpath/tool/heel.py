"""How steeply a round insert may ramp in towards the axis before its own heel meets the ramp's shoulder.

At height h below the edge the flank is a disc of radius R - h tan a, and the work there is that of radius
sqrt(x^2 + h^2): close to the axis the metal that still stands outside the insert closes round its heel.
"""

from math import atan, pi

import numpy as np

CLEAR = 0.002  # mm that the flank may seem to dig in; the readback's own limit of a gouge
HALVINGS = 20
LEVELS = np.linspace(0.02, 0.999, 50)  # of the height that is looked at
RADII = np.geomspace(0.02, 6.0, 80)  # of the shoulder, in radii of the insert


def steepest_ramp(radius: float, relief: float, thickness: float | None) -> float:
    """The steepest ramp to the axis whose shoulder, cut outward, clears the heel, rad.

    `radius` and `thickness` (mm) are the insert's, `relief` (rad) its flank's and seat's together. A
    thickness that is not known is taken as the radius. No ramp of 1 in 1 or steeper is looked at.

    >>> from math import degrees, radians
    >>> [round(degrees(steepest_ramp(r, radians(7), 3.2)), 1) for r in (3.0, 5.0)]
    [4.7, 5.8]
    """
    tangent = np.tan(relief)
    r = RADII[:, None] * radius
    h = LEVELS * np.minimum(r, radius if thickness is None else thickness)
    x = np.sqrt(r**2 - h**2)
    flank = np.maximum(0.0, radius - h * tangent - CLEAR)
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        rise = (low + high) / 2
        bite = np.minimum(r * rise, radius)
        centre = r - np.sqrt(2 * radius * bite - bite**2)
        digs = (centre >= 0) & (flank**2 - (x - centre) ** 2 > (radius - bite) ** 2)
        low, high = (low, rise) if digs.any() else (rise, high)
    return min(atan(low), pi / 4)
