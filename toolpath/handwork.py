"""The same passes by hand: the DRO table of a recut, its own expected volume and its proof."""

import csv
import io
from dataclasses import dataclass

from toolpath.checking.readback import Readback, Setup
from toolpath.errors import InputError
from toolpath.recut import Recut


@dataclass(frozen=True, slots=True)
class ByHand:
    """The table as text and CSV, with what cutting its rows leaves."""

    text: str
    csv: str
    setup: Setup
    readback: Readback
    expected: float  # mm3 as the reading sees it
    left_to_blend: float  # mm3


def table_of(recut: Recut) -> ByHand:
    """The DRO table of a recut, proven by cutting the stock with its rows."""
    raise InputError("the table comes later")


def rows_of_csv(text: str, name: str) -> list[tuple[float, float, float]]:
    """(z, x_from, x_to) of every row of a table's CSV.

    Raises:
        InputError: the header or a number is not what the table writes.
    """
    rows = []
    reader = csv.DictReader(io.StringIO(text))
    for number, row in enumerate(reader, 2):
        try:
            rows.append((float(row["z"]), float(row["x_from"]), float(row["x_to"])))
        except (KeyError, TypeError, ValueError) as error:
            raise InputError(f"{name}: line {number} is not a row of a DRO table ({error})") from error
    return rows
