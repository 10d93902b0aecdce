"""The frame of every page: title, what it shows, page number, units."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.recut import Recut

STRIP = 11.0  # mm, title strip at the foot
HEADING = 9.0


def framed(page: Page, recut: Recut, name: str, heading: str, number: int, of: int) -> Box:
    """Draw frame, heading and title strip; gives the room left between them."""
    inside = page.inside
    foot = inside.bottom + STRIP
    page.line(
        style.OUTLINE,
        [
            (inside.left, inside.bottom),
            (inside.right, inside.bottom),
            (inside.right, inside.top),
            (inside.left, inside.top),
            (inside.left, inside.bottom),
        ],
        [(inside.left, foot), (inside.right, foot)],
    )
    page.text(inside.left + 3, inside.top - HEADING + 2.5, heading, style.LARGE, face="bold")
    title = recut.job.title or "Untitled job"
    page.text(inside.left + 3, inside.bottom + 6.3, _cut(title, 62), style.PLAIN, face="bold")
    stage = {"whole": "skim and dish", "first": "first cut, stops short", "last": "last cut"}[recut.stage]
    which = "every piston" if recut.piston is None else f"piston {recut.piston}"
    page.text(inside.left + 3, inside.bottom + 2, f"{_cut(name, 40)}: {stage}, {which}", style.SMALL)
    page.text(inside.right - 3, inside.bottom + 6.3, f"page {number} of {of}", style.PLAIN, across="right")
    unit = style.Figures(recut.job.machine.program_units).unit
    page.text(
        inside.right - 3, inside.bottom + 2, f"lengths in {unit}, volumes in cc", style.SMALL, across="right"
    )
    return Box(inside.left + 3, foot + 1, inside.right - 3, inside.top - HEADING)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
