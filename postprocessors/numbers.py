"""Numbers as text: the only place in this package that formats one.

- Rounding is half away from zero, judged on the shortest decimal text of the number: 0.0005 at
  three decimals is 0.001, whatever its binary digits.
- Zero has no sign.
- There is always a decimal point with at least one digit on either side of it (`whole` excepted).
"""

from decimal import ROUND_HALF_UP, Decimal
from math import floor, isfinite

from toolpath.errors import DialectError

LARGEST = 99_999.0  # longer words than this overflow the registers of small controls (common practice)


def fixed(value: float, decimals: int) -> str:
    """The number with exactly `decimals` digits after the point.

    >>> fixed(-2.5, 3), fixed(-0.0001, 3)
    ('-2.500', '0.000')

    Raises DialectError where the number is not finite or beyond 99 999.
    """
    exact = Decimal(repr(_checked(value)))
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded:f}"


def trimmed(value: float, decimals: int) -> str:
    """The number with at most `decimals` digits after the point, trailing zeros cut down to one digit.

    >>> trimmed(34.0, 3), trimmed(-2.540, 3)
    ('34.0', '-2.54')

    Raises DialectError where the number is not finite or beyond 99 999.
    """
    text = fixed(value, decimals).rstrip("0")
    return text + "0" if text.endswith(".") else text


def whole(value: float) -> str:
    """A spindle word: rounded down to a whole number, so that no speed and no cap is ever exceeded.

    >>> whole(1799.9), whole(299.9999999)  # the second is 300 after a change of units
    ('1799', '300')

    Raises DialectError where the number is not finite, below 1 or beyond 99 999.
    """
    down = floor(_checked(value) + 1e-6)
    if down < 1:
        raise DialectError(f"{value!r} cannot be written as a spindle speed: it must be at least 1.")
    return str(down)


def _checked(value: float) -> float:
    value = float(value)
    if not isfinite(value) or abs(value) > LARGEST:
        raise DialectError(f"{value!r} cannot be written: a number must lie within +-{LARGEST:.0f}.")
    return value
