"""Cutting data of a round insert: angles, chips, roughness, speeds and force.

Lengths in mm, angles in rad, feeds in mm/rev, surface speeds in m/min, spindle speeds in rev/min.
Radii of the work are from the spindle axis. The makers' and handbook formulas are named at each.
"""

from math import acos, pi, sin, sqrt

from toolpath.units import MM_PER_METRE


def entering_angle(bite: float, radius: float) -> float:
    """Greatest entering angle of an insert of `radius` that takes `bite`: arccos(1 - bite/radius), rad.

    Deeper than the radius it stays at a right angle. Source: a maker's guide to round inserts
    prints this angle as 60, 53, 46, 37 and 26 degrees for bite/diameter 0.25 to 0.05.

    >>> round(entering_angle(2.5, 5.0), 6)  # 60 degrees
    1.047198
    """
    return acos(max(0.0, 1 - bite / radius))


def chip_thickness(feed: float, angle: float) -> float:
    """Greatest chip thickness f*sin(kappa), mm. Source: the same guide, as f = h/sin(kappa)."""
    return feed * sin(angle)


def least_bite(chip: float, feed: float, radius: float) -> float:
    """The depth of cut (mm) at which the chip of `feed` mm/rev is `chip` mm thick; 0 where it never is.

    The two relations above, turned round.

    >>> round(chip_thickness(0.1, entering_angle(least_bite(0.02, 0.1, 5.0), 5.0)), 9)
    0.02
    """
    return radius * (1 - sqrt(1 - (chip / feed) ** 2)) if chip < feed else 0.0


def roughness(feed: float, radius: float) -> float:
    """Theoretical height of the feed marks, f^2/(8 R), mm. Source: two makers' formula sheets."""
    return feed**2 / (8 * radius)


def spindle_speed(radius: float, speed: float) -> float:
    """Spindle speed that gives `speed` m/min at `radius`, rev/min."""
    return MM_PER_METRE * speed / (2 * pi * radius)


def cap_diameter(speed: float, rpm_limit: float) -> float:
    """Diameter below which the cap holds the spindle and `speed` is no longer reached, mm."""
    return MM_PER_METRE * speed / (pi * rpm_limit)


def specific_force(kc11: float, mc: float, chip: float) -> float:
    """Specific cutting force kc11*h^-mc, N/mm2, for the chip thickness `chip`.

    Source: kc11 as the force for a chip of 1 mm2 from makers' tables on VDI 3323; the power law
    from memory.
    """
    return float(kc11 * chip**-mc)


def cutting_force(kc: float, bite: float, feed: float) -> float:
    """Main cutting force kc*ap*f, N. Source: makers' formula sheets."""
    return kc * bite * feed
