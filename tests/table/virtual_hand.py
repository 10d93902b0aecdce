"""A hand that cuts a table as it is printed, with the second cutter: it reads the text and knows no plan."""

import csv
import io
import math
import re
from dataclasses import dataclass

import numpy as np
import pytest

from tests.jobs.second_cutter import Opinion, Step, opinion
from toolpath.program.by_hand import ByHand

TRAVEL_TOLD = 0.04  # mm; a count of travel and one of either end


@dataclass(frozen=True)
class Cut:
    """What the hand has cut; cc."""

    seen: Opinion
    as_cut: float
    blended: float
    printed_as_cut: float
    printed_blended: float


def cut_by_hand(by_hand: ByHand) -> Cut:
    """Cut every printed row, then blend down to the section."""
    setup = by_hand.setup
    steps = [step for number, row in enumerate(rows(by_hand), 1) for step in moves(number, row, by_hand)]
    seen = opinion(steps, setup)
    told = re.search(r"As cut by these rows: ([\d.]+) cc\. As blended: ([\d.]+) cc", _joined(by_hand.text))
    smooth = np.minimum(seen.z, setup.finished.heights(seen.r))
    blended = _turned(seen.r, np.maximum(0.0, -smooth)) + setup.pockets
    return Cut(seen, (seen.volume + setup.pockets) / 1000, blended / 1000, float(told[1]), float(told[2]))


def rows(by_hand: ByHand) -> list[dict[str, str]]:
    """The rows of the CSV."""
    return list(csv.DictReader(io.StringIO(by_hand.csv)))


def moves(number: int, row: dict[str, str], by_hand: ByHand) -> list[Step]:
    """One row as motions of the insert's centre, by the definition of the control points."""
    setup = by_hand.setup
    side, front = {"insert-centre": (0, 0), "face-outer": (-1, 1), "face-inner": (1, 1)}[setup.control_point]
    unit = 25.4 if by_hand.table.units == "inch" else 1.0
    across = unit / (2 if by_hand.table.x_reading == "diameter" else 1)
    x1, x2 = (float(row[k]) * across + side * setup.insert_radius for k in ("x_start", "x_stop"))
    z1 = z2 = float(row["z"]) * unit + front * setup.insert_radius
    if row.get("z_to"):
        z2 = float(row["z_to"]) * unit + front * setup.insert_radius
        assert math.hypot(x2 - x1, z2 - z1) == pytest.approx(float(row["travel"]) * unit, abs=TRAVEL_TOLD)
        assert math.degrees(math.atan2(abs(z2 - z1), abs(x2 - x1))) == pytest.approx(
            float(row["angle"]), abs=0.3
        )
    return [Step(number, False, (x1, z1), (x1, z1)), Step(number, False, (x1, z1), (x2, z2))]


def _joined(text: str) -> str:
    return " ".join(text.split())


def _turned(r: np.ndarray, depth: np.ndarray) -> float:
    a, b, p, q = r[:-1], r[1:], depth[:-1], depth[1:]
    return float(np.sum(np.pi / 3 * (b - a) * (p * (2 * a + b) + q * (a + 2 * b))))
