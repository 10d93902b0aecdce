"""Beforehand: is the tolerance in reach with the stated burette and setting up, and what would reach it?"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from toolpath.uncertainty.budget import Burette, SetupUncertainty, Zero
from toolpath.uncertainty.stages import LEAST_CHANCE, Expected, Form, Progress, ahead
from toolpath.units import cc

MOST_READINGS = 4
FINEST = 0.001  # mm; no remedy asks a shop for a seat or touch better than this
FINER: dict[
    Zero, tuple[str, str]
] = {  # what to do better: the field of SetupUncertainty, and the words for it
    "fresh": ("touch_off", "touch off"),
    "noted": ("face_touch", "touch the fixture's face"),
    "kept": ("refit", "refit"),
    "same": ("refit", "refit"),
}


class ComingCuts(NamedTuple):
    """The cuts to come: forms as received, at about the first target and at about the target; mm3."""

    as_received: Form
    first: Form
    last: Form
    first_zero: Zero
    last_zero: Zero
    target: float
    tolerance: float

    def chance(self, setup: SetupUncertainty, burette: Burette, readings: int = 1) -> float:
        """Chance that the piston ends within the tolerance after first cut, readings and last cut."""
        return self.expected(setup, burette, readings).chance

    def expected(self, setup: SetupUncertainty, burette: Burette, readings: int = 1) -> Expected:
        """What first cut, readings and last cut will leave."""
        start = Progress.start(setup, burette, self.as_received)
        cuts = [(self.first, self.first_zero), (self.last, self.last_zero)]
        return ahead(start, cuts, self.target, self.tolerance, readings)


class Reach(NamedTuple):
    """`chance` to keep the stated tolerance; `tolerance` (mm3) that is kept in LEAST_CHANCE of cases;
    `remedies`: sentences, each of which alone reaches the stated one (or all together, then said so)."""

    chance: float
    tolerance: float
    remedies: tuple[str, ...]

    @property
    def in_reach(self) -> bool:
        """Whether the stated tolerance is kept often enough."""
        return self.chance >= LEAST_CHANCE


def reach(
    plan: ComingCuts, setup: SetupUncertainty, burette: Burette, others: Sequence[Burette] = ()
) -> Reach:
    """Judge `plan`; `others` are the burettes that may be proposed, in the order of preference."""
    chance = plan.chance(setup, burette)
    tolerance = _least(lambda t: plan._replace(tolerance=t).chance(setup, burette), plan.target)
    if chance >= LEAST_CHANCE:
        return Reach(chance, tolerance, ())
    remedies = tuple(_remedies(plan, setup, burette, others))
    return Reach(chance, tolerance, remedies or _together(plan, setup, burette, others))


def widths(plan: ComingCuts, setup: SetupUncertainty, burette: Burette) -> dict[Zero, float]:
    """Half-width (k = 2, mm3) of the finished volume for each way in which the last cut may get its zero."""
    ways: tuple[Zero, ...] = ("fresh", "noted", "kept")
    return {zero: 2 * plan._replace(last_zero=zero).expected(setup, burette).u for zero in ways}


def what_the_zero_gains(plan: ComingCuts, setup: SetupUncertainty, burette: Burette) -> str:
    """One sentence: how true the finished volume will be with each zero of the last cut."""
    by_zero = ", ".join(
        f"+-{cc(width):.3f} cc {zero}" for zero, width in widths(plan, setup, burette).items()
    )
    return f"zero of the last cut {plan.last_zero}; the finished volume is then known to (k = 2): {by_zero}"


def _remedies(
    plan: ComingCuts, setup: SetupUncertainty, burette: Burette, others: Sequence[Burette]
) -> list[str]:
    found = []
    kept, noted = (plan._replace(last_zero=zero) for zero in ("kept", "noted"))
    if plan.last_zero in ("fresh", "noted") and kept.chance(setup, burette) >= LEAST_CHANCE:
        found.append("keep the zero for the last cut: same insert and station, seat wiped, witness mark")
    if plan.last_zero == "fresh" and noted.chance(setup, burette) >= LEAST_CHANCE:
        found.append("note each piston's zero against the fixture's face and touch that face again")
    for readings in range(2, MOST_READINGS + 1):
        if plan.chance(setup, burette, readings) >= LEAST_CHANCE:
            found.append(f"take {readings} readings after the first cut")
            break
    for other in others:
        if plan.chance(setup, other) >= LEAST_CHANCE:
            found.append(f"read with the burette {other.name}")
            break
    of, words = FINER[plan.last_zero]
    finest = min(FINEST, getattr(setup, of))
    if plan.chance(_with(setup, of, finest), burette) >= LEAST_CHANCE:
        # more is worse here, so the search runs over what is taken off the stated value
        stated = getattr(setup, of)
        less = _least(lambda d: plan.chance(_with(setup, of, stated - d), burette), stated - finest)
        found.append(f"{words} to {stated - less:.4f} mm (standard uncertainty) instead of {stated:g} mm")
    return found


def _together(
    plan: ComingCuts, setup: SetupUncertainty, burette: Burette, others: Sequence[Burette]
) -> tuple[str, ...]:
    kept = plan._replace(last_zero="kept")
    for other in (burette, *others):
        chance = kept.chance(setup, other, MOST_READINGS)
        if chance >= LEAST_CHANCE:
            return (f"only together: zero kept, {MOST_READINGS} readings, the burette {other.name}",)
    return ()


def _with(setup: SetupUncertainty, of: str, u: float) -> SetupUncertainty:
    return replace(setup, **{of: u})  # type: ignore[arg-type]  # a field name of SetupUncertainty, a length


def _least(chance: Callable[[float], float], most: float) -> float:
    """Smallest value up to `most` whose chance reaches LEAST_CHANCE; the chance grows with the value."""
    low, high = 0.0, most
    for _ in range(24):
        middle = (low + high) / 2
        if chance(middle) >= LEAST_CHANCE:
            high = middle
        else:
            low = middle
    return high
