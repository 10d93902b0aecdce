"""The matched set: one piston's reading judged, and the whole set in a row each."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from toolpath.design import Design
from toolpath.findings import Stopped
from toolpath.loop import SAME_CUT, Standing, first_step, last_step, standing
from toolpath.piston.dish import Search
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.shop.readings import After, Reading, Readings, doubt
from toolpath.shop.sets import Measured, Summary, summary
from toolpath.shop.stages import Progress
from toolpath.shop.stated import burette_of, reading_u

SCHEMA = "dishpath-set-1"
CC = 1000.0
NEW_PISTON_SHARE = 0.1  # of its volume by which one piston of a set may differ from the stated one


def after_of(readings: Readings, piston: int) -> After:
    """What a reading follows when nothing is said: the first cut until that is read, then the last."""
    return "last" if readings.of(piston, "first") else "first"


def judged(design: Design, before: Sequence[Reading], reading: Reading) -> tuple[Reading, str | None]:
    """The reading with the depth of the cut that it measured, and why it cannot be right, if so."""
    if reading.volume is None:
        why = None if reading.shown > 0 else "a length of 0 cannot be; a reading is a number above 0"
        return replace(reading, cut_depth=_cut_of(design, before, reading)[0]), why
    burette = burette_of(design.received.job, max(design.target, design.as_received_seen))
    depth, expected, u = _cut_of(design, before, reading)
    earlier = [r.volume for r in before if r.volume is not None and r.after == "first"]
    u_read = reading_u(burette)
    why = doubt(
        reading.volume / CC,
        "cc",
        expected=expected / CC,
        u=(u**2 + u_read**2) ** 0.5 / CC,
        earlier=earlier[-1] / CC if earlier and reading.after in ("first", "last") else None,
        u_reading=u_read / CC,
    )
    return replace(reading, cut_depth=depth), why


def _cut_of(design: Design, before: Sequence[Reading], reading: Reading) -> tuple[float | None, float, float]:
    """Depth of the cut that a reading measured (mm), with the volume expected and its uncertainty (mm3)."""
    if reading.after == "as-received":
        seen = design.as_received_seen
        return None, seen, NEW_PISTON_SHARE * max(seen, CC)
    now = standing(design, before)
    if reading.after == "skim":
        found = now.progress.skimmed(now.model.skimmed_form()).volume()
        return None, float(found.mean), float(found.u)
    # the same cut read once more, or the next one: whichever the reading fits better
    choices: list[tuple[float, Progress]] = []
    if now.cut_depth and any(r.after == reading.after for r in before):
        choices.append((now.cut_depth, now.progress))
    choices += _next_cut(now, reading.after)
    if not choices and now.cut_depth:
        choices = [(now.cut_depth, now.progress)]  # left as it was, and read once more
    elif not choices:
        whole = now.model.depth_for(design.target)
        choices = [(whole, now.progress.cut(now.model.cut_form(whole, now.old_u), now.zero))]

    def misfit(choice: tuple[float, Progress]) -> float:
        found = choice[1].volume()
        return abs((reading.volume or 0.0) - float(found.mean)) / math.hypot(float(found.u), _scale(now))

    depth, progress = min(choices, key=misfit) if reading.volume is not None else choices[0]
    found = progress.volume()
    return depth, float(found.mean), float(found.u)


def _scale(now: Standing) -> float:
    """Standard uncertainty of reading the burette's scale, mm3."""
    assert now.progress.burette is not None
    return now.progress.burette.scale_reading(1).u


def _next_cut(now: Standing, after: After) -> list[tuple[float, Progress]]:
    if after == "last" and now.progress.cuts == 0:
        return []
    try:
        step = first_step(now) if after == "first" else last_step(now)
    except Stopped:
        return []
    depth = step.design.shape.depth or 0.0
    return [(depth, step.planned)] if abs(depth - now.cut_depth) > SAME_CUT else []


def set_summary(recut: Recut, readings: Readings) -> Summary:
    """Every piston of the set; only what was read, so that a large set answers at once."""
    assert recut.design is not None
    assert recut.plan is not None
    design = recut.design
    by_piston: dict[int, list[Reading]] = {}
    for reading in readings.readings:
        by_piston.setdefault(reading.piston, []).append(reading)
    deepest = _deepest(design)
    pistons = range(1, recut.job.piston.count + 1)
    rows = [_measured(recut, design, n, by_piston.get(n, ()), deepest) for n in pistons]
    return summary(rows, design.target, recut.job.dish.tolerance)


def _measured(
    recut: Recut, design: Design, piston: int, readings: Sequence[Reading], deepest: float | None
) -> Measured:
    def latest(after: After) -> float | None:
        found = [r for r in readings if r.after == after and r.mouth is None]
        return None if not found else found[-1].volume or _by_depth(design, found[-1])

    received, final = latest("as-received"), latest("last")
    engine = design.received.engine
    return Measured(
        piston=piston,
        as_received=received,
        after_first=latest("first"),
        final=final,
        removed=None if final is None else _grams(recut, design, received, final),
        ratio=None if final is None or engine is None else engine.ratio(_hollow(design, final), design.skim),
        deepest=deepest,
    )


def _by_depth(design: Design, reading: Reading) -> float | None:
    """The volume (mm3, as read) that a measured depth stands for; None where the form has no such depth."""
    if reading.depth is None:
        return None
    search = Search(design.shape, design.received.section, design.skim, design.received.outer)
    try:
        return design.seen(search.volume(replace(design.shape, depth=reading.depth), design.skim))
    except Stopped:
        return None


def _grams(recut: Recut, design: Design, received: float | None, final: float) -> float:
    """Metal removed in g: the job's own, put right by how much the readings differ from it."""
    from toolpath.report import removed_volume

    volume = removed_volume(recut) + final - design.seen(design.finished.volume_below())
    if received is not None:
        volume -= received - design.as_received_seen
    return volume / CC * float(table("materials")[recut.job.piston.material]["density"])


def _hollow(design: Design, seen: float) -> float:
    turned = seen - design.received.beside(design.skim, cut=True)
    return design.received.hollow(turned, design.skim, cut=True)


def _deepest(design: Design) -> float | None:
    """The largest volume (mm3, as read) that the floor's limit allows; None where none is stated."""
    piston = design.received.job.piston
    if piston.least_floor is None or piston.underside_depth is None:
        return None
    depth = piston.underside_depth - design.skim - piston.least_floor
    search = Search(design.shape, design.received.section, design.skim, max(depth, 1e-3))
    try:
        return design.seen(search.volume(replace(design.shape, depth=max(depth, 0.0)), design.skim))
    except Stopped:
        return None


def set_keys(found: Summary, target: float) -> dict[str, Any]:
    """The set under the contract's keys, in cc and g."""
    return {
        "schema": SCHEMA,
        "target_cc": target / CC,
        "spread_cc": _cc(found.spread),
        "spread_g": found.spread_grams,
        "common_target_cc": _cc(found.common_target),
        "pistons": [
            {
                "piston": row.measured.piston,
                "as_received_cc": _cc(row.measured.as_received),
                "after_first_cc": _cc(row.measured.after_first),
                "final_cc": _cc(row.measured.final),
                "off_cc": _cc(row.off),
                "removed_g": row.measured.removed,
                "compression": row.measured.ratio,
                "next": row.next,
            }
            for row in found.rows
        ],
    }


def _cc(volume: float | None) -> float | None:
    return None if volume is None else volume / CC


def set_text(keys: dict[str, Any]) -> str:
    """The set as a table of at most 100 columns."""
    lines = [
        f"Target {keys['target_cc']:.3f} cc",
        f"{'piston':>6} {'received':>9} {'first':>8} {'last':>8} {'off':>7} {'removed':>8} {'ratio':>6}  next",
        f"{'':>6} {'cc':>9} {'cc':>8} {'cc':>8} {'cc':>7} {'g':>8} {'to 1':>6}",
    ]
    for p in keys["pistons"]:
        figures = (
            _shown(p["as_received_cc"], 9, 2),
            _shown(p["after_first_cc"], 8, 2),
            _shown(p["final_cc"], 8, 2),
            _shown(p["off_cc"], 7, 2),
            _shown(p["removed_g"], 8, 2),
            _shown(p["compression"], 6, 2),
        )
        lines.append(f"{p['piston']:>6} {' '.join(figures)}  {p['next']}")
    if keys["spread_cc"] is not None:
        grams = "" if keys["spread_g"] is None else f", {keys['spread_g']:.2f} g of metal removed"
        lines.append(f"Spread of the set {keys['spread_cc']:.2f} cc{grams}")
    if keys["common_target_cc"] is not None:
        lines.append(f"The whole set can still meet {keys['common_target_cc']:.2f} cc")
    return "\n".join(lines)


def _shown(value: float | None, width: int, decimals: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:>{width}.{decimals}f}"
