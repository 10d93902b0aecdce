"""One piston's cut as the page holds it: read back from the text that will run, or from the rows."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any, NamedTuple

from toolpath.clearance.gaps import Gap, gaps
from toolpath.clearance.holder import outline as holder_outline
from toolpath.moves import Row, Table
from toolpath.program.by_hand import ByHand
from toolpath.program.frames import frame_of
from toolpath.program.proof import setup_of
from toolpath.readback.motions import Motion, centre_offset
from toolpath.readback.verdict import HandRow, Readback, Wanted, motions_of_rows, readback, reading_of
from toolpath.recut import Recut
from toolpath.screen import words
from toolpath.screen.blocks import Pace, blocks, outline
from toolpath.table.wording import bites_words
from toolpath.units import cc


class Piece(NamedTuple):
    """One piston's cut: a name for its ticks, and all that the page shows of it."""

    key: str  # SHA-256 of piston, stage, program text and rows: another cut never wears its ticks
    data: dict[str, Any]


class _Played(NamedTuple):
    """What is played: motions, what they are held against, and what was found."""

    motions: tuple[Motion, ...]
    setup: Wanted
    back: Readback
    lines: list[str]


def piece_of(
    recut: Recut,
    report: Mapping[str, Any],
    by_hand: ByHand,
    text: str | None,
    *,
    file: str | None,
    job_file: str,
) -> Piece:
    """The page's view of one cut; `text` is the program, None on a lathe without one, where the rows are played.

    `file` is the program's name where it has one, `job_file` the name to type. The text may be another than
    the job's own: what it does and what is wrong with it is then shown.
    """
    played = _of_rows(by_hand) if text is None else _of_text(recut, text)
    show = words.shown_of(recut)
    setup, job = played.setup, recut.job
    which, cut = words.headings(recut)
    run = recut.running
    pace = Pace(job.machine.rapid_rate, run.feed, run.start_rpm)
    near = _gaps(recut, played)
    shape = None if job.holder is None else holder_outline(job.holder, recut.insert)
    data = {
        "title": job.title or "Untitled job",
        "piston": recut.piston,
        "which": which,
        "cut": cut,
        "mark": report.get("mark"),
        "file": file,
        "hand": text is None,
        "speed": words.speed(recut, show),
        "unit": words.unit(show),
        "factor": show.factor,
        "decimals": show.decimals,
        "diameter": show.diameter,
        "shift": centre_offset(setup.control_point, setup.insert_radius),
        "radius": setup.insert_radius,
        "mouth": report["section"]["mouth_diameter_mm"] / 2,
        "touch": words.touch(recut, show),
        "tool": list(
            words.tool(recut, report, show, min((g.gap for g in near if g is not None), default=None))
        ),
        "dish": list(words.dish(recut, report, show)),
        "watch": list(words.watch(recut, show)),
        "reading": words.reading(recut, report, job_file=job_file, by_hand=text is None),
        "below": words.below_edge(recut, show),
        "stock": outline(setup.stock),
        "finished": outline(setup.finished),
        "holder": None if shape is None else [[round(x, 4), round(z, 4)] for x, z in shape.exterior.coords],
        "text": played.lines,
        "blocks": blocks(played.motions, near, setup.control_point, setup.insert_radius, pace),
        "found": [[at, f.severity, f.line(show.units)] for at, f in played.back.told],
        "rows": _rows(by_hand),
    }
    named = json.dumps([recut.piston, recut.stage, text, by_hand.csv])
    return Piece(hashlib.sha256(named.encode()).hexdigest(), data)


def _of_text(recut: Recut, text: str) -> _Played:
    setup = setup_of(recut, frame_of(recut))
    return _Played(
        reading_of(text, setup).motions, setup, readback(text, setup), text.rstrip("\n").split("\n")
    )


def _of_rows(by_hand: ByHand) -> _Played:
    rows = [HandRow(row.z, row.x_start, row.x_stop, row.z_to) for row in by_hand.table.rows]
    cuts = tuple(m for m in motions_of_rows(rows, by_hand.setup) if m.length > 0)
    return _Played(
        cuts, by_hand.setup, by_hand.readback, [_row_line(by_hand.table, k) for k in range(len(rows))]
    )


def _row_line(table: Table, k: int) -> str:
    row, d = table.rows[k], table.decimals
    down = "" if row.z_to is None else f" to {row.z_to:.{d}f}"
    return f"Z {row.z:.{d}f}{down} X {row.x_start:.{d}f} to {row.x_stop:.{d}f} {row.cut}"


def _gaps(recut: Recut, played: _Played) -> tuple[Gap | None, ...]:
    """The holder's gap at every motion; none known where no holder is stated."""
    holder = recut.job.holder
    shape = None if holder is None else holder_outline(holder, recut.insert)
    if holder is None or shape is None:
        return (None,) * len(played.motions)
    setup = played.setup
    below = holder.height_below_edge or 0.0
    return gaps(played.motions, (setup.stock, setup.finished), setup.insert_radius, shape, below)


def _rows(by_hand: ByHand) -> dict[str, Any]:
    """The table for the readout, its numbers as text with the readout's decimals."""
    table = by_hand.table
    d, unit = table.decimals, table.units
    return {
        "unit": unit,
        "x_unit": f"{unit} {'diameter' if table.x_reading == 'diameter' else 'radius'}",
        "blended": f"{cc(by_hand.expected + by_hand.plan.left_to_blend):.3f} cc",
        "rows": [
            _row(row, bites_words(cut, row.infeed, by_hand.readout), d)
            for row, cut in zip(table.rows, by_hand.plan.cuts, strict=True)
        ],
        "to_do": list(by_hand.left_to_do),
        "notes": [*table.closing, *by_hand.plan.notes],
    }


def _row(row: Row, bites: tuple[str, str] | None, d: int) -> dict[str, Any]:
    slide = None
    if row.z_to is not None:
        slide = [f"{row.z_to:.{d}f}", f"{row.angle:.2f}", f"{row.travel:.{d}f}"]
    return {
        "cut": row.cut,
        "z": f"{row.z:.{d}f}",
        "start": f"{row.x_start:.{d}f}",
        "stop": f"{row.x_stop:.{d}f}",
        "infeed": f"{row.infeed:.{d}f}",
        "bites": bites,  # X where it winds in, and the words
        "slide": slide,  # Z at its end, angle in degrees off the cross slide's way, travel
        "how": row.how,
    }
