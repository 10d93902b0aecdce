"""Volume against depth: the curve on which the readings move towards the target."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from toolpath.findings import Finding, attempt
from toolpath.paper import style
from toolpath.paper.canvas import Floats, Page
from toolpath.paper.labels import Across, Box
from toolpath.paper.subject import Subject
from toolpath.readings.log import readings_in
from toolpath.recut import Recut
from toolpath.units import MM_PER_INCH, cc

STEPS = 24
BEYOND = 1.12  # of the deepest cut, how far the curve is drawn on
DOT = 1.1  # mm


class Mark(NamedTuple):
    """A place on the curve: depth in mm, volume and twice its standard uncertainty in cc, what it is."""

    depth: float
    volume: float
    spread: float
    words: str


def curve(recut: Recut) -> Floats:
    """Depth of the new dish, mm, and what a reading sees at it, cc: (N, 2), past the target.

    Depths at which the shape cannot be made (a lip break larger than the wall) are left out.
    """
    design = recut.design

    def seen(depth: float) -> float | None:
        at = replace(design, shape=design.shape._replace(depth=depth))
        found = attempt(lambda: cc(at.seen(at.finished.volume_below())))
        return None if isinstance(found, Finding) else found

    deepest = BEYOND * max(design.depth, 0.1)
    while (seen(deepest) or math.inf) < cc(design.target) and deepest < 2 * design.depth:
        deepest *= BEYOND
    depths = np.linspace(0.0, deepest, STEPS + 1).tolist()
    return np.array([(depth, volume) for depth in depths if (volume := seen(depth)) is not None])


def marks(subject: Subject, spots: Floats) -> Iterator[Mark]:
    """The cuts of this piston that belong on the curve."""
    recut, design, step = subject.recut, subject.design, subject.recut.next_cut
    if step is None:
        yield Mark(design.depth, subject.report.volume.finished_cc, 0.0, "this cut")
        return
    if step.before is not None:
        depth = -step.before.lowest
        read = [r.volume for r in readings_in(recut.readings) if r.volume is not None and r.cut is not None]
        if read:
            yield Mark(depth, cc(read[-1]), 0.0, "the cut before, as read")
        else:
            yield Mark(depth, float(np.interp(depth, spots[:, 0], spots[:, 1])), 0.0, "the cut before")
    words = {"first": "first cut stops here", "last": "last cut"}[recut.stage]
    yield Mark(design.depth, cc(step.expected.volume), 2 * cc(step.expected.u), words)


def draw_curve(page: Page, subject: Subject, room: Box, *, close: bool = False) -> None:
    """The curve in a part of a page, with target, stops and expected spread; `close`: only round these."""
    _Graph(page, subject, room, close).draw()


def close_up(spots: Floats, found: Sequence[Mark], target: float) -> Floats:
    """The stretch of the curve round its marks and the target, (N, 2)."""
    depths = [m.depth for m in found]
    depths += np.interp(
        [target, *(m.volume + k * m.spread for m in found for k in (-1, 1))], *spots.T[::-1]
    ).tolist()
    pad = 0.4 * (max(depths) - min(depths)) + 1e-3
    depth = np.linspace(max(0.0, min(depths) - pad), min(spots[-1, 0], max(depths) + pad), STEPS + 1)
    return np.column_stack((depth, np.interp(depth, spots[:, 0], spots[:, 1])))


class _Graph:
    def __init__(self, page: Page, subject: Subject, room: Box, close: bool) -> None:
        self.page, self.figures = page, subject.figures
        self.spots = curve(subject.recut)
        self.marks = list(marks(subject, self.spots))
        self.target = subject.report.volume.target_cc
        if close:
            self.spots = close_up(self.spots, self.marks, self.target)
        self.tolerance = cc(subject.recut.job.dish.tolerance)
        values = [*self.spots[:, 1], self.target + self.tolerance, *(m.volume + m.spread for m in self.marks)]
        self.low, self.high = min(values), max(values)
        pad = 0.06 * (self.high - self.low)
        self.low, self.high = self.low - pad, self.high + pad
        self.box = Box(room.left + 17, room.bottom + 13, room.right - 3, room.top - 3)

    def spot(self, depth: float, volume: float) -> tuple[float, float]:
        box = self.box
        return (
            box.left + (box.right - box.left) * (depth - self.spots[0, 0]) / np.ptp(self.spots[:, 0]),
            box.bottom + (box.top - box.bottom) * (volume - self.low) / (self.high - self.low),
        )

    def draw(self) -> None:
        self._grid()
        page, box = self.page, self.box
        for value in (self.target - self.tolerance, self.target + self.tolerance):
            y = self.spot(self.spots[0, 0], value)[1]
            page.line(style.RULE, [(box.left, y), (box.right, y)])
            page.taken.cross((box.left, y), (box.right, y))
        y = self.spot(self.spots[0, 0], self.target)[1]
        page.line(style.HIDDEN, [(box.left, y), (box.right, y)])
        bar = [self.spot(self.spots[0, 0], self.target + k * self.tolerance) for k in (-1, 1)]
        page.fill(style.PALE, [bar[0], (box.right, bar[0][1]), (box.right, bar[1][1]), bar[1]])
        trace = [self.spot(d, v) for d, v in self.spots.tolist()]
        page.line(style.OUTLINE, trace)
        for a, b in pairwise(trace):
            page.taken.cross(a, b)
        page.place(
            f"target {self.target:.3f} cc, within {self.tolerance:.3f} cc",
            style.SMALL,
            [
                (box.left + 3, max(bar[1][1], y) + 1.5, "left"),
                (box.left + 3, min(bar[0][1], y) - 3.8, "left"),
            ],
        )
        for mark in self.marks:
            self._mark(mark)

    def _grid(self) -> None:
        page, box, figures = self.page, self.box, self.figures
        page.outline(style.EDGE, box)
        unit = 1.0 if figures.units == "mm" else MM_PER_INCH
        for value in ticks(self.spots[0, 0] / unit, self.spots[-1, 0] / unit):
            x = self.spot(value * unit, 0.0)[0]
            page.line(style.RULE, [(x, box.bottom), (x, box.top)])
            page.text(x, box.bottom - 4.8, f"{value:g} {figures.unit}", style.SMALL, across="center")
        for value in ticks(self.low, self.high):
            y = self.spot(self.spots[0, 0], value)[1]
            page.line(style.RULE, [(box.left, y), (box.right, y)])
            page.text(box.left - 1.5, y - style.SMALL / 2, f"{value:g} cc", style.SMALL, across="right")
        middle = (box.left + box.right) / 2
        words = "depth of the new dish below the finished crown"
        page.text(middle, box.bottom - 10, words, style.SMALL, across="center")

    def _mark(self, mark: Mark) -> None:
        page, box = self.page, self.box
        x, y = self.spot(mark.depth, mark.volume)
        page.line(style.EDGE, [(x, y - DOT), (x, box.bottom)])
        page.fill(style.INK, page.ring((x, y), DOT), above=True)
        if mark.spread:
            low, high = (self.spot(mark.depth, mark.volume + k * mark.spread)[1] for k in (-1, 1))
            page.line(style.THICK_BAR, [(x - 1.5, low), (x + 1.5, low)], [(x - 1.5, high), (x + 1.5, high)])
            page.line(style.THICK_BAR, [(x, low), (x, high)])
        words = f"{mark.words}\n{self.figures.length(mark.depth)}, {mark.volume:.3f} cc"
        if mark.spread:
            words += f" ± {mark.spread:.3f} cc"
        choices: list[tuple[float, float, Across]] = []
        for step in range(1, 9):
            choices += [(x - 4, y + 7.0 * step, "right"), (x + 4, y - 5.0 * step, "left")]
            choices += [(x - 4, y - 7.0 * step, "right")]
        page.place(words, style.SMALL, choices, inside=box)


def ticks(low: float, high: float) -> list[float]:
    """Round numbers between two values, some five of them.

    >>> ticks(7.6, 12.3)
    [8.0, 9.0, 10.0, 11.0, 12.0]
    """
    rough = (high - low) / 6
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(float(m * power) for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
    first, last = np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9)
    return [round(float(k * step), 10) + 0.0 for k in np.arange(first, last + 1)]
