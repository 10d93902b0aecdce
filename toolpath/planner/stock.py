"""The metal as it stands between two passes."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import centre_curve, swept, widened
from toolpath.geometry.segments import Floats

SAMPLES = 600  # radii at which two states of the stock are compared


@dataclass(frozen=True)
class Stock:
    """Metal below `surface`; `wary` is where metal may stand if the old dish is not quite as stated.

    Both are sections in the finished crown's frame. Passes are laid out on `surface`; the insert
    comes down at rapid only where `wary` leaves room.
    """

    surface: Chain
    wary: Chain
    radius: float  # of the insert, mm

    @classmethod
    def received(cls, section: Chain, radius: float, *, off_centre: float, depth_uncertain: float) -> "Stock":
        """The piston before any cut; an old dish may sit off centre and be shallower than stated, mm."""
        if section.lowest == section.highest:
            return cls(section, section, radius)
        shallow = deeper(
            widened(section, off_centre).moved(depth_uncertain), Chain.flat(section.highest, section.outer)
        )
        return cls(section, shallow, radius)

    @cached_property
    def centre(self) -> Chain:
        """Lowest centre of the insert that touches no metal."""
        return centre_curve(self.surface, self.radius)

    @cached_property
    def wary_centre(self) -> Chain:
        """Lowest centre of the insert that is sure to touch no metal."""
        return self.centre if self.wary is self.surface else centre_curve(self.wary, self.radius)

    @cached_property
    def sampled(self) -> tuple[Floats, Floats]:
        """Radii, (N,), evenly from the axis to the crown's edge, and the heights of the surface there, (N,), mm."""
        r = np.linspace(0.0, self.surface.outer, SAMPLES)
        return r, self.surface.heights(r)

    def after(self, paths: Iterable[Chain]) -> "Stock":
        """The stock once the insert's centre has followed each path."""
        surface, wary = self.surface, self.wary
        for path in paths:
            cut = swept(path, self.radius, surface.outer)
            surface, wary = deeper(surface, cut), deeper(wary, cut)
        return Stock(surface, wary, self.radius)
