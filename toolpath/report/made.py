"""The report of a recut: its figures gathered from section, plan, program and readback."""

from typing import TYPE_CHECKING

from toolpath.forms.table import DISH
from toolpath.geometry.segments import Line, Segment
from toolpath.profile.engine import ratios
from toolpath.program.text import Made
from toolpath.program.timing import timing_of
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.report.figures import (
    ClearanceFigures,
    CompressionFigures,
    ExpectedFigures,
    PlanFigures,
    ProgramFigures,
    ReadbackFigures,
    RemovedFigures,
    Report,
    SectionFigures,
    SegmentFigures,
    SegmentsFigures,
    TableFigures,
    VolumeFigures,
)
from toolpath.units import cc

if TYPE_CHECKING:
    from toolpath.motion.frame import Frame
    from toolpath.program.by_hand import ByHand
    from toolpath.readback.verdict import Readback
    from toolpath.table.readout import Readout


def report_of(recut: Recut, by_hand: "ByHand | None" = None) -> Report:
    """The report of one recut of which no files are written; the table's figures where it was made."""
    return _report(recut, None, None, by_hand)


def report_with_program(recut: Recut, made: Made, file: str, by_hand: "ByHand") -> Report:
    """The report beside a program in a file of that (bare) name."""
    return _report(recut, _program(recut, made.frame, file), made.readback, by_hand)


def report_with_table(recut: Recut, by_hand: "ByHand") -> Report:
    """The report beside a table that stands for the program."""
    return _report(recut, _program(recut, by_hand.readout, None), by_hand.readback, by_hand)


def _report(
    recut: Recut,
    program: ProgramFigures | None,
    back: "Readback | None",
    by_hand: "ByHand | None",
) -> Report:
    return Report(
        stage=recut.stage,
        piston=recut.piston,
        mark=recut.mark,
        job_fingerprint=recut.job.fingerprint,
        section=_section(recut),
        volume=_volume(recut),
        removed=_removed(recut),
        program=program,
        plan=_plan(recut),
        readback=None if back is None else readback_figures(back),
        table=None if by_hand is None else _table(by_hand),
        compression=_compression(recut),
        clearance=_clearance(recut),
        expected=_expected(recut),
        from_shop=recut.job.from_shop,
        overrides=recut.job.overrides,
        findings=(*recut.findings, *(() if by_hand is None else by_hand.findings)),
    )


def _section(recut: Recut) -> SectionFigures:
    design = recut.design
    return SectionFigures(
        form=design.shape.form,
        depth_mm=design.depth,
        mouth_diameter_mm=2 * design.mouth,
        mouth_without_break_mm=2 * design.bare_mouth,
        corner_radius_mm=design.shape.corner if "corner_radius" in DISH[design.shape.form].keys else None,
        floor_thickness_mm=recut.clearance.crown.floor_thickness,
        segments=SegmentsFigures(
            tuple(map(_segment, recut.finished.segments)), tuple(map(_segment, design.old.segments))
        ),
    )


def _segment(s: Segment) -> SegmentFigures:
    ends = (s.r1, s.z1), (s.r2, s.z2)
    if isinstance(s, Line):
        return SegmentFigures("line", *ends, None, None, None)
    return SegmentFigures("arc", *ends, (s.rc, s.zc), s.radius, s.lower)


def _volume(recut: Recut) -> VolumeFigures:
    design = recut.design
    return VolumeFigures(
        as_received_cc=cc(design.as_received_seen),
        after_skim_cc=cc(design.skimmed_seen),
        target_cc=cc(design.target),
        finished_cc=cc(design.seen(design.finished.volume_below())),
    )


def _removed(recut: Recut) -> RemovedFigures:
    volume = cc(recut.removed_volume)
    return RemovedFigures(volume, volume * float(table("materials")[recut.job.piston.material]["density"]))


def _program(recut: Recut, stated: "Frame | Readout", file: str | None) -> ProgramFigures:
    touch = recut.touch_off
    return ProgramFigures(
        post=recut.job.machine.post,
        file=file,
        units=stated.units,
        x_reading=stated.x_reading,
        control_point=stated.control_point,
        insert_radius_mm=stated.insert_radius,
        z_zero="finished crown",
        z_to_set=touch.z_to_set,
        x_to_set=touch.x_to_set * (2 if stated.x_reading == "diameter" else 1),
    )


def _table(by_hand: "ByHand") -> TableFigures:
    readout = by_hand.readout
    return TableFigures(
        units=readout.units,
        x_reading=readout.x_reading,
        control_point=readout.control_point,
        resolution=readout.resolution,
        rows=len(by_hand.table.rows),
        step_height_mm=by_hand.plan.step_left,
        expected_cc=cc(by_hand.expected),
        left_to_blend_cc=cc(by_hand.plan.left_to_blend),
        depth_mm=by_hand.plan.depth,
        floor_thickness_mm=by_hand.limits.floor_thickness,
    )


def _plan(recut: Recut) -> PlanFigures:
    plan, timing = recut.plan, timing_of(recut)
    return PlanFigures(
        passes=len(plan.passes),
        passes_skim=plan.count("skim"),
        passes_rough=plan.count("rough", "semi"),
        passes_finish=plan.count("finish", "break"),
        cutting_s=timing.times.cutting_s,
        total_s=timing.times.total_s,
        bound_s=timing.bound_s,
        feed_in_metal_share=timing.economy.share,
    )


def readback_figures(back: "Readback") -> ReadbackFigures:
    """The figures of a readback."""
    return ReadbackFigures(
        volume_cc=cc(back.volume),
        gouge_mm=back.gouge,
        stock_left_mm=back.stock_left,
        rapid_contacts=back.rapid_contacts,
        past_centre=back.past_centre,
        worst_line=back.worst_line,
    )


def _clearance(recut: Recut) -> ClearanceFigures:
    flank, holder = recut.clearance.flank, recut.clearance.holder
    return ClearanceFigures(
        flank_contact_height_mm=None if flank is None else flank.contact_height,
        insert_underside_room_mm=None if flank is None else flank.underside_room,
        holder_gap_mm=None if holder is None else holder.gap,
    )


def _expected(recut: Recut) -> ExpectedFigures | None:
    if recut.next_cut is None:
        return None
    outcome = recut.next_cut.expected
    above = recut.design.received.over_crown(recut.design.skim)  # the burette shows that too
    return ExpectedFigures(cc(outcome.volume + above), cc(outcome.u), outcome.chance)


def _compression(recut: Recut) -> CompressionFigures | None:
    design = recut.design
    received, engine = design.received, design.received.engine
    if engine is None:
        return None
    turned = design.finished.volume_below()
    if recut.next_cut is not None:  # what the readings make it expected
        turned = recut.next_cut.expected.volume - received.beside(design.skim, cut=True)
    found = ratios(
        engine,
        as_received=received.hollow(received.section.volume_below(), 0.0, cut=False),
        skimmed=received.hollow(design.skimmed.volume_below(), design.skim, cut=False),
        finished=received.hollow(turned, design.skim, cut=True),
        skim=design.skim,
    )
    return CompressionFigures(found.as_received, found.both, found.skim_alone, found.dish_alone)
