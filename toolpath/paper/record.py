"""The record for the customer: every piston of the set before and after, and how it was measured."""

import io
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages

from toolpath.paper import style
from toolpath.paper.canvas import Page
from toolpath.paper.labels import LEADING, Box, wrapped
from toolpath.paper.sheet import framed, room_of
from toolpath.profile.design import Design
from toolpath.readings.burette import burette_of, reading_u
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.units import cc

ROW = 6.4  # mm of paper, one piston
UNITS = 4.2  # mm of paper, the line of units below the heads
WORD = 34.0  # mm of paper for the word before a figure
SIGN = 11.0  # mm of paper, one line to sign
SIGN_OFF = (("measured by", "date"), ("for the customer", "date"))
MATTER = ("engine builder", "liquid")  # cautions that go on with the pistons
METHODS = {
    "plate-on-crown": "a plate laid across the finished crown: dish, pockets and lip break",
    "down-the-bore": "down the bore, the piston at a stated depth: dish, pockets, breaks and crevice",
}
# key of the set, heading, unit, decimals, width in mm of paper
COLUMNS = (
    ("piston", "piston", "", 0, 16.0),
    ("as_received_cc", "as received", "cc", 2, 25.0),
    ("after_first_cc", "after first cut", "cc", 2, 27.0),
    ("final_cc", "finished", "cc", 2, 22.0),
    ("off_cc", "off the target", "cc", 2, 25.0),
    ("removed_g", "metal removed", "g", 2, 27.0),
    ("compression", "ratio", "to 1", 2, 18.0),
)


def record_page(recut: Recut, keys: dict[str, Any], *, paper: style.Paper = "a4") -> bytes:
    """The record as a PDF; `keys` is what `set` found, under the contract's names. Large sets run on."""
    room, above, below = room_of(paper), list(_particulars(recut, keys)), _closing(recut)
    wide = room.right - room.left
    head = sum(len(wrapped(text, wide - WORD, style.PLAIN)) for _, text in above) * LEADING * style.PLAIN + 6
    foot = sum(len(wrapped(text, wide, style.SMALL)) for text in below) * LEADING * style.SMALL
    foot += len(SIGN_OFF) * SIGN + 12
    runs = _runs(keys["pistons"], room.top - room.bottom - ROW - UNITS - 6, head, foot)
    out = io.BytesIO()
    nothing = {"CreationDate": None, "Producer": None, "Creator": None}
    with mpl.rc_context(style.SETTINGS), PdfPages(out, metadata=nothing) as pdf:
        for number, run in enumerate(runs, 1):
            page = Page(paper)
            framed(page, recut, "record", "Record of the set", number, len(runs))
            y = room.top - 4
            if number == 1:
                y = _listed(page, room, y, above) - 2
            if run:
                _ruled(page, Box(room.left, room.bottom, room.right, y), run, cc(recut.job.dish.tolerance))
            if number == len(runs):
                _close(page, room, below)
            pdf.savefig(page.done())
    return out.getvalue()


def _runs(pistons: Sequence[Any], tall: float, head: float, foot: float) -> list[Sequence[Any]]:
    """The pistons of each page; the first has `head` mm above, the last `foot` mm below its rows."""
    out: list[Sequence[Any]] = []
    start, above = 0, head
    while True:
        left = len(pistons) - start
        most = int((tall - above) / ROW)
        if left <= int((tall - above - foot) / ROW):
            return [*out, pistons[start:]]
        out.append(pistons[start : start + min(left, most)])
        start, above = start + min(left, most), 0.0


def _particulars(recut: Recut, keys: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """What the whole set has in common."""
    job, design = recut.job, recut.design
    length = style.Figures(job.machine.program_units).length
    yield "pistons", f"{job.piston.count}, {job.piston.material}, crown {length(2 * design.received.outer)}"
    yield "crown", f"{length(design.skim)} skimmed off" if design.skim else "not skimmed"
    yield "dish", _dish(design, length(2 * design.mouth), length(design.depth))
    tolerance = cc(job.dish.tolerance)
    yield "target", f"{keys['target_cc']:.3f} cc, tolerance ± {tolerance:g} cc"
    if keys["common_target_cc"] is not None:
        yield "common target", f"{keys['common_target_cc']:.2f} cc, which the whole set can still meet"
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
    finished = [p for p in keys["pistons"] if p["final_cc"] is not None]
    yield "finished", f"{len(finished)} of {len(keys['pistons'])} pistons"
    if keys["spread_cc"] is not None:
        grams = "" if keys["spread_g"] is None else f", {keys['spread_g']:.2f} g of metal removed"
        yield "spread of the set", f"{keys['spread_cc']:.2f} cc between the largest and the smallest{grams}"


def _dish(design: Design, mouth: str, depth: str) -> str:
    if not design.shape.depth:
        return "the old dish, no dish cut"
    return f"{design.shape.form}, mouth {mouth}, {depth} deep"


def _closing(recut: Recut) -> list[str]:
    """Cautions for whoever has the pistons next."""
    return [line for line in table("cautions")["sheet"]["lines"] if any(word in line for word in MATTER)]


def _listed(page: Page, room: Box, y: float, lines: Sequence[tuple[str, str]]) -> float:
    for word, text in lines:
        page.text(room.left, y, word, style.PLAIN)
        y = page.paragraph(room.left + WORD, y, text, room.right - room.left - WORD)
    return y


def _ruled(page: Page, room: Box, pistons: Sequence[Any], tolerance: float) -> None:
    """Heads and a row a piston; `tolerance` in cc."""
    edges = list(accumulate((column[-1] for column in COLUMNS), initial=room.left))
    y = room.top - ROW
    for right, (_, head, unit, _, _) in zip(edges[1:], COLUMNS, strict=True):
        page.text(right - 1.5, y + 1.8, head, style.SMALL, across="right", face="bold")
        page.text(right - 1.5, y - 2.4, unit, style.SMALL, across="right")
    y -= UNITS
    page.line(style.OUTLINE, [(room.left, y), (room.right, y)])
    for piston in pistons:
        y -= ROW
        for right, (key, _, _, decimals, _) in zip(edges[1:], COLUMNS, strict=True):
            page.text(right - 1.5, y + 1.8, _shown(piston[key], decimals), style.PLAIN, across="right")
        page.text(edges[-1] + 2, y + 1.8, _verdict(piston, tolerance), style.SMALL)
        page.line(style.EDGE if piston["piston"] % 5 == 0 else style.RULE, [(room.left, y), (room.right, y)])


def _shown(value: float | None, decimals: int) -> str:
    return "-" if value is None else f"{round(value, decimals) + 0.0:.{decimals}f}"


def _verdict(piston: dict[str, Any], tolerance: float) -> str:
    if piston["final_cc"] is None:
        return "not finished"
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
