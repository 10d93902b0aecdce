"""The DRO table on paper: the text of the table as it is, a page at a time, and room for readings."""

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box, width_of

READINGS = 20.0  # mm at the foot of the page
LINE = 3.75  # mm between lines: six and three quarters to the inch


def paginated(text: str, paper: style.Paper) -> list[list[str]]:
    """The lines of the table by page: its own pages, broken again where the paper is too short."""
    tall = style.SIZES[paper][1] - 2 * style.MARGIN - 9.0 - 11.0 - READINGS - 6
    most = int(tall / LINE)
    out: list[list[str]] = []
    for page in text.split("\f"):
        lines = page.rstrip("\n").split("\n")
        out += [lines[k : k + most] for k in range(0, len(lines), most)]
    return out


def draw_rows(page: Page, lines: list[str], room: Box) -> None:
    """One page of the table."""
    longest = max(90, *(len(line) for line in lines))
    height = min(style.TINY, (room.right - room.left) / (longest * width_of("0", 1.0, "mono")))
    y = room.top - 3
    for line in lines:
        if line.strip():
            page.text(room.left, y, line, height, face="mono")
        y -= LINE
    _readings(page, room)


def _readings(page: Page, room: Box) -> None:
    """Four places to write burette readings."""
    words = ("as received", "after the skim", "after the first cut", "after the last cut")
    each = (room.right - room.left) / len(words)
    top = room.bottom + READINGS - 4
    for k, word in enumerate(words):
        x = room.left + k * each
        page.line(
            style.EDGE,
            [
                (x, room.bottom + 1),
                (x + each - 2, room.bottom + 1),
                (x + each - 2, top),
                (x, top),
                (x, room.bottom + 1),
            ],
        )
        page.text(x + 1.5, top - 3.4, word, style.TINY)
        page.text(x + each - 3.5, room.bottom + 3, "cc", style.SMALL, across="right")
