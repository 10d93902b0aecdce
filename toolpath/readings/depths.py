"""How deep the next cut of a piston goes, as its readings have it."""

from collections.abc import Callable

from toolpath.errors import InputError
from toolpath.findings import Finding, Stopped
from toolpath.readings.sensitivity import Model
from toolpath.readings.standing import Standing
from toolpath.tool.cutting_data import least_bite
from toolpath.uncertainty.stages import Form, first_target, last_target
from toolpath.units import cc

LEAST_CUT = 0.005  # mm; a shallower last cut is none
ROUNDS = 3  # of solving for a depth with the answers at that depth


def first_depth(now: Standing) -> float:
    """Depth (mm) of the deepest cut whose chance to overshoot the target is small enough.

    It also leaves the last cut a bite whose chip is thick enough to cut.

    Raises:
        Stopped: so little is left that no cut is sure to stop short.
    """
    target = now.model.design.target

    def aim(form: Form) -> float:
        return float(first_target(now.progress, form, now.zero, target))

    whole = now.model.depth_for(target)
    depth = min(_solved(now, whole, aim, wary=True), whole - _finishing_bite(now.model))
    if not cuts_metal(now, depth):
        what = "no further cut is sure to stop short of the target"
        advice = "take the last cut: --stage last" if now.cuts else "read the piston as received first"
        raise Stopped(Finding("refused", "no-short-cut", what, depth, now.stands, "mm", advice))
    return depth


def last_depth(now: Standing) -> float:
    """Depth (mm) of the cut that ends at the target as the readings have it.

    Raises:
        InputError: nothing was read after the first cut.
        Stopped: nothing is left to cut.
    """
    if not now.cuts:
        raise InputError("--stage last: this piston has no reading after its first cut; enter it first")
    target = now.model.design.target
    volume = float(now.progress.volume().mean)

    def aim(form: Form) -> float:
        return float(last_target(now.progress, form, now.zero, target))

    depth = _solved(now, now.model.depth_for(target), aim) if volume < target else 0.0
    if not cuts_metal(now, depth):
        raise Stopped(nothing_left(volume, target))
    return depth


def _solved(now: Standing, depth: float, aim: Callable[[Form], float], *, wary: bool = False) -> float:
    """The depth (mm) at which a cut's own answers to errors make the aim (mm3, over the nominal old dish)."""
    model = now.model
    for _ in range(ROUNDS):
        form = model.cut_form(model.deep(depth).cut, now.old_u, wary=wary)
        depth = model.depth_for(max(_nominal(model, form, aim(form)), model.least_seen))
    return depth


def cuts_metal(now: Standing, depth: float) -> bool:
    """Whether a cut of that depth takes more than a breath off what stands."""
    model = now.model
    if model.stands is None or _same_form(now):
        return depth > now.stands + LEAST_CUT
    cut = model.deep(depth).cut
    more = model.deep(depth + LEAST_CUT).cut
    return model.seen(cut) - model.seen(None) > model.seen(more) - model.seen(cut)


def _same_form(now: Standing) -> bool:
    """Whether the job still asks for the form that the latest cut has."""
    facts = now.cuts[-1].facts if now.cuts else None
    if facts is None:
        return True
    now_shape, then = now.model.design.shape, facts.shape
    same = now_shape.form == then.form
    pairs = ((now_shape.mouth, then.mouth), (now_shape.corner, then.corner))
    more = ((now_shape.wall, then.wall), (now_shape.fall, then.fall))
    return same and all(abs((a or 0.0) - (b or 0.0)) < LEAST_CUT / 10 for a, b in (*pairs, *more))


def _finishing_bite(model: Model) -> float:
    """The least depth (mm) that the last cut needs so that its edge cuts and does not rub."""
    job = model.design.received.job
    return least_bite(job.min_chip, job.cutting.finish_feed, model.design.insert.radius)


def nothing_left(volume: float, target: float) -> Finding:
    """What is said where no cut would bring a piston nearer to its target; mm3."""
    what = "nothing is left to cut: by its readings this piston is at its target, over it, or too near it"
    advice = "see dishpath pistons, for the set and a common target"
    return Finding("refused", "nothing-to-cut", what, cc(volume), cc(target), "cc", advice)


def _nominal(model: Model, form: Form, aim: float) -> float:
    """The volume to solve for over the old dish as believed, from an aim over the nominal one."""
    return aim + float(form.answers.old) * model.old
