"""The whole set from its log, a row a piston."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import reduce
from typing import NamedTuple

from toolpath.errors import StopError
from toolpath.findings import Finding, attempt
from toolpath.geometry.chain import Chain, deeper
from toolpath.job.model import Job
from toolpath.matching.due import Due, Tally, due, tally
from toolpath.matching.sets import Measured, Summary, summary
from toolpath.profile.design import Design
from toolpath.profile.dish import Search
from toolpath.readings.log import After, Entry, Log, Method, Reading
from toolpath.readings.replay import cuts_read, section_of, standing
from toolpath.readings.sensitivity import Model
from toolpath.readings.standing import Known, read_volume, target_of
from toolpath.recut import design_of
from toolpath.reference import table
from toolpath.units import cc


class Pistons(NamedTuple):
    """The designs of a set, each worked out once; pistons without a [[cylinder]] share one."""

    job: Job
    design: Callable[[int], Design]

    @classmethod
    def of(cls, job: Job) -> "Pistons":
        """Raises StopError (later, by piston) where no section can be made."""
        own = {c.number for c in job.cylinder}
        known: dict[int, Design] = {}

        def design(number: int) -> Design:
            key = number if number in own else 0
            if key not in known:
                found = design_of(job.for_piston(number))
                if isinstance(found, tuple):
                    where = f"piston {number}: " if key else ""
                    raise StopError("\n".join(f"{where}{f.line(job.units)}" for f in found))
                known[key] = found
            return known[key]

        return cls(job, design)


def set_summary(job: Job, log: Log) -> Summary:
    """Every piston of the set; only what was read, so that a large set answers at once.

    Raises:
        StopError: a piston has no section.
    """
    by_piston: dict[int, list[Entry]] = {}
    for entry in log.entries:
        by_piston.setdefault(entry.piston, []).append(entry)
    pistons = Pistons.of(job)
    deepest: dict[int, float | None] = {}
    rows = []
    for number in range(1, job.piston.count + 1):
        design = pistons.design(number)
        if id(design) not in deepest:
            deepest[id(design)] = _deepest(design)
        rows.append(_row(design, number, by_piston.get(number, ()), deepest[id(design)], job.mass_of(number)))
    return summary(rows, job.dish.tolerance)


def known_of(design: Design, log: Log, piston: int, mass: float | None = None) -> Known:
    """What the other pistons of the set tell of this one: their volumes as received, the latest of each."""
    others = {
        r.piston: volume
        for r in log.readings
        if r.piston != piston and r.after == "as-received" and (volume := read_volume(design, r)) is not None
    }
    return Known(tuple(others[n] for n in sorted(others)), mass)


def due_for(design: Design, log: Log, piston: int) -> Due:
    """What is due for one piston; a cut of which only lengths were read is worked out."""
    history = log.history(piston)
    found = tally(history)
    volume = None if found.volume is None else read_volume(design, found.volume)
    if volume is None and found.latest:
        now = standing(design, history, known_of(design, log, piston))
        volume = float(now.progress.volume().mean)
    return due(found, volume, target_of(design, history), design.received.job.dish.tolerance)


def _row(
    design: Design, piston: int, history: Sequence[Entry], deepest: float | None, mass: float | None
) -> tuple[Measured, Due]:
    found = tally(history)

    def latest(after: After, *methods: Method) -> Reading | None:
        read = [r for r in history if isinstance(r, Reading) and r.after == after and r.method in methods]
        return read[-1] if read else None

    def volume(after: After) -> float | None:
        read = latest(after, "burette", "depth")
        return None if read is None else read_volume(design, read) or _by_depth(design, read)

    done = as_cut(design, history)
    design = done.design
    received, first, final = volume("as-received"), volume("first"), volume("last")
    before, weighed = latest("as-received", "mass"), latest("last", "mass")
    engine, target = design.received.engine, target_of(design, history)
    measured = Measured(
        piston=piston,
        target=target,
        as_received=received,
        after_first=first,
        final=final,
        removed=None if final is None else _grams(done, received, final),
        mass_before=mass if before is None else before.value,
        mass=None if weighed is None else weighed.value,
        ratio=None if final is None or engine is None else engine.ratio(_hollow(design, final), design.skim),
        wanted_ratio=None if engine is None else engine.ratio(_hollow(design, target), design.skim),
        deepest=deepest,
    )
    return measured, due(found, _now(found, measured), target, design.received.job.dish.tolerance)


class AsCut(NamedTuple):
    """A design with the skim that was really cut, and what its read cuts left over the finished crown."""

    design: Design
    section: Chain

    @property
    def finished(self) -> Chain:
        """The dish as it stands."""
        return deeper(self.design.skimmed, self.section)

    @property
    def depth(self) -> float:
        """Depth under the finished crown, mm."""
        return -self.section.lowest


def as_cut(design: Design, history: Sequence[Entry]) -> AsCut:
    """The cuts that were read, by their facts in the log; where it has none, the cut of the job."""
    read = cuts_read(history)
    if not read:
        return AsCut(design, design.cut)
    cut = replace(design, skim=read[-1].facts.skim)
    return AsCut(cut, reduce(deeper, (section_of(Model(cut), made.facts) for made in read)))


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
    found = attempt(lambda: search.volume(design.shape._replace(depth=reading.value), design.skim))
    return None if isinstance(found, Finding) else design.seen(found)


def _grams(done: AsCut, received: float | None, final: float) -> float:
    """Metal removed in g: by the section as cut, put right by how much the readings differ from it."""
    design = done.design
    volume = Model(design).removed(done.section) + final - design.seen(done.finished.volume_below())
    if received is not None:
        volume -= received - design.as_received_seen
    return cc(volume) * float(table("materials")[design.received.job.piston.material]["density"])


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
    found = attempt(lambda: search.volume(design.shape._replace(depth=max(depth, 0.0)), design.skim))
    return None if isinstance(found, Finding) else design.seen(found)
