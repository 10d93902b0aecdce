"""What the plan has to say: bites, entering angle, spindle cap, interrupted skims."""

import math
from collections.abc import Iterator

from toolpath.findings import Finding
from toolpath.job.means import Cutting
from toolpath.job.model import Job
from toolpath.planner.passes import Pass
from toolpath.planner.plan import Plan
from toolpath.profile.design import Design
from toolpath.tool import cutting_data
from toolpath.tool.insert import Insert

COARSE = 0.1  # of the insert's radius, a revolution; a coarser feed leaves marks that show


def _negative_x(job: Job, insert: Insert, plan: Plan) -> Iterator[Finding]:
    """X of the inner side below zero, which it is while the insert's centre is inside its own radius."""
    least = min((leg.path.inner for one in plan.passes for leg in one.legs), default=insert.radius)
    if job.tool.control_point != "face-inner" or least >= insert.radius:
        return
    may = job.machine.negative_x
    if job.cutting.surface_speed is not None:
        yield Finding(
            "warning",
            "speed-at-negative-x",
            "with constant surface speed the control takes the speed from X; X passes zero while the insert "
            "still cuts further out, and there the spindle goes up to its cap",
            job.cutting.rpm_limit,
            None,
            "rev/min",
            "state cutting.fixed_rpm, or use face-outer or insert-centre",
        )
    yield Finding(
        "note" if may else "refused",
        "negative-x",
        "X of the insert's inner side goes below zero near the axis"
        + ("" if may else ", and machine.negative_x is false"),
        least - insert.radius,
        None if may else 0.0,
        "mm",
        "" if may else "use face-outer or insert-centre on this machine",
    )


def _chip(one: Pass, radius: float, cut: Cutting) -> float:
    """Thickness of the chip at the greatest bite of a pass, mm."""
    feed = cut.finish_feed if one.kind == "finish" else cut.feed
    return cutting_data.chip_thickness(feed, cutting_data.entering_angle(one.bite, radius))


def _for_a_thicker_chip(plan: Plan, thinnest: Pass) -> str:
    """What can still be done about a chip that is too thin: it depends on the pass that takes it."""
    if thinnest.kind == "skim":
        return "raise cutting.feed, or skim in fewer passes (cutting.skim_depth_of_cut)"
    if any(p.kind == "rough" for p in plan.passes):
        return "raise cutting.feed, or leave more for the finishing cut (cutting.allowance)"
    return "raise cutting.feed; there is no more metal to leave for this cut"


def running_findings(design: Design, plan: Plan) -> Iterator[Finding]:
    """Advice on cutting data: chip, roughness, speed, and what pockets do to the skim."""
    job, radius = design.received.job, design.insert.radius
    yield from _negative_x(job, design.insert, plan)
    cut = job.cutting
    bites = [p.bite for p in plan.passes if p.kind in ("rough", "semi")]
    least = job.min_chip
    for key, feed in {"feed": cut.feed, "finish_feed": cut.finish_feed}.items():
        if feed > COARSE * radius and (key == "feed" or feed != cut.feed):
            what = f"cutting.{key} is over a tenth of the insert radius"
            advice = "take a finer feed unless the marks on floor and wall do not matter"
            yield Finding("warning", "coarse-feed", what, feed, COARSE * radius, "mm/rev", advice)
    if plan.passes:
        thinnest = min(plan.passes, key=lambda p: _chip(p, radius, cut))
        chip = _chip(thinnest, radius, cut)
        if chip < least:
            yield Finding(
                "warning",
                "thin-chip",
                f"at a depth of cut of {thinnest.bite:.3f} mm the edge rubs and does not cut: thickness of the chip",
                chip,
                least,
                "mm",
                _for_a_thicker_chip(plan, thinnest),
            )
        yield Finding(
            "note",
            "roughness",
            f"height of the feed marks on the floor, f^2/(8R), at {cut.finish_feed:.3f} mm/rev",
            1000 * cutting_data.roughness(cut.finish_feed, radius),
            None,
            "um",
        )
    if bites:
        angle = cutting_data.entering_angle(max(bites), radius)
        yield Finding(
            "note",
            "entering-angle",
            f"entering angle at the greatest depth of cut, {max(bites):.3f} mm "
            f"(chip {cutting_data.chip_thickness(cut.feed, angle):.3f} mm thick)",
            math.degrees(angle),
            None,
            "deg",
        )
    if cut.surface_speed is not None:
        cap = cutting_data.cap_diameter(cut.surface_speed, cut.rpm_limit)
        rim = cutting_data.spindle_speed(design.received.outer, cut.surface_speed)
        yield Finding(
            "note",
            "speed-cap",
            f"the spindle turns {min(rim, cut.rpm_limit):.0f} rev/min at the rim and reaches its cap of "
            f"{cut.rpm_limit:.0f} rev/min at diameter",
            cap,
            None,
            "mm",
        )
    if job.pocket and design.skim > 0:
        yield Finding(
            "note",
            "interrupted-skim",
            "the skim is an interrupted cut, since it runs over the valve pockets",
            advice="take a tough insert, and a lower speed for the skim",
        )
    if design.skim > 0 and job.setup.crown_touched == "finished":
        yield Finding(
            "refused",
            "crown-touched",
            "setup.crown_touched is finished, but this stage skims the crown",
            design.skim,
            0.0,
            "mm",
            "touch the as-received crown before a skim",
        )
