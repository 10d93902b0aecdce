"""Touching off, drawn: where the insert stands when Z is set, and where when X is set."""

from typing import Literal

import numpy as np

from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Page, View
from toolpath.paper.labels import Box, Spot
from toolpath.paper.outlines import control_point
from toolpath.paper.subject import Subject

BLADE = 3.0  # mm of paper, thickness of the square's blade
Words = Literal["all", "number", "none"]
UNDER: dict[Words, float] = {"all": 22.5, "number": 10.5, "none": 0.0}  # mm of paper under each sketch
LABELS = 44.0  # mm of paper for the words beside each sketch
BODY = 0.24  # of the crown's radius, how much of the piston is drawn


def draw_touching(
    page: Page, subject: Subject, room: Box, *, sketch: bool = True, words: Words = "all"
) -> None:
    """Two sketches side by side, to one scale, with the numbers to set under each, or either alone.

    Without "all" words only the number stands there, or nothing.
    """
    middle = (room.left + room.right) / 2
    for draw, box in (
        (_Touching.along_z, Box(room.left, room.bottom, middle - 2, room.top)),
        (_Touching.along_x, Box(middle + 2, room.bottom, room.right, room.top)),
    ):
        draw(_Touching(page, subject, box, sketch, words))


class _Touching:
    def __init__(self, page: Page, subject: Subject, room: Box, sketch: bool, words: Words) -> None:
        recut = subject.recut
        self.sketch, self.words = sketch, words
        self.page, self.recut, self.room = page, recut, room
        self.touch, self.design = recut.touch_off, subject.design
        self.radius = recut.insert.radius
        self.figures, self.shown = subject.figures, subject.shown
        self.verb = "check" if recut.zero_stays else "set"
        self.face = self.touch.skim  # z of the crown that stands there
        self.chain = self.design.old if self.face > 0 or self.design.skim == 0 else self.design.skimmed
        outer = self.chain.outer
        self.low = min(0.0, self.chain.lowest) - BODY * outer
        below = UNDER[words]
        tall = room.top - room.bottom - below - 2
        above = 2.2 * self.radius if self.touch.control_point == "face-inner" else 0.5 * self.radius
        scale = min(
            (tall - 2 * BLADE) / (outer + above),
            (room.right - room.left - LABELS) / (self.face - self.low + 3.2 * self.radius),
        )
        self.view = View(room.left + 6 - scale * self.low, room.bottom + below, scale)

    def along_z(self) -> None:
        """The insert on the crown."""
        touch = self.touch
        feeler = f", {self.figures.length(touch.feeler)} feeler between" if touch.feeler > 0 else ""
        self._words(
            f"{self.verb} Z {self.figures.length(touch.z_to_set)}",
            f"on the {touch.crown} at Ø {self.figures.length(2 * touch.rim_middle)}, about X "
            f"{self.shown.x(touch.x_over_rim)}{feeler}",
        )
        if self.sketch:
            self._piston()
            if touch.feeler > 0:
                low, high = (self.view.spot(touch.rim_middle + k * self.radius, 0)[1] for k in (-0.5, 0.5))
                left, right = (self.view.spot(0, self.face + k * touch.feeler)[0] for k in (0, 1))
                self.page.fill(style.GREY, [(left, low), (right, low), (right, high), (left, high)])
            self._insert((touch.rim_middle, self.face + touch.feeler + self.radius))
            self._zero()

    def along_x(self) -> None:
        """The insert's side against the land, or against a blade laid along it."""
        touch, at = self.touch, self.touch.touch_diameter / 2
        figure, _, reads = self.shown.x(touch.x_to_set).rpartition(" ")
        self._words(
            f"{self.verb} X {figure}",
            f"{reads}, touched on Ø {self.figures.length(touch.touch_diameter)}, {touch.touch_at} side",
        )
        if self.sketch:
            self._piston()
            if touch.control_point == "face-inner":
                centre = (at + self.radius, self.face - 0.3 * self.radius)
            else:
                centre = (at - self.radius, self.face + 1.25 * self.radius)
                self._blade(at)
            self._insert(centre)
            self._zero()

    def _piston(self) -> None:
        """The upper half of the piston as it stands when it is touched."""
        page, view, outer = self.page, self.view, self.chain.outer
        top = self.chain.points(SAGITTA / view.scale)
        low = self.low
        land = np.vstack((top, [(outer, low)]))
        page.hatch(view.trace(np.vstack((land, [(0.0, low)]))), step=2.0)
        page.line(style.OUTLINE, view.trace(land))
        page.line(style.EDGE, [view.spot(outer, low), view.spot(0.0, low)])
        ends = (low - 4 / view.scale, self.face + 3.2 * self.radius)
        page.line(style.AXIS, [view.spot(0, ends[0]), view.spot(0, ends[1])])
        x, y = view.spot(0, ends[1])
        page.text(x + 1, y - style.SMALL / 2, "X 0", style.SMALL)

    def _blade(self, at: float) -> None:
        """A square's blade along the land, standing proud of the crown."""
        page, view = self.page, self.view
        foot = view.spot(0, self.face - 0.7 * BODY * self.chain.outer)[0]
        tip, low = view.spot(at, self.face + 1.8 * self.radius)
        blade = np.array([(foot, low), (tip, low), (tip, low + BLADE), (foot, low + BLADE)])
        page.hatch(blade, step=1.2, falling=True)
        page.line(style.EDGE, np.vstack((blade, blade[:1])))
        page.text(tip + 1.5, low + BLADE / 2 - style.SMALL / 2, "square's blade", style.SMALL)

    def _insert(self, centre: Spot) -> None:
        """The insert with its control point, which is what the readout speaks of."""
        page, view = self.page, self.view
        page.tool(view.spot(*centre), self.radius * view.scale)
        at = view.spot(*centre)
        x, y = view.spot(*control_point(self.recut, *centre))
        page.circle(style.OUTLINE, (x, y), 1.2)
        page.cross(style.EDGE, (x, y), 2.4)
        if self.touch.control_point != "insert-centre":
            page.line(style.HIDDEN, [(at[0], y), (x, y)], [(x, at[1]), (x, y)])
        self._label("programmed point", (x + 0.9, y - 0.9), min(y, at[1]) - 0.6 * self.radius * view.scale)

    def _label(self, text: str, tip: Spot, wanted: float) -> None:
        """Words at the right with a leader, as near to the height wanted as there is room."""
        page, x = self.page, self.view.spot(0, self.face + 3.2 * self.radius)[0] + 2
        step = 0.5 * style.SMALL
        spots = [(x, wanted + side * k * step) for k in range(30) for side in (-1, 1)]
        below = self.room.bottom + UNDER[self.words]
        inside = Box(self.room.left, below, self.page.width, self.room.top + 1)
        box = page.place(text, style.SMALL, [(*spot, "left") for spot in spots], inside=inside)
        middle = (box.left - 1, box.bottom + 0.33 * style.SMALL + style.SMALL / 2)
        page.line(style.EDGE, [tip, middle])

    def _zero(self) -> None:
        """Where Z is zero: the finished crown."""
        page, view = self.page, self.view
        x, y = view.spot(0.35 * self.chain.outer, 0.0)
        page.line(style.SKIMMED, [(x, y), (x, view.spot(self.chain.outer, 0)[1])])
        self._label("Z 0, finished crown", (x, y), y - style.SMALL / 2)

    def _words(self, head: str, line: str) -> None:
        page, room = self.page, self.room
        if self.words == "none":
            return
        y = room.bottom + UNDER[self.words] - 8.0
        page.text(room.left, y, head, style.LARGE, face="bold")
        if self.words == "all":
            page.paragraph(room.left, y - 6.3, line, room.right - room.left)
