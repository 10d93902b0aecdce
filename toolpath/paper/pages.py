"""Every picture and sheet of a recut as files."""

import io
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from toolpath.errors import InputError
from toolpath.handwork import ByHand
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.corner import draw_corner
from toolpath.paper.labels import Box
from toolpath.paper.outlines import finishing
from toolpath.paper.readings import draw_readings
from toolpath.paper.rows import draw_rows, paginated
from toolpath.paper.section import draw_key, draw_section
from toolpath.paper.setup import draw_setup
from toolpath.paper.sheet import framed
from toolpath.planning.flank import Flank, below_edge
from toolpath.recut import Recut
from toolpath.report import report

DPI = 150
KEY = 25.0  # mm of paper for the key to the lines


def pages(
    recut: Recut, keys: dict[str, Any], by_hand: ByHand, name: str, *, paper: style.Paper = "a4"
) -> dict[str, bytes]:
    """Section and corner as PNG and the whole job sheet as PDF; `keys` is the report."""
    with mpl.rc_context(style.SETTINGS):
        sheet = job_sheet(recut, keys, by_hand, name, paper)
        return {
            f"{name}-section.png": sheet[1].picture("png", DPI),
            f"{name}-corner.png": sheet[2].picture("png", DPI),
            f"{name}-sheet.pdf": _pdf(sheet),
        }


def job_sheet(
    recut: Recut, keys: dict[str, Any], by_hand: ByHand, name: str, paper: style.Paper
) -> list[Page]:
    """The pages of the sheet, in order: set-up, section, corner, table, readings."""
    tables = paginated(by_hand.text, paper)
    of = 4 + len(tables)

    def fresh(heading: str, number: int) -> tuple[Page, Box]:
        page = Page(paper)
        return page, framed(page, recut, name, heading, number, of)

    first, room = fresh("Set-up", 1)
    draw_setup(first, recut, keys, room)
    out = [first, section_page(recut, keys, name, paper, 2, of)]
    corner, room = fresh("Corner of the dish", 3)
    draw_corner(corner, recut, keys, flank_of(recut), room)
    out.append(corner)
    for number, lines in enumerate(tables, 4):
        page, room = fresh("Table for the readout", number)
        draw_rows(page, lines, room)
        out.append(page)
    page, room = fresh("Readings", of)
    draw_readings(page, recut, keys, room)
    out.append(page)
    return out


def flank_of(recut: Recut) -> Flank | None:
    """How the tool fares below the edge."""
    one, insert = finishing(recut), recut.insert
    relief = insert.relief + recut.job.tool.seat_tilt
    if one is None or relief <= 0:
        return None
    holder = recut.job.holder
    height = None if holder is None else holder.height_below_edge
    return below_edge(recut.finished, insert.radius, relief, insert.thickness, one.cut.path, height)


def section_page(
    recut: Recut,
    keys: dict[str, Any],
    name: str,
    paper: style.Paper,
    number: int,
    of: int,
    figure: Figure | None = None,
) -> Page:
    """The page with the section."""
    page = Page(paper, figure)
    room = framed(page, recut, name, "Section", number, of)
    draw_section(page, recut, keys, Box(room.left, room.bottom + KEY + 2, room.right, room.top))
    draw_key(page, Box(room.left, room.bottom, room.right, room.bottom + KEY))
    return page


def _pdf(sheet: list[Page]) -> bytes:
    out = io.BytesIO()
    nothing = {"CreationDate": None, "Producer": None, "Creator": None}
    with PdfPages(out, metadata=nothing) as pdf:
        for page in sheet:
            pdf.savefig(page.done())
    return out.getvalue()


def section_picture(recut: Recut, ending: str) -> bytes:
    """The section alone as a "png", "svg" or "pdf" file."""
    with mpl.rc_context(style.SETTINGS):
        return _section_alone(recut).picture(ending, DPI)


def show_section(recut: Recut) -> None:
    """Open the section in a window and wait until it is closed.

    Raises:
        InputError: there is no screen to open a window on.
    """
    from matplotlib import pyplot  # chooses the window system, which no file needs

    if mpl.get_backend().lower() == "agg":  # what matplotlib falls back to without a screen
        raise InputError("--show: no window can be opened here; write a picture with --out FILE.png instead")
    with mpl.rc_context(style.SETTINGS):
        _section_alone(recut, pyplot.figure()).done()
        pyplot.show()


def _section_alone(recut: Recut, figure: Figure | None = None) -> Page:
    return section_page(recut, report(recut, None, None, None, None), "section", "a4", 1, 1, figure)
