"""The card: one page at the machine for one cut of one piston; what has no room stands overleaf."""

from collections.abc import Iterator, Sequence
from itertools import chain, repeat
from typing import NamedTuple

from toolpath.moves import SurfaceSpeed
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, width_of, wrapped
from toolpath.paper.letters import Face
from toolpath.paper.rows import Leaf, draw_leaf, leaf_of, leaves, row_notes
from toolpath.paper.section import draw_key, draw_section, draw_small_section
from toolpath.paper.sheet import cut_words, framed, room_of, shortened
from toolpath.paper.sketch import UNDER, draw_touching
from toolpath.paper.steps import draw_steps
from toolpath.paper.subject import CutOnPaper, printable
from toolpath.paper.volumes import Field, draw_fields, expected_words, fields
from toolpath.program.frames import frame_of
from toolpath.program.head import header_of
from toolpath.reference import table
from toolpath.tool.spindle import spindle_sense

PLAIN = style.PLAIN
LINE = LEADING * PLAIN
WORDS, ABOVE = UNDER["all"], 3.5  # mm, the figures to set; what they need less without a sketch over them
GAP = 2.5  # mm of paper between the parts
EDGE = 0.6  # mm that the front stays off the margin: bold type may run a little wider than it measures
BANNER = 12.0  # mm, piston and cut
STRIP = 11.0  # mm, mark, program, tool, offset, date
SKETCH, LEAST_SKETCH = 36.0, 22.0  # mm, the touch-off sketches above their figures
FIELD = 13.0  # mm, a box to write a figure in
SIGN = 5.5  # mm, the lines to sign
TICK = 5.5  # mm, a box to tick and its gap
PASSES = 72.0  # mm, the column of passes and speeds
WORD = 27.0  # mm, the word before a figure there
LEAST_SECTION, SECTION = 60.0, 85.0  # mm, the section beside them: least, and before the sketches grow
CLOSE = 4.9  # mm, one row of a table that is pressed for room
MOST_WARNED = 4  # lines of warnings on the front
BAND = 50.0  # mm, sketches or steps overleaf
STEPS = 74.0  # mm, the steps where they stand beside the section
KEY = 25.0  # mm, what the lines of the section mean
WIDE_SECTION = 150.0  # mm of paper that the section with all its words takes; less is drawn without them


class Layout(NamedTuple):
    """What stands on the front, and how tall; the rest goes overleaf."""

    sketch: float  # mm, 0 where the sketches go overleaf
    warnings: tuple[str, ...]
    leaves: tuple[Leaf, ...]  # the first is the front's; none on a card without rows
    small: bool  # whether the section has room on the front

    @property
    def overleaf(self) -> bool:
        """Whether anything is left for the back of the card."""
        return not (self.sketch and self.small)


def card(cut: CutOnPaper, paper: style.Paper, *, rows: bool) -> list[Page]:
    """The pages of one card: the front, and the back where the rows need the front.

    `rows` puts the table of a cut that has a program overleaf too.
    """
    front = Page(paper)
    inside = front.inside
    room = inside._replace(left=inside.left + EDGE, right=inside.right - EDGE)
    wide = room.right - room.left
    notes = _notes(cut)
    below = _below(cut, wide)
    layout = _layout(cut, room, _tall(notes, wide) + below + BANNER * len(_banner(cut, wide)))
    y = _head(front, cut, room, split=len(layout.leaves) > 1)
    y = _touching(front, cut, Box(room.left, room.bottom, room.right, y), layout, notes)
    main = Box(room.left, room.bottom + below + GAP, room.right, y)
    if layout.leaves:
        draw_leaf(front, layout.leaves[0], cut.by_hand.table, main)
    else:
        _passes(front, cut, main, small=layout.small)
    _foot(front, cut, room)
    return [front, *_backs(cut, paper, layout, rows=rows)]


def _layout(cut: CutOnPaper, room: Box, taken: float) -> Layout:
    """Rows first, then the sketches, then the section: what does not fit goes overleaf."""
    wide = room.right - room.left
    free = room.top - room.bottom - taken - STRIP - LINE - WORDS - 4 * GAP
    found = cut.warnings
    told = _tall(found, wide, "bold")
    if told > MOST_WARNED * LINE:
        found = (f"{len(found)} WARNINGS OVERLEAF: READ THEM FIRST",)
        told = LINE
    free -= told
    if not cut.hand:
        small = free - LEAST_SKETCH >= max(LEAST_SECTION, _tall_passes(cut))
        return Layout(min(SKETCH, max(LEAST_SKETCH, free - SECTION)), found, (), small)
    whole = leaf_of(row_notes(cut), cut.by_hand.table)
    for pitch in (whole.pitch, CLOSE):
        tight = whole._replace(pitch=pitch)
        spare = free - tight.tall(wide)
        if spare >= LEAST_SKETCH:
            return Layout(min(SKETCH, spare), found, (tight,), small=False)
    back = room_of("letter")
    talls = chain((free + ABOVE - GAP,), repeat(back.top - back.bottom - LINE))
    split = leaves(whole._replace(pitch=CLOSE), wide - 6, talls)
    return Layout(0.0, found, tuple(split), small=False)


# ---- the front ---------------------------------------------------------------------------------------


def _banner(cut: CutOnPaper, wide: float) -> list[str]:
    return wrapped(cut_words(cut.recut), wide - 6, style.HEAD, "bold")


def _head(page: Page, cut: CutOnPaper, room: Box, *, split: bool) -> float:
    """Piston and cut, job, and what tells this card from another; gives the y under them."""
    recut, last = cut.recut, cut.recut.stage == "last"
    lines = _banner(cut, room.right - room.left)
    banner = Box(room.left, room.top - BANNER * len(lines), room.right, room.top)
    if last:
        page.fill(style.INK, banner.corners)
    page.outline(style.OUTLINE, banner)
    for k, line in enumerate(lines, 1):
        y = room.top - BANNER * k + (BANNER - style.HEAD) / 2
        page.text(room.left + 3, y, line, style.HEAD, face="bold", colour=style.WHITE if last else style.INK)
    y = banner.bottom - LINE
    wide = room.right - room.left
    name = shortened(printable(cut.name), wide / 2, style.SMALL)
    page.text(room.right, y, name, style.SMALL, across="right")
    left = wide - width_of(name, style.SMALL) - 6
    page.text(
        room.left, y, shortened(recut.job.title or "Untitled job", left, PLAIN, "bold"), PLAIN, face="bold"
    )
    strip = Box(room.left, y - GAP - STRIP, room.right, y - GAP)
    draw_fields(page, list(_marks(cut, split=split)), strip, PLAIN)
    return strip.bottom - GAP


def _marks(cut: CutOnPaper, *, split: bool) -> Iterator[Field]:
    yield Field("mark", cut.recut.mark)
    if cut.hand:
        count = str(len(cut.by_hand.table.rows))
        yield Field("rows", f"{count}, go on overleaf" if split else count, wide=2.0)
    else:
        head = header_of(cut.recut, frame_of(cut.recut), None)
        number = head.program_number
        yield Field("program", cut.file if number is None else str(number), wide=2.0)
        yield Field("tool", head.tool_word or "-", wide=1.5)
        yield Field("work offset", head.work_offset or "-")
    yield Field("date", "", wide=1.2)


def _notes(cut: CutOnPaper) -> list[str]:
    """What is said of the zero, and of the point that X and Z speak of."""
    recut, shown = cut.recut, cut.subject.shown
    zero = recut.zero_words(shown)
    return [*(zero if recut.zero_stays else zero[:1]), recut.touch_off.lines(shown)[0]]


def _tall(lines: Sequence[str], wide: float, face: Face = "sans") -> float:
    return sum(len(wrapped(line, wide, PLAIN, face)) for line in lines) * LINE


def _touching(page: Page, cut: CutOnPaper, room: Box, layout: Layout, notes: list[str]) -> float:
    """Sketches with the figures to set, or the figures alone; gives the y under them."""
    low = room.top - layout.sketch - (WORDS if layout.sketch else WORDS - ABOVE)
    y = low - GAP - PLAIN
    draw_touching(page, cut.subject, Box(room.left, low, room.right, room.top), sketch=layout.sketch > 0)
    for line in notes:
        y = page.paragraph(room.left, y, line, room.right - room.left)
    for line in layout.warnings:
        y = page.paragraph(room.left, y, line, room.right - room.left, face="bold")
    return y + PLAIN - GAP / 2


def _passes(page: Page, cut: CutOnPaper, room: Box, *, small: bool) -> None:
    """Passes and speeds, and beside them the section with the figures to check it."""
    y = room.top - PLAIN
    for word, figure in _pass_lines(cut):
        page.text(room.left, y, word, PLAIN)
        y = page.paragraph(room.left + WORD, y, figure, PASSES - WORD) - 0.5
    if small:
        draw_small_section(page, cut.subject, Box(room.left + PASSES + 4, room.bottom, room.right, room.top))


def _tall_passes(cut: CutOnPaper) -> float:
    return sum(len(wrapped(text, PASSES - WORD, PLAIN)) * LINE + 0.5 for _, text in _pass_lines(cut))


def _pass_lines(cut: CutOnPaper) -> Iterator[tuple[str, str]]:
    recut, figures, report = cut.recut, cut.subject.figures, cut.report
    run, cutting, plan = recut.running, recut.job.cutting, report.plan
    if plan.passes_skim:
        yield "skim", f"{plan.passes_skim} x {figures.length(cutting.skim_depth_of_cut)} at most"
    if plan.passes_rough:
        yield "rough", f"{plan.passes_rough} x {figures.length(cutting.dish_depth_of_cut)} at most"
    if plan.passes_finish:
        yield "finish", f"{plan.passes_finish}, taking {figures.length(cutting.allowance)}"
    yield "feed", f"{figures.length(run.feed)}/rev"
    if run.finish_feed != run.feed:
        yield "finish feed", f"{figures.length(run.finish_feed)}/rev"
    if run.surface_speed is None:
        yield "spindle", f"{run.start_rpm:.0f} rev/min"
    else:
        yield "spindle", f"{figures.surface_speed(run.surface_speed)}, up to {run.rpm_limit:.0f} rev/min"
    rough, finish = run.speed_of("rough"), run.speed_of("finish")
    if finish != rough:
        yield (
            "finish at",
            figures.surface_speed(finish.speed)
            if isinstance(finish, SurfaceSpeed)
            else f"{finish.rpm:.0f} rev/min",
        )
    down = "down" if spindle_sense(recut.job) == "cw" else "up"
    yield "turns", f"near side {down}"
    yield "coolant", "on" if run.coolant else "off"
    yield "insert", f"{recut.insert.designation or 'round'}, R {figures.length(recut.insert.radius)}"
    yield "time", f"{plan.total_s / 60:.1f} min"


def _cautions(cut: CutOnPaper) -> Iterator[tuple[str, Face]]:
    if cut.recut.plan.work.skim > 0:
        yield "Mark the piston inside the skirt before facing the number away.", "bold"
    else:
        yield "The number is inside the skirt: look that this is the piston named above.", "bold"
    for line in table("cautions")["card"]["lines"]:
        yield line, "sans"


def _below(cut: CutOnPaper, wide: float) -> float:
    """What the foot of the front takes, mm."""
    lines = sum(len(wrapped(text, wide - TICK, PLAIN, face)) for text, face in _cautions(cut))
    return SIGN + lines * LINE + GAP + FIELD + 2 * LINE


def _foot(page: Page, cut: CutOnPaper, room: Box) -> None:
    """Expected volume, boxes for readings, cautions, lines to sign."""
    wide = room.right - room.left
    y = room.bottom + _below(cut, wide) - LINE
    page.line(style.OUTLINE, [(room.left, y + LINE), (room.right, y + LINE)])
    page.text(room.left, y, expected_words(cut), PLAIN, face="bold")
    y -= GAP + FIELD
    draw_fields(page, list(fields(cut)), Box(room.left, y, room.right, y + FIELD), style.LARGE)
    y -= LINE
    for text, face in _cautions(cut):
        page.outline(style.EDGE, Box(room.left, y - 0.3, room.left + 3.4, y + 3.1))
        y = page.paragraph(room.left + TICK, y, text, wide - TICK, face=face)
    for k, word in enumerate(("set up by", "touch-off checked by", "measured by")):
        x = room.left + k * wide / 3
        start = x + width_of(word, style.SMALL) + 1.5
        page.text(x, room.bottom + 1, word, style.SMALL)
        page.line(style.EDGE, [(start, room.bottom + 0.5), (x + wide / 3 - 4, room.bottom + 0.5)])


# ---- overleaf ----------------------------------------------------------------------------------------


def _backs(cut: CutOnPaper, paper: style.Paper, layout: Layout, *, rows: bool) -> list[Page]:
    """The rows that are left, sketches and steps, the section with all its figures."""
    wide = room_of(paper).right - room_of(paper).left
    rest = list(layout.leaves[1:])
    if rows and not cut.hand:
        room = room_of(paper)
        rest = leaves(leaf_of(row_notes(cut), cut.by_hand.table), wide, repeat(room.top - room.bottom - 4))
    out: list[tuple[Page, float]] = []
    for leaf in rest:
        page = Page(paper)
        room = room_of(paper)
        out.append((page, draw_leaf(page, leaf, cut.by_hand.table, room._replace(top=room.top - 2)) - GAP))
    warned = layout.warnings and layout.warnings[0].endswith("READ THEM FIRST")
    if layout.overleaf or warned:
        _last_back(cut, paper, layout, out, warned=bool(warned))
    for number, (page, _) in enumerate(out, 1):
        framed(page, cut.recut, cut.name, f"Overleaf: {cut.recut.cut_words}", number, len(out))
    return [page for page, _ in out]


def _last_back(
    cut: CutOnPaper, paper: style.Paper, layout: Layout, out: list[tuple[Page, float]], *, warned: bool
) -> None:
    room = room_of(paper)
    steps = cut.hand and cut.by_hand.plan.step_left > cut.by_hand.plan.readout.resolution
    sketches = not layout.sketch
    band = BAND if steps or sketches else 0.0
    need = band + (_tall(cut.warnings, room.right - room.left, "bold") + GAP if warned else 0.0)
    if not out or out[-1][1] - room.bottom < need + LEAST_SECTION:
        out.append((Page(paper), room.top - 2))
    page, y = out[-1]
    if warned:
        y -= PLAIN
        for line in cut.warnings:
            y = page.paragraph(room.left, y, line, room.right - room.left, face="bold")
        y -= GAP
    if band:
        here = Box(room.left, y - band, room.right, y)
        if sketches:
            draw_touching(page, cut.subject, here, words="none")
        else:
            draw_steps(page, cut.by_hand.plan, cut.subject.figures, here)
        y -= band + GAP
    if not layout.small and ((steps and sketches) or y - room.bottom < WIDE_SECTION):
        split = room.right - STEPS if steps and sketches else room.right
        draw_small_section(page, cut.subject, Box(room.left, room.bottom, split - 4, y))
        if split < room.right:
            here = Box(split, max(room.bottom, y - STEPS), room.right, y)
            draw_steps(page, cut.by_hand.plan, cut.subject.figures, here)
    elif not layout.small:
        draw_section(page, cut.subject, Box(room.left, room.bottom + KEY + 2, room.right, y))
        draw_key(page, Box(room.left, room.bottom, room.right, room.bottom + KEY))
    out[-1] = (page, room.bottom)
