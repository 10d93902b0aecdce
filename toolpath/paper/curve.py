"""Volume against depth: the curve on which the readings move towards the target."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.recut import Recut

CC = 1000.0  # mm3
STEPS = 24


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of the curve with its words."""

    depth: float  # mm
    volume: float  # cc
    words: str


def curve(recut: Recut) -> NDArray[np.float64]:
    """Depth of the new dish, mm, and what a reading sees at it, cc: (N, 2)."""
    design = recut.design
    assert design is not None
    deepest = 1.15 * design.depth
    out = []
    for depth in np.linspace(0.0, deepest, STEPS + 1):
        at = replace(design, shape=replace(design.shape, depth=float(depth)))
        out.append((float(depth), at.seen(at.finished.volume_below()) / CC))
    return np.array(out)


def draw_curve(page: Page, recut: Recut, keys: dict[str, Any], marks: Sequence[Mark], room: Box) -> None:
    """The curve in a part of a page; the marks are stops and readings on it."""
    figures = style.Figures(recut.job.machine.program_units)
    spots = curve(recut)
    target = keys["volume"]["target_cc"]
    low, high = float(spots[:, 1].min()), float(spots[:, 1].max())
    low, high = min(low, target), max(high, target)
    pad = 0.06 * (high - low)
    box = Box(room.left + 16, room.bottom + 12, room.right - 4, room.top - 4)
    across = (box.right - box.left) / spots[-1, 0]
    up = (box.top - box.bottom) / (high - low + 2 * pad)

    def spot(depth: float, volume: float) -> tuple[float, float]:
        return (box.left + across * depth, box.bottom + up * (volume - low + pad))

    page.line(style.EDGE, [(box.left, box.top), (box.left, box.bottom), (box.right, box.bottom)])
    for value in _ticks(0.0, figures_of(figures, spots[-1, 0])):
        x = spot(value * (1.0 if figures.units == "mm" else 25.4), low)[0]
        page.line(style.RULE, [(x, box.bottom), (x, box.top)])
        page.text(x, box.bottom - 4.5, f"{value:g} {figures.unit}", style.SMALL, across="center")
    for value in _ticks(low, high):
        y = spot(0.0, value)[1]
        page.line(style.RULE, [(box.left, y), (box.right, y)])
        page.text(box.left - 1.5, y - style.SMALL / 2, f"{value:g} cc", style.SMALL, across="right")
    page.text(
        (box.left + box.right) / 2, box.bottom - 10, "depth of the new dish", style.SMALL, across="center"
    )
    page.line(style.OUTLINE, np.array([spot(d, v) for d, v in spots]))
    y = spot(0.0, target)[1]
    page.line(style.HIDDEN, [(box.left, y), (box.right, y)])
    page.place(
        f"target {target:.3f} cc",
        style.SMALL,
        [(box.left + 2, y + 1.2, "left"), (box.left + 2, y - 3.5, "left")],
    )
    for mark in marks:
        x, y = spot(mark.depth, mark.volume)
        page.circle(style.OUTLINE, (x, y), 1.2)
        page.line(style.EDGE, [(x, y - 1.2), (x, box.bottom)])
        words = f"{mark.words}\n{figures.length(mark.depth)}, {mark.volume:.3f} cc"
        page.place(
            words,
            style.SMALL,
            [
                (x - 3, y + 5, "right"),
                (x + 3, y - 5, "left"),
                (x - 3, y + 12, "right"),
                (x + 3, y - 12, "left"),
            ],
        )


def figures_of(figures: style.Figures, mm: float) -> float:
    """A length in the units of the page."""
    return float(figures.number(mm))


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers between two values, four to eight of them."""
    rough = (high - low) / 5
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(float(m * power) for m in (1, 2, 5, 10) if m * power >= rough)
    first = np.ceil(low / step - 1e-9)
    return [round(float(k * step), 10) + 0.0 for k in np.arange(first, np.floor(high / step + 1e-9) + 1)]
