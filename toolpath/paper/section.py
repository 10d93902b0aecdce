"""The section: half the piston as it sits in the lathe, what is there, what goes and what stays."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from toolpath.geometry.chain import stretches_above
from toolpath.geometry.segments import Arc
from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Floats, Page, Spot, View
from toolpath.paper.labels import LEADING, Box, spread, wrapped
from toolpath.planning.passes import Pass
from toolpath.recut import Recut

SCALES = (50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.5, 0.25)
CALLOUTS = 40.0  # mm of paper for the words at the right
ROW = 7.0  # mm between dimension lines
LEGEND = 33.0  # mm of paper for the key to the lines


def scale_text(scale: float) -> str:
    """A scale as it is written on a drawing."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def fitting(wide: float, tall: float, room: Box) -> float:
    """The largest plain scale at which so many mm of metal fit."""
    most = min((room.right - room.left) / wide, (room.top - room.bottom) / tall)
    return next((s for s in SCALES if s <= most), SCALES[-1])


@dataclass(frozen=True)
class Metal:
    """The outlines of the metal in (r, z), mm, as far as a drawing needs them."""

    recut: Recut

    @cached_property
    def low(self) -> float:
        """z at which the drawing of the body ends."""
        floor, outer = self.recut.finished.lowest, self.recut.finished.outer
        most = floor - 0.4 * outer
        stated = self.stated_underside
        if stated is None:
            return floor - max(0.12 * outer, 0.6 * -floor)
        return max(most, min(z for _, z in stated) - 0.04 * outer)

    @cached_property
    def stated_underside(self) -> list[Spot] | None:
        """(r, z) of the underside as the job states it, or None."""
        piston, skim = self.recut.job.piston, self._skim
        if piston.underside is not None:
            return [(d / 2, skim - depth) for d, depth in piston.underside]
        if piston.underside_depth is not None:
            return [(0.0, skim - piston.underside_depth)]
        return None

    @cached_property
    def underside(self) -> Floats:
        """The visible stretch of the underside, (N, 2), from the axis outward; empty where it is not stated."""
        stated, outer = self.stated_underside, self.recut.finished.outer
        if stated is None or max(z for _, z in stated) < self.low:
            return np.empty((0, 2))
        spots = [(0.0, stated[0][1]), *(s for s in stated if s[0] > 0)]
        if len(spots) == 1:
            spots.append((0.72 * outer, spots[0][1]))
        return np.array([s for s in spots if s[0] < 0.98 * outer])

    @cached_property
    def break_line(self) -> Floats:
        """Where the drawing breaks the body off, from the underside out to the land, (N, 2)."""
        outer = self.recut.finished.outer
        start = (0.0, self.low) if not len(self.underside) else tuple(self.underside[-1])
        end = (outer, self.low)
        t = np.linspace(0.0, 1.0, 25)
        line: Floats = np.outer(1 - t, start) + np.outer(t, end)
        line[:, 1] += 0.006 * outer * np.sin(t * 6 * math.pi) * (1 - np.abs(2 * t - 1) ** 4)
        return line

    @property
    def _skim(self) -> float:
        assert self.recut.design is not None
        return self.recut.design.skim

    @property
    def land_low(self) -> float | None:
        """z of the top ring groove."""
        land = self.recut.job.piston.top_land
        return None if land is None else self._skim - land

    def outline(self, top: Floats) -> Floats:
        """The metal under a surface (N, 2) from the axis to the edge, closed round the body."""
        return np.vstack((top, *self._side(), self.break_line[::-1], self.underside[::-1]))

    def side(self) -> Floats:
        """The land, the groove and the body below, from the crown down."""
        outer = self.recut.finished.outer
        top = self.recut.finished.segments[-1].z2
        return np.vstack((np.array([(outer, top)]), *self._side()))

    def _side(self) -> Iterator[Floats]:
        outer, land = self.recut.finished.outer, self.land_low
        root = self.recut.job.piston.groove_root_diameter
        if land is not None and land > self.low:
            depth = outer - (root / 2 if root is not None else 0.92 * outer)
            foot = max(self.low, land - 0.5 * depth)
            yield np.array([(outer, land), (outer - depth, land), (outer - depth, foot)])
            if foot > self.low:
                yield np.array([(outer, foot)])
        yield np.array([(outer, self.low)])


def surface_after(recut: Recut, number: int) -> Any:
    """The stock's surface after pass `number`."""
    assert recut.plan is not None
    passes = recut.plan.passes
    return passes[number + 1].before.surface if number + 1 < len(passes) else recut.plan.left.surface


def level_traces(recut: Recut, view: View) -> list[Floats]:
    """What each skim and roughing pass leaves, where it took something."""
    assert recut.plan is not None
    out = []
    for k, one in enumerate(recut.plan.passes):
        if one.kind not in ("skim", "rough", "semi"):
            continue
        after = surface_after(recut, k)
        for lo, hi in stretches_above(one.before.surface, after, by=1e-3):
            if hi - lo > 0.01:
                out.append(view.chain(after.clipped(lo, hi)))
    return out


def finishing(recut: Recut) -> Pass | None:
    """The finishing contour, if the dish is cut."""
    assert recut.plan is not None
    return next((p for p in reversed(recut.plan.passes) if p.kind == "finish"), None)


def stations(one: Pass) -> list[tuple[str, Spot]]:
    """(word, centre) of the insert where it enters, at its deepest and where it leaves."""
    first, last = one.legs[0], one.cut.path
    exit_ = last.segments[-1]
    deep = min(
        ((s.r1, s.z1) for s in last.segments), key=lambda p: (round(p[1], 6), -p[0]), default=(0.0, 0.0)
    )
    corners = [(s.r2, s.z2) for s in last.segments if abs(s.z2 - last.lowest) < 1e-6]
    if corners:
        deep = corners[-1]
    entry = (first.starts_at, max(first.start_height, one.descend))
    return [("enters", entry), ("deepest", deep), ("leaves", (exit_.r2, exit_.z2))]


def draw_section(page: Page, recut: Recut, keys: dict[str, Any], room: Box) -> None:
    """The half section with passes and dimensions in a part of a page."""
    _Section(page, recut, keys, room).draw()


class _Section:
    def __init__(self, page: Page, recut: Recut, keys: dict[str, Any], room: Box) -> None:
        assert recut.design is not None
        assert recut.plan is not None
        self.page, self.recut, self.keys, self.room = page, recut, keys, room
        self.design, self.plan = recut.design, recut.plan
        self.metal = Metal(recut)
        self.figures = style.Figures(recut.job.machine.program_units)
        self.finish = finishing(recut)
        outer, radius = recut.finished.outer, recut.insert.radius
        self.right = (
            min(max(self.design.skim, 2 * radius if self.finish else 0.0), 0.55 * outer) + 0.02 * outer
        )
        self.right = max(self.right, self.design.skim + 0.05 * outer)
        rows = Box(
            room.left + 8, room.bottom + 3.6 * ROW, room.right - CALLOUTS - 2.6 * ROW, room.top - 2 * ROW
        )
        wide, tall = self.right - self.metal.low, outer
        scale = fitting(wide, tall, rows)
        x = rows.right - scale * self.right
        spare = x + scale * self.metal.low - rows.left
        self.inset = spare if spare > 26 else 0.0
        if not self.inset:
            x -= spare / 2
        self.view = View(x, rows.bottom, scale)
        self.window = Box(
            x + scale * self.metal.low - 1,
            rows.bottom,
            x + scale * self.right,
            rows.bottom + scale * outer * 1.02,
        )

    def draw(self) -> None:
        self._metal()
        self._tool()
        self._below_axis()
        self._above_land()
        self._diameters()
        self._callouts()
        if self.inset:
            self._natural_size()

    def _metal(self) -> None:
        page, view, metal, recut = self.page, self.view, self.metal, self.recut
        finished, old = recut.finished, self.plan.work.stock.surface
        top = finished.points(SAGITTA / view.scale)
        before = old.points(SAGITTA / view.scale)
        page.fill(style.PALE, np.vstack((view.trace(top), view.trace(before)[::-1])))
        page.hatch(view.trace(metal.outline(top)))
        page.line(style.OUTLINE, view.trace(top), view.trace(metal.side()))
        if len(metal.underside):
            page.line(style.OUTLINE, view.trace(metal.underside))
        page.line(style.EDGE, view.trace(metal.break_line))
        page.line(
            style.RECEIVED,
            view.trace(before),
            [view.spot(old.outer, old.segments[-1].z2), view.spot(old.outer, 0)],
        )
        if self.design.skim > 0:
            page.line(style.SKIMMED, view.chain(self.design.skimmed))
        page.line(style.LEVEL, *level_traces(recut, view))
        page.line(
            style.AXIS, [view.spot(0, metal.low - 4 / view.scale), view.spot(0, self.right + 6 / view.scale)]
        )

    def _tool(self) -> None:
        page, view = self.page, self.view
        if self.finish is None:
            return
        traces = [view.chain(leg.path) for leg in self.finish.legs]
        page.line(style.PATH, *traces, within=self.window)
        for _, (r, z) in stations(self.finish):
            centre = view.spot(r, z)
            page.circle(style.TOOL, centre, self.recut.insert.radius * view.scale, within=self.window)
            page.line(
                style.TOOL,
                [(centre[0] - 1.2, centre[1]), (centre[0] + 1.2, centre[1])],
                [(centre[0], centre[1] - 1.2), (centre[0], centre[1] + 1.2)],
                within=self.window,
            )
        trace = traces[-1]
        middle = len(trace) // 2
        if len(trace) > 2:
            along = trace[middle] - trace[middle - 1]
        else:
            along, middle = trace[1] - trace[0], 1
        page.arrow(tuple(trace[middle - 1] + 0.6 * along), math.atan2(along[1], along[0]), style.BLUE)

    # ---- dimensions ----------------------------------------------------------------------------

    def _below_axis(self) -> None:
        """Depth, floor and skim: rows under the axis."""
        view, figures = self.view, self.figures
        rows: list[tuple[float, float, str, float]] = []  # z from, z to, text, r where the measured face lies
        depth = self.keys["section"]["depth_mm"]
        if depth > 0:
            at = self._floor_at()
            rows.append((-depth, 0.0, f"depth {figures.length(depth)}", at))
        floor = self.keys["section"]["floor_thickness_mm"]
        if floor is not None and len(self.metal.underside):
            low = float(self.metal.underside[0][1])
            if abs(self.recut.finished.at(0.0) - low - floor) < 1e-3:
                rows.append((low, low + floor, f"floor left {figures.length(floor)}", 0.0))
        if self.design.skim > 0:
            rows.append(
                (0.0, self.design.skim, f"skim {figures.length(self.design.skim)}", self.recut.finished.outer)
            )
        y = view.y - 6
        for low, high, text, r in rows:
            for z in (low, high):
                x = view.spot(0, z)[0]
                start = view.spot(r if z == -depth else 0.0, 0.0)[1] if z == -depth else view.y
                self.page.line(style.EDGE, [(x, start), (x, y - 1.5)])
            self.page.dimension_across(view.spot(0, low)[0], view.spot(0, high)[0], y, text)
            y -= ROW

    def _floor_at(self) -> float:
        """A radius at which the new floor itself lies bare."""
        cut, finished = self.design.cut, self.recut.finished
        r = np.linspace(0.0, cut.outer, 400)
        here = finished.heights(r)
        bare = np.abs(here - cut.lowest) < 1e-3
        return float(r[bare][0]) if bare.any() else 0.0

    def _above_land(self) -> None:
        """The land left: a row over the outer edge."""
        low, view = self.metal.land_low, self.view
        if low is None or low <= self.metal.low:
            return
        top = view.spot(self.recut.finished.outer, 0)[1]
        y = top + 6
        for z in (low, 0.0):
            x = view.spot(0, z)[0]
            self.page.line(style.EDGE, [(x, top + 0.8), (x, y + 1.5)])
        text = f"top land left {self.figures.length(-low)}"
        self.page.dimension_across(view.spot(0, low)[0], view.spot(0, 0.0)[0], y, text)

    def _diameters(self) -> None:
        """Mouth and crown: columns to the right, lines run past the axis as the half view wants."""
        page, view = self.page, self.view
        x = self.window.right + 4
        across = []
        mouth = self.keys["section"]["mouth_diameter_mm"]
        if mouth > 0:
            across.append((mouth / 2, 0.0, "mouth "))
        across.append((self.recut.finished.outer, 0.0, "crown "))
        for r, z, word in across:
            foot, (start, y) = view.y - 5, view.spot(r, z)
            page.line(style.EDGE, [(start + 0.8, y), (x + 1.5, y)], [(x, foot), (x, y)])
            page.arrow((x, y), math.pi / 2)
            text = word + self.figures.across(r)
            middle = (view.y + y) / 2
            page.text(
                x + style.SMALL / 2, middle, text, style.SMALL, across="center", upright=False, clear=True
            )
            x += ROW
        self.after_diameters = x

    def _callouts(self) -> None:
        """Words at the right, each with a leader to what it speaks of."""
        left = self.room.right - CALLOUTS + 2
        notes = sorted(self._notes(), key=lambda note: note[0][1])
        if not notes:
            return
        height = style.SMALL
        texts = ["\n".join(wrapped(text, self.room.right - left, height)) for _, text in notes]
        tall = [(t.count("\n") + 1) * LEADING * height + 1.5 for t in texts]
        middles = spread([y for (_, y), _ in notes], tall, self.view.y, self.room.top)
        for ((x, y), _), text, h, middle in zip(notes, texts, tall, middles, strict=True):
            base = middle + h / 2 - LEADING * height + 0.4
            self.page.text(left, base, text, height)
            tip = (left - 1, middle)
            self.page.line(style.EDGE, [(x, y), (left - 4, middle), tip])
            self.page.arrow((x, y), math.atan2(y - middle, x - left + 4))

    def _notes(self) -> Iterator[tuple[Spot, str]]:
        view, figures, section = self.view, self.figures, self.keys["section"]
        arc = self._corner_arc()
        if section["corner_radius_mm"] is not None and arc is not None:
            t = (arc.t1 + arc.t2) / 2
            spot = view.spot(arc.rc + arc.radius * math.cos(t), arc.zc + arc.radius * math.sin(t))
            yield spot, f"corner R {figures.length(section['corner_radius_mm'])}"
        if self.finish is None:
            return
        radius = self.recut.insert.radius
        words = {"enters": "insert comes down", "deepest": "insert at its deepest", "leaves": "insert leaves"}
        for word, (r, z) in stations(self.finish):
            angle = {"enters": -0.5, "deepest": 0.35, "leaves": 0.6}[word]
            x, y = view.spot(r + radius * math.sin(angle), z + radius * math.cos(angle))
            if x > self.window.right:
                x, y = view.spot(r, min(z, self.right * 0.9))
            yield (x, y), words[word]

    def _corner_arc(self) -> Arc | None:
        """The floor corner that is cut, in the finished section."""
        arcs = [s for s in self.recut.finished.segments if isinstance(s, Arc) and s.lower]
        corner = self.design.shape.corner
        return next((a for a in reversed(arcs) if abs(a.radius - corner) < 1e-6), None)

    def _natural_size(self) -> None:
        """The whole section at 1:1, to lay the work against."""
        page, outer = self.page, self.recut.finished.outer
        room = Box(self.room.left, self.room.bottom + 8, self.room.left + self.inset, self.room.top)
        tall = room.top - room.bottom - 8
        wide = self.design.skim - self.metal.low
        scale = fitting(wide, 2 * outer, Box(0, 0, self.inset - 8, tall))
        scale = min(scale, 1.0)
        view = View(room.left + 4 - scale * self.metal.low, room.top - 8 - scale * outer, scale)
        top = self.recut.finished.points(SAGITTA / scale)
        before = self.plan.work.stock.surface.points(SAGITTA / scale)
        for side in (1, -1):
            flip = np.array((side, 1))
            page.hatch(view.trace(self.metal.outline(top) * flip), step=1.6)
            page.line(
                style.EDGE, view.trace(self.metal.side() * flip), view.trace(self.metal.break_line * flip)
            )
            page.line(style.EDGE, view.trace(before * flip))
            page.line(style.OUTLINE, view.trace(top * flip))
            if len(self.metal.underside):
                page.line(style.OUTLINE, view.trace(self.metal.underside * flip))
        page.line(
            style.AXIS, [view.spot(0, self.metal.low - 3 / scale), view.spot(0, self.design.skim + 4 / scale)]
        )
        word = "natural size 1:1" if scale == 1 else f"whole, {scale_text(scale)}"
        page.text(room.left + 4, room.top - 4, word, style.SMALL)


LINES: tuple[tuple[style.Line, str], ...] = (
    (style.OUTLINE, "finished section"),
    (style.RECEIVED, "as received"),
    (style.SKIMMED, "after the skim"),
    (style.LEVEL, "left by each skim and roughing pass"),
    (style.PATH, "way of the insert's centre, finishing cut"),
    (style.TOOL, "insert"),
)


def draw_key(page: Page, room: Box) -> None:
    """What the lines mean."""
    half = (room.right - room.left) / 2
    for k, (kind, words) in enumerate(LINES):
        x = room.left + (k % 2) * half
        y = room.top - 4 - (k // 2) * 5.5
        page.line(kind, [(x, y), (x + 22, y)])
        page.text(x + 25, y - style.SMALL / 2, words, style.SMALL)
    y = room.top - 4 - 3 * 5.5
    box = np.array(
        [(room.left, y - 1.6), (room.left + 22, y - 1.6), (room.left + 22, y + 1.6), (room.left, y + 1.6)]
    )
    page.hatch(box)
    page.text(room.left + 25, y - style.SMALL / 2, "metal that stays", style.SMALL)
    page.fill(style.PALE, np.add(box, (half, 0)))
    page.text(room.left + half + 25, y - style.SMALL / 2, "metal that goes", style.SMALL)
