"""Touching off, drawn: where the insert stands when Z is set, and where when X is set."""

import numpy as np

from toolpath.paper import style
from toolpath.paper.canvas import SAGITTA, Page, View
from toolpath.paper.labels import Box
from toolpath.recut import Recut

BLADE = 3.0  # mm of paper, thickness of the square's blade


def draw_touching(page: Page, recut: Recut, room: Box) -> None:
    """Two sketches side by side, to scale, with the numbers to set under each."""
    touch, radius = recut.touch_off, recut.insert.radius
    assert recut.design is not None
    figures = style.Figures(recut.job.machine.program_units)
    middle = (room.left + room.right) / 2
    crown = recut.design.skim  # the face that is touched
    outer = recut.finished.outer
    face = touch.skim
    half = middle - room.left
    tall = room.top - room.bottom - 26
    over = 2.4 * radius
    body = 0.22 * outer
    scale = min(tall / (outer + over), (half - 24) / (body + crown + 3.2 * radius))
    diameter = recut.job.machine.x_reading != "radius"

    def x_words(value: float) -> str:
        shown = 2 * value if diameter else value
        return f"{figures.length(shown)} {'diameter' if diameter else 'radius'}"

    for left, what in ((room.left, "Z"), (middle, "X")):
        view = View(left + 10 + scale * body, room.bottom + 24, scale)
        _piston(page, recut, view, body, touched=face)
        if what == "Z":
            centre = (touch.rim_middle, face + touch.feeler + radius)
        elif touch.control_point == "face-inner":
            centre = (touch.touch_diameter / 2 + radius, crown - 0.35 * radius)
        else:
            centre = (touch.touch_diameter / 2 - radius, crown + 1.25 * radius)
            top = view.spot(touch.touch_diameter / 2, 0)[1]
            tip = view.spot(0, crown + 2.0 * radius)[0]
            foot = view.spot(0, crown - 0.14 * outer)[0]
            blade = np.array([(foot, top), (tip, top), (tip, top + BLADE), (foot, top + BLADE)])
            page.hatch(blade, step=1.2, falling=True)
            page.line(style.EDGE, np.vstack((blade, blade[:1])))
            page.text(tip + 1.5, top + BLADE / 2 - style.TINY / 2, "square's blade", style.TINY)
        _insert(page, view, centre, radius, touch.control_point)
        y = room.bottom + 14
        if what == "Z":
            page.text(left + 2, y, f"set Z {figures.length(touch.z_to_set)}", style.LARGE, face="bold")
            page.text(left + 2, y - 6, f"on the {touch.crown}, at X {x_words(touch.x_over_rim)}", style.SMALL)
        else:
            page.text(left + 2, y, f"set X {x_words(touch.x_to_set)}", style.LARGE, face="bold")
            touched = f"touched on Ø {figures.length(touch.touch_diameter)}, {touch.touch_at} side"
            page.text(left + 2, y - 6, touched, style.SMALL)


def _piston(page: Page, recut: Recut, view: View, body: float, *, touched: float) -> None:
    """The upper half of the piston as it stands when it is touched."""
    assert recut.design is not None
    chain = recut.design.old if touched > 0 or recut.design.skim == 0 else recut.design.skimmed
    top = chain.points(SAGITTA / view.scale)
    outer = chain.outer
    outline = np.vstack((top, [(outer, -body), (0.0, -body)]))
    page.hatch(view.trace(outline), step=2.0)
    page.line(style.OUTLINE, view.trace(np.vstack((top, [(outer, -body)]))))
    page.line(style.EDGE, view.trace(outline[-2:]))
    page.line(style.AXIS, [view.spot(0, -body - 4 / view.scale), view.spot(0, 2 * recut.insert.radius)])


def _insert(page: Page, view: View, centre: tuple[float, float], radius: float, point: str) -> None:
    """The insert with its control point."""
    at = view.spot(*centre)
    page.circle(style.TOOL, at, radius * view.scale)
    shift = {"insert-centre": (0.0, 0.0), "face-outer": (1.0, -1.0), "face-inner": (-1.0, -1.0)}[point]
    x, y = view.spot(centre[0] + shift[0] * radius, centre[1] + shift[1] * radius)
    page.circle(style.OUTLINE, (x, y), 1.1)
    page.line(style.EDGE, [(x - 2.6, y), (x + 2.6, y)], [(x, y - 2.6), (x, y + 2.6)])
    if point != "insert-centre":
        page.line(style.HIDDEN, [at, (at[0], y), (x, y)], [(x, at[1]), (x, y)])
    page.line(
        style.TOOL, [(at[0] - 1.2, at[1]), (at[0] + 1.2, at[1])], [(at[0], at[1] - 1.2), (at[0], at[1] + 1.2)]
    )
