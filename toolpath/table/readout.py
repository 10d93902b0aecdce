"""A digital readout: the positions that it can show, as whole counts of its resolution.

Counts are the only way from a wanted position to a shown one, so the direction of every rounding
stands at the place where it is chosen.
"""

import math
from dataclasses import dataclass
from typing import Literal

from toolpath.errors import InputError
from toolpath.moves import SHIFTS, ControlPoint
from toolpath.units import mm_per

_SAME = 1e-7  # of a count; a position this near to a count is on it
_MOST_DECIMALS = 6
_MOST_TRIED = 100  # divisions until one falls on a count


@dataclass(frozen=True, slots=True)
class Readout:
    """What the readout shows of the insert, and how the infeed handwheel is divided; lengths mm.

    `resolution` is the step of what is shown: of a diameter where X reads as one. The infeed of a row is
    along Z, so a division of its wheel is that length, whatever the cross slide's dial reads.

    Raises:
        InputError: a length is not positive and finite, or the resolution has no finite number of
            decimals in the readout's units.
    """

    control_point: ControlPoint
    insert_radius: float
    units: Literal["mm", "inch"]
    x_reading: Literal["diameter", "radius"]
    resolution: float
    handwheel_division: float | None = None

    def __post_init__(self) -> None:
        lengths = {
            "insert radius": self.insert_radius,
            "readout resolution": self.resolution,
            "handwheel division": self.handwheel_division,
        }
        for name, length in lengths.items():
            if length is not None and not (math.isfinite(length) and length > 0):
                raise InputError(f"{name} {length:g} mm: it must be above 0; read it off the machine")
        step = self._step
        if abs(round(step, _MOST_DECIMALS) - step) > 1e-10:
            raise InputError(
                f"readout resolution {self.resolution:g} mm: no whole step in {self.units}; "
                f"state the smallest step that the readout shows in {self.units}"
            )

    @property
    def unit_mm(self) -> float:
        """The readout's unit of length, mm."""
        return mm_per(self.units)

    @property
    def unit_word(self) -> str:
        """The readout's unit of length as it is written."""
        return "mm" if self.units == "mm" else "in"

    @property
    def _step(self) -> float:
        return self.resolution / self.unit_mm

    @property
    def decimals(self) -> int:
        """Decimals that show every count.

        >>> Readout("face-outer", 5.0, "inch", "diameter", 0.0127).decimals
        4
        """
        step = self._step
        return next(d for d in range(_MOST_DECIMALS + 1) if abs(round(step, d) - step) < 1e-10)

    @property
    def x_step(self) -> float:
        """What one count of X moves the insert, mm."""
        return self.resolution / (2 if self.x_reading == "diameter" else 1)

    @property
    def _aside(self) -> float:
        return SHIFTS[self.control_point][0] * self.insert_radius

    @property
    def _ahead(self) -> float:
        return -SHIFTS[self.control_point][1] * self.insert_radius

    def shown(self, count: int) -> float:
        """A count of X or Z as the number on the readout, in its units."""
        return round(count * self._step, _MOST_DECIMALS)

    def x(self, count: int) -> float:
        """Radius of the insert's centre at a count of X, mm."""
        return count * self.x_step - self._aside

    def z(self, count: int) -> float:
        """Height of the insert's centre at a count of Z, mm."""
        return count * self.resolution + self._ahead

    def x_inside(self, x: float) -> int:
        """The last count of X at or inside the centre radius x (mm)."""
        return math.floor((x + self._aside) / self.x_step + _SAME)

    def x_outside(self, x: float) -> int:
        """The first count of X at or outside the centre radius x (mm)."""
        return math.ceil((x + self._aside) / self.x_step - _SAME)

    def z_over(self, z: float) -> int:
        """The lowest count of Z at or over the centre height z (mm)."""
        return math.ceil((z - self._ahead) / self.resolution - _SAME)

    def divisions(self, counts: int) -> float | None:
        """Handwheel divisions of an infeed of so many counts; None without a stated division."""
        return None if self.handwheel_division is None else counts * self.resolution / self.handwheel_division

    def unit(self, most: float) -> int:
        """The fewest counts that are whole divisions too, or one count where `most` mm hold none.

        >>> Readout("face-outer", 5.0, "mm", "diameter", 0.01, 0.025).unit(0.5)
        5
        """
        if self.handwheel_division is not None:
            for n in range(1, math.floor(most / self.handwheel_division + _SAME) + 1):
                counts = n * self.handwheel_division / self.resolution
                if abs(counts - round(counts)) < _SAME * n:
                    return round(counts)
                if n == _MOST_TRIED:
                    break
        return 1

    def step(self, depth: float) -> int:
        """A depth of cut (mm) in counts, rounded down to whole divisions of the handwheel; one at least.

        >>> Readout("face-outer", 5.0, "mm", "diameter", 0.01, 0.02).step(0.51)
        50
        """
        unit = self.unit(depth)
        return max(1, math.floor(depth / self.resolution / unit + _SAME) * unit)
