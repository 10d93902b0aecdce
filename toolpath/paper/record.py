"""The record for the customer: every piston of the set before and after, and how it was measured."""

import io
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import Any, NamedTuple

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages

from toolpath.matching.finished import Finished
from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, wrapped
from toolpath.paper.letters import Face
from toolpath.paper.sheet import room_of, stripped
from toolpath.profile.design import Design
from toolpath.readings.burette import burette_of, reading_u
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.units import cc

ROW = 6.4  # mm of paper, one piston
HEAD = 16.0  # mm of paper, the heads of the columns
WORD = 36.0  # mm of paper for the word before a figure
SIGN = 11.0  # mm of paper, one line to sign
SIGN_OFF = (("measured by", "date"), ("for the customer", "date"))
MATTER = ("engine builder", "liquid")  # cautions that go on with the pistons
METHODS = {
    "plate-on-crown": "a plate laid across the finished crown: dish, pockets and lip break",
    "down-the-bore": "down the bore, the piston at a stated depth: dish, pockets, breaks and crevice",
}


class Column(NamedTuple):
    """A column: its head in two lines and a unit, the text of each piston, its width in mm of paper."""

    head: tuple[str, str]
    unit: str
    wide: float
    texts: tuple[str, ...]


def record_page(
    recut: Recut, keys: dict[str, Any], cuts: Sequence[Finished], *, paper: style.Paper = "a4"
) -> bytes:
    """The record as a PDF; `keys` is what the set found, under the contract's names. Large sets run on."""
    room, above, below = room_of(paper), list(_particulars(recut, keys, cuts)), _closing(recut)
    columns = _columns(recut, keys["pistons"], cuts)
    wide = room.right - room.left
    head = sum(len(wrapped(text, wide - WORD, style.PLAIN)) for _, text in above) * LEADING * style.PLAIN + 6
    foot = sum(len(wrapped(text, wide, style.SMALL)) for text in below) * LEADING * style.SMALL
    foot += len(SIGN_OFF) * SIGN + 12
    runs = _runs(len(cuts), room.top - room.bottom - HEAD - 6, head, foot)
    out = io.BytesIO()
    nothing = {"CreationDate": None, "Producer": None, "Creator": None}
    with mpl.rc_context(style.SETTINGS), PdfPages(out, metadata=nothing) as pdf:
        for number, run in enumerate(runs, 1):
            page = Page(paper)
            heading = "Record of the piston" if len(cuts) == 1 else "Record of the set"
            stripped(page, recut, heading, "record for the customer", f"page {number} of {len(runs)}")
            y = room.top - 4
            if number == 1:
                y = _listed(page, room, y, above) - 2
            if run:
                _ruled(page, Box(room.left, room.bottom, room.right, y), columns, run)
            if number == len(runs):
                _close(page, room, below)
            pdf.savefig(page.done())
    return out.getvalue()


def _runs(count: int, tall: float, head: float, foot: float) -> list[range]:
    """The rows of each page; the first has `head` mm above, the last `foot` mm below its rows."""
    out: list[range] = []
    start, above = 0, head
    while True:
        left = count - start
        most = int((tall - above) / ROW)
        if left <= int((tall - above - foot) / ROW):
            return [*out, range(start, count)]
        out.append(range(start, start + min(left, most)))
        start, above = start + min(left, most), 0.0


def _particulars(recut: Recut, keys: dict[str, Any], cuts: Sequence[Finished]) -> Iterator[tuple[str, str]]:
    """What the whole set has in common."""
    job, design = recut.job, recut.design
    length = style.Figures(job.machine.program_units).length
    if job.record.customer:
        yield "customer", job.record.customer
    if job.record.engine:
        yield "engine", job.record.engine
    yield "pistons", f"{job.piston.count}, {job.piston.material}, crown {length(2 * design.received.outer)}"
    skims = sorted({round(c.skim, 4) for c in cuts if c.skim is not None})
    if skims and skims[-1] > 0:
        some = length(skims[0]) if len(skims) == 1 else f"{length(skims[0])} to {length(skims[-1])}"
        yield "crown", f"{some} skimmed off"
    yield "dish", _dish(design, length(2 * design.mouth))
    yield "target", _target(keys, cc(job.dish.tolerance))
    days = sorted({day for c in cuts for day in c.days})
    if days:
        yield "readings", days[0] if len(days) == 1 else f"from {days[0]} to {days[-1]}"
    if job.burette is None:
        yield "measured", "method and burette not stated"
        return
    yield "measured", METHODS[job.burette.method]
    burette = burette_of(job, max(design.target, design.as_received_seen))
    fills = "" if burette.fills == 1 else f", {burette.fills} fills a reading"
    line, limit = cc(burette.graduation), cc(burette.largest_error)
    yield "burette", f"{burette.name}, lines {line:g} cc apart, {burette.source}: ± {limit:g} cc{fills}"
    yield (
        "uncertainty",
        f"± {cc(2 * reading_u(burette)):.3f} cc for one reading (k = 2: 19 of 20 lie within)",
    )
    done = [p for p in keys["pistons"] if p["final_cc"] is not None]
    yield "finished", f"{len(done)} of {len(keys['pistons'])} pistons"
    if _own_targets(keys["pistons"]) and keys["spread_ratio"] is not None:
        yield "spread of the set", f"{keys['spread_ratio']:.2f} in ratio between the largest and the smallest"
    elif keys["spread_cc"] is not None:
        yield "spread of the set", f"{keys['spread_cc']:.2f} cc between the largest and the smallest"


def _own_targets(pistons: Sequence[Any]) -> bool:
    return len({round(p["target_cc"], 4) for p in pistons}) > 1


def _target(keys: dict[str, Any], tolerance: float) -> str:
    """The volume in force, or that each piston has its own."""
    if _own_targets(keys["pistons"]):
        return f"each piston its own, tolerance ± {tolerance:g} cc"
    return f"{keys['pistons'][0]['target_cc']:.3f} cc, tolerance ± {tolerance:g} cc"


def _dish(design: Design, mouth: str) -> str:
    if not design.shape.depth:
        return "the old dish, no dish cut"
    return f"{design.shape.form}, mouth {mouth}"


def _closing(recut: Recut) -> list[str]:
    """Cautions for whoever has the pistons next."""
    return [line for line in table("cautions")["sheet"]["lines"] if any(word in line for word in MATTER)]


def _listed(page: Page, room: Box, y: float, lines: Sequence[tuple[str, str]]) -> float:
    for word, text in lines:
        page.text(room.left, y, word, style.PLAIN)
        y = page.paragraph(room.left + WORD, y, text, room.right - room.left - WORD)
    return y


def _columns(recut: Recut, pistons: Sequence[Any], cuts: Sequence[Finished]) -> list[Column]:
    """Those columns of which something is known."""
    figures = style.Figures(recut.job.machine.program_units)
    tolerance = cc(recut.job.dish.tolerance)

    def of(key: str, decimals: int) -> tuple[str, ...]:
        return tuple(_shown(p[key], decimals) for p in pistons)

    def lengths(found: Iterable[float | None]) -> tuple[str, ...]:
        return tuple("-" if mm is None else figures.number(mm) for mm in found)

    weighed = any(p["mass_g"] is not None for p in pistons)
    columns = [
        Column(("", "no."), "", 10.0, tuple(str(p["piston"]) for p in pistons)),
        Column(("", "before"), "cc", 17.0, of("as_received_cc", 2)),
        *([Column(("", "target"), "cc", 17.0, of("target_cc", 2))] if _own_targets(pistons) else []),
        Column(("", "after"), "cc", 17.0, of("final_cc", 2)),
        Column(("off the", "target"), "cc", 16.0, of("off_cc", 2)),
        Column(("", "depth"), figures.unit, 18.0, lengths(c.depth for c in cuts)),
        Column(("floor", "left"), figures.unit, 18.0, lengths(c.floor for c in cuts)),
        Column(("", "ratio"), "to 1", 16.0, of("compression", 2)),
        Column(("", "mass"), "g", 18.0, of("mass_g", 1))
        if weighed
        else Column(("metal", "removed"), "g", 19.0, of("removed_g", 1)),
        Column(("", ""), "", 17.0, tuple(_verdict(p, tolerance) for p in pistons)),
    ]
    return [c for c in columns if any(text != "-" for text in c.texts)]


def _ruled(page: Page, room: Box, columns: Sequence[Column], run: range) -> None:
    """Heads and a row a piston."""
    edges = list(accumulate((column.wide for column in columns), initial=room.left))
    line = LEADING * style.SMALL
    y = room.top - HEAD
    for right, column in zip(edges[1:], columns, strict=True):
        for up, words in enumerate((column.unit, *reversed(column.head))):
            face: Face = "bold" if up else "sans"
            page.text(right - 1.5, y + 1.6 + up * line, words, style.SMALL, across="right", face=face)
    page.line(style.OUTLINE, [(room.left, y), (room.right, y)])
    for k in run:
        y -= ROW
        for right, column in zip(edges[1:], columns, strict=True):
            height = style.PLAIN if column.unit or column.head[1] else style.SMALL
            page.text(right - 1.5, y + 1.8, column.texts[k], height, across="right")
        page.line(style.EDGE if (k + 1) % 5 == 0 else style.RULE, [(room.left, y), (room.right, y)])


def _shown(value: float | None, decimals: int) -> str:
    return "-" if value is None else f"{round(value, decimals) + 0.0:.{decimals}f}"


def _verdict(piston: dict[str, Any], tolerance: float) -> str:
    if piston["final_cc"] is None:
        return "not yet"
    if abs(piston["off_cc"]) <= tolerance + 1e-9:  # a reading on the limit is within it
        return "within"
    return "over" if piston["off_cc"] > 0 else "short"


def _close(page: Page, room: Box, cautions: Sequence[str]) -> None:
    """Cautions, and lines to sign at the foot."""
    y = room.bottom + 2
    half = (room.left + room.right) / 2
    for pair in reversed(SIGN_OFF):
        for left, right, word in zip((room.left, half + 3), (half - 3, room.right), pair, strict=True):
            page.line(style.EDGE, [(left, y + 3.6), (right, y + 3.6)])
            page.text(left, y, word, style.SMALL)
        y += SIGN
    tall = sum(len(wrapped(text, room.right - room.left, style.SMALL)) for text in cautions)
    y += tall * LEADING * style.SMALL
    for text in cautions:
        y = page.paragraph(room.left, y, text, room.right - room.left, style.SMALL)
