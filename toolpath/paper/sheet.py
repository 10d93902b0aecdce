"""The frame of every page: title, what it shows, page number, units."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.recut import Recut

STRIP = 11.0  # mm, title strip at the foot
HEADING = 9.0


def room_of(paper: style.Paper) -> Box:
    """The room that a framed page of this paper leaves."""
    wide, tall = style.SIZES[paper]
    m = style.MARGIN
    return Box(m + 3, m + STRIP + 1, wide - m - 3, tall - m - HEADING)


def framed(page: Page, recut: Recut, name: str, heading: str, number: int, of: int) -> Box:
    """Draw frame, heading and title strip; gives the room left between them."""
    inside = page.inside
    foot = inside.bottom + STRIP
    page.outline(style.OUTLINE, inside)
    page.line(style.OUTLINE, [(inside.left, foot), (inside.right, foot)])
    page.text(inside.left + 3, inside.top - HEADING + 2.5, heading, style.LARGE, face="bold")
    title = recut.job.title or "Untitled job"
    page.text(inside.left + 3, inside.bottom + 6.3, _cut(title, 62), style.PLAIN, face="bold")
    stage = {"whole": "skim and dish", "first": "first cut, stops short", "last": "last cut"}[recut.stage]
    which = "every piston" if recut.piston is None else f"piston {recut.piston}"
    name = name.encode(errors="replace").decode()  # a file name may hold bytes that are no letters
    page.text(inside.left + 3, inside.bottom + 2, f"{_cut(name, 40)}: {stage}, {which}", style.SMALL)
    page.text(inside.right - 3, inside.bottom + 6.3, f"page {number} of {of}", style.PLAIN, across="right")
    unit = {"mm": "mm", "inch": "inches"}[recut.job.machine.program_units]
    page.text(
        inside.right - 3, inside.bottom + 2, f"lengths in {unit}, volumes in cc", style.SMALL, across="right"
    )
    return room_of(page.paper)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 3] + "..."
