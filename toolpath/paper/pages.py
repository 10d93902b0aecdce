"""Every picture and sheet of a recut as files."""

import io

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from toolpath.errors import InputError
from toolpath.moves import Table
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.corner import draw_corner
from toolpath.paper.labels import Box
from toolpath.paper.readings import draw_readings
from toolpath.paper.rows import draw_leaf, leaves
from toolpath.paper.section import draw_key, draw_section
from toolpath.paper.setup import draw_setup
from toolpath.paper.sheet import framed, room_of
from toolpath.paper.subject import Subject
from toolpath.paper.template import draw_template, wanted
from toolpath.recut import Recut
from toolpath.report.figures import Report

DPI = 200
KEY = 25.0  # mm of paper for the key to the lines


def pages(
    recut: Recut, report: Report, by_hand: Table, name: str, *, paper: style.Paper = "a4"
) -> dict[str, bytes]:
    """Section and corner as PNG and the whole job sheet as PDF; `report` is the report."""
    with mpl.rc_context(style.SETTINGS):
        sheet = job_sheet(recut, report, by_hand, name, paper)
        return {
            f"{name}-section.png": sheet[1].picture("png", DPI),
            f"{name}-corner.png": sheet[2].picture("png", DPI),
            f"{name}-sheet.pdf": _pdf(sheet),
        }


def job_sheet(recut: Recut, report: Report, by_hand: Table, name: str, paper: style.Paper) -> list[Page]:
    """The pages of the sheet in order: set-up, section, corner, table, readings, grinding template."""
    program = report.program
    reading = by_hand.x_reading if program is None else program.x_reading
    subject = Subject(recut, report, reading == "diameter")
    flank = None if recut.clearance is None else recut.clearance.flank
    table = leaves(by_hand, room_of(paper))
    template = flank is not None and wanted(recut, flank)
    of = 4 + len(table) + template
    out: list[Page] = []

    def fresh(heading: str) -> tuple[Page, Box]:
        out.append(Page(paper))
        return out[-1], framed(out[-1], recut, name, heading, len(out), of)

    draw_setup(*_before_room(fresh("Set-up"), subject))
    _draw_section_page(*_before_room(fresh("Section"), subject))
    page, room = fresh("Corner of the dish")
    draw_corner(page, subject, flank, room)
    for leaf in table:
        page, room = fresh("Table for the readout")
        draw_leaf(page, leaf, by_hand, room)
    draw_readings(*_before_room(fresh("Readings"), subject))
    if flank is not None and template:
        page, room = fresh("Grinding template, 1:1")
        draw_template(page, subject, flank, room)
    return out


def _before_room(drawn: tuple[Page, Box], subject: Subject) -> tuple[Page, Subject, Box]:
    return drawn[0], subject, drawn[1]


def _draw_section_page(page: Page, subject: Subject, room: Box) -> None:
    draw_section(page, subject, Box(room.left, room.bottom + KEY + 2, room.right, room.top))
    draw_key(page, Box(room.left, room.bottom, room.right, room.bottom + KEY))


def _pdf(sheet: list[Page]) -> bytes:
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
    _draw_section_page(page, subject, framed(page, subject.recut, "section", "Section", 1, 1))
    return page
