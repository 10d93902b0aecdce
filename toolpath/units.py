"""Units at the edges: what stands in a file or on paper, to and from mm, mm3 and m/min inside."""

import re
from typing import Final, Literal, TypeAlias

from toolpath.errors import InputError

Units: TypeAlias = Literal["mm", "inch"]

MM_PER_INCH: Final = 25.4  # exact
METRES_PER_FOOT: Final = 0.3048  # exact
MM3_PER_CC: Final = 1000.0  # exact: the millilitre is the cubic centimetre

MM_PER: Final = {
    "mm": 1.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    '"': MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
    "um": 0.001,
    "µm": 0.001,  # the micro sign
    "μm": 0.001,  # the Greek letter, which many keyboards write
    "micron": 0.001,
}

_LENGTH_TEXT: Final = re.compile(r'\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))\s*([A-Za-zµμ]+|")\s*')


def length_from_text(text: str) -> float:
    """Length in mm from a number with its own unit.

    Raises:
        ValueError: the text is not one number followed by a known unit of length.

    >>> length_from_text("30 thou")
    0.762
    >>> length_from_text("30 furlongs")
    Traceback (most recent call last):
    ValueError: "furlongs" is not a unit of length; use one of mm, in, inch, thou, um, micron
    """
    match = _LENGTH_TEXT.fullmatch(text)
    if match is None:
        raise ValueError('it is not a length; write a number and its unit, such as "0.75 mm" or "30 thou"')
    number, unit = match.groups()
    if unit.lower() not in MM_PER:
        raise ValueError(f'"{unit}" is not a unit of length; use one of mm, in, inch, thou, um, micron')
    return float(number) * MM_PER[unit.lower()]


def length_in(text: str, units: Units) -> float:
    """Length in mm from text: a plain number counts in `units`, any other carries its own unit.

    Raises:
        InputError: the text is neither.

    >>> length_in("2", "inch"), length_in("3.05 mm", "inch")
    (50.8, 3.05)
    """
    try:
        return float(text) * mm_per(units)
    except ValueError:
        pass
    try:
        return length_from_text(text)
    except ValueError as error:
        raise InputError(f"{text}: {error}") from None


def mm_per(units: Units) -> float:
    """Millimetres in one length unit of a file or program.

    >>> mm_per("inch")
    25.4
    """
    return MM_PER_INCH if units == "inch" else 1.0


def from_mm(length: float, units: Units) -> float:
    """A length in mm as a number in `units`."""
    return length / mm_per(units)


def metres_per(units: Units) -> float:
    """m/min in one surface speed unit of a file or program: m/min, or ft/min in an inch one."""
    return METRES_PER_FOOT if units == "inch" else 1.0


def cc(volume: float) -> float:
    """A volume in mm3 as cc."""
    return volume / MM3_PER_CC
