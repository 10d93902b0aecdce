"""The loop through the burette: a piston's readings, where it stands, and how deep the next cut goes.

The estimate itself is `toolpath.shop`'s; here the sections say how a volume answers to each error.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.geometry.chain import Chain
from toolpath.profile.design import Design
from toolpath.profile.forms import mouth_radius
from toolpath.readings.burette import burette_of, old_dish_u, other_burettes, setup_of
from toolpath.readings.sensitivity import UNREAD, Model
from toolpath.uncertainty.budget import Zero
from toolpath.uncertainty.reach import Plan, reach
from toolpath.uncertainty.stages import (
    AS_RECEIVED,
    LEAST_CHANCE,
    Expected,
    Form,
    Progress,
    ahead,
    another_is_wiser,
    expected,
    first_target,
    last_target,
)

if TYPE_CHECKING:
    from toolpath.readings.log import After, Reading

SAME_CUT = 1e-5  # mm; readings after cuts nearer than this are of one cut
LEAST_CUT = 0.005  # mm; a shallower last cut is none
ROUNDS = 3  # of solving for a depth with the answers at that depth


@dataclass(frozen=True)
class Standing:
    """Where one piston stands: what was cut, what is known, and the sections that go with it."""

    progress: Progress
    model: Model
    cut_depth: float  # mm, of the cuts so far; 0 before the first
    skim_read: bool = False  # taken off for a reading between skim and dish
    latest: "After | None" = None  # what the latest reading of a cut followed

    @property
    def zero(self) -> Zero:
        """How the next cut gets its zero: from the skim in one fixing, else as [setup] says.

        Without a skim the first cut hangs on a touch-off of its own.
        """
        job = self.model.design.received.job
        if self.progress.cuts or self.skim_read:
            return job.setup.zero
        return first_zero(self.model.design)

    @property
    def stands(self) -> float:
        """Depth of the cuts so far as the next cut's zero sees it, mm.

        With the zero kept that is their nominal depth; a fresh touch-off sees where they really lie, as
        far as the readings tell.
        """
        if not self.cut_depth or self.zero != "fresh":
            return self.cut_depth
        return self.cut_depth + float(self.progress.state.predict(self.progress.depth_error).mean)

    @property
    def old(self) -> float:
        """By how much the old dish is believed to be larger than stated, mm3."""
        return _old_of(self.progress)[0]

    @property
    def old_u(self) -> float:
        """Standard uncertainty of that, mm3."""
        return _old_of(self.progress)[1]


def first_zero(design: Design) -> Zero:
    """How the first cut gets its zero where nothing was read in between."""
    return "same" if design.skim > 0 else "fresh"


def _old_of(progress: Progress) -> tuple[float, float]:
    """Mean and standard uncertainty of the old dish's error, mm3."""
    found = progress.state.predict({"old dish": 1.0})
    return float(found.mean), float(found.u)


def started(design: Design, readings: "Iterable[Reading]") -> Progress:
    """The piston as received; the job's own reading counts where the piston has none of its own."""
    job = design.received.job
    seen = design.as_received_seen
    burette = None if job.burette is None else burette_of(job, max(design.target, seen))
    own = [r.volume for r in readings if r.after == "as-received" and r.volume is not None]
    from_job = job.existing.volume is not None and job.existing.volume_from == "reading"
    if job.existing.form == "none":  # the reading saw the pockets, if there are any
        own, from_job = own if job.pocket else [], False
    measured = bool(own) or (from_job and job.setup.existing_u is None and burette is not None)
    u = old_dish_u(job, design.received.section)
    if measured:
        u = max(UNREAD, u)
    progress = Progress.start(setup_of(job, design.insert.tolerance, u), burette, Form(seen, AS_RECEIVED))
    for volume in own or ([seen] if measured else []):
        progress = progress.read_volume(volume)
    return progress


def standing(design: Design, readings: "Sequence[Reading]") -> Standing:
    """Take one piston's readings in the order in which they were made.

    The sections are worked out at the old dish that the readings tell: two rounds settle an uneven bowl.
    """
    try:
        return _settled(design, readings)
    except Stopped as stopped:
        raise InputError(
            f"the readings of this piston make no dish ({stopped.finding.what}); withdraw the wrong one "
            "with dishpath reading --undo"
        ) from stopped


def _settled(design: Design, readings: "Sequence[Reading]") -> Standing:
    old, u = _old_of(started(design, readings))
    for _ in range(2 if any(r.after != "as-received" for r in readings) else 1):
        now = _replayed(Model(design, old), readings, u)
        old, u = _old_of(now.progress)
    return now


def _replayed(model: Model, readings: "Sequence[Reading]", u_old: float) -> Standing:
    now = Standing(started(model.design, readings), model, 0.0)
    for reading in readings:
        if reading.after == "as-received":
            continue
        if reading.after == "skim":
            now = replace(now, progress=now.progress.skimmed(model.skimmed_form()), skim_read=True)
        else:
            depth = reading.cut_depth or _cut_before(now, reading)
            if abs(depth - now.cut_depth) > SAME_CUT:
                progress = now.progress.cut(model.cut_form(depth, u_old), now.zero)
                now = replace(now, progress=progress, cut_depth=depth)
            now = replace(now, latest=reading.after)
        now = replace(now, progress=_read(now, reading))
    return now


def _cut_before(now: Standing, reading: "Reading") -> float:
    """Depth (mm) of the cut that a reading written by hand followed: once more the same, or the next one."""
    if reading.after == now.latest:
        return now.cut_depth
    try:
        return first_depth(now) if reading.after == "first" else last_depth(now)
    except Stopped:
        return now.cut_depth or now.model.depth_for(now.model.design.target)


def _read(now: Standing, reading: "Reading") -> Progress:
    progress = now.progress
    if reading.volume is not None:
        return progress.read_volume(reading.volume)
    if reading.depth is not None:
        return progress.read_depth(reading.depth)
    assert reading.mouth is not None
    if progress.cuts and mouth_radius(now.model.at_old().skimmed) >= progress.form.mouth / 2:
        return progress  # the mouth is still the old dish's, which no cut has touched
    return progress.read_mouth(reading.mouth)


def first_depth(now: Standing) -> float:
    """Depth (mm) of the deepest cut whose chance to overshoot the target is small enough.

    Raises:
        Stopped: so little is left that no cut is sure to stop short.
    """
    model, progress = now.model, now.progress
    target, u_old = model.design.target, now.old_u
    depth = model.depth_for(target)
    for _ in range(ROUNDS):
        form = model.cut_form(depth, u_old, wary=True)
        aim = _nominal(model, form, float(first_target(progress, form, now.zero, target)))
        depth = model.depth_for(max(aim, model.least_seen))
    if depth <= now.stands + LEAST_CUT:
        what = "no further cut is sure to stop short of the target"
        advice = "take the last cut: --stage last" if progress.cuts else "read the piston as received first"
        raise Stopped(Finding("refused", "no-short-cut", what, depth, now.stands, "mm", advice))
    return depth


def last_depth(now: Standing) -> float:
    """Depth (mm) of the cut that ends at the target as the readings have it.

    Raises:
        InputError: nothing was read after the first cut.
        Stopped: nothing is left to cut.
    """
    model, progress = now.model, now.progress
    if progress.cuts == 0:
        raise InputError("--stage last: this piston has no reading after its first cut; enter it first")
    target, u_old = model.design.target, now.old_u
    volume = float(progress.volume().mean)
    depth = 0.0
    if volume < target:
        depth = model.depth_for(target)
        for _ in range(ROUNDS):
            form = model.cut_form(depth, u_old)
            aim = _nominal(model, form, float(last_target(progress, form, now.zero, target)))
            depth = model.depth_for(max(aim, model.least_seen))
    if depth <= now.stands + LEAST_CUT:
        raise Stopped(_nothing_left(volume, target))
    return depth


def _nothing_left(volume: float, target: float) -> Finding:
    what = "nothing is left to cut: by its readings this piston is at its target, over it, or too near it"
    advice = "see dishpath pistons, for the set and a common target"
    return Finding("refused", "nothing-to-cut", what, volume / 1000, target / 1000, "cc", advice)


def _nominal(model: Model, form: Form, aim: float) -> float:
    """The volume to solve for over the old dish as believed, from an aim over the nominal one."""
    assert isinstance(form.answers.old, float)
    return aim + form.answers.old * model.old


@dataclass(frozen=True)
class NextCut:
    """The next cut of one piston."""

    design: Design  # over the old dish as believed, its shape at the depth to cut
    before: Chain | None  # the cut that stands already, crown at z = 0
    expected: Expected
    planned: Progress
    findings: tuple[Finding, ...]


def first_step(now: Standing) -> NextCut:
    """The cut that stops short for a reading."""
    model, progress = now.model, now.progress
    depth = first_depth(now)
    planned = progress.cut(model.cut_form(depth, now.old_u), now.zero)
    target, tolerance = model.design.target, model.design.received.job.dish.tolerance
    if progress.cuts:
        outcome = expected(progress, target, tolerance, planned)
    else:
        outcome = expected(planned, target, tolerance)
    return NextCut(model.deep(depth), _stands(now), outcome, planned, tuple(_solved_anew(now)))


def last_step(now: Standing) -> NextCut:
    """The cut that ends at the target as the readings have it.

    Raises:
        InputError: nothing was read after the first cut.
        Stopped: nothing is left to cut, or a cut would bring the piston no nearer to its target.
    """
    progress, model = now.progress, now.model
    target, tolerance = model.design.target, model.design.received.job.dish.tolerance
    depth = last_depth(now)
    form = model.cut_form(depth, now.old_u)
    planned = progress.cut(form, now.zero)
    outcome, as_it_is = expected(progress, target, tolerance, planned), expected(progress, target, tolerance)
    if _scatter(outcome, target) >= _scatter(as_it_is, target):  # as after a coarse fresh touch
        raise Stopped(_nothing_left(as_it_is.volume, target))
    found = list(_solved_anew(now))
    wiser = another_is_wiser(progress, form, now.zero, target, tolerance)
    if wiser is not None:
        found.append(Finding("warning", "short-cut-wiser", wiser, advice="make --stage first once more"))
    return NextCut(model.deep(depth), _stands(now), outcome, planned, tuple(found))


def _solved_anew(now: Standing) -> Iterator[Finding]:
    """A reading keeps the depth of its cut, not a mouth or skim that was solved for the target of that day."""
    design, job = now.model.design, now.model.design.received.job
    if now.progress.cuts and job.dish.depth is not None and job.dish.volume is not None:
        what = (
            f"the cut before is taken to have the mouth ({2 * design.mouth:.3f} mm) and skim ({design.skim:.3f} mm) "
            "that this target gives"
        )
        advice = (
            "if the target was changed since, state mouth and skim as they were cut and leave out the depth"
        )
        yield Finding("note", "solved-anew", what, advice=advice)


def _scatter(outcome: Expected, target: float) -> float:
    """Root of the mean square of what is missed, mm3."""
    return math.hypot(outcome.volume - target, outcome.u)


def _stands(now: Standing) -> Chain | None:
    """The cut that stands, the bare crown where only the skim was cut; None before both."""
    if now.cut_depth > 0:
        return now.model.deep(now.stands).cut
    return Chain.flat(0.0, now.model.design.received.outer) if now.skim_read else None


def in_reach(design: Design, readings: "Sequence[Reading]") -> list[Finding]:
    """Beforehand: whether first and last cut will keep the tolerance, and what would reach it."""
    progress = started(design, readings)
    old, u_old = _old_of(progress)
    model = Model(design, old)
    start = Progress.start(progress.setup, progress.burette, progress.form)
    form = model.cut_form(model.depth_for(design.target), u_old)
    tolerance, zero = design.received.job.dish.tolerance, design.received.job.setup.zero
    first = first_zero(design)
    chance = ahead(progress, [(form, first), (form, zero)], design.target, tolerance).chance
    if chance >= LEAST_CHANCE or progress.burette is None:
        return []
    plan = Plan(start.form, form, form, first, zero, design.target, tolerance)
    setup = replace(progress.setup, old_dish=u_old)
    found = reach(plan, setup, progress.burette, other_burettes(design.target))
    advice = "; or ".join(found.remedies) or "allow a larger dish.tolerance_cc"
    what = (
        f"burette, refit and area put the tolerance out of reach: kept in {found.chance:.0%} of cases; "
        f"{found.tolerance / 1000:.3f} cc would be kept in {LEAST_CHANCE:.0%}"
    )
    value, limit = found.tolerance / 1000, tolerance / 1000
    return [Finding("warning", "tolerance-out-of-reach", what, value, limit, "cc", advice)]
