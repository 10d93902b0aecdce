"""Will the piston slip on its seat? Clamp force, friction and cutting torque, and the set-up's limits.

The piston sits on a seat in the chuck and a draw bar pulls it home by a bar through the pin bore.
Only turning about the spindle axis is looked at. Bending and bearing of the pin bar, the strength of
bosses and thread, and the pull of chips or of an interrupted cut are out of scope.
"""

import re
from dataclasses import dataclass
from typing import NamedTuple

from toolpath.errors import InputError
from toolpath.findings import Finding
from toolpath.tool.cutting_data import cutting_force
from toolpath.units import MM_PER_INCH, MM_PER_METRE

NUT_FACTOR = 0.2  # dry steel thread; common practice, no source
_METRIC = r"M(?P<size>\d+(?:\.\d+)?)(?:X\d+(?:\.\d+)?)?"
_INCH = r"(?P<over>\d+)/(?P<under>[1-9]\d*)(?:\"|IN)?(?:-\d+)?(?:UN[CF]|BS[WF])?"
_THREADS = (3.0, 64.0)  # mm, what a draw bar could have


def thread_diameter(thread: str) -> float:
    """Nominal diameter, mm, of a metric ("M10", "M10x1.25") or inch ("3/8", "3/8-16 UNC") thread.

    Raises:
        InputError: it reads as neither, or is not a size for a draw bar.

    >>> thread_diameter("M10"), thread_diameter("3/8")
    (10.0, 9.524999999999999)
    """
    plain = re.sub(r"\s", "", thread.upper())
    if metric := re.fullmatch(_METRIC, plain):
        diameter = float(metric["size"])
    elif inch := re.fullmatch(_INCH, plain):
        diameter = MM_PER_INCH * int(inch["over"]) / int(inch["under"])
    else:
        raise InputError(f'thread "{thread}": write it like "M10" or "3/8", or state clamp_force instead')
    least, most = _THREADS
    if not least <= diameter <= most:
        raise InputError(f'thread "{thread}": {diameter:g} mm is outside {least:g} to {most:g} mm; check it')
    return diameter


def clamp_force(torque: float, diameter: float) -> float:
    """Pull of a bolt of `diameter` mm tightened to `torque` N m: T/(K d) with K = 0.2, N.

    Common practice, no source; with the same torque the pull varies by about 30 % either way.

    >>> round(clamp_force(20.0, 10.0))
    10000
    """
    return torque * MM_PER_METRE / (NUT_FACTOR * diameter)


@dataclass(frozen=True, slots=True)
class Seat:
    """The ring that the piston is drawn against; radii in mm.

    Friction acts at the outer radius where only that is known (a narrow seat), else at the effective
    radius of the ring under even pressure, 2/3 (ro^3 - ri^3)/(ro^2 - ri^2) (disc-clutch formula, from
    memory).

    Raises:
        InputError: a radius or the friction cannot be.
    """

    radius: float
    friction: float
    inner_radius: float | None = None

    def __post_init__(self) -> None:
        if not self.radius > 0:
            raise InputError(f"seat diameter {2 * self.radius:g} mm: it must be above 0; measure the seat")
        if not 0 < self.friction <= 2:
            raise InputError(f"friction {self.friction:g}: it must be above 0 and at most 2, such as 0.12")
        if self.inner_radius is not None and not 0 <= self.inner_radius < self.radius:
            raise InputError(
                f"seat inner diameter {2 * self.inner_radius:g} mm: it must lie below the outer "
                f"{2 * self.radius:g} mm; measure the seat"
            )

    @property
    def effective_radius(self) -> float:
        """Radius at which the friction acts, mm."""
        if self.inner_radius is None:
            return self.radius
        outer, inner = self.radius, self.inner_radius
        return 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)

    @property
    def rule(self) -> str:
        """In words, which radius that is."""
        return "half the seat diameter" if self.inner_radius is None else "the effective radius of the seat"

    def torque(self, clamp: float) -> float:
        """Torque that friction resists under a clamp force in N, N m."""
        return self.friction * clamp * self.effective_radius / MM_PER_METRE


class Grip(NamedTuple):
    """How well the seat holds against the cut."""

    clamp: float  # N
    resisting: float  # N m
    cutting_force: float  # N
    cutting: float  # N m, at the largest radius
    rule: str  # where the friction acts, in words

    @property
    def factor(self) -> float:
        """Safety factor, resisting over cutting torque."""
        return self.resisting / self.cutting


def grip(seat: Seat, clamp: float, *, kc: float, bite: float, feed: float, radius: float) -> Grip:
    """The grip for the greatest bite (mm) and feed (mm/rev) at the largest cut `radius` (mm).

    `kc` is the specific cutting force in N/mm2 (`tool.cutting_data.specific_force`); the cutting
    force is kc*bite*feed.

    >>> held = grip(Seat(radius=40, friction=0.12), 10e3, kc=1200, bite=0.5, feed=0.1, radius=45)
    >>> round(held.resisting, 3), round(held.cutting, 3), round(held.factor, 2)
    (48.0, 2.7, 17.78)
    """
    force = cutting_force(kc, bite, feed)
    return Grip(clamp, seat.torque(clamp), force, force * radius / MM_PER_METRE, seat.rule)


def grip_findings(held: Grip, *, min_factor: float, max_force: float | None) -> tuple[Finding, ...]:
    """Slipping and overloading: stops past a limit, a note with the factor where it holds."""
    found = []
    if held.factor < min_factor:
        what = f"the piston may slip on its seat, friction taken at {held.rule}: less than holding.min_factor"
        advice = "clamp harder within the piston's limit, or take a smaller depth of cut or feed"
        found.append(Finding("refused", "piston-slips", what, held.factor, min_factor, "", advice))
    else:
        what = (
            f"safety factor against slipping on the seat (friction at {held.rule}; a clamp force worked out "
            "from a torque may be 30 % wrong, and an interrupted cut pulls harder)"
        )
        found.append(Finding("note", "grip", what, held.factor, min_factor))
    if max_force is not None and held.clamp > max_force:
        what = "the clamp force is more than the piston may bear, holding.max_force"
        advice = "tighten to a lower torque"
        found.append(Finding("refused", "clamp-force", what, held.clamp, max_force, "N", advice))
    return tuple(found)


def bar_findings(dummy_pin: float, pin_bore: float) -> tuple[Finding, ...]:
    """Whether the pin bar enters the pin bore (both diameters, mm); its strength is out of scope."""
    if dummy_pin < pin_bore:
        what = "gap between pin bar and pin bore (whether the bar is strong enough was not checked)"
        return (Finding("note", "pin-bar", what, pin_bore - dummy_pin, None, "mm"),)
    what = "the pin bar, holding.dummy_pin, does not enter the pin bore, holding.pin_bore"
    return (Finding("refused", "pin-bar", what, dummy_pin, pin_bore, "mm", "turn the bar below the bore"),)


def speed_findings(rpm: float, rpm_limit: float) -> tuple[Finding, ...]:
    """Whether the fastest spindle speed of the job stays within the set-up's limit (rev/min)."""
    if rpm <= rpm_limit:
        return ()
    what = "the spindle would turn faster than the set-up allows, holding.rpm_limit"
    return (Finding("refused", "setup-speed", what, rpm, rpm_limit, "rev/min", "lower cutting.rpm_limit"),)
