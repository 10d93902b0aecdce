"""Where the uncertainty comes from: burette, setting up, and how a section answers to each error.

Standard uncertainties throughout (JCGM 100): lengths in mm, volumes in mm3. Each number says whether the
job stated it or it is a default, so that the printed budget can be traced.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np

from toolpath.uncertainty.estimate import FloatArray, Prediction, Unknown
from toolpath.units import cc

Zero = Literal["same", "kept", "noted", "fresh"]
"""How a cut got its Z zero: "same" fixing and touch-off as the cut (or skim) before; taken off and refitted
with the zero "kept"; taken from its "noted" absolute value, corrected by touching the fixture's face again; or
touched "fresh" on the finished crown."""

PRACTICE = "default; common practice, no source"
RECTANGLE = math.sqrt(3.0)  # half-width over standard uncertainty (JCGM 100, 4.3.7)


@dataclass(frozen=True, slots=True)
class Burette:
    """One burette: capacity, largest permissible error (+-) and graduation in mm3, and fills a reading.

    The calibration error is the same in every reading and in every fill of one burette, so it adds up
    linearly; the scale is read to the nearest graduation once a fill (the start is set on the line), and
    those errors are independent. Both are rectangular. Raises ValueError for sizes that cannot be.
    """

    capacity: float
    largest_error: float
    graduation: float
    fills: int = 1
    name: str = "burette"
    source: str = "ISO 385:2005"

    def __post_init__(self) -> None:
        sizes = (self.capacity, self.largest_error, self.graduation)
        if not all(math.isfinite(v) for v in sizes) or self.largest_error < 0 or self.graduation < 0:
            raise ValueError(f"a burette with {sizes} mm3 cannot be; all must be 0 or more")
        if self.capacity <= 0 or self.fills < 1:
            raise ValueError(f"a burette of {self.capacity} mm3 and {self.fills} fills holds nothing")

    def fills_for(self, volume: float) -> int:
        """Fewest fills that deliver `volume` mm3."""
        return max(1, math.ceil(volume / self.capacity - 1e-9))

    def calibration(self) -> Unknown:
        """The error common to all its readings, per reading of all fills, mm3."""
        u = self.fills * self.largest_error / RECTANGLE
        source = f"{self.source}: +-{cc(self.largest_error):g} cc a fill, rectangular"
        return Unknown("burette", u, "mm3", "rectangular", source)

    def scale_reading(self, number: int) -> Unknown:
        """The error of reading `number` alone, mm3."""
        u = math.sqrt(self.fills) * self.graduation / (2.0 * RECTANGLE)
        shape: Literal["normal", "rectangular"] = "rectangular" if self.fills == 1 else "normal"
        line = cc(self.graduation)
        source = f"to the nearest {line:g} cc line once a fill, rectangular (JCGM 100, F.2.2.1)"
        return Unknown(f"reading {number}", u, "mm3", shape, source)


@dataclass(frozen=True, slots=True)
class SetupUncertainty:
    """Standard uncertainties of setting up: mm, the old dish in mm3, the top slide's angle (0 where none is
    set over) in rad. `stated` names what the job gave.

    `insert_radius`: half the tolerance on the insert's diameter, as a rectangle, unless known better.
    `face_touch`: one touch on the fixture's turned face, which is truer than a crown.
    Raises ValueError when one is negative or not finite.
    """

    insert_radius: float
    old_dish: float
    touch_off: float = 0.02
    x_touch: float = 0.05
    refit: float = 0.005
    repeat: float = 0.003
    face_touch: float = 0.01
    depth_reading: float = 0.01
    mouth_reading: float = 0.03  # on diameter
    slide_angle: float = 0.0
    stated: frozenset[str] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if name != "stated" and not (math.isfinite(value) and value >= 0):
                raise ValueError(f"the standard uncertainty {name} is {value}; it must be 0 or more")

    def unknown(self, name: str, of: str, times: int = 1) -> Unknown:
        """An unknown called `name`, the sum of `times` errors of the field `of`, and its source."""
        if of in self.stated:
            source = f"stated: {of}"
        elif of == "insert_radius":
            source = "half the insert's tolerance on diameter (ISO 1832), rectangular"
        elif of == "old_dish":
            source = "the old dish's volume as given"
        else:
            source = PRACTICE
        shape: Literal["normal", "rectangular"] = "normal"
        if of in ("insert_radius", "slide_angle") and of not in self.stated:
            shape = "rectangular"
        u = math.sqrt(times) * getattr(self, of)
        unit = {"old_dish": "mm3", "slide_angle": "rad"}.get(of, "mm")
        return Unknown(name, u, unit, shape, source)


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """How the volume that the reading method sees answers to each error, at one nominal section.

    z: mm3 per mm that the finished path lies deeper, the plan area inside its mouth less where the old
    dish lies deeper (not the derivative at fixed mouth); x: mm3 per mm that it lies further out; insert:
    mm3 per mm of insert radius; old: mm3 per mm3 of old-dish volume; show: mm2, the plan area of old dish
    and pockets still showing at the crown; stand: mm2, the plan area where the cut before, of another form,
    stays deeper than this one (x and insert hold both cuts, z only this one); angle: mm3 per rad that the top
    slide is set flatter. Raises ValueError for a value that is not finite.
    """

    z: float | FloatArray = 0.0
    x: float | FloatArray = 0.0
    insert: float | FloatArray = 0.0
    old: float | FloatArray = 0.0
    show: float | FloatArray = 0.0
    stand: float | FloatArray = 0.0
    angle: float | FloatArray = 0.0

    def __post_init__(self) -> None:
        if not all(np.all(np.isfinite(getattr(self, name))) for name in self.__slots__):
            raise ValueError(f"a sensitivity that is not finite: {self}")


class BudgetLine(NamedTuple):
    """One part of the uncertainty of a volume: `part` in mm3, `share` of the variance from 0 to 1."""

    name: str
    u: float
    unit: str
    sensitivity: float  # mm3 per unit, after what the readings have taught
    part: float
    share: float
    source: str

    def line(self) -> str:
        """The part on one line, in cc."""
        u = f"{cc(self.u):.4f} cc" if self.unit == "mm3" else f"{self.u:.4g} {self.unit}"
        return f"{self.name}: {cc(self.part):.4f} cc ({self.share:.0%}), from {u}; {self.source}"


def budget(prediction: Prediction) -> tuple[BudgetLine, ...]:
    """The parts of one prediction's uncertainty, largest first; parts that do not count are left out."""
    total = float(prediction.u) ** 2
    lines: Iterable[BudgetLine] = (
        BudgetLine(q.name, q.u, q.unit, float(c) / q.u, abs(float(c)), float(c) ** 2 / total, q.source)
        for q, c in zip(prediction.unknowns, prediction.parts, strict=True)
        if float(c) ** 2 > 1e-12 * total
    )
    return tuple(sorted(lines, key=lambda line: -line.part))
