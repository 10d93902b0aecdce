"""The corner of the dish, large, and beside it what happens below the cutting edge."""

import math
from collections.abc import Iterator

import numpy as np

from toolpath.clearance.flank import Flank
from toolpath.clearance.holder import outline
from toolpath.geometry.chain import deeper
from toolpath.geometry.reach import as_cut
from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Floats, Page, View
from toolpath.paper.labels import LEADING, Box, Spot, wrapped
from toolpath.paper.outlines import MetalOutlines, control_point, finishing, stations
from toolpath.paper.scale import fitting, scale_bar, scale_text
from toolpath.paper.subject import Subject
from toolpath.recut import Recut
from toolpath.units import cc

LEAST_LEFT = 1e-4  # mm2 of section; less is not drawn
VIEWS = 0.66  # of the width, for the views; words stand at their right
UPPER = 0.6  # of the height, for the view in the section
AROUND = 1.45  # of the insert's radius: how far round its centre the corner is shown
AT_AXIS = 0.3  # of the mouth: a dish that is deepest further in than this is shown at its wall instead


def draw_corner(page: Page, subject: Subject, flank: Flank | None, room: Box) -> None:
    """The section at the corner, under it the view along the spindle, each with its figures beside it."""
    split = room.top - UPPER * (room.top - room.bottom)
    middle = room.left + VIEWS * (room.right - room.left)
    corner = _Corner(page, subject, Box(room.left, split + 2, middle, room.top))
    corner.draw()
    _lines(page, corner_words(subject, corner.at), Box(middle + 4, split, room.right, room.top - 10))
    if flank is not None:
        draw_flank(page, subject, flank, Box(room.left, room.bottom, room.right, split - 2))


def draw_large_corner(page: Page, subject: Subject, room: Box) -> None:
    """The section at the corner alone, as large as the page, with its figures below."""
    words = list(corner_words(subject, shown_at(subject.recut)))
    wide = room.right - room.left
    tall = sum(len(wrapped(w, wide, style.PLAIN)) * LEADING * style.PLAIN + 1.5 for w in words)
    corner = _Corner(page, subject, Box(room.left, room.bottom + tall + 2, room.right, room.top))
    corner.draw()
    y = corner.window.bottom - 20
    for line in words:
        y = page.paragraph(room.left, y, line, wide) - 1.5


def draw_flank(page: Page, subject: Subject, flank: Flank, room: Box) -> None:
    """The view along the spindle, its figures beside it."""
    middle = room.left + VIEWS * (room.right - room.left)
    _Below(page, subject, flank, Box(room.left, room.bottom, middle, room.top)).draw()
    _lines(page, flank_words(subject), Box(middle + 4, room.bottom, room.right, room.top - 10))


def shown_at(recut: Recut) -> Spot:
    """The insert's centre (r, z) at the corner: its deepest place, or where a bowl is steepest."""
    contour, mouth = finishing(recut), recut.design.mouth
    if not contour:
        return (mouth, recut.insert.radius)
    at = stations(contour).deepest
    if at[0] > AT_AXIS * mouth:
        return at
    inside = [
        (s.r2, s.z2) for s in contour[-1].cut.path.segments if s.r2 < mouth - 0.05 * recut.insert.radius
    ]
    if not inside:
        return at
    outer = max(r for r, _ in inside)
    return min((s for s in inside if s[0] > outer - 1e-6), key=lambda s: s[1])


class _Corner:
    """The insert at its deepest in the section."""

    def __init__(self, page: Page, subject: Subject, room: Box) -> None:
        recut = subject.recut
        self.page, self.recut, self.room, self.figures = page, recut, room, subject.figures
        self.design, self.old = subject.design, subject.plan.work.stock.surface
        self.at = shown_at(recut)
        radius = recut.insert.radius
        around = AROUND * radius
        mouth = min(self.design.mouth, self.at[0] + 2 * around)
        r = (self.at[0] - around, max(self.at[0] + around, mouth + 0.5 * radius))
        z = (self.at[1] - around, self.at[1] + around)
        views = Box(room.left, room.bottom + 14, room.right, room.top - 8)
        scale = fitting(z[1] - z[0], r[1] - r[0], views)
        x = views.left - scale * z[0] + 2
        y = views.top - scale * r[1]
        self.view = View(x, y, scale)
        self.window = Box(x + scale * z[0], y + scale * r[0], x + scale * z[1], y + scale * r[1])

    def draw(self) -> None:
        page, view, window = self.page, self.view, self.window
        page.text(
            self.room.left,
            self.room.top - 5,
            f"In the section, {scale_text(view.scale)}",
            style.PLAIN,
            face="bold",
        )
        finished = self.recut.finished
        top = finished.points(SAGITTA / view.scale)
        body = clipped(view.trace(MetalOutlines(self.recut).outline(top)), window)
        if len(body):
            page.hatch(body)
        page.line(style.OUTLINE, view.trace(top), within=window)
        page.line(style.RECEIVED, view.chain(self.old), within=window)
        self._left_uncut()
        self._holder()
        traces = [view.chain(leg.path) for one in finishing(self.recut) for leg in one.legs]
        if traces:
            page.line(style.PATH, *traces, within=window)
        page.tool(view.spot(*self.at), self.recut.insert.radius * view.scale, within=window)
        page.outline(style.RULE, window)
        self._mouth()
        scale_bar(page, window.left, window.bottom - 12, view.scale, self.figures)

    def _left_uncut(self) -> None:
        """What stays between the drawn section and what the insert can reach."""
        drawn = self.design.drawn
        if self.design.corner.area < LEAST_LEFT:
            return
        cut = as_cut(drawn, self.recut.insert.radius)
        low, high = self.view.chain(deeper(drawn, cut)), self.view.chain(cut)
        self.page.fill(style.INK, np.vstack((high, low[::-1])), within=self.window)

    def _holder(self) -> None:
        """The holder's outline about the insert's centre."""
        holder = self.recut.job.holder
        shape = None if holder is None else outline(holder, self.recut.insert)
        if shape is None:
            return
        corners = np.array(shape.exterior.coords)
        around = np.column_stack((corners[:, 0] + self.at[0], corners[:, 1] + self.at[1]))
        self.page.line(style.BODY, self.view.trace(around), within=self.window)

    def _mouth(self) -> None:
        """The mouth's level, where it can be seen."""
        x, y = self.view.spot(self.design.mouth, 0.0)
        if x < self.window.right - 5 and self.window.bottom < y < self.window.top - 4:
            self.page.line(style.EDGE, [(x + 0.8, y), (self.window.right, y)])
            self.page.place(
                f"mouth {self.figures.across(self.design.mouth)}",
                style.SMALL,
                [(self.window.right - 1.5, y + 1, "right"), (self.window.right - 1.5, y - 3, "right")],
            )


class _Below:
    """The insert's flank and the holder in the plane across the spindle, against the curve of the work.

    The curve is drawn with the radius at which a flank of this relief meets it at the height found:
    that of the wall, or of the bowl.
    """

    def __init__(self, page: Page, subject: Subject, flank: Flank, room: Box) -> None:
        recut = subject.recut
        self.page, self.recut, self.flank, self.room = page, recut, flank, room
        self.figures = subject.figures
        self.relief = recut.insert.relief + recut.job.tool.seat_tilt
        self.wall = flank.contact_height / math.sin(2 * self.relief)
        thickness = recut.insert.thickness or 0.0
        down = min(1.25 * flank.contact_height, flank.template[-1][0])
        self.low = min(max(down, 1.6 * thickness), 0.98 * self.wall)
        back = max(self._curve(self.low), self._back(self.low))
        self.left, self.right = back + 0.45 * self.low, 0.22 * self.low
        views = Box(room.left, room.bottom + 3, room.right - 28, room.top - 8)
        scale = fitting(self.left + self.right + 0.1 * self.low, 1.12 * self.low, views)
        self.scale = scale
        self.x = views.left + 4 + scale * self.left  # of the cutting edge on the paper
        self.y = views.top - 6
        self.window = Box(
            self.x - scale * self.left, self.y - scale * self.low, self.x + scale * self.right, self.y + 5
        )

    def _back(self, height: float) -> float:
        """Stand-back at a height, from the template."""
        rows = np.array(self.flank.template)
        return float(np.interp(height, rows[:, 0], rows[:, 1]))

    def _curve(self, height: float) -> float:
        """How far the work has come in towards the tool at a height below the edge, mm."""
        return self.wall - math.sqrt(self.wall**2 - height**2)

    def _spot(self, inward: float, down: float) -> tuple[float, float]:
        return (self.x - self.scale * inward, self.y - self.scale * down)

    def draw(self) -> None:
        page, spot = self.page, self._spot
        page.text(
            self.room.left,
            self.room.top - 5,
            f"Seen along the spindle, {scale_text(self.scale)}",
            style.PLAIN,
            face="bold",
        )
        down = np.linspace(0.0, self.low, 60)
        curve = np.array([spot(self._curve(h), h) for h in down.tolist()])
        edge = self.window.right
        page.hatch(np.vstack((curve, [(edge, curve[-1][1]), (edge, self.y)])))
        page.line(style.OUTLINE, curve)
        page.line(style.AXIS, [(self.window.left - 2, self.y), (edge + 3, self.y)])
        self._tool_body()
        self._ground()
        self._contact()

    def _tool_body(self) -> None:
        """Flank down to the underside (or on, dashed, where the thickness is not stated)."""
        page, spot, lean = self.page, self._spot, math.tan(self.relief)
        thick = self.recut.insert.thickness
        far = (self.window.left, self.y)
        if thick is not None and thick < self.low:
            foot = spot(thick * lean, thick)
            page.line(style.TOOL, [far, (self.x, self.y), foot, (self.window.left, foot[1])])
            page.line(style.HIDDEN, [foot, spot(self.low * lean, self.low)])
            page.text(self.window.left + 1, foot[1] + 1, "insert", style.SMALL)
        else:
            page.line(style.TOOL, [far, (self.x, self.y), spot(self.low * lean, self.low)])
            page.text(self.window.left + 1, self.y - 4, "insert", style.SMALL)

    def _ground(self) -> None:
        """The line to which a holder must be ground back, as far down as the work is in its way."""
        page = self.page
        start = self.recut.insert.thickness or 0.0
        heights = [start, *(h for h, _ in self.flank.template if start < h < self.low), self.low]
        rows = [(h, self._back(h)) for h in heights if self._back(h) >= self._curve(h)]
        if len(rows) < 2:
            return
        line = np.array([self._spot(b, h) for h, b in rows])
        page.line(style.GRIND, line)
        stated = self.recut.job.holder
        height = None if stated is None else stated.height_below_edge
        back = None if stated is None else stated.set_back
        if height is not None and back is not None:
            low = min(height, self.low)
            foot = self._spot(back, low)
            page.line(style.BODY, [self._spot(back, start), foot, (self.window.left, foot[1])])
        middle = len(rows) // 2
        h, b = rows[middle]
        x, y = self._spot(b, h)
        words = "grind the holder\nback to this line"
        page.place(words, style.SMALL, [(x - 2, y + up, "right") for up in (-1, -8, 8)])

    def _contact(self) -> None:
        """Where the flank would meet the work, and how far below the edge."""
        page, height = self.page, self.flank.contact_height
        if height > self.low:
            return
        x, y = self._spot(height * math.tan(self.relief), height)
        page.circle(style.OUTLINE, (x, y), 1.0)
        across = self.window.right + 5
        page.line(style.EDGE, [(x + 1.2, y), (across + 1.5, y)], [(across, y), (across, self.y)])
        page.arrow((across, self.y), math.pi / 2)
        page.arrow((across, y), -math.pi / 2)
        page.text(across + 2, (y + self.y) / 2 - style.SMALL / 2, self.figures.length(height), style.SMALL)


def corner_words(subject: Subject, at: Spot) -> Iterator[str]:
    """What the section at the corner shows, in figures."""
    recut, corner = subject.recut, subject.design.corner
    figures, shown = subject.figures, subject.shown
    r, z = control_point(recut, *at)
    yield f"insert R {figures.length(recut.insert.radius)}"
    yield f"insert drawn at X {shown.x(r)}, Z {figures.length(z)}"
    if corner.area < LEAST_LEFT:
        yield "left uncut: nothing; the insert reaches the whole drawn section"
    else:
        yield f"left uncut (black): {cc(corner.volume):.3f} cc"
        yield f"{figures.length(corner.thickness)} at the thickest"
    gap = subject.report.clearance.holder_gap_mm
    if gap is not None:
        yield f"holder (dashed) to work, smallest gap over all moves: {figures.length(gap)}"


def flank_words(subject: Subject) -> Iterator[str]:
    """What the view along the spindle shows, in figures."""
    figures, recut = subject.figures, subject.recut
    yield f"relief of the flank {math.degrees(recut.insert.relief + recut.job.tool.seat_tilt):g}°"
    height, room = (
        subject.report.clearance.flank_contact_height_mm,
        subject.report.clearance.insert_underside_room_mm,
    )
    if height is not None:
        yield f"the heel would rub {figures.length(height)} below the edge (circle)"
    if room is not None:
        yield f"room at the insert's underside: {figures.length(room)}"
    yield "heavy dashes: a holder must be ground back to here, or further"


def _lines(page: Page, lines: Iterator[str], room: Box) -> None:
    y = room.top
    for line in lines:
        y = page.paragraph(room.left, y, line, room.right - room.left, style.SMALL) - 1.5


def clipped(outline: Floats, box: Box) -> Floats:
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
