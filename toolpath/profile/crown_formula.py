"""Crown thickness by the flat-plate formula: a textbook's first guess, never a permission."""

from math import sqrt

from toolpath.findings import Finding

ASSUMPTIONS = (
    "flat plate of even thickness, fixed at its rim, under even pressure; it sees no heat, fatigue, "
    "dish, pocket, ring groove or pin boss"
)


def flat_plate_thickness(pressure: float, diameter: float, stress: float) -> float:
    """Thickness sqrt(3 p D^2/(16 sigma)), mm, with pressure and stress in N/mm2 and diameter in mm.

    Source: Grashof's formula as printed in "A Textbook of Machine Design", section 32.8. It assumes
    what `ASSUMPTIONS` says.

    >>> round(flat_plate_thickness(5.0, 100.0, 38.0), 3)
    15.707
    """
    return diameter * sqrt(3 * pressure / (16 * stress))


def advice(floor: float, pressure: float, diameter: float, stress: float) -> Finding:
    """The floor set beside the formula: a warning where it is thinner, else a note; never a pass."""
    least = flat_plate_thickness(pressure, diameter, stress)
    thin = floor < least
    return Finding(
        severity="warning" if thin else "note",
        code="crown-formula",
        what=f"the floor is {'thinner' if thin else 'no thinner'} than a flat plate would be ({ASSUMPTIONS})",
        value=floor,
        limit=least,
        unit="mm",
        advice="this is a rough comparison only: ask the engine builder what the crown must bear",
    )
