"""The engine around a piston: swept and clearance volume, compression ratio, room to the head.

Lengths in mm, volumes in mm3. `hollow` is everything below the flat crown that holds gas: dish,
pockets and breaks. The deck is measured from the block's face to the crown at top dead centre,
negative where the piston stands proud. Ratio by the usual definition, (Vs + Vc)/Vc with Vs =
pi/4 B^2 S (engineering glossaries and textbooks on combustion engines).
"""

from dataclasses import dataclass
from math import pi
from typing import NamedTuple

from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.units import cc


@dataclass(frozen=True, slots=True)
class Engine:
    """One cylinder, with the piston as received.

    Raises:
        InputError: a length or volume that cannot exist.
    """

    bore: float
    stroke: float
    chamber: float  # mm3, in the head
    gasket_bore: float
    gasket_thickness: float  # as pressed
    deck: float  # as received
    crevice: float = 0.0  # mm3, around the top land down to the top ring, as received
    top_land: float | None = None  # as received
    min_head_room: float | None = None

    def __post_init__(self) -> None:
        for name in ("bore", "stroke", "gasket_bore", "gasket_thickness", "top_land"):
            length = getattr(self, name)
            if length is not None and not length > 0:
                raise InputError(f"engine {name} {length:g} mm: it must be above 0; measure it again")
        for name in ("chamber", "crevice"):
            volume = getattr(self, name)
            if not volume >= 0:
                raise InputError(f"engine {name} {cc(volume):g} cc: it cannot be negative; measure again")

    @property
    def swept(self) -> float:
        """Swept volume of one cylinder, mm3."""
        return pi / 4 * self.bore**2 * self.stroke

    def clearance(self, hollow: float, skim: float = 0.0) -> float:
        """Volume above the piston at top dead centre, mm3, once `skim` is off the crown.

        The skim lowers the crown over the whole bore and shortens the crevice around the top land.

        Raises:
            InputError: nothing is left to compress into.
        """
        volume = self._without_hollow(skim) + hollow
        if volume <= 0:
            raise InputError(
                f"clearance volume {cc(volume):.2f} cc: it must be above 0; check chamber, deck and gasket"
            )
        return volume

    def ratio(self, hollow: float, skim: float = 0.0) -> float:
        """Compression ratio (swept + clearance)/clearance.

        >>> engine = Engine(bore=90, stroke=100, chamber=50e3, gasket_bore=91, gasket_thickness=1.0, deck=0.2)
        >>> round(engine.ratio(hollow=11.6e3, skim=0.5), 3)
        9.768
        """
        return 1 + self.swept / self.clearance(hollow, skim)

    def hollow_for(self, ratio: float, skim: float = 0.0) -> float:
        """The hollow, mm3, that gives `ratio` once `skim` is off.

        Raises:
            InputError: the ratio is not above 1.
            Stopped: not even a flat crown reaches it.
        """
        if not ratio > 1:
            raise InputError(f"compression ratio {ratio:g}: it must be above 1; state it as 9.5 for 9.5 to 1")
        hollow = self.swept / (ratio - 1) - self._without_hollow(skim)
        if hollow < 0:
            what = f"no crown reaches dish.compression_ratio; a flat one gives the limit with {skim:g} mm off"
            advice = "ask for a lower ratio"
            raise Stopped(
                Finding("refused", "ratio-reach", what, ratio, self.ratio(0.0, skim), "to 1", advice)
            )
        return hollow

    def skim_for(self, deck: float) -> float:
        """The skim, mm, that brings the crown to a stated deck clearance.

        Raises:
            Stopped: the crown already lies lower.
        """
        if deck < self.deck:
            what = (
                "the crown already lies lower in the bore (engine.deck_clearance) than crown.deck_clearance"
            )
            advice = "metal does not go back"
            raise Stopped(Finding("refused", "deck-reach", what, deck, self.deck, "mm", advice))
        return deck - self.deck

    def head_room(self, skim: float = 0.0) -> float:
        """Room from the flat crown to the head's face through the pressed gasket, mm."""
        return self.deck + skim + self.gasket_thickness

    def _without_hollow(self, skim: float) -> float:
        deck = pi / 4 * self.bore**2 * (self.deck + skim)
        gasket = pi / 4 * self.gasket_bore**2 * self.gasket_thickness
        left = 1.0 if self.top_land is None else max(0.0, 1 - skim / self.top_land)
        return self.chamber + gasket + deck + self.crevice * left


class Ratios(NamedTuple):
    """What each part of the work does to the compression ratio."""

    as_received: float
    skim_alone: float
    dish_alone: float
    both: float


def ratios(engine: Engine, *, as_received: float, skimmed: float, finished: float, skim: float) -> Ratios:
    """Ratios for the hollow as received, after the skim only, and finished (each mm3).

    "Dish alone" is the finished hollow below a crown that was not skimmed.
    """
    return Ratios(
        as_received=engine.ratio(as_received),
        skim_alone=engine.ratio(skimmed, skim),
        dish_alone=engine.ratio(finished),
        both=engine.ratio(finished, skim),
    )


def findings(engine: Engine, skim: float) -> tuple[Finding, ...]:
    """Room between piston and head: below the stated least it is a stop, otherwise a note."""
    room, least = engine.head_room(skim), engine.min_head_room
    if least is not None and room < least:
        what = "less than engine.min_head_room is left between piston and head"
        advice = "skim more, or fit a thicker gasket"
        return (Finding("refused", "head-room", what, room, least, "mm", advice),)
    what = f"room between piston and head, {engine.head_room():.2f} mm before the skim"
    advice = (
        "ask the engine builder for the least room, and state engine.min_head_room" if least is None else ""
    )
    return (Finding("note", "head-room", what, room, least, "mm", advice),)
