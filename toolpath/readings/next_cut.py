"""The next cut of one piston, and what it will leave."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from toolpath.findings import Finding, Stopped, stops
from toolpath.geometry.chain import Chain
from toolpath.profile.design import Design, designed
from toolpath.readings.burette import other_burettes
from toolpath.readings.changes import changes, old_dish, unlogged
from toolpath.readings.depths import first_depth, last_depth, nothing_left
from toolpath.readings.facts import CutStage, first_zero
from toolpath.readings.log import Entry
from toolpath.readings.replay import standing
from toolpath.readings.sensitivity import Model
from toolpath.readings.standing import Known, Standing, old_of, started, target_of
from toolpath.uncertainty.budget import Zero
from toolpath.uncertainty.reach import ComingCuts, reach, what_the_zero_gains
from toolpath.uncertainty.stages import LEAST_CHANCE, Expected, Progress, ahead, another_is_wiser, expected
from toolpath.units import cc

SAME_TARGET = 0.5  # mm3; a log keeps thousandths of a cc


class NextCut(NamedTuple):
    """The next cut of one piston at stage first or last."""

    design: Design  # over the old dish as believed, its shape at the depth to cut
    before: Chain | None  # the cut that stands already, crown at z = 0
    zero: Zero
    expected: Expected
    planned: Progress
    findings: tuple[Finding, ...]


def cut_at(
    stage: CutStage, design: Design, history: Sequence[Entry], known: Known | None
) -> tuple[Design, NextCut | None, list[Finding]]:
    """The design of a stage over the old dish as the readings have it, its cut, and what there is to say.

    Raises:
        InputError: a stage needs a burette or a reading that is not there.
        Stopped: no such cut is to be made.
    """
    known = known or Known()
    found: list[Finding] = []
    stated, design = design.target, replace(design, target=target_of(design, history))
    now = standing(design, history, known)
    logged = [cut.facts for cut in now.cuts if cut.facts is not None]
    if logged:
        found += changes(logged[-1], design, old_dish(design), now.zero)
        forbidden = stops(found)
        if forbidden:  # the cut that stands was made by other numbers: no cut can be worked out over it
            what = "; ".join(f.what for f in forbidden)
            raise Stopped(Finding("refused", "job-changed", what, advice=forbidden[0].advice))
    elif now.cuts:
        found += unlogged(design)
    if stage == "whole":
        if now.cuts:
            what = "this piston has been cut already: one cut without a reading is not for it"
            raise Stopped(
                Finding("refused", "already-cut", what, advice="make its next cut with --stage next")
            )
        if abs(design.target - stated) > SAME_TARGET:
            what = (
                f"the set has taken {cc(design.target):.3f} cc as its target, and one cut without a reading goes "
                f"to the job's {cc(stated):.3f} cc"
            )
            advice = "make the cut with --stage first, which goes to the set's"
            raise Stopped(Finding("refused", "target-taken", what, advice=advice))
        found += in_reach(design, history, known)
        if not history or now.old == 0.0:
            return design, None, found
        return designed(design.received.job, design.insert, now.model.received), None, found
    cut = first_step(now) if stage == "first" else last_step(now)
    found += cut.findings
    if stage == "first":
        found += in_reach(design, history, known, gains=True)
    return cut.design, cut, found


def first_step(now: Standing) -> NextCut:
    """The cut that stops short for a reading."""
    model, progress = now.model, now.progress
    depth = first_depth(now)
    planned = progress.cut(model.cut_form(model.deep(depth).cut, now.old_u), now.zero)
    target, tolerance = model.design.target, model.design.received.job.dish.tolerance
    if progress.cuts:
        outcome = expected(progress, target, tolerance, planned)
    else:
        outcome = expected(planned, target, tolerance)
    return NextCut(model.deep(depth), now.before, now.zero, outcome, planned, ())


def last_step(now: Standing) -> NextCut:
    """The cut that ends at the target as the readings have it.

    Raises:
        InputError: nothing was read after the first cut.
        Stopped: nothing is left to cut, or a cut would bring the piston no nearer to its target.
    """
    progress, model = now.progress, now.model
    target, tolerance = model.design.target, model.design.received.job.dish.tolerance
    depth = last_depth(now)
    form = model.cut_form(model.deep(depth).cut, now.old_u)
    planned = progress.cut(form, now.zero)
    outcome, as_it_is = expected(progress, target, tolerance, planned), expected(progress, target, tolerance)
    if _scatter(outcome, target) >= _scatter(as_it_is, target):  # as after a coarse fresh touch
        raise Stopped(nothing_left(as_it_is.volume, target))
    found: list[Finding] = []
    wiser = another_is_wiser(progress, form, now.zero, target, tolerance)
    if wiser is not None:
        found.append(Finding("warning", "short-cut-wiser", wiser, advice="make --stage first once more"))
    return NextCut(model.deep(depth), now.before, now.zero, outcome, planned, tuple(found))


def _scatter(outcome: Expected, target: float) -> float:
    """Root of the mean square of what is missed, mm3."""
    return math.hypot(outcome.volume - target, outcome.u)


def one_cut(design: Design, history: Sequence[Entry], known: Known | None) -> list[Finding]:
    """Beforehand: whether one cut without a reading of it will keep the tolerance."""
    progress = started(design, history, known or Known())
    if progress.burette is None:
        return []
    old, u_old = old_of(progress)
    model = Model(design, old)
    form = model.cut_form(model.deep(model.depth_for(design.target)).cut, u_old)
    tolerance = design.received.job.dish.tolerance
    found = ahead(progress, [(form, first_zero(design.skim))], design.target, tolerance)
    if found.chance >= LEAST_CHANCE:
        return []
    what = (
        f"one cut without a reading keeps the tolerance in {found.chance:.0%} of cases: "
        f"its volume is known to +- {cc(2 * found.u):.2g} cc (k = 2)"
    )
    advice = "cut it with --stage first, read it, then --stage last"
    return [Finding("warning", "one-cut-unsure", what, advice=advice)]


def in_reach(design: Design, history: Sequence[Entry], known: Known, *, gains: bool = False) -> list[Finding]:
    """Beforehand: whether first and last cut will keep the tolerance, and what would reach it.

    `gains` tells besides how true the finished volume will be with each zero of the last cut.
    """
    progress = started(design, history, known)
    if progress.burette is None:
        return []
    old, u_old = old_of(progress)
    model = Model(design, old)
    form = model.cut_form(model.deep(model.depth_for(design.target)).cut, u_old)
    tolerance, zero = design.received.job.dish.tolerance, design.received.job.zero
    first = first_zero(design.skim)
    chance = ahead(progress, [(form, first), (form, zero)], design.target, tolerance).chance
    plan = ComingCuts(progress.form, form, form, first, zero, design.target, tolerance)
    setup = replace(progress.setup, old_dish=u_old)
    told: list[Finding] = []
    if gains:
        told = [Finding("note", "zero-gains", what_the_zero_gains(plan, setup, progress.burette))]
    if chance >= LEAST_CHANCE:
        return told
    found = reach(plan, setup, progress.burette, other_burettes(design.target))
    advice = "; or ".join(found.remedies) or "allow a larger dish.tolerance_cc"
    what = (
        f"burette, refit and area put the tolerance out of reach: kept in {found.chance:.0%} of cases; "
        f"{cc(found.tolerance):.3f} cc would be kept in {LEAST_CHANCE:.0%}"
    )
    value, limit = cc(found.tolerance), cc(tolerance)
    return [*told, Finding("warning", "tolerance-out-of-reach", what, value, limit, "cc", advice)]
