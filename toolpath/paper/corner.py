"""The corner of the dish, large, and beside it the same corner seen along the spindle."""

from typing import Any

import numpy as np

from toolpath.geometry.chain import deeper
from toolpath.geometry.reach import as_cut
from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Page, View
from toolpath.paper.labels import Box
from toolpath.paper.section import Metal, finishing, fitting, scale_text, stations
from toolpath.recut import Recut

LEAST_LEFT = 1e-4  # mm2 of section; less is not drawn


def draw_corner(page: Page, recut: Recut, keys: dict[str, Any], room: Box) -> None:
    """Both views, at one scale and at one height: what is level in one is level in the other."""
    _Corner(page, recut, keys, room).draw()


class _Corner:
    def __init__(self, page: Page, recut: Recut, keys: dict[str, Any], room: Box) -> None:
        assert recut.design is not None
        assert recut.plan is not None
        self.page, self.recut, self.keys, self.room = page, recut, keys, room
        self.design = recut.design
        self.figures = style.Figures(recut.job.machine.program_units)
        self.contact = keys["clearance"]["flank_contact_height_mm"] if keys["clearance"] else None
        one = finishing(recut)
        radius = recut.insert.radius
        if one is None:
            self.at = (self.design.mouth, radius)
        else:
            self.at = stations(one)[1][1]
        mouth = self.design.mouth
        self.r_low, self.r_high = self.at[0] - 1.35 * radius, max(mouth, self.at[0] + radius) + 0.9 * radius
        self.z_low, self.z_high = (
            self.design.finished.lowest - 0.5 * radius,
            max(1.4 * radius, self.at[1] + 1.1 * radius),
        )
        half = (room.right - room.left) / 2
        views = Box(room.left, room.bottom + 30, room.left + half - 4, room.top - 8)
        scale = fitting(self.z_high - self.z_low, self.r_high - self.r_low, views)
        x = (views.left + views.right) / 2 - scale * (self.z_low + self.z_high) / 2
        y = (views.bottom + views.top) / 2 - scale * (self.r_low + self.r_high) / 2
        self.view = View(x, y, scale)
        self.window = Box(
            x + scale * self.z_low, y + scale * self.r_low, x + scale * self.z_high, y + scale * self.r_high
        )

    def draw(self) -> None:
        page, view, window = self.page, self.view, self.window
        word = scale_text(view.scale)
        page.text(
            self.room.left + 4, self.room.top - 4, f"Section at the corner, {word}", style.PLAIN, face="bold"
        )
        finished = self.recut.finished
        top = view.chain(finished)
        body = view.trace(Metal(self.recut).outline(finished.points(SAGITTA / view.scale)))
        page.hatch(_clipped(body, window))
        page.line(style.OUTLINE, top, within=window)
        old = view.chain(self.recut.plan.work.stock.surface)  # type: ignore[union-attr]
        page.line(style.RECEIVED, old, within=window)
        self._left_uncut()
        centre = view.spot(*self.at)
        page.circle(style.TOOL, centre, self.recut.insert.radius * view.scale, within=window)
        page.line(style.TOOL, [(centre[0] - 2, centre[1]), (centre[0] + 2, centre[1])])
        page.line(style.TOOL, [(centre[0], centre[1] - 2), (centre[0], centre[1] + 2)])
        self._words()

    def _left_uncut(self) -> None:
        """What stays between the drawn section and what the insert can reach."""
        corner = self.design.corner
        if corner.area < LEAST_LEFT:
            return
        drawn = self.design.drawn
        cut = as_cut(drawn, self.recut.insert.radius)
        low, high = self.view.chain(deeper(drawn, cut)), self.view.chain(cut)
        self.page.fill(style.INK, np.vstack((high, low[::-1])), within=self.window)

    def _words(self) -> None:
        corner, figures = self.design.corner, self.figures
        y = self.room.bottom + 22
        lines = [f"insert radius {figures.length(self.recut.insert.radius)}"]
        if corner.area < LEAST_LEFT:
            lines.append("the insert reaches the whole section: nothing is left uncut")
        else:
            lines.append(
                f"left uncut (black): {corner.area:.3f} mm² of section, {corner.volume:.1f} mm³, "
                f"{figures.length(corner.thickness)} at the thickest"
            )
        for line in lines:
            self.page.text(self.room.left + 4, y, line, style.SMALL)
            y -= 2 * style.SMALL


def _clipped(outline: Any, box: Box) -> Any:
    """A polygon cut off at a box, one side after the other (Sutherland and Hodgman)."""
    sides = ((0, box.left, 1), (0, box.right, -1), (1, box.bottom, 1), (1, box.top, -1))
    spots = [tuple(p) for p in outline]
    for axis, limit, sign in sides:
        kept: list[tuple[float, ...]] = []
        for a, b in zip(spots, spots[1:] + spots[:1], strict=True):
            da, db = sign * (a[axis] - limit), sign * (b[axis] - limit)
            if da >= 0:
                kept.append(a)
            if (da >= 0) != (db >= 0):
                t = da / (da - db)
                kept.append(tuple(p + t * (q - p) for p, q in zip(a, b, strict=True)))
        spots = kept
    return np.array(spots)
