"""Points out of a file: one track of readings along the crown, or several that are averaged."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from toolpath.forms.points import Point, in_half, through_points

Row = tuple[float, float, bool]  # diameter, depth, whether a corner
FEWEST_JUDGED = 5  # points of one track; of fewer none can be told from the curve through the others


@dataclass(frozen=True)
class Tracks:
    """The tracks of a file, all at the same diameters; mm."""

    name: str
    tracks: tuple[tuple[Row, ...], ...]

    @cached_property
    def points(self) -> tuple[Row, ...]:
        """The mean of the tracks."""
        columns = zip(*self.tracks, strict=True)
        return tuple((rows[0][0], _mean([r[1] for r in rows]), rows[0][2]) for rows in columns)

    def scatter(self) -> tuple[float, float, float] | None:
        """How far depths scatter (standard deviation, mm), the greatest difference and the diameter it is at.

        Of several tracks: of one reading about the mean, and from the deepest to the highest reading at one
        diameter. Of one track: of a point about the curve through all the others; None where there are too
        few.
        """
        if len(self.tracks) > 1:
            columns = [[row[1] for row in rows] for rows in zip(*self.tracks, strict=True)]
            spreads = [max(column) - min(column) for column in columns]
            scatter = _mean([_variance(column) for column in columns]) ** 0.5
        else:
            points = in_half(self.points)
            if len(points) < FEWEST_JUDGED:
                return None
            spreads = [0.0, *(_off(points, k) for k in range(1, len(points) - 1)), 0.0]
            scatter = _mean([off * off for off in spreads[1:-1]]) ** 0.5
        most = max(range(len(spreads)), key=spreads.__getitem__)
        return scatter, spreads[most], self.points[most][0]


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _variance(values: Sequence[float]) -> float:
    mean = _mean(values)
    return math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)


def _off(points: list[Point], k: int) -> float:
    """How far a point lies off the curve through the others; a corner is none of theirs, so 0 there."""
    if points[k].sharp:
        return 0.0
    others = points[:k] + points[k + 1 :]
    return abs(through_points(others, points[-1].r).at(points[k].r) - points[k].z)


def tracks_of(text: str) -> list[list[tuple[float | str, ...]]]:
    """The rows of a file, track by track: (diameter, depth) or (diameter, depth, "sharp"), as written.

    Rows are separated by commas, or by semicolons with decimal points or commas; a first row of words is
    a header. Every further number in a row is the depth of a further track at that diameter, and a
    diameter smaller than the one before it begins a further track.

    Raises:
        ValueError: a row holds something else; names the line.
    """
    tracks: list[list[tuple[float | str, ...]]] = []
    block: list[list[tuple[float | str, ...]]] = []
    separator = ";" if ";" in text else "," if "," in text else "\t"
    first = True
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        cells = [cell.strip().strip('"') for cell in line.split(separator)]
        while cells and not cells[-1]:
            cells.pop()
        mark: tuple[str, ...] = ()
        if len(cells) > 2 and not _is_number(cells[-1]):
            mark = (cells.pop(),)
        if first and not any(map(_is_number, cells)):
            first = False
            continue
        first = False
        if len(cells) < 2 or not all(map(_is_number, cells)):
            raise ValueError(
                f"line {number} is {line.strip()[:40]!r}; write a diameter and a depth, such as 12.5{separator} 3.2"
            )
        diameter, *depths = map(_number, cells)
        if block and (diameter < float(block[0][-1][0]) or len(depths) != len(block)):
            tracks += block
            block = []
        block = block or [[] for _ in depths]
        for track, depth in zip(block, depths, strict=True):
            track.append((diameter, depth, *mark))
    return tracks + block


def _number(cell: str) -> float:
    return float(cell.replace(",", "."))


def _is_number(cell: str) -> bool:
    try:
        _number(cell)
    except ValueError:
        return False
    return True
