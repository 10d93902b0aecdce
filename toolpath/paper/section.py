"""The section: half the piston as it sits in the lathe, what is there, what goes and what stays."""

import math
from collections.abc import Iterator

import numpy as np

from toolpath.geometry.segments import Arc
from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Page, View
from toolpath.paper.labels import LEADING, Box, Spot, spread, wrapped
from toolpath.paper.outlines import MetalOutlines, control_point, finishing, level_traces, stations
from toolpath.paper.scale import fitting, largest, scale_bar, scale_text, ways
from toolpath.paper.subject import Subject

CALLOUTS = 42.0  # mm of paper for the words at the right
NATURAL = 26.0  # mm of paper, least room for the view in natural size
ROW = 7.0  # mm between dimension lines
BELOW = 3.9 * ROW  # mm of paper for the dimensions under the axis
SAME = 1e-3  # mm
ALONG = (0.5, 0.42, 0.58, 0.34, 0.66, 0.74, 0.26)  # of a dimension line, where its figure may stand


def draw_section(page: Page, subject: Subject, room: Box) -> None:
    """The half section with passes and dimensions in a part of a page; figures from the report."""
    _Section(page, subject, room).draw()


def draw_small_section(page: Page, subject: Subject, room: Box) -> None:
    """The same as large as it will go, with only the figures that check the work."""
    _Section(page, subject, room, small=True).draw_small()


class _Section:
    def __init__(self, page: Page, subject: Subject, room: Box, *, small: bool = False) -> None:
        recut = subject.recut
        self.page, self.recut, self.dish, self.room = page, recut, subject.report.section, room
        self.design, self.plan = subject.design, subject.plan
        self.metal = MetalOutlines(recut)
        self.figures, self.shown = subject.figures, subject.shown
        self.finish = finishing(recut)
        self.left = None if recut.clearance is None else recut.clearance.crown
        self.skim = self.plan.work.skim
        self.old = self.plan.work.stock.surface
        outer, radius = recut.finished.outer, recut.insert.radius
        beyond = 2 * radius if self.finish else 0.0
        self.right = max(min(beyond, 0.55 * outer), self.skim + 0.05 * outer) + 0.02 * outer
        words = 0.0 if small else CALLOUTS
        rows = Box(room.left + 8, room.bottom + BELOW, room.right - words - 2.6 * ROW, room.top - 1.4 * ROW)
        wide, tall = self.right - self.metal.low, 1.02 * outer
        scale = largest(wide, tall, rows) if small else fitting(wide, tall, rows)
        x = rows.right - scale * self.right
        spare = x + scale * self.metal.low - rows.left
        self.inset = spare if spare > NATURAL and not small else 0.0
        if not self.inset:
            x -= spare / 2
        y = (rows.bottom + rows.top - scale * outer) / 2
        self.view = View(x, y, scale)
        self.window = Box(x + scale * self.metal.low, y, x + scale * self.right, y + 1.02 * scale * outer)

    def draw(self) -> None:
        self._metal()
        self._tool()
        right = self.room.right - CALLOUTS + 2
        scale_bar(self.page, right, self.room.bottom + 3, self.view.scale, self.figures)
        ways(self.page, right, self.room.bottom + 15)
        if self.inset:
            self._natural_size()
        self._callouts()
        self._diameters()
        self._above_land()
        self._below_axis()

    def draw_small(self) -> None:
        """Without the words that point at things."""
        self._metal()
        self._tool()
        self._diameters()
        self._above_land()
        self._below_axis()

    def _metal(self) -> None:
        page, view, metal = self.page, self.view, self.metal
        finished, old = self.recut.finished, self.old
        top = finished.points(SAGITTA / view.scale)
        before = old.points(SAGITTA / view.scale)
        goes = np.vstack((top, before[::-1]))
        page.fill(style.PALE, view.trace(goes))
        page.hatch(view.trace(metal.outline(top)))
        page.line(style.OUTLINE, view.trace(top), view.trace(metal.side()))
        if len(metal.underside):
            page.line(style.OUTLINE, view.trace(metal.underside))
        page.line(style.EDGE, view.trace(metal.break_line))
        edge = [view.spot(old.outer, old.segments[-1].z2), view.spot(old.outer, finished.segments[-1].z2)]
        page.line(style.RECEIVED, view.trace(before), edge)
        if self.skim > 0:
            page.line(style.SKIMMED, view.chain(self.design.skimmed))
        self.levels = level_traces(self.recut, view)
        page.line(style.LEVEL, *self.levels)
        ends = (metal.low - 4 / view.scale, self.right + 6 / view.scale)
        page.line(style.AXIS, [view.spot(0, ends[0]), view.spot(0, ends[1])])

    def _tool(self) -> None:
        page, view = self.page, self.view
        if not self.finish:
            return
        traces = [view.chain(leg.path) for one in self.finish for leg in one.legs]
        starts = [(one.legs[0].starts_at, one.legs[0].start_height, one.descend) for one in self.finish]
        down = [[view.spot(r, max(z, above)), view.spot(r, z)] for r, z, above in starts]
        at = stations(self.finish)
        page.line(style.PATH, *traces, *down, within=self.window)
        for spot in (at.entry, at.deepest, at.leaving):
            page.tool(view.spot(*spot), self.recut.insert.radius * view.scale, within=self.window)
        trace = traces[-1]
        gaps = np.hypot(*np.diff(trace, axis=0).T)
        k = int(np.searchsorted(np.cumsum(gaps), gaps.sum() * 0.45))
        along = trace[k + 1] - trace[k]
        page.arrow(
            (float(trace[k + 1][0] + trace[k][0]) / 2, float(trace[k + 1][1] + trace[k][1]) / 2),
            math.atan2(along[1], along[0]),
            style.BLUE,
        )

    # ---- dimensions ----------------------------------------------------------------------------

    def _below_axis(self) -> None:
        """Depth, floor and skim: rows under the axis."""
        view, figures, y = self.view, self.figures, self.view.y - 7
        for low, high, reach, text in self._lengths():
            for z, r in ((low, reach), (high, 0.0)):
                x = view.spot(0, z)[0]
                self.page.line(style.EDGE, [(x, view.spot(r, 0)[1]), (x, y - 1.5)])
            self.page.dimension_across(
                view.spot(0, low)[0], view.spot(0, high)[0], y, f"{text} {figures.length(high - low)}"
            )
            y -= ROW

    def _lengths(self) -> Iterator[tuple[float, float, float, str]]:
        """(from z, to z, r up to which the first is drawn on, what it is), the shortest first."""
        depth, floor = self.dish.depth_mm, self.dish.floor_thickness_mm
        if self.skim > 0:
            yield 0.0, self.skim, 0.0, "skim"
        if depth > 0:
            yield -depth, 0.0, self._bare_floor(), "depth"
        if floor is not None and self._thinnest_on_axis(floor):
            low = float(self.metal.underside[0][1])
            yield low, low + floor, 0.0, "floor left"

    def _thinnest_on_axis(self, floor: float) -> bool:
        """Whether the least floor stands on the axis, where it can be dimensioned as a length along Z."""
        under = self.metal.underside
        return len(under) > 0 and abs(self.recut.finished.at(0.0) - float(under[0][1]) - floor) < SAME

    def _thinnest(self) -> Spot:
        """The spot of the underside that lies nearest to the finished section; the floor where none is drawn."""
        under = self.metal.underside
        if not len(under):
            return (0.0, self.recut.finished.at(0.0))
        share = np.linspace(0.0, 1.0, 200)
        steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(under, axis=0).T))])
        points = np.column_stack([np.interp(share * steps[-1], steps, under[:, k]) for k in (0, 1)])
        r, z = points[int(np.argmin(self.recut.finished.distances(points)))]
        return (float(r), float(z))

    def _bare_floor(self) -> float:
        """The least radius at which the new floor itself is the finished surface."""
        cut, finished = self.design.cut, self.recut.finished
        r = np.linspace(0.0, cut.outer, 400)
        bare = np.abs(finished.heights(r) - cut.lowest) < SAME
        return float(r[bare][0]) if bare.any() else 0.0

    def _above_land(self) -> None:
        """The land left: a row over the outer edge."""
        low, view = self.metal.land_low, self.view
        if low is None or low <= self.metal.low or self.left is None or self.left.top_land is None:
            return
        top = view.spot(self.recut.finished.outer, 0)[1]
        for z in (low, 0.0):
            x = view.spot(0, z)[0]
            self.page.line(style.EDGE, [(x, top + 0.8), (x, top + 7.5)])
        text = f"top land left {self.figures.length(self.left.top_land)}"
        self.page.dimension_across(view.spot(0, low)[0], view.spot(0, 0.0)[0], top + 6, text)

    def _diameters(self) -> None:
        """Mouth and crown: columns to the right; their lines run past the axis, as a half view wants."""
        page, view, outer = self.page, self.view, self.recut.finished.outer
        x = self.window.right + 5
        across = [("crown", outer)]
        if self.dish.mouth_diameter_mm > 0:
            across.insert(0, ("mouth", self.dish.mouth_diameter_mm / 2))
        for word, r in across:
            start, y = view.spot(r, 0.0)
            page.line(style.EDGE, [(start + 0.8, y), (x + 1.5, y)], [(x, view.y - 3), (x, y)])
            page.arrow((x, y), math.pi / 2)
            text = f"{word} {self.figures.across(r)}"
            places = [view.y + share * (y - view.y) for share in ALONG]
            page.place_upwards(text, style.SMALL, x + style.SMALL / 2, places)
            x += ROW

    # ---- words ---------------------------------------------------------------------------------

    def _callouts(self) -> None:
        """Words at the right, each with a leader to what it speaks of."""
        left, height = self.room.right - CALLOUTS + 2, style.SMALL
        notes = sorted(self._notes(), key=lambda note: note[0][1])
        texts = [
            "\n".join(line for t in text for line in wrapped(t, CALLOUTS - 2, height)) for _, text in notes
        ]
        tall = [(t.count("\n") + 1) * LEADING * height + 2 for t in texts]
        low, high = self.room.bottom + BELOW, self.room.top
        middles = spread([y for (_, y), _ in notes], tall, low, high)
        for ((x, y), _), text, h, middle in zip(notes, texts, tall, middles, strict=True):
            first = middle + h / 2 - 1 - 1.4 * height
            self.page.text(left, first, text, height)
            knee = (left - 3, first + height / 2)
            self.page.line(style.EDGE, [(x, y), knee, (left - 1, knee[1])])
            self.page.taken.cross((x, y), knee)
            self.page.arrow((x, y), math.atan2(y - knee[1], x - knee[0]))

    def _notes(self) -> Iterator[tuple[Spot, tuple[str, ...]]]:
        """(what is pointed at, words)."""
        view, length = self.view, self.figures.length
        arc = self._corner_arc()
        if self.dish.corner_radius_mm is not None and arc is not None:
            t = arc.t1 + 0.5 * (arc.t2 - arc.t1)
            spot = view.spot(arc.rc + arc.radius * math.cos(t), arc.zc + arc.radius * math.sin(t))
            yield spot, (f"corner R {length(self.dish.corner_radius_mm)}",)
        yield from self._metal_left()
        axis = self.recut.finished.at(0.0)
        if self.dish.depth_mm > 0 and axis < -self.dish.depth_mm - SAME:
            r = 0.35 * self._bare_floor()
            yield view.spot(r, self.recut.finished.at(r)), ("the old dish lies deeper here and stays",)
        if not self.finish:
            return
        at = stations(self.finish)
        yield self._on_rim(at.leaving, 0.7), ("insert leaves at", *self._place(at.leaving))
        yield self._on_rim(at.deepest, 0.3), ("insert deepest at", *self._place(at.deepest))
        yield self._on_rim(at.entry, 0.0), ("feed begins at", *self._place(at.entry))
        roughs = self.plan.count("rough", "semi")
        if roughs:
            trace = self.levels[-1]
            spot = (float(trace[len(trace) // 3][0]), float(trace[len(trace) // 3][1]))
            passes = "1 roughing pass" if roughs == 1 else f"{roughs} roughing passes"
            yield spot, (passes, f"then {length(self.recut.job.cutting.allowance)} to finish")

    def _metal_left(self) -> Iterator[tuple[Spot, tuple[str, ...]]]:
        """What the crown keeps where it has no dimension line of its own."""
        view, length, floor = self.view, self.figures.length, self.dish.floor_thickness_mm
        if floor is not None and not self._thinnest_on_axis(floor):
            yield view.spot(*self._thinnest()), (f"floor left {length(floor)}, shortest line",)
        if self.left is None:
            return
        outer, mouth = self.recut.finished.outer, self.design.mouth
        yield view.spot(0.4 * mouth + 0.6 * outer, 0.0), (f"flat rim {length(self.left.rim)}",)
        root, land = self.recut.job.piston.groove_root_diameter, self.metal.land_low
        if self.left.wall_to_groove is not None and root is not None and land is not None:
            words = f"{length(self.left.wall_to_groove)} to the groove, shortest line"
            yield view.spot(root / 2, land), (words,)

    def _place(self, centre: Spot) -> tuple[str, str]:
        """X and Z as the readout shows them."""
        r, z = control_point(self.recut, *centre)
        return (f"X {self.shown.x(r)}", f"Z {self.figures.length(z)}")

    def _on_rim(self, centre: Spot, turn: float) -> Spot:
        """A spot on the drawn part of an insert's circle, `turn` rad up from straight away from the chuck."""
        x, y = self.view.spot(*centre)
        radius = self.recut.insert.radius * self.view.scale
        window = self.window
        for angle in (turn, *(a / 10 for a in range(0, 32))):
            spot = (x + radius * math.cos(angle), y + radius * math.sin(angle))
            if window.left < spot[0] < window.right and window.bottom < spot[1] < window.top:
                return spot
        return (min(max(x, window.left), window.right), min(max(y, window.bottom), window.top))

    def _corner_arc(self) -> Arc | None:
        """The floor corner, in the finished section."""
        arcs = [s for s in self.recut.finished.segments if isinstance(s, Arc) and s.lower]
        return next((a for a in reversed(arcs) if abs(a.radius - self.design.shape.corner) < SAME), None)

    def _natural_size(self) -> None:
        """The whole section, at 1:1 where it fits, to lay the work against."""
        page, metal, outer = self.page, self.metal, self.recut.finished.outer
        tall = self.room.top - self.room.bottom - BELOW - 8
        wide = self.skim - metal.low
        scale = min(1.0, fitting(wide, 2 * outer, Box(0, 0, self.inset - 8, tall)))
        view = View(self.room.left + 4 - scale * metal.low, self.room.top - 8 - scale * outer, scale)
        top = self.recut.finished.points(SAGITTA / scale)
        before = self.old.points(SAGITTA / scale)
        for side in (1, -1):
            flip = np.array((side, 1))
            page.hatch(view.trace(metal.outline(top) * flip), step=1.6)
            page.line(
                style.EDGE,
                view.trace(metal.side() * flip),
                view.trace(metal.break_line * flip),
                view.trace(before * flip),
            )
            page.line(style.OUTLINE, view.trace(top * flip))
            if len(metal.underside):
                page.line(style.OUTLINE, view.trace(metal.underside * flip))
        page.line(style.AXIS, [view.spot(0, metal.low - 3 / scale), view.spot(0, self.skim + 4 / scale)])
        word = "natural size, 1:1" if scale == 1 else f"whole, {scale_text(scale)}"
        page.text(self.room.left + 2, self.room.top - 4, word, style.SMALL)


LINES: tuple[tuple[style.Pen, str], ...] = (
    (style.OUTLINE, "finished part"),
    (style.RECEIVED, "before the cut"),
    (style.SKIMMED, "after the skim"),
    (style.LEVEL, "left by each skim and roughing pass"),
    (style.PATH, "way of the insert's centre, finishing cut"),
    (style.TOOL, "insert"),
)


def draw_key(page: Page, room: Box) -> None:
    """What the lines and areas mean, in two columns."""
    half = (room.right - room.left) / 2
    for k, (kind, words) in enumerate(LINES):
        x, y = room.left + (k % 2) * half, room.top - 4 - (k // 2) * 5.5
        page.line(kind, [(x, y), (x + 22, y)])
        page.text(x + 25, y - style.SMALL / 2, words, style.SMALL)
    y = room.top - 4 - 3 * 5.5
    left = room.left
    box = np.array([(left, y - 1.6), (left + 22, y - 1.6), (left + 22, y + 1.6), (left, y + 1.6)])
    page.hatch(box)
    page.text(left + 25, y - style.SMALL / 2, "metal that stays", style.SMALL)
    page.fill(style.PALE, np.add(box, (half, 0)))
    page.text(left + half + 25, y - style.SMALL / 2, "metal that goes", style.SMALL)
