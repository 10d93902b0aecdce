"""Where one piston stands: what was cut, what is known of it, what waits for a reading."""

import math
from collections.abc import Iterable, Sequence
from statistics import fmean, stdev
from typing import NamedTuple

from toolpath.errors import InputError
from toolpath.forms.sections import mouth_radius
from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.segments import Line
from toolpath.profile.design import Design
from toolpath.readings.burette import UNKNOWN_BURETTE, burette_of, old_dish_u, setup_of
from toolpath.readings.facts import CutFacts, first_zero
from toolpath.readings.log import After, Entry, MadeCut, Reading, Target
from toolpath.readings.sensitivity import UNREAD, Model
from toolpath.uncertainty.budget import Burette, Zero
from toolpath.uncertainty.estimate import Unknown
from toolpath.uncertainty.stages import AS_RECEIVED, QUANTILE, Form, Progress

LEAST_SCATTER = 0.03  # of the old dish's volume, among the pistons of a set until three are read
KNOWN_SCATTER = 3  # readings of other pistons from which their scatter counts
# Student's t at 99.5 % for 2, 3, ... degrees of freedom (any table of the distribution, e.g. NIST/SEMATECH e-Handbook
# 1.3.6.7.2); beyond the list the normal value
STUDENT = (9.925, 5.841, 4.604, 4.032, 3.707, 3.499, 3.355, 3.250, 3.169)


class Known(NamedTuple):
    """What the set tells of one piston: its stated mass as received (g), and the as-received volumes (mm3, as
    read) of the others."""

    others: tuple[float, ...] = ()
    mass: float | None = None


class Stood(NamedTuple):
    """A cut that stands: its section over the finished crown, and the facts where it was logged."""

    section: Chain
    facts: CutFacts | None
    mark: str = ""

    @property
    def depth(self) -> float:
        """Depth under the finished crown, mm."""
        return -self.section.lowest


class Standing(NamedTuple):
    """Where one piston stands, and the sections that go with it."""

    progress: Progress
    model: Model  # with the cuts that stand
    cuts: tuple[Stood, ...] = ()
    waiting: tuple[MadeCut, ...] = ()  # made since the latest reading of a cut
    skim_read: bool = False  # taken off for a reading between skim and dish
    latest: Reading | None = None  # the latest reading of the latest cut

    @property
    def cut_depth(self) -> float:
        """Depth of the cuts so far, mm; 0 before the first."""
        return max((cut.depth for cut in self.cuts), default=0.0)

    @property
    def zero(self) -> Zero:
        """How the next cut gets its zero: from the skim in one fixing, else as [setup] says.

        Without a skim the first cut hangs on a touch-off of its own.
        """
        if self.cuts or self.skim_read:
            return self.model.design.received.job.zero
        return first_zero(self.model.design.skim)

    @property
    def stands(self) -> float:
        """Depth of the cuts so far as the next cut's zero sees it, mm.

        With the zero kept that is their nominal depth; a fresh touch-off sees where they really lie, as
        far as the readings tell.
        """
        if not self.cuts or self.zero != "fresh":
            return self.cut_depth
        return self.cut_depth + float(self.progress.state.predict(self.progress.depth_error).mean)

    @property
    def old(self) -> float:
        """By how much the old dish is believed to be larger than stated, mm3."""
        return old_of(self.progress)[0]

    @property
    def old_u(self) -> float:
        """Standard uncertainty of that, mm3."""
        return old_of(self.progress)[1]

    @property
    def before(self) -> Chain | None:
        """What the cuts have left, the bare crown where only the skim was cut; None before both."""
        if self.model.stands is not None:
            return lowered(self.model.stands, self.stands - self.cut_depth)
        return Chain.flat(0.0, self.model.design.received.outer) if self.skim_read else None


def lowered(section: Chain, by: float) -> Chain:
    """A dish that lies `by` mm deeper under the same crown, or shallower where that is below 0."""
    moved = section.moved(-by)
    if by <= 0:
        return deeper(moved, Chain.flat(0.0, section.outer))
    mouth = mouth_radius(section)
    dish = moved.clipped(0.0, mouth).segments
    rim = (Line(mouth, dish[-1].z2, mouth, 0.0), Line(mouth, 0.0, section.outer, 0.0))
    return Chain((*dish, *rim))


def old_of(progress: Progress) -> tuple[float, float]:
    """Mean and standard uncertainty of the old dish's error, mm3."""
    found = progress.state.predict({"old dish": 1.0})
    return float(found.mean), float(found.u)


def read_volume(design: Design, reading: Reading) -> float | None:
    """What a burette reading says of dish and pockets, mm3: less the space over the crown, down the bore."""
    if reading.volume is None:
        return None
    return reading.volume - over_crown(design, reading.after)


def over_crown(design: Design, after: After) -> float:
    """The space over the crown that a reading down the bore shows besides, mm3; 0 under a plate."""
    return design.received.over_crown(0.0 if after == "as-received" else design.skim)


def target_of(design: Design, history: Sequence[Entry]) -> float:
    """The target in force for a piston, mm3: the one taken last, else the job's.

    Raises:
        InputError: it is a ratio, and the job has no engine any more.
    """
    taken = [e for e in history if isinstance(e, Target)]
    if not taken:
        return design.target
    last, engine = taken[-1], design.received.engine
    if last.unit == "cc":
        return last.value
    if engine is None:
        raise InputError(
            f"the set has taken a compression ratio of {last.value:g} as its target, and the job has no [engine]; "
            "put it back"
        )
    return design.seen(
        engine.hollow_for(last.value, design.skim) - design.received.hollow(0.0, design.skim, cut=True)
    )


def started(design: Design, history: "Iterable[Entry]", known: Known) -> Progress:
    """The piston as received.

    The job's one volume is a reading of this piston only where the set has one piston; in a set a piston
    without its own has what the others scatter as its uncertainty.
    """
    job = design.received.job
    seen = design.as_received_seen
    burette = None if job.burette is None else burette_of(job, max(design.target, seen))
    own = [
        volume
        for r in history
        if isinstance(r, Reading)
        and r.after == "as-received"
        and (volume := read_volume(design, r)) is not None
    ]
    stated = job.existing.volume is not None and job.existing.volume_from == "reading"
    if not job.existing.is_dish:  # the reading saw the pockets, if there are any
        own, stated = own if job.pocket else [], False
    u = old_dish_u(job, design.received.section)
    alone = job.piston.count == 1
    if own and burette is None:
        return _told(design, None, Unknown("reading", UNKNOWN_BURETTE, "mm3"), fmean(own) - seen)
    if own or (stated and alone and job.setup.existing_u is None and burette is not None):
        progress = Progress.start(
            setup_of(job, design.insert.tolerance, max(UNREAD, u)), burette, Form(seen, AS_RECEIVED)
        )
        for volume in own or [seen]:
            progress = progress.read_volume(volume)
        return progress
    if not stated or alone or job.setup.existing_u is not None:
        return Progress.start(setup_of(job, design.insert.tolerance, u), burette, Form(seen, AS_RECEIVED))
    mean, u = _of_others(known.others, seen)
    scatter = Unknown("scatter of the set", u, "mm3", "normal", _scatter_source(len(known.others)))
    return _told(design, burette, scatter, mean - seen)


def _told(design: Design, burette: Burette | None, by: Unknown, more: float) -> Progress:
    """The piston as received, its dish told to be larger by `more` mm3 with an error of its own."""
    job = design.received.job
    setup = setup_of(job, design.insert.tolerance, UNREAD)
    progress = Progress.start(setup, burette, Form(design.as_received_seen, AS_RECEIVED))
    state = progress.state.extended(by).observe({"old dish": 1.0, by.name: 1.0}, more)
    return progress._replace(state=state)


def _of_others(others: Sequence[float], seen: float) -> tuple[float, float]:
    """Mean and standard uncertainty (mm3) of a dish of which only its neighbours were read.

    Few readings tell little of their own scatter: the interval of one more of them is that of Student's t,
    brought to the normal quantile with which first cuts are aimed.
    """
    n = len(others)
    if n < KNOWN_SCATTER:
        return seen, LEAST_SCATTER * seen
    row = n - KNOWN_SCATTER  # n readings leave n - 1 degrees of freedom
    t = STUDENT[row] if row < len(STUDENT) else QUANTILE
    return fmean(others), stdev(others) * math.sqrt(1 + 1 / n) * t / QUANTILE


def _scatter_source(n: int) -> str:
    if n < KNOWN_SCATTER:
        share = f"{LEAST_SCATTER:.0%} of the stated volume until {KNOWN_SCATTER} pistons are read"
        return f"{share}; common practice, no source"
    return f"scatter of the {n} pistons that were read, Student's t"
