"""The holder in the section plane: its outline, swept along every move against the metal of that moment.

The outline is a polygon about the insert's centre, x outward and z away from the chuck, mm. Where the
holder's height below the edge is stated, its front is taken as upright: at h below the edge the work
at (x, h) is that of radius sqrt(x^2 + h^2), so down to height H the holder may meet, at x, all that
stands between the radii |x| and sqrt(x^2 + H^2). Work is the same on both sides of the axis.
"""

import math
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from toolpath.clearance.travel import Course, HolderClearance
from toolpath.errors import InputError
from toolpath.findings import Finding
from toolpath.job.means import Holder
from toolpath.planner.steps import Step
from toolpath.planner.stock import Stock
from toolpath.tool.insert import Insert

if TYPE_CHECKING:  # shapely is loaded only where there is a holder to check
    from shapely import Polygon

REACH = 100.0  # mm of shank, where holder.overhang is not stated
MARGIN = 0.25  # mm, that advice keeps clear
TOUCH = 0.02  # mm; nearer than this counts as contact, it is what the sweep may be out by
ANOTHER = "use another holder, or a wider and shallower dish"
BACK_STEP = 0.1  # mm in which a set-back or width is advised
HEIGHT_STEP = 0.5  # mm in which a height is advised


def outline(holder: Holder, insert: Insert) -> "Polygon | None":
    """The holder about the insert's centre, mm; None where the job does not describe it.

    In most directions the insert sits in the middle of the shank's end, and that end is the front. A
    shank along +x lies over the crown instead: its front is the side towards the chuck, and its end
    is flush with the insert's inner side. The front stands `set_back` behind the insert's edge (0
    where not stated), and `overhang` counts from that edge.

    Raises:
        InputError: a stated outline crosses itself or has no area.
    """
    import shapely

    if holder.outline is not None:
        drawn = shapely.Polygon(holder.outline)
        if not drawn.is_valid:
            raise InputError(
                "holder.outline crosses itself or has no area: list its corners in order round it"
            )
        return drawn
    if holder.direction is None or holder.width is None:
        return None
    front = (holder.set_back or 0.0) - insert.radius
    end = (holder.overhang or REACH) - insert.radius
    if abs(holder.direction - math.pi / 2) < 1e-9:
        return shapely.box(-insert.radius, front, end, front + holder.width)
    along = (math.sin(holder.direction), math.cos(holder.direction))
    half = holder.width / 2
    corners = [(front, -half), (front, half), (end, half), (end, -half)]
    return shapely.Polygon([(a * along[0] + b * along[1], a * along[1] - b * along[0]) for a, b in corners])


def check(
    stock: Stock, steps: Iterable[Step], holder: Holder | None, insert: Insert, *, under: float = math.inf
) -> tuple[HolderClearance | None, list[Finding]]:
    """The smallest gap of a stated holder over all the steps, and the stop that a contact is.

    Where no gap is smaller than `under` (mm), one of the others stands for the smallest.
    """
    shape = None if holder is None else outline(holder, insert)
    if holder is None or shape is None:
        return None, []
    course = Course(stock, steps)
    below = holder.height_below_edge or 0.0
    found = course.clearance(shape, below, under=under)
    if found.gap > TOUCH:
        return found, []
    where = f"X {found.x:.2f} (radius), Z {found.z:.2f}"
    what = f"the [holder] leaves too small a gap (below 0 it overlaps the work) at {where}"
    # grinding and narrowing give at most the insert's radius
    hopeless = below == 0 and found.gap < -insert.radius
    advice = ANOTHER if hopeless else _advice(course, holder, insert, below)
    return found, [Finding("refused", "holder-contact", what, found.gap, TOUCH, "mm", advice)]


def _advice(course: Course, holder: Holder, insert: Insert, below: float) -> str:
    """The least change that clears, tried in the order in which it costs a shop least."""

    def clears(changed: Holder, below: float) -> bool:
        shape = outline(changed, insert)
        return shape is not None and course.clears(shape, below, MARGIN)

    def moved(**changes: float) -> Holder:
        return holder.model_copy(update=changes)

    def back_needed(below: float) -> int | None:
        most = math.floor((insert.radius - back) / BACK_STEP)
        return _least(lambda k: clears(moved(set_back=back + k * BACK_STEP), below), most)

    back, width = holder.set_back or 0.0, holder.width
    text = ""
    if width is not None:
        if (step := back_needed(below)) is not None:
            return f"grind the front back: holder.set_back = {back + step * BACK_STEP:g} mm clears it"
        most = math.floor((width - insert.radius) / BACK_STEP)
        step = _least(lambda k: clears(moved(width=width - k * BACK_STEP), below), most)
        if step is not None:
            return f"use a narrower shank: holder.width = {width - step * BACK_STEP:g} mm clears it"
        if below > 0 and not clears(holder, 0.0) and (step := back_needed(0.0)) is not None:
            holder = moved(set_back=back + step * BACK_STEP)
            text = f"grind the front back to holder.set_back = {back + step * BACK_STEP:g} mm and "
    step = _least(lambda k: clears(holder, below - k * HEIGHT_STEP), math.floor(below / HEIGHT_STEP))
    if step is not None:
        height = below - step * HEIGHT_STEP
        template = f"relieve it to the grinding template from {height:g} mm below the edge down"
        return f"{text}{template}, and state that as holder.height_below_edge"
    return ANOTHER


def _least(clears: Callable[[int], bool], most: int) -> int | None:
    """The least of 1 to `most` at which an ever smaller holder clears, None where none does."""
    if most < 1 or not clears(most):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if clears(middle) else (middle, high)
    return high
