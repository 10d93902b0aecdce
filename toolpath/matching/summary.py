"""The whole set from its log, a row a piston."""

from collections.abc import Sequence
from dataclasses import replace

from toolpath.findings import Finding, attempt
from toolpath.matching.due import Due, Tally, due, tally
from toolpath.matching.sets import Measured, Summary, summary
from toolpath.profile.design import Design
from toolpath.profile.dish import Search
from toolpath.readings.log import After, Entry, Log, Reading
from toolpath.readings.replay import standing
from toolpath.readings.standing import Known, read_volume, target_of
from toolpath.recut import Recut
from toolpath.reference import table

CC = 1000.0


def set_summary(recut: Recut, log: Log) -> Summary:
    """Every piston of the set; only what was read, so that a large set answers at once."""
    by_piston: dict[int, list[Entry]] = {}
    for entry in log.entries:
        by_piston.setdefault(entry.piston, []).append(entry)
    deepest = _deepest(recut.design)
    pistons = range(1, recut.job.piston.count + 1)
    rows = [_row(recut, n, by_piston.get(n, ()), deepest) for n in pistons]
    return summary(rows, recut.job.dish.tolerance)


def known_of(design: Design, log: Log, piston: int) -> Known:
    """What the other pistons of the set tell of this one: their volumes as received, the latest of each."""
    others = {
        r.piston: volume
        for r in log.readings
        if r.piston != piston and r.after == "as-received" and (volume := read_volume(design, r)) is not None
    }
    return Known(tuple(others[n] for n in sorted(others)))


def due_for(design: Design, history: Sequence[Entry], log: Log, piston: int) -> Due:
    """What is due for one piston; a cut of which only lengths were read is worked out."""
    found = tally(history)
    volume = _volume(design, found.volume)
    if volume is None and found.latest:
        now = standing(design, history, known_of(design, log, piston))
        volume = float(now.progress.volume().mean)
    return due(found, volume, target_of(design, history), design.received.job.dish.tolerance)


def _volume(design: Design, reading: Reading | None) -> float | None:
    return None if reading is None else read_volume(design, reading)


def _row(recut: Recut, piston: int, history: Sequence[Entry], deepest: float | None) -> tuple[Measured, Due]:
    design = recut.design
    found = tally(history)

    def latest(after: After) -> float | None:
        read = [
            r
            for r in history
            if isinstance(r, Reading) and r.after == after and r.method in ("burette", "depth")
        ]
        if not read:
            return None
        return _volume(design, read[-1]) or _by_depth(design, read[-1])

    received, first, final = latest("as-received"), latest("first"), latest("last")
    engine = design.received.engine
    target = target_of(design, history)
    measured = Measured(
        piston=piston,
        target=target,
        as_received=received,
        after_first=first,
        final=final,
        removed=None if final is None else _grams(recut, design, received, final),
        ratio=None if final is None or engine is None else engine.ratio(_hollow(design, final), design.skim),
        deepest=deepest,
    )
    return measured, due(found, _now(found, measured), target, recut.job.dish.tolerance)


def _now(found: Tally, measured: Measured) -> float | None:
    """The volume of the latest cut that was read, mm3."""
    if not found.latest:
        return None
    return measured.after_first if found.latest[-1].after == "first" else measured.final


def _by_depth(design: Design, reading: Reading) -> float | None:
    """The volume (mm3, as read) that a measured depth stands for; None where the form has no such depth."""
    if reading.method != "depth":
        return None
    search = Search(design.shape, design.received.section, design.skim, design.received.outer)
    found = attempt(lambda: search.volume(replace(design.shape, depth=reading.value), design.skim))
    return None if isinstance(found, Finding) else design.seen(found)


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
    found = attempt(lambda: search.volume(replace(design.shape, depth=max(depth, 0.0)), design.skim))
    return None if isinstance(found, Finding) else design.seen(found)
