"""The frame of every page: title, what it shows, page number, units."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box, width_of
from toolpath.paper.letters import Face
from toolpath.recut import Recut

STRIP = 13.0  # mm, title strip at the foot
HEADING = 9.0
NAME = 70.0  # mm at most for the name of the files
GAP = 6.0  # mm between what stands left and right in the strip


def cut_words(recut: Recut) -> str:
    """Which cut of which piston, as it stands largest on the paper."""
    count = recut.job.piston.count
    each = f"EACH OF {count} PISTONS - " if recut.piston is None and count > 1 else ""
    return each + recut.cut_words


def room_of(paper: style.Paper) -> Box:
    """The room that a framed page of this paper leaves."""
    wide, tall = style.SIZES[paper]
    m = style.MARGIN
    return Box(m + 3, m + STRIP + 1, wide - m - 3, tall - m - HEADING)


def framed(page: Page, recut: Recut, name: str, heading: str, number: int, of: int) -> None:
    """Draw frame, heading and title strip of a page of one cut that is one of several."""
    name = name.encode(errors="replace").decode()  # a file name may hold bytes that are no letters
    end = f"{shortened(name, NAME, style.PLAIN)}, page {number} of {of}"
    stripped(page, recut, heading, f"{cut_words(recut)}, mark {recut.mark}", end)


def stripped(page: Page, recut: Recut, heading: str, words: str, end: str) -> None:
    """The same, with other words below the title and beside it."""
    inside = page.inside
    foot = inside.bottom + STRIP
    page.outline(style.OUTLINE, inside)
    page.line(style.OUTLINE, [(inside.left, foot), (inside.right, foot)])
    page.text(inside.left + 3, inside.top - HEADING + 2.5, heading, style.LARGE, face="bold")
    left, right = inside.left + 3, inside.right - 3
    unit = {"mm": "mm", "inch": "inches"}[recut.job.machine.program_units]
    lines: tuple[tuple[float, str, str, float, Face], ...] = (
        (7.6, recut.job.title or "Untitled job", end, style.PLAIN, "bold"),
        (2.2, words, f"lengths in {unit}, volumes in cc", style.SMALL, "sans"),
    )
    for up, text, beside, height, face in lines:
        page.text(right, inside.bottom + up, beside, height, across="right")
        room = right - left - width_of(beside, height) - GAP
        page.text(left, inside.bottom + up, shortened(text, room, height, face), height, face=face)


def shortened(text: str, wide: float, height: float, face: Face = "sans") -> str:
    """The text, or as much of its beginning as fits a width in mm, and dots."""
    if width_of(text, height, face) <= wide:
        return text
    while text and width_of(f"{text}...", height, face) > wide:
        text = text[:-1]
    return f"{text}..."
