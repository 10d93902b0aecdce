"""The whole set from its readings, a row a piston."""

from collections.abc import Sequence
from dataclasses import replace

from toolpath.findings import Stopped
from toolpath.matching.judge import CC
from toolpath.matching.sets import Measured, Summary, summary
from toolpath.profile.design import Design
from toolpath.profile.dish import Search
from toolpath.readings.log import After, Reading, Readings
from toolpath.recut import Recut
from toolpath.reference import table


def set_summary(recut: Recut, readings: Readings) -> Summary:
    """Every piston of the set; only what was read, so that a large set answers at once."""
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
    volume = recut.removed_volume + final - design.seen(design.finished.volume_below())
    if received is not None:
        volume -= received - design.as_received_seen
    return volume / CC * float(table("materials")[recut.job.piston.material]["density"])


def _hollow(design: Design, seen: float) -> float:
    turned = seen - design.received.beside(design.skim, cut=True)
    return design.received.hollow(turned, design.skim, cut=True)


def _deepest(design: Design) -> float | None:
    """The largest volume (mm3, as read) that the floor's limit allows; None where none is stated."""
    piston = design.received.job.piston
    if piston.min_floor is None or piston.underside_depth is None:
        return None
    depth = piston.underside_depth - design.skim - piston.min_floor
    search = Search(design.shape, design.received.section, design.skim, max(depth, 1e-3))
    try:
        return design.seen(search.volume(replace(design.shape, depth=max(depth, 0.0)), design.skim))
    except Stopped:
        return None
