"""Page 1: what the person needs before the spindle turns."""

from collections.abc import Iterator, Sequence

from toolpath.moves import SurfaceSpeed
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, wrapped
from toolpath.paper.sketch import UNDER, draw_touching
from toolpath.paper.subject import Subject
from toolpath.reference import table
from toolpath.tool.spindle import spindle_words
from toolpath.units import cc

SIGN_OFF = ("set up by, date", "touch-off checked by, date", "first piston measured by, date")
SIGN = 9.5  # mm of paper for the lines to sign
HEADS = {
    "kept": "Zero kept: touch nothing off",
    "noted": "Zero noted: touch the fixture's face",
    "fresh": "Touching off",
}
WORD = 33.0  # mm of paper for the word before a figure
LEAST, MOST = UNDER["number"] + 26.0, 112.0  # mm of paper for the sketches with their figures
HEAD = 2.4 * style.PLAIN
GAP = 2.0  # mm
BOX = 4.5  # mm of paper for the box to tick


def draw_setup(page: Page, subject: Subject, room: Box, warnings: Sequence[str]) -> list[str]:
    """Piston and tool, touch-off, speeds, volumes, cautions and lines to sign; gives lines without room."""
    middle = (room.left + room.right) / 2
    left = _block(page, Box(room.left, 0, middle - 2, room.top - 4), "Piston and dish", _piston(subject))
    right = _block(page, Box(middle, 0, room.right, room.top - 4), "Tool and speeds", _tool(subject))
    top = min(left, right) - GAP
    touching = subject.recut.touch_lines(subject.shown)
    cautions = [*_before(subject), *warnings, *_cautions()]
    free = top - room.bottom - SIGN - 3 * HEAD - 2 * GAP
    free -= sum(_tall(text, room) for text in touching)
    kept_here = len(cautions)
    while kept_here and free - sum(_tall(text, room) for text in cautions[:kept_here]) < LEAST:
        kept_here -= 1
    sketch = min(MOST, free - sum(_tall(text, room) for text in cautions[:kept_here]))
    page.text(
        room.left,
        top - 3,
        HEADS[subject.recut.job.zero if subject.recut.zero_stays else "fresh"],
        style.PLAIN,
        face="bold",
    )
    draw_touching(page, subject, Box(room.left, top - HEAD - sketch, room.right, top - HEAD), words="number")
    y = _ticked(page, room, top - HEAD - sketch - GAP - style.SMALL, touching)
    page.text(room.left, y - GAP, "Before the spindle turns", style.PLAIN, face="bold")
    _ticked(page, room, y - GAP - HEAD, cautions[:kept_here])
    _sign_off(page, room)
    return cautions[kept_here:]


def draw_setup_on(page: Page, room: Box, lines: Sequence[str]) -> list[str]:
    """The lines that had no room on the page before; gives those that have none here."""
    y = room.top - HEAD
    for k, line in enumerate(lines):
        if y - _tall(line, room) < room.bottom and k:
            return list(lines[k:])
        y = _ticked(page, room, y, [line])
    return []


def _tall(text: str, room: Box) -> float:
    return len(wrapped(text, room.right - room.left - BOX, style.SMALL)) * LEADING * style.SMALL + 0.5


def _ticked(page: Page, room: Box, y: float, lines: Sequence[str]) -> float:
    """Lines with a box to tick before each; gives the next base line."""
    height = style.SMALL
    for line in lines:
        x, side = room.left, 1.25 * height
        page.outline(style.EDGE, Box(x, y - 0.1 * height, x + side, y - 0.1 * height + side))
        y = page.paragraph(x + BOX, y, line, room.right - x - BOX, height) - 0.5
    return y


def _block(page: Page, room: Box, head: str, rows: Iterator[tuple[str, str]]) -> float:
    """A heading and its figures; gives the y under them."""
    page.text(room.left, room.top, head, style.PLAIN, face="bold")
    y = room.top - HEAD + 0.5
    for word, figure in rows:
        page.text(room.left, y, word, style.SMALL)
        y = page.paragraph(room.left + WORD, y, figure, room.right - room.left - WORD, style.SMALL)
    return y


def _piston(subject: Subject) -> Iterator[tuple[str, str]]:
    job, figures = subject.recut.job, subject.figures
    volume, section = subject.report.volume, subject.report.section
    yield "material", job.piston.material
    yield "crown", figures.across(subject.design.received.outer)
    if subject.plan.work.skim > 0:
        yield "skim", figures.length(subject.plan.work.skim)
    yield "new dish", f"{section.form}, mouth {figures.across(section.mouth_diameter_mm / 2)}"
    yield "depth", figures.length(section.depth_mm)
    yield "as received", f"{volume.as_received_cc:.3f} cc"
    yield "after the skim", f"{volume.after_skim_cc:.3f} cc"
    expected = subject.report.expected
    program, rows = subject.report.program, subject.report.table
    if rows is not None and program is not None and program.file is None:
        yield "expected", f"{rows.expected_cc:.3f} cc by the rows of the table"
    elif expected is None:
        yield "expected", f"{volume.finished_cc:.3f} cc"
    else:
        yield "expected", f"{expected.volume_cc:.3f} cc, ± {2 * expected.u_cc:.3f} cc (k = 2)"
    yield "target", f"{volume.target_cc:.3f} cc, within {cc(job.dish.tolerance):.3f} cc"
    ratio = subject.report.compression
    if ratio is not None:
        yield "compression", f"{ratio.before:.3f} to 1 before, {ratio.after:.3f} to 1 after"


def _tool(subject: Subject) -> Iterator[tuple[str, str]]:
    recut, figures, report = subject.recut, subject.figures, subject.report
    job, run = recut.job, recut.running
    yield "insert", f"{recut.insert.designation or 'round'}, R {figures.length(recut.insert.radius)}"
    if job.holder is not None and job.holder.name:
        yield "holder", job.holder.name
    yield "programmed point", job.tool.control_point.replace("-", " ")
    if report.program is not None and report.program.file is None:
        yield "program", "none: the table for the readout"
    elif report.program is not None:
        yield "program", f"{report.program.file} ({report.program.post})"
    if run.surface_speed is not None:
        speed = figures.surface_speed(run.surface_speed)
        yield "surface speed", f"{speed} up to {run.rpm_limit:.0f} rev/min"
    yield "start speed", f"{run.start_rpm:.0f} rev/min"
    rough, finish = run.speed_of("rough"), run.speed_of("finish")
    if finish != rough and isinstance(finish, SurfaceSpeed):
        yield "finish speed", figures.surface_speed(finish.speed)
    elif finish != rough:
        yield "finish speed", f"{run.finish_rpm:.0f} rev/min"
    yield "feed", f"{figures.length(run.feed)}/rev"
    if run.finish_feed != run.feed:
        yield "finish feed", f"{figures.length(run.finish_feed)}/rev"
    if subject.plan.work.skim > 0:
        yield "skim depth of cut", f"{figures.length(job.cutting.skim_depth_of_cut)} at most"
    yield "dish depth of cut", f"{figures.length(job.cutting.dish_depth_of_cut)} at most"
    yield "finish allowance", figures.length(job.cutting.allowance)
    yield "coolant", "on" if run.coolant else "off"
    yield "passes", f"{report.plan.passes}, {report.plan.total_s / 60:.1f} min"


def _before(subject: Subject) -> Iterator[str]:
    """What is looked at before the warnings."""
    yield f"{spindle_words(subject.recut.job)}. The edge stands on centre height."


def _cautions() -> Iterator[str]:
    """The cautions for every sheet."""
    yield from table("cautions")["sheet"]["lines"]


def _sign_off(page: Page, room: Box) -> None:
    third = (room.right - room.left) / len(SIGN_OFF)
    for k, words in enumerate(SIGN_OFF):
        x = room.left + k * third
        page.line(style.EDGE, [(x, room.bottom + 5), (x + third - 5, room.bottom + 5)])
        page.text(x, room.bottom + 1.4, words, style.SMALL)
