"""One piston's reading, judged against what its cut should have left."""

import math
from collections.abc import Sequence
from dataclasses import replace

from toolpath.findings import Stopped
from toolpath.profile.design import Design
from toolpath.readings.burette import burette_of, reading_u
from toolpath.readings.log import After, Reading, Readings, doubt
from toolpath.readings.next_cut import SAME_CUT, Standing, first_step, last_step, standing
from toolpath.uncertainty.stages import Progress

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
