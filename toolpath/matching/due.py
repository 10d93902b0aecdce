"""What is due for one piston, by its log alone: the next cut, a reading, or nothing more."""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from toolpath.readings.log import After, Entry, MadeCut, Reading
from toolpath.units import cc

What = Literal["first", "last", "reading", "done", "over"]


class Tally(NamedTuple):
    """One piston's log: makes that wait for a reading, and the readings of its latest cut."""

    waiting: tuple[MadeCut, ...] = ()
    latest: tuple[Reading, ...] = ()  # of the latest cut

    @property
    def volume(self) -> Reading | None:
        """The latest burette reading of the latest cut."""
        return next((r for r in reversed(self.latest) if r.method == "burette"), None)


def tally(history: Iterable[Entry]) -> Tally:
    """Where a piston stands by the order of its entries: made is not cut until a reading follows."""
    waiting: list[MadeCut] = []
    latest: list[Reading] = []
    for entry in history:
        if isinstance(entry, MadeCut):
            waiting.append(entry)
        elif isinstance(entry, Reading) and entry.cut is not None and entry.method != "zero":
            if waiting or (latest and latest[-1].after != entry.after):
                latest = []
            latest.append(entry)
            waiting = []
    return Tally(tuple(waiting), tuple(latest))


def latest_made(history: Iterable[Entry], file: str | None = None) -> MadeCut | None:
    """The latest standing make of a piston, or the latest that names a file."""
    makes = [e for e in history if isinstance(e, MadeCut)]
    named = [m for m in makes if file is None or m.file.casefold() == file.casefold()]
    return named[-1] if named else None


class Due(NamedTuple):
    """The next thing to do with a piston; `after` is what a reading that is due follows."""

    what: What
    words: str
    after: After | None = None


def due(found: Tally, volume: float | None, target: float, tolerance: float) -> Due:
    """What is due; `volume` (mm3) is that of the latest cut, `target` and `tolerance` likewise mm3.

    A cut of which no volume is known, since only a length was read, counts as short of the target.
    """
    if found.waiting:
        stage = found.waiting[-1].facts.stage
        cut = {"first": "first cut", "last": "last cut", "whole": "cut"}[stage]
        return Due("reading", f"read it after the {cut}", "first" if stage == "first" else "last")
    if not found.latest:
        return Due("first", "make the first cut, then read it")
    latest = found.latest[-1].after
    again = " again" if latest == "last" else ""
    if volume is None:
        return Due("last", f"make the last cut{again}, then read it")
    off = volume - target
    if off > tolerance:
        return Due("over", f"over by {cc(off):.2f} cc: leave it")
    if off >= 0 or (latest == "last" and off >= -tolerance):
        return Due("done", "done")
    return Due("last", f"{-cc(off):.2f} cc to go: make the last cut{again}, then read it")
