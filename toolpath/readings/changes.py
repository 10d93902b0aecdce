"""What the job says now against what was cut: free, told, or refused."""

from collections.abc import Iterator
from math import degrees

from toolpath.findings import Finding, Severity
from toolpath.forms.sections import mouth_radius
from toolpath.profile.design import Design
from toolpath.readings.facts import CutFacts, OldDish
from toolpath.uncertainty.budget import Zero

SAME = 1e-4  # mm, or degrees: what a fact keeps of a number
SAME_VOLUME = 0.01  # mm3


def old_dish(design: Design) -> OldDish:
    """The dish as received as the job states it now."""
    received = design.received
    form = received.job.existing.form
    if not received.job.existing.is_dish:
        return OldDish(form, 0.0, 0.0, 0.0)
    section = received.section
    return OldDish(form, 2 * mouth_radius(section), -section.lowest, section.volume_below())


def changes(facts: CutFacts, design: Design, stated: OldDish, zero: Zero) -> Iterator[Finding]:
    """What differs between a cut as it was made and the job as it is; `stated` is the old dish of the job.

    A changed form, mouth, corner or wall is computed truly and told; a skim or old dish cannot be: the metal of
    the first cut was taken by other numbers. An insert or programmed point can only with a zero touched anew.
    """
    job, now, then = design.received.job, design.shape, facts.shape
    if abs(facts.skim - design.skim) > SAME:
        yield _differs("refused", "crown.skim", f"{facts.skim:.3f} mm", f"{design.skim:.3f} mm", RESTORE)
    if _other_dish(facts.old, stated):
        yield _differs("refused", "existing", facts.old.words(), stated.words(), RESTORE)
    tool: Severity = "warning" if zero == "fresh" else "refused"
    touch = (
        "" if zero == "fresh" else f"with the zero {zero} the tool must be the same: state setup.zero = fresh"
    )
    if abs(then.insert_radius - now.insert_radius) > SAME:
        radii = f"R {then.insert_radius:.3f} mm", f"R {now.insert_radius:.3f} mm"
        yield _differs(tool, "tool.insert", *radii, touch)
    if facts.control_point != job.tool.control_point:
        yield _differs(tool, "tool.control_point", facts.control_point, job.tool.control_point, touch)
    both = "the finished part is the deeper of both cuts"
    if then.form != now.form:
        yield _differs("warning", "dish.form", then.form, now.form, both)
    lengths = (
        ("dish.mouth_diameter", 2 * (then.mouth or 0.0), 2 * (now.mouth or 0.0), "mm"),
        ("dish.corner_radius", then.corner, now.corner, "mm"),
        ("dish.wall_angle", degrees(then.wall), degrees(now.wall), "deg"),
        ("dish.floor_angle", degrees(then.fall), degrees(now.fall), "deg"),
        ("dish.lip_break", then.lip, now.lip, "mm"),
    )
    for key, before, after, unit in lengths:
        if abs(before - after) > SAME and then.form == now.form:
            yield _differs("warning", key, f"{before:.3f} {unit}", f"{after:.3f} {unit}", both)


def unlogged(design: Design) -> Iterator[Finding]:
    """A cut of which only a reading is known has what the job solves today."""
    job = design.received.job
    if job.dish.depth is not None and job.dish.volume is not None:
        what = (
            f"no make of the cut before is in the log: it is taken to have the mouth ({2 * design.mouth:.3f} mm) "
            f"and skim ({design.skim:.3f} mm) that this target gives"
        )
        advice = (
            "if the target was changed since, state mouth and skim as they were cut and leave out the depth"
        )
        yield Finding("note", "solved-anew", what, advice=advice)


RESTORE = "put it back to what was cut, or begin this piston anew with dishpath reading --undo"


def _differs(severity: Severity, key: str, then: str, now: str, advice: str) -> Finding:
    what = f"{key} was {then} when this piston was cut, the job says {now} now"
    return Finding(severity, "job-changed", what, advice=advice)


def _other_dish(then: OldDish, now: OldDish) -> bool:
    lengths = ((then.mouth, now.mouth), (then.depth, now.depth))
    return (
        then.form != now.form
        or any(abs(a - b) > SAME for a, b in lengths)
        or abs(then.volume - now.volume) > SAME_VOLUME
    )
