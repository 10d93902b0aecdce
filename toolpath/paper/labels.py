"""Lettering that keeps clear of other lettering: measured extents, boxes, and places to try."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal, NamedTuple

from matplotlib.font_manager import findfont, get_font
from matplotlib.ft2font import LoadFlags

from toolpath.paper.letters import Face, drawable, properties
from toolpath.paper.style import CAPITAL

Spot = tuple[float, float]
Across = Literal["left", "center", "right"]

ROOM = 0.5  # mm, kept free round every text
SPARE: dict[Face, float] = {"sans": 1.0, "bold": 1.012, "mono": 1.0}  # bold letters on whole pixels run wider
LEADING = 1.8  # lines apart, in heights of a capital
_BREAKS = re.compile(r"(?<![XZRØ])(?<!\d) +|(?<=\d) +(?!mm|in\b|cc|rev)|(?<=[^\W\d][XZRØ]) +")
_EM = 100  # points at which type is measured


class Box(NamedTuple):
    """An upright rectangle on the paper, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def corners(self) -> list[Spot]:
        """Its four corners."""
        return [
            (self.left, self.bottom),
            (self.right, self.bottom),
            (self.right, self.top),
            (self.left, self.top),
        ]

    def touches(self, other: "Box", room: float = 0.0) -> bool:
        """Whether the two come closer than `room` mm."""
        return (
            self.left < other.right + room
            and other.left < self.right + room
            and self.bottom < other.top + room
            and other.bottom < self.top + room
        )

    def within(self, other: "Box") -> bool:
        """Whether it lies wholly in the other."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.bottom >= other.bottom
            and self.top <= other.top
        )

    def meets(self, a: Spot, b: Spot) -> bool:
        """Whether the line from a to b runs through it (Liang and Barsky)."""
        first, last = 0.0, 1.0
        for start, end, low, high in (
            (a[0], b[0], self.left, self.right),
            (a[1], b[1], self.bottom, self.top),
        ):
            run = end - start
            if abs(run) < 1e-12:
                if not low <= start <= high:
                    return False
                continue
            t = sorted(((low - start) / run, (high - start) / run))
            first, last = max(first, t[0]), min(last, t[1])
        return first <= last


@lru_cache(maxsize=1024)
def _advance(letter: str, face: Face) -> float:
    """Width of a letter over the size of the type."""
    font = get_font(findfont(properties(face)))
    font.set_size(_EM, 72)
    return float(font.load_char(ord(letter), flags=LoadFlags.NO_HINTING).linearHoriAdvance / 65536 / _EM)


def width_of(text: str, height: float, face: Face = "sans") -> float:
    """Width in mm of one line of text whose capitals are `height` mm tall; pairs drawn closer not counted."""
    return sum(_advance(letter, face) for letter in drawable(text, face)) * height / CAPITAL


def box_of(
    x: float,
    y: float,
    text: str,
    height: float,
    *,
    across: Across = "left",
    face: Face = "sans",
    upright: bool,
) -> Box:
    """The box of text standing on its base line at (x, y); with `upright` False it reads upwards.

    Descenders are counted in.
    """
    lines = text.split("\n")
    wide = max(width_of(line, height, face) for line in lines)
    below = 0.33 * height + (len(lines) - 1) * LEADING * height
    before = {"left": 0.0, "center": wide / 2, "right": wide}[across]
    if upright:
        return Box(x - before, y - below, x - before + wide, y + 1.08 * height)
    return Box(x - 1.08 * height, y - before, x + below, y - before + wide)


def wrapped(text: str, width: float, height: float, face: Face = "sans") -> list[str]:
    """Text broken into lines of at most `width` mm; a word that is longer stands alone.

    A number stays with its unit, and X, Z, R and Ø with their number.
    """
    out: list[str] = []
    for word in _BREAKS.split(text.strip()):
        longer = f"{out[-1]} {word}" if out else word
        if out and width_of(longer, height, face) * SPARE[face] <= width:
            out[-1] = longer
        else:
            out.append(word)
    return out


@dataclass(slots=True)
class Taken:
    """What already stands on a page: boxes of lettering, and lines that no lettering should cover."""

    boxes: list[Box] = field(default_factory=list)
    lines: list[tuple[Spot, Spot]] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Whether nothing is in the box."""
        return not any(box.touches(b, ROOM) for b in self.boxes) and not any(
            box.meets(*line) for line in self.lines
        )

    def first_free(self, choices: Sequence[Box]) -> int:
        """The first of the boxes that is free; where none is, the first that at least covers no lettering."""
        for k, box in enumerate(choices):
            if self.free(box):
                return k
        for k, box in enumerate(choices):
            if not any(box.touches(b, ROOM) for b in self.boxes):
                return k
        return len(choices) - 1

    def add(self, box: Box) -> None:
        """Lettering stands here from now on."""
        self.boxes.append(box)

    def cross(self, a: Spot, b: Spot) -> None:
        """A line from a to b that lettering should leave open."""
        self.lines.append((a, b))


def spread(wanted: Iterable[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Middles for boxes of these heights, in the given order from low to high, near where they are wanted.

    Neighbours never overlap as long as the heights fit between `low` and `high`.
    """
    middles = list(wanted)
    floor = low
    for k, h in enumerate(heights):
        middles[k] = max(middles[k], floor + h / 2)
        floor = middles[k] + h / 2
    ceiling = high
    for k in reversed(range(len(middles))):
        middles[k] = min(middles[k], ceiling - heights[k] / 2)
        ceiling = middles[k] - heights[k] / 2
    return middles
