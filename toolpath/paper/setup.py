"""Page 1: what the person needs before the spindle turns."""

from collections.abc import Iterator
from typing import Any

from toolpath.checks import spindle_words
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import Box
from toolpath.paper.sketch import draw_touching
from toolpath.recut import Recut
from toolpath.reference import table

SIGN_OFF = ("set up by", "touch-off checked by", "first piston measured by")
GAP = 2.6  # mm between two blocks
SKETCH = 100.0  # mm


def draw_setup(page: Page, recut: Recut, keys: dict[str, Any], room: Box) -> None:
    """Piston and tool, touch-off, speeds, volumes, cautions and lines to sign."""
    middle = (room.left + room.right) / 2
    wide = middle - room.left - 3
    left = _block(page, room.left, room.top - 4, wide, "Piston and dish", _piston(recut, keys))
    right = _block(page, middle, room.top - 4, wide + 3, "Tool and speeds", _tool(recut, keys))
    y = min(left, right) - GAP
    sketch = Box(room.left, y - SKETCH, room.right, y)
    page.text(room.left, y - 3, "Touching off", style.PLAIN, face="bold")
    draw_touching(page, recut, Box(room.left, sketch.bottom, room.right, y - 4))
    y = sketch.bottom - 1
    shown = style.shown(recut.job.machine)
    for line in recut.touch_off.lines(shown):
        y = page.paragraph(room.left, y, line, room.right - room.left, style.TINY) - 0.4
    y -= GAP
    y = _cautions(page, recut, keys, room, y)
    _sign_off(page, room)


def _block(page: Page, x: float, y: float, wide: float, head: str, rows: Iterator[tuple[str, str]]) -> float:
    page.text(x, y, head, style.PLAIN, face="bold")
    y -= 2.2 * style.PLAIN
    for word, figure in rows:
        page.text(x, y, word, style.SMALL)
        y = page.paragraph(x + 31, y, figure, wide - 31, style.SMALL)
    return y


def _piston(recut: Recut, keys: dict[str, Any]) -> Iterator[tuple[str, str]]:
    design, job = recut.design, recut.job
    assert design is not None
    figures = style.Figures(job.machine.program_units)
    volume, section = keys["volume"], keys["section"]
    yield "material", job.piston.material
    yield "crown", figures.across(design.received.outer)
    yield "skim", figures.length(design.skim)
    yield "new dish", f"{section['form']}, mouth {figures.length(section['mouth_diameter_mm'])}"
    yield "depth", figures.length(section["depth_mm"])
    yield "as received", f"{volume['as_received_cc']:.3f} cc"
    yield "after the skim", f"{volume['after_skim_cc']:.3f} cc"
    expected = keys["expected"]
    if expected:
        yield "expected", f"{expected['volume_cc']:.3f} cc, standard uncertainty {expected['u_cc']:.3f} cc"
    else:
        yield "expected", f"{volume['finished_cc']:.3f} cc"
    yield "target", f"{volume['target_cc']:.3f} cc, within {job.dish.tolerance / 1000:.3f} cc"
    ratio = keys["compression"]
    if ratio["after"] is not None:
        yield "compression", f"{ratio['before']:.3f} to 1 before, {ratio['after']:.3f} to 1 after"


def _tool(recut: Recut, keys: dict[str, Any]) -> Iterator[tuple[str, str]]:
    job, run, insert = recut.job, recut.running, recut.insert
    figures = style.Figures(job.machine.program_units)
    yield "insert", insert.designation or "round"
    yield "insert radius", figures.length(insert.radius)
    if job.holder is not None and job.holder.name:
        yield "holder", job.holder.name
    yield "control point", job.tool.control_point.replace("-", " ")
    if keys["program"] is not None:
        yield "program", f"{keys['program']['file']} ({keys['program']['post']})"
    inch = figures.units == "inch"
    if run.surface_speed is not None:
        speed = f"{run.surface_speed / 0.3048:.0f} ft/min" if inch else f"{run.surface_speed:.0f} m/min"
        yield "surface speed", f"{speed}, never over {run.rpm_limit:.0f} rev/min"
    yield "start speed", f"{run.start_rpm:.0f} rev/min"
    yield "feed", f"{figures.length(run.feed)} a turn"
    yield "depth of cut", f"skim {figures.length(job.cutting.skim_depth_of_cut)}"
    yield "", f"dish {figures.length(job.cutting.dish_depth_of_cut)}"
    yield "coolant", "on" if run.coolant else "off"
    if keys["plan"] is not None:
        yield "passes", f"{keys['plan']['passes']}, {keys['plan']['total_s'] / 60:.1f} min"


def _cautions(page: Page, recut: Recut, keys: dict[str, Any], room: Box, y: float) -> float:
    wide = room.right - room.left - 4
    page.text(room.left, y, "Before the spindle turns", style.PLAIN, face="bold")
    y -= 2 * style.PLAIN
    found = [f.line() for f in recut.findings if f.severity != "note"]
    lines = [spindle_words(recut.job) + ".", *found, *table("cautions")["sheet"]["lines"]]
    for line in lines:
        page.text(room.left, y, "–", style.SMALL)
        y = page.paragraph(room.left + 4, y, line, wide, style.SMALL)
    return y


def _sign_off(page: Page, room: Box) -> None:
    third = (room.right - room.left) / len(SIGN_OFF)
    for k, words in enumerate(SIGN_OFF):
        x = room.left + k * third
        page.line(style.EDGE, [(x, room.bottom + 6), (x + third - 5, room.bottom + 6)])
        page.text(x, room.bottom + 2.4, f"{words}, date", style.TINY)
