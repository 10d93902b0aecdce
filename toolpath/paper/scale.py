"""Scales that a rule can be laid on, the bar that proves them, and the arrows that say which way is Z."""

import math
from typing import Final

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box
from toolpath.units import MM_PER_INCH

SCALES: Final = (
    *(50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0),
    *(2.5, 2.0, 1.5, 1.0, 0.5, 0.25),
)
SHORTEST_BAR: Final = 14.0  # mm of paper


def scale_text(scale: float) -> str:
    """A scale as it is written on a drawing.

    >>> scale_text(4.0), scale_text(0.5)
    ('4:1', '1:2')
    """
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def largest(wide: float, tall: float, room: Box) -> float:
    """The scale at which so many mm of metal just fit."""
    return min((room.right - room.left) / wide, (room.top - room.bottom) / tall)


def fitting(wide: float, tall: float, room: Box) -> float:
    """The largest plain scale at which so many mm of metal fit; the smallest there is where none does."""
    most = largest(wide, tall, room)
    return next((s for s in SCALES if s <= most), SCALES[-1])


def bar_length(scale: float, figures: style.Figures) -> float:
    """A round length, mm of metal, that is drawn at least `SHORTEST_BAR` long."""
    unit = 1.0 if figures.units == "mm" else MM_PER_INCH
    least = SHORTEST_BAR / scale / unit
    power = 10.0 ** math.floor(math.log10(least))
    return unit * power * next(m for m in (1, 2, 5, 10) if m * power >= least * (1 - 1e-9))


def scale_bar(page: Page, x: float, y: float, scale: float, figures: style.Figures) -> None:
    """A bar from (x, y) to the right, half of it black, with what it stands for."""
    length = bar_length(scale, figures)
    end, thick = x + length * scale, 1.2
    page.line(style.EDGE, [(x, y), (end, y), (end, y + thick), (x, y + thick), (x, y)])
    page.fill(style.INK, [(x, y), ((x + end) / 2, y), ((x + end) / 2, y + thick), (x, y + thick)])
    unit = 1.0 if figures.units == "mm" else MM_PER_INCH
    words = f"scale {scale_text(scale)};\nthe bar is {length / unit:g} {figures.unit}"
    page.text(x, y + 2.4 + LEADING * style.SMALL, words, style.SMALL)


def ways(page: Page, x: float, y: float) -> None:
    """Arrows for Z (away from the chuck) and X (away from the axis) from (x, y)."""
    long = 7.0
    page.line(style.EDGE, [(x, y), (x + long, y)], [(x, y), (x, y + long)])
    page.arrow((x + long, y), 0.0)
    page.arrow((x, y + long), math.pi / 2)
    page.text(x + long + 1.2, y - style.SMALL / 2, "Z", style.SMALL)
    page.text(x, y + long + 1.2, "X", style.SMALL, across="center")
    page.text(x + 2, y + 2.4, "chuck at the left", style.SMALL)
