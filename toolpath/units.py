"""Units at the edges: what stands in a file or on paper, to and from mm, mm3 and m/min inside."""

import math
import re
from typing import Final, Literal, TypeAlias

from toolpath.errors import InputError

Units: TypeAlias = Literal["mm", "inch"]

MM_PER_INCH: Final = 25.4  # exact
MM_PER_METRE: Final = 1000.0  # exact
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

_NUMBER: Final = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)"
_FRACTION: Final = r"[+-]?(?:[0-9]+(?: +| *- *))?[0-9]+ */ *[0-9]+"
_LENGTH_TEXT: Final = rf"\s*({_FRACTION}|{_NUMBER})\s*([A-Za-zµμ]+|\")?\s*"
_COMMA: Final = r"(?<=[0-9]),(?=[0-9])"
_TOLD_NUMBER: Final = r"-?[0-9]+(?:\.[0-9]+)?"
_TOLD: Final = rf"(?<![\w.])({_TOLD_NUMBER})(?:( to | and )({_TOLD_NUMBER}))? (mm/rev|mm|um)(?![\w²³/])"
_INCH_WORDS: Final = {"mm": "in", "mm/rev": "in/rev", "um": "microinch"}

COMMA_FOR_POINT: Final = "it has a decimal comma; write a decimal point, {}"


def point_for_comma(text: str) -> str:
    """The text with its decimal comma as a point.

    >>> point_for_comma("90,4 mm")
    '90.4 mm'
    """
    return re.sub(_COMMA, ".", text)


def length_from_text(text: str, units: Units | None = None) -> float:
    """Length in mm from a number or a fraction with its own unit.

    A bare fraction, such as "2 3/8", is in inches where `units` says that the file is.

    Raises:
        ValueError: the text is not one number followed by a known unit of length.

    >>> length_from_text("30 thou")
    0.762
    >>> length_from_text("2-1/2 in"), length_from_text("2 1/2", "inch")
    (63.5, 63.5)
    >>> length_from_text("30 furlongs")
    Traceback (most recent call last):
    ValueError: "furlongs" is not a unit of length; use one of mm, in, inch, thou, um, micron
    """
    match = re.fullmatch(_LENGTH_TEXT, text)
    if match is None and re.search(_COMMA, text):
        raise ValueError(COMMA_FOR_POINT.format(point_for_comma(text.strip())))
    if match is None or (match[2] is None and not ("/" in match[1] and units == "inch")):
        raise ValueError(
            'it is not a length; write a number and its unit, such as "0.75 mm", "30 thou" or "2-3/8 in"'
        )
    unit = (match[2] or "in").lower()
    if unit not in MM_PER:
        raise ValueError(f'"{match[2]}" is not a unit of length; use one of mm, in, inch, thou, um, micron')
    return _number(match[1]) * MM_PER[unit]


def _number(text: str) -> float:
    if "/" not in text:
        return float(text)
    sign = -1.0 if text.startswith("-") else 1.0
    *whole, above, below = (int(digits) for digits in re.findall("[0-9]+", text))
    if not below:
        raise ValueError("a fraction cannot have 0 below the line; write it like 3/8")
    return sign * (sum(whole) + above / below)


def length_in(text: str, units: Units) -> float:
    """Length in mm from text: a plain number counts in `units`, any other carries its own unit.

    Raises:
        InputError: the text is neither.

    >>> length_in("2", "inch"), length_in("3.05 mm", "inch"), length_in("3/8", "inch")
    (50.8, 3.05, 9.524999999999999)
    """
    try:
        return float(text) * mm_per(units)
    except ValueError:
        pass
    try:
        return length_from_text(text, units)
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


def told(value: float, unit: str, units: Units) -> tuple[str, str]:
    """A value in mm, mm/rev, um or any other unit, as the job's user reads it: the number and its unit.

    >>> told(2.286, "mm", "inch"), told(2.286, "mm", "mm"), told(1.6, "um", "inch")
    (('0.0900', 'in'), ('2.286', 'mm'), ('63', 'microinch'))
    """
    if units == "mm" or unit not in _INCH_WORDS:
        return f"{value:.4g}", unit
    if unit == "um":
        return f"{1000 * value / MM_PER_INCH:.0f}", _INCH_WORDS[unit]
    return f"{from_mm(value, units):.4f}", _INCH_WORDS[unit]


def sentence_in(text: str, units: Units) -> str:
    """A sentence with its lengths and feeds in the job's units: each `N mm` is told in inches in an inch job.

    Sentences are made in mm, so that reports read alike; this is the edge where they meet a person.
    A number keeps its significant digits, down to a ten-thousandth of an inch.

    >>> sentence_in("0.500 mm deep, from 2 to 3.05 mm, at 0.10 mm/rev", "inch")
    '0.0197 in deep, from 0.08 to 0.120 in, at 0.0039 in/rev'
    """
    return text if units == "mm" else re.sub(_TOLD, _in_inches, text)


def _in_inches(match: re.Match[str]) -> str:
    first, between, second, unit = match.groups()
    numbers = [_one_in_inches(number, unit) for number in (first, second) if number is not None]
    return f"{(between or '').join(numbers)} {_INCH_WORDS[unit]}"


def _one_in_inches(number: str, unit: str) -> str:
    if unit == "um":
        return told(float(number), unit, "inch")[0]
    inches = from_mm(float(number), "inch")
    if not inches:
        return "0"
    digits = len(number.lstrip("-0.").replace(".", ""))
    size = math.floor(math.log10(abs(inches)))
    return f"{inches:.{min(max(2, digits - 1 - size), 4 if size >= -3 else 6)}f}"
