"""Checks on what a job states, before and beside its geometry; each yields findings."""

import math
from collections.abc import Iterator

from toolpath.design import Design
from toolpath.findings import Finding
from toolpath.job.model import Job
from toolpath.moves import Sense
from toolpath.planning import cutting_data
from toolpath.planning.insert import Insert
from toolpath.planning.plan import Plan
from toolpath.reference import table

LAND_MARGIN = 0.5  # mm that the land must stand over the insert's radius when its inner side is touched


def spindle_sense(job: Job) -> Sense:
    """The sense in which the work meets the insert's face.

    Front tool, face up: the near side of the work must come down on it, which is clockwise seen
    from the headstock; each of rear and face down turns it round (ISO 841 for M03: from memory).
    """
    turned = (job.machine.tool_side == "rear") != (job.machine.insert_face == "down")
    return "ccw" if turned else "cw"


def spindle_words(job: Job) -> str:
    """The sense in words, for the head of the program and the sheet."""
    sense = spindle_sense(job)
    way = "clockwise" if sense == "cw" else "counter-clockwise"
    near = "comes down towards" if sense == "cw" else "goes up from"
    return (
        f"Spindle {way} seen from the headstock towards the work; the near side {near} the operator "
        f"({job.machine.tool_side} tool, insert face {job.machine.insert_face})"
    )


def unit_slips(job: Job) -> Iterator[Finding]:
    """Lengths far outside what the bore (or the crown) makes plausible: usually a slip of the unit."""
    crown = job.piston.crown_diameter
    if not 20 <= crown <= 400:
        yield _slip("piston.crown_diameter", crown, 20 if crown < 20 else 400)
        return
    if job.engine is not None and abs(job.engine.bore / crown - 1) > 0.1:
        yield _slip("engine.bore", job.engine.bore, crown)
    elif job.engine is not None and job.engine.bore <= crown:
        what = "engine.bore is no larger than the crown, so the piston would not enter it"
        advice = "measure bore and crown again"
        yield Finding("stop", "unit-slip", what, job.engine.bore, crown, "mm", advice)
    shares = (  # of the crown's diameter; common practice, no source
        ("crown.skim", job.crown.skim, 0.1),
        ("crown.edge_break", job.crown.edge_break, 0.08),
        ("dish.lip_break", job.dish.lip_break, 0.08),
        ("piston.underside_depth", job.piston.underside_depth, 1.0),
        ("piston.top_land", job.piston.top_land, 0.4),
        ("existing.depth", job.existing.depth, 0.5),
        ("dish.depth", job.dish.depth, 0.5),
        ("tool.insert_diameter", job.tool.insert_diameter, 0.6),
        ("cutting.skim_depth_of_cut", job.cutting.skim_depth_of_cut, 0.1),
        ("cutting.dish_depth_of_cut", job.cutting.dish_depth_of_cut, 0.1),
        ("cutting.clearance", job.cutting.clearance, 0.5),
        ("setup.touch_off", job.setup.touch_off, 0.01),
        ("setup.refit", job.setup.refit, 0.01),
        ("setup.feeler", job.setup.feeler, 0.05),
        ("machine.readout", job.machine.readout, 0.005),
    )
    for key, value, share in shares:
        if value is not None and value > share * crown:
            yield _slip(key, value, share * crown)
    if job.engine is not None:
        e = job.engine
        for key, value, low, high in (
            ("engine.stroke", e.stroke, 0.2 * e.bore, 4 * e.bore),
            ("engine.gasket_thickness", e.gasket_thickness, 0.05, 0.1 * e.bore),
            ("engine.deck_clearance", abs(e.deck_clearance), 0.0, 0.15 * e.bore),
        ):
            if not low <= value <= high:
                yield _slip(key, value, low if value < low else high)


def _slip(key: str, value: float, limit: float) -> Finding:
    return Finding(
        "stop",
        "unit-slip",
        f"{key} is far outside what the bore makes plausible",
        value,
        limit,
        "mm",
        "check the decimal point and the unit of this value",
    )


def statements(job: Job, insert: Insert) -> Iterator[Finding]:
    """Contradictions and plain dangers in what the job states."""
    yield from unit_slips(job)
    if job.piston.raised_crown > 0:
        yield Finding(
            "stop",
            "raised-crown",
            "a raised (domed) crown is not for this tool",
            job.piston.raised_crown,
            0.0,
            "mm",
            "the skim and every volume here count from a flat crown",
        )
    stated, derived = job.machine.spindle_sense, spindle_sense(job)
    if stated is not None and stated != derived:
        yield Finding(
            "stop",
            "spindle-sense",
            f"machine.spindle_sense is {stated}, but a {job.machine.tool_side} tool with its face "
            f"{job.machine.insert_face} cuts only with {derived}",
            advice="correct the sense, machine.tool_side or machine.insert_face",
        )
    if job.tool.control_point == "face-inner":
        yield from _face_inner(job, insert)
    yield Finding(
        "note",
        "centre-height",
        "the edge must stand on centre height: off it, the floor keeps a pip and the wall moves",
        advice="face a scrap to the axis and look",
    )


def _face_inner(job: Job, insert: Insert) -> Iterator[Finding]:
    land, need = job.piston.top_land, insert.radius + LAND_MARGIN
    if land is not None and need > land:
        yield Finding(
            "stop",
            "land-under-insert",
            "touched with its inner side, the insert's face reaches below the top land beside the piston",
            land,
            need,
            "mm",
            "touch with the outer side (tool.control_point = face-outer) or use a smaller insert",
        )


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
            "constant surface speed counts from X, which passes zero while the insert cuts further out: the "
            "spindle runs up to its cap there",
            job.cutting.rpm_limit,
            None,
            "rev/min",
            "state cutting.fixed_rpm, or use face-outer or insert-centre",
        )
    yield Finding(
        "note" if may else "stop",
        "negative-x",
        "X of the insert's inner side goes below zero near the axis",
        least - insert.radius,
        None if may else 0.0,
        "mm",
        "" if may else "use face-outer or insert-centre on this machine",
    )


def running(design: Design, plan: Plan) -> Iterator[Finding]:
    """Advice on cutting data: chip, roughness, speed, and what pockets do to the skim."""
    job, radius = design.received.job, design.insert.radius
    yield from _negative_x(job, design.insert, plan)
    cut, material = job.cutting, table("materials")[job.piston.material]
    bites = [p.bite for p in plan.passes if p.kind in ("rough", "semi")]
    least = cut.least_chip if cut.least_chip is not None else float(material["least_chip"])
    thinnest = min((p.bite for p in plan.passes), default=0.0)
    if plan.passes:
        angle = cutting_data.entering_angle(thinnest, radius)
        chip = cutting_data.chip_thickness(cut.feed, angle)
        if chip < least:
            yield Finding(
                "warning",
                "thin-chip",
                f"at a bite of {thinnest:.3f} mm the edge rubs: chip thickness",
                chip,
                least,
                "mm",
                "feed faster, or leave a larger cutting.allowance",
            )
        yield Finding(
            "note",
            "roughness",
            f"height of the feed marks on the floor, f^2/(8R), at {cut.feed:.3f} mm/rev",
            1000 * cutting_data.roughness(cut.feed, radius),
            None,
            "um",
        )
    if bites:
        angle = cutting_data.entering_angle(max(bites), radius)
        yield Finding(
            "note",
            "entering-angle",
            f"entering angle at the greatest bite of {max(bites):.3f} mm "
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
            f"diameter inside which the cap of {cut.rpm_limit:.0f} rev/min holds the spindle "
            f"(at the rim it turns {min(rim, cut.rpm_limit):.0f} rev/min)",
            cap,
            None,
            "mm",
        )
    if job.pocket and design.skim > 0:
        yield Finding(
            "note",
            "interrupted-skim",
            "the skim runs over pockets and is interrupted there",
            advice="take a lower speed for the skim and a tough insert",
        )
    if design.skim > 0 and job.setup.crown_touched == "finished":
        yield Finding(
            "stop",
            "crown-touched",
            "setup.crown_touched is finished, but this stage skims the crown",
            design.skim,
            0.0,
            "mm",
            "touch the as-received crown before a skim",
        )
