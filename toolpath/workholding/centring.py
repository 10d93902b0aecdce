"""Centring and ovality from dial readings taken round the piston.

The least-squares circle through N equally spaced readings R at angles t: mean R0, a = 2/N sum R cos t,
b = 2/N sum R sin t, centre at (a, b). Source: the least-squares circle of roundness measurement
(NIST/SEMATECH e-Handbook 2.3.4.4 describes the same fit). It holds while the eccentricity is small
against the radius. Ovality is the second harmonic: greatest less least diameter is 4 times its
amplitude (derived).
"""

from collections.abc import Sequence
from math import atan2, cos, degrees, hypot, isfinite, pi, sin
from typing import NamedTuple

from toolpath.errors import InputError

FEWEST, MOST = 4, 24


class Centring(NamedTuple):
    """What the dial saw; lengths in the unit of the readings, angles in rad from the first reading.

    Angles grow in the order in which the readings were taken. Readings grow where the surface stands
    further out.
    """

    readings: tuple[float, ...]
    mean: float
    eccentricity: float  # how far the piston's axis lies from the spindle's
    direction: float  # where it lies: the high side, 0 to 2 pi
    ovality: float  # greatest less least diameter; with four readings the least that it can be
    long_axis: float  # where the greatest diameter lies, 0 to pi
    residuals: tuple[float, ...]  # readings less mean and eccentricity

    @property
    def runout(self) -> float:
        """Full indicator movement, greatest less least reading."""
        return max(self.readings) - min(self.readings)

    @property
    def ovality_known(self) -> bool:
        """Whether there are enough readings for it: four show only the part along their own diameters."""
        return len(self.readings) > FEWEST

    def lines(self) -> tuple[str, ...]:
        """The result in sentences, with the way to move the piston."""
        count = len(self.readings)
        high = round(degrees(self.direction)) % 360
        place = round(self.direction / (2 * pi) * count, 1) % count + 1
        oval = f"ovality {self.ovality:.4g}"
        if self.ovality:
            oval += f", greatest diameter at {degrees(self.long_axis):.0f} degrees"
        if not self.ovality_known:
            oval = (
                f"the two diameters differ by {self.ovality:.4g}; "
                "four readings cannot tell the whole ovality, take eight"
            )
        return (
            f"mean {self.mean:.4g}, runout {self.runout:.4g}",
            f"high side at {high} degrees from the first reading, in the order of the readings (reading {place:.1f})"
            if self.eccentricity
            else "no high side",
            f"move the piston {self.eccentricity:.4g} away from the high side"
            if self.eccentricity
            else "leave the piston where it is",
            oval,
        )


def centre(readings: Sequence[float]) -> Centring:
    """The centre, ovality and residuals of 4 to 24 readings at equal angles, the first at 0.

    Raises:
        InputError: too few or too many readings, or one that is not finite.

    >>> found = centre([3.0, 2.0, 1.0, 2.0])  # high at the first reading
    >>> round(found.eccentricity, 9), found.direction
    (1.0, 0.0)
    """
    count = len(readings)
    if not FEWEST <= count <= MOST:
        raise InputError(f"{count} dial readings: take {FEWEST} to {MOST} at equal angles")
    if not all(isfinite(reading) for reading in readings):
        raise InputError("dial readings must be finite numbers; read the dial again")
    mean = sum(readings) / count
    a, b = _harmonic(readings, 1)
    a2, b2 = _harmonic(readings, 2)
    nothing = 1e-9 * max(map(abs, readings))  # what adding up leaves of a harmonic that is not there
    a, b = (a, b) if hypot(a, b) > nothing else (0.0, 0.0)
    a2, b2 = (a2, b2) if hypot(a2, b2) > nothing else (0.0, 0.0)
    if count == FEWEST:  # the sine part is zero at all four places and the 2/N rule doubles the cosine part
        a2, b2 = a2 / 2, 0.0
    angles = [2 * pi * i / count for i in range(count)]
    return Centring(
        readings=tuple(readings),
        mean=mean,
        eccentricity=hypot(a, b),
        direction=atan2(b, a) % (2 * pi),
        ovality=4 * hypot(a2, b2),
        long_axis=atan2(b2, a2) / 2 % pi,
        residuals=tuple(
            reading - mean - a * cos(t) - b * sin(t) for reading, t in zip(readings, angles, strict=True)
        ),
    )


def _harmonic(readings: Sequence[float], order: int) -> tuple[float, float]:
    """Cosine and sine coefficient of one harmonic, by the 2/N rule."""
    step = 2 * pi * order / len(readings)
    a = sum(reading * cos(step * i) for i, reading in enumerate(readings))
    b = sum(reading * sin(step * i) for i, reading in enumerate(readings))
    return 2 * a / len(readings), 2 * b / len(readings)
