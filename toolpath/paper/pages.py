"""Every picture, sheet and card as files."""

import io
from collections.abc import Callable, Iterable
from itertools import repeat
from typing import Literal

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from toolpath.errors import InputError
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.card import card
from toolpath.paper.corner import draw_corner, draw_large_corner
from toolpath.paper.labels import Box
from toolpath.paper.readings import draw_readings, least_room
from toolpath.paper.rows import draw_leaf, leaf_of, leaves, row_notes
from toolpath.paper.section import draw_key, draw_section
from toolpath.paper.setup import draw_setup, draw_setup_on
from toolpath.paper.sheet import framed, room_of
from toolpath.paper.steps import draw_steps
from toolpath.paper.subject import CutOnPaper, Subject
from toolpath.paper.template import draw_template, wanted
from toolpath.recut import Recut
from toolpath.report.figures import Report

DPI = 200
KEY = 25.0  # mm of paper for the key to the lines
LEAST_STEPS, STEPS = 45.0, 90.0  # mm of paper, the picture of the steps below their rows
GAP = 4.0  # mm


def pictures(cut: CutOnPaper, paper: style.Paper) -> dict[str, bytes]:
    """Section and corner as PNG."""
    recut, subject = cut.recut, cut.subject
    flank = None if recut.clearance is None else recut.clearance.flank
    with mpl.rc_context(style.SETTINGS):
        section, corner = Page(paper), Page(paper)
        _draw_section_page(section, subject, room_of(paper))
        framed(section, recut, cut.name, "Section", 1, 1)
        draw_corner(corner, subject, flank, room_of(paper))
        framed(corner, recut, cut.name, "Corner of the dish", 1, 1)
        return {
            f"{cut.name}-section.png": section.picture("png", DPI),
            f"{cut.name}-corner.png": corner.picture("png", DPI),
        }


def sheet_pdf(cut: CutOnPaper, kind: Literal["full", "card"], paper: style.Paper, *, rows: bool) -> bytes:
    """The sheet of one cut; `rows` puts the table of a cut that has a program into it."""
    with mpl.rc_context(style.SETTINGS):
        return _pdf(job_sheet(cut, paper, rows=rows) if kind == "full" else card(cut, paper, rows=rows))


def cards_pdf(cuts: Iterable[CutOnPaper], paper: style.Paper, *, rows: bool) -> bytes:
    """The cards of several pistons in one file."""
    with mpl.rc_context(style.SETTINGS):
        return _pdf(page for cut in cuts for page in card(cut, paper, rows=rows))


def job_sheet(cut: CutOnPaper, paper: style.Paper, *, rows: bool) -> list[Page]:
    """The pages of the sheet in order: set-up, section, corner, table, readings, grinding template."""
    recut, subject, room = cut.recut, cut.subject, room_of(paper)
    flank = None if recut.clearance is None else recut.clearance.flank
    template = flank is not None and wanted(recut, flank)
    out: list[tuple[Page, str]] = []

    def fresh(heading: str) -> Page:
        out.append((Page(paper), heading))
        return out[-1][0]

    left = draw_setup(fresh("Set-up"), subject, room, cut.warnings)
    while left:
        left = draw_setup_on(fresh("Set-up, continued"), room, left)
    _draw_section_page(fresh("Section"), subject, room)
    if template:
        draw_large_corner(fresh("Corner of the dish"), subject, room)
    else:
        draw_corner(fresh("Corner of the dish"), subject, flank, room)
    low = room.bottom
    if rows or cut.hand:
        low = _draw_table(cut, fresh, room)
    if low - room.bottom >= least_room(recut):
        draw_readings(out[-1][0], subject, Box(room.left, room.bottom, room.right, low))
    else:
        draw_readings(fresh("Readings"), subject, room)
    if flank is not None and template:
        draw_template(fresh("Grinding template, 1:1"), subject, flank, room)
    for number, (page, heading) in enumerate(out, 1):
        framed(page, recut, cut.name, heading, number, len(out))
    return [page for page, _ in out]


def _draw_table(cut: CutOnPaper, fresh: Callable[[str], Page], room: Box) -> float:
    """The rows, and the steps that they leave; gives the y under them on the last page."""
    wide, figures, plan = room.right - room.left, cut.subject.figures, cut.by_hand.plan
    low = room.top
    page = None
    for leaf in leaves(leaf_of(row_notes(cut), cut.by_hand.table), wide, repeat(room.top - room.bottom - 3)):
        page = fresh("Table for the readout")
        low = draw_leaf(page, leaf, cut.by_hand.table, Box(room.left, room.bottom, room.right, room.top - 2))
    low -= GAP
    if page is None or plan.step_left <= plan.readout.resolution:
        return low
    if low - room.bottom < LEAST_STEPS:
        page, low = fresh("Steps to blend"), room.top - 2
    tall = min(STEPS, low - room.bottom)
    draw_steps(page, plan, figures, Box(room.left, low - tall, room.right, low))
    return low - tall - GAP


def _draw_section_page(page: Page, subject: Subject, room: Box) -> None:
    draw_section(page, subject, Box(room.left, room.bottom + KEY + 2, room.right, room.top))
    draw_key(page, Box(room.left, room.bottom, room.right, room.bottom + KEY))


def _pdf(sheet: Iterable[Page]) -> bytes:
    out = io.BytesIO()
    nothing = {"CreationDate": None, "Producer": None, "Creator": None}
    with PdfPages(out, metadata=nothing) as pdf:
        for page in sheet:
            pdf.savefig(page.done())
    return out.getvalue()


def section_picture(recut: Recut, report: Report, ending: str, *, diameter: bool) -> bytes:
    """The section alone as a "png", "svg" or "pdf" file; `diameter` says how the program reads X."""
    with mpl.rc_context(style.SETTINGS):
        return _section_alone(Subject(recut, report, diameter)).picture(ending, DPI)


def show_section(recut: Recut, report: Report, *, diameter: bool) -> None:
    """Open the section in a window and wait until it is closed.

    Raises:
        InputError: there is no screen to open a window on.
    """
    from matplotlib import pyplot  # chooses the window system, which no file needs

    none = InputError("--show: no window can be opened here; write a picture with --out FILE.png instead")
    with mpl.rc_context(style.SETTINGS):
        try:
            figure = pyplot.figure()
        except (ImportError, RuntimeError) as error:  # a window system that is named but is not there
            raise none from error
        if figure.canvas.required_interactive_framework is None:  # a backend that only writes files
            pyplot.close(figure)
            raise none
        _section_alone(Subject(recut, report, diameter), figure).done()
        pyplot.show()


def _section_alone(subject: Subject, figure: Figure | None = None) -> Page:
    page = Page("a4", figure)
    _draw_section_page(page, subject, room_of("a4"))
    framed(page, subject.recut, "section", "Section", 1, 1)
    return page
