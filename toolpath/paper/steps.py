"""A small picture of the steps that the rows of a table leave, where they stand highest."""

import math

import numpy as np

from toolpath.geometry.chain import Chain, deeper
from toolpath.paper import style
from toolpath.paper.canvas import Floats, Page
from toolpath.paper.labels import LEADING, Box
from toolpath.table.solved import DroPlan
from toolpath.units import cc

ACROSS = 4.5  # steps beside each other that the picture shows
TALL = 0.6  # of the picture's height: the highest step
FINE = 400  # points across
SAGITTA = 5e-5  # mm between the rows' arcs and the chords that draw them
UNDER = 3 * LEADING * style.SMALL + 2  # mm of paper for the words


def draw_steps(page: Page, plan: DroPlan, figures: style.Figures, room: Box) -> None:
    """The steps along the surface, heights enlarged, in a box (mm of paper).

    Solid is what the rows leave, dashed what to blend down to.
    """
    words = "the rows leave no steps to blend"
    if plan.step_left > plan.readout.resolution:
        times = _enlarged(page, plan, Box(room.left, room.bottom + UNDER, room.right, room.top))
        high, left = figures.length(plan.step_left), cc(plan.left_to_blend)
        words = (
            f"steps {high} at the highest (heights drawn {times:.0f} times larger), {left:.3f} cc in "
            "all: blend down to the dashed line"
        )
    page.paragraph(
        room.left, room.bottom + UNDER - 1 - style.SMALL, words, room.right - room.left, style.SMALL
    )


def _enlarged(page: Page, plan: DroPlan, box: Box) -> float:
    """Draw the steps about the highest one; gives how many times heights are enlarged over lengths."""
    along, heights = _unrolled(plan)
    middle = along[int(np.argmax(heights))]
    # steps of an insert of radius R that stand h high are about sqrt(8 R h) apart
    span = ACROSS * math.sqrt(8 * plan.readout.insert_radius * plan.step_left)
    first = min(max(middle - span / 2, along[0]), max(along[-1] - span, along[0]))
    s = np.linspace(first, first + span, FINE)
    wide, tall = box.right - box.left, box.top - box.bottom
    up, base = TALL * tall / plan.step_left, box.bottom + 0.15 * tall
    x = box.left + (s - first) / span * wide
    stands: Floats = np.column_stack((x, base + up * np.interp(s, along, heights, right=0.0)))
    wanted: Floats = np.column_stack((x[[-1, 0]], (base, base)))
    page.fill(style.PALE, np.vstack((stands, wanted)), within=box)
    page.line(style.OUTLINE, stands, within=box)
    page.line(style.HIDDEN, wanted, within=box)
    page.outline(style.EDGE, box)
    return up / (wide / span)


def _unrolled(plan: DroPlan) -> tuple[Floats, Floats]:
    """Lengths along the rows' surface from the axis, and its heights over what to blend down to, (N,), mm."""
    points = deeper(plan.surface, Chain.flat(0.0, plan.surface.outer)).points(SAGITTA)
    chords = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate(([0.0], np.cumsum(chords))), plan.blended_surface.distances(points)
