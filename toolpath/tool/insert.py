"""A round turning insert, and what its ISO 1832 designation says."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite, pi, radians
from typing import Any

from toolpath.errors import InputError
from toolpath.reference import table

_INSTEAD = "or state insert_diameter, relief and thickness instead"
_FIELDS = re.compile(
    r"(?P<shape>[A-Z])(?P<clearance>[A-Z])(?P<tolerance>[A-Z])(?P<hole>[A-Z])"
    r"(?P<size>\d\d)(?P<thickness>[A-Z\d]\d)"
    r"(?:(?P<corner>[M\d][O\d])(?P<rest>[A-Z\d]{0,6}))?"  # the rest: edge condition, hand, maker's mark
)


@dataclass(frozen=True, slots=True)
class Insert:
    """A round insert.

    Raises:
        InputError: the radius, thickness or tolerance is not positive and finite, or the relief
            lies outside 0 to 90 degrees.
    """

    radius: float  # mm
    relief: float  # rad, of the flank below the edge
    thickness: float | None = None  # mm
    tolerance: float | None = None  # mm, plus-minus on the diameter
    designation: str = ""  # as the user wrote it; empty where sizes were stated

    def __post_init__(self) -> None:
        lengths = {"radius": self.radius, "thickness": self.thickness, "tolerance": self.tolerance}
        for name, length in lengths.items():
            if length is not None and not (isfinite(length) and length > 0):
                raise InputError(f"insert {name} {length:g} mm: it must be above 0; measure the insert")
        if not 0 <= self.relief < pi / 2:
            raise InputError(f"insert relief {self.relief:g} rad: it must be at least 0 and below 90 degrees")

    @property
    def diameter(self) -> float:
        """Diameter of the insert, mm."""
        return 2 * self.radius


def decode(designation: str) -> Insert:
    """The insert that an ISO 1832 designation names; spaces, hyphens and case do not matter.

    The keys and their sources stand in `shared/inserts.toml`. The corner field, M0 or 00, tells
    metric from inch sizes; it may be missing only where the size exists in one of the two.

    Raises:
        InputError: the shape is not round, a field is missing or not in the keys.

    >>> decode("RCGT 10T3 M0").diameter
    10.0
    >>> decode("rcmt-0602-00").diameter
    6.35
    """
    keys = table("inserts")
    plain = re.sub(r"[\s-]", "", designation.upper())
    if plain[:1].isalpha() and plain[0] != "R":
        raise _refused(designation, f'shape "{plain[0]}" is not round; a round insert, shape R, is needed')
    fields = _FIELDS.fullmatch(plain)
    if not fields:
        raise _refused(designation, f'it does not read as ISO 1832; write it like "RCGT 10T3 M0", {_INSTEAD}')
    if fields["hole"] not in keys["hole"]["letters"]:
        raise _unknown(designation, "hole and chip breaker letter", fields["hole"], keys["hole"]["letters"])
    diameter = _diameter(designation, fields["size"], fields["corner"], keys["diameter"])
    return Insert(
        radius=diameter / 2,
        relief=_relief(designation, fields["clearance"], keys["clearance"]),
        thickness=_lookup(designation, "thickness code", fields["thickness"], keys["thickness"]),
        tolerance=_tolerance(designation, fields["tolerance"], diameter, keys),
        designation=designation,
    )


def _relief(designation: str, letter: str, keys: Mapping[str, Any]) -> float:
    if letter == "O":
        raise _refused(designation, f"clearance letter O means the maker's own angle; use another {_INSTEAD}")
    return radians(_lookup(designation, "clearance letter", letter, keys))


def _tolerance(designation: str, letter: str, diameter: float, keys: Mapping[str, Any]) -> float:
    by_size = keys["tolerance_by_size"]
    if letter in by_size:
        return next(float(half) for largest, half in by_size[letter]["steps"] if diameter <= largest)
    if letter not in keys["tolerance"]:
        raise _unknown(designation, "tolerance letter", letter, [*_codes(keys["tolerance"]), *by_size])
    return float(keys["tolerance"][letter])


def _diameter(designation: str, size: str, corner: str | None, rows: Mapping[str, Any]) -> float:
    if corner is not None:
        corner = corner.replace("O", "0")  # often printed with the letter
        if corner not in rows:
            raise _unknown(designation, "corner field of a round insert", corner, rows)
        return _lookup(designation, f"size with corner {corner}", size, rows[corner])
    found = {key: float(row[size]) for key, row in rows.items() if size in row}
    if len(found) > 1:
        choices = " or ".join(f"{key} for {diameter:g} mm" for key, diameter in found.items())
        raise _refused(designation, f"the corner field is missing; size {size} needs {choices}")
    if not found:
        raise _unknown(designation, "size", size, {code for row in rows.values() for code in _codes(row)})
    return next(iter(found.values()))


def _lookup(designation: str, field: str, code: str, keys: Mapping[str, Any]) -> float:
    if code not in _codes(keys):
        raise _unknown(designation, field, code, _codes(keys))
    return float(keys[code])


def _codes(keys: Mapping[str, Any]) -> list[str]:
    return [code for code in keys if code != "source"]


def _unknown(designation: str, field: str, code: str, known: Iterable[str]) -> InputError:
    listed = ", ".join(sorted(known))
    return _refused(designation, f'unknown {field} "{code}"; known are {listed}, {_INSTEAD}')


def _refused(designation: str, why: str) -> InputError:
    shown = designation if len(designation) <= 40 else f"{designation[:37]}..."
    return InputError(f'insert "{shown}": {why}')
