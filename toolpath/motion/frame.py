"""How the program states a position: control point, reading, units, decimals."""

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from toolpath.moves import SHIFTS, ControlPoint
from toolpath.units import mm_per

ON_AXIS = 1e-6  # mm; a planned place no further past the axis is on it


@dataclass(frozen=True, slots=True)
class Frame:
    """How the program states a position of the insert."""

    control_point: ControlPoint
    insert_radius: float  # mm
    x_reading: Literal["diameter", "radius"]
    units: Literal["mm", "inch"]
    decimals: int  # of X, Z, I, K

    def __post_init__(self) -> None:
        if not (isfinite(self.insert_radius) and self.insert_radius > 0):
            raise ValueError(f"the insert radius {self.insert_radius} mm must be more than 0")
        if not 1 <= self.decimals <= 9:
            raise ValueError(f"{self.decimals} decimals: between 1 and 9 can be written")

    @property
    def unit(self) -> float:
        """One program unit, mm."""
        return mm_per(self.units)

    @property
    def step(self) -> float:
        """One in the last decimal of Z, I and K, mm."""
        return self.unit / 10.0**self.decimals

    @property
    def shift(self) -> tuple[float, float]:
        """From the insert centre to the control point in X (radius) and Z, mm."""
        sideways, forward = SHIFTS[self.control_point]
        return sideways * self.insert_radius, forward * self.insert_radius

    def x_word(self, x: float) -> float:
        """The X of the program, rounded, when the insert centre is at radius x mm."""
        words = (x + self.shift[0]) * self._x_factor / self.unit
        word = round(words, self.decimals)
        if x > -ON_AXIS and word * self.unit / self._x_factor - self.shift[0] < 0:
            word = round(word + 10.0**-self.decimals, self.decimals)  # never past the axis by rounding
        return word + 0.0  # adding zero turns a negative zero into zero

    def z_word(self, z: float) -> float:
        """The Z of the program, rounded, when the insert centre is at z mm."""
        return round((z + self.shift[1]) / self.unit, self.decimals) + 0.0

    def meant_by(self, x_word: float, z_word: float) -> tuple[float, float]:
        """The control point's radius and Z, mm, that the control takes from an X and Z."""
        return x_word * self.unit / self._x_factor, z_word * self.unit

    @property
    def _x_factor(self) -> float:
        return 2.0 if self.x_reading == "diameter" else 1.0
