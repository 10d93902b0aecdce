"""The report: every figure of a recut under the contract's keys, in mm, cc, s and g."""

from typing import TYPE_CHECKING, Any

from toolpath.findings import Finding
from toolpath.profile.engine import ratios
from toolpath.program.text import Made
from toolpath.program.timing import Timing
from toolpath.recut import Recut
from toolpath.reference import table

if TYPE_CHECKING:
    from toolpath.program.by_hand import ByHand
    from toolpath.readback.verdict import Readback

SCHEMA = "dishpath-report-1"
CC = 1000.0  # mm3


def report(
    recut: Recut,
    timing: Timing | None,
    made: Made | None,
    by_hand: "ByHand | None",
    file: str | None,
    *,
    writing: bool = False,
) -> dict[str, Any]:
    """The report of one recut; `program` and `readback` stay null unless files are being written.

    For a manual lathe the table then stands for the program.
    """
    back = None
    if made is not None:
        back = made.readback
    elif by_hand is not None and writing:
        back = by_hand.readback
    return {
        "schema": SCHEMA,
        "stage": recut.stage,
        "piston": recut.piston,
        "section": _section(recut),
        "volume": _volume(recut),
        "removed": _removed(recut),
        "program": None if back is None else _program(recut, made, by_hand, file),
        "plan": _plan(recut, timing),
        "readback": None if back is None else readback_keys(back),
        "table": None if by_hand is None else _table(by_hand),
        "compression": _compression(recut),
        "clearance": _clearance(recut),
        "expected": _expected(recut),
        "from_shop": list(recut.job.from_shop),
        "overrides": list(recut.job.overrides),
        "findings": [finding_keys(f) for f in recut.findings],
    }


def finding_keys(finding: Finding) -> dict[str, Any]:
    """A finding under the contract's keys."""
    return {
        "severity": finding.severity,
        "code": finding.code,
        "what": finding.what,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "advice": finding.advice,
    }


def _section(recut: Recut) -> dict[str, Any] | None:
    design = recut.design
    if design is None:
        return None
    return {
        "form": design.shape.form,
        "depth_mm": design.depth,
        "mouth_diameter_mm": 2 * design.mouth,
        "corner_radius_mm": design.shape.corner if design.shape.form in ("flat", "tapered") else None,
        "floor_thickness_mm": None if recut.clearance is None else recut.clearance.crown.floor_thickness,
    }


def _volume(recut: Recut) -> dict[str, Any] | None:
    design = recut.design
    if design is None:
        return None
    return {
        "as_received_cc": design.as_received_seen / CC,
        "after_skim_cc": design.skimmed_seen / CC,
        "target_cc": design.target / CC,
        "finished_cc": design.seen(design.finished.volume_below()) / CC,
    }


def _removed(recut: Recut) -> dict[str, Any] | None:
    if recut.plan is None:
        return None
    volume = recut.removed_volume
    density = float(table("materials")[recut.job.piston.material]["density"])
    return {"volume_cc": volume / CC, "mass_g": volume / CC * density}


def _program(recut: Recut, made: Made | None, by_hand: "ByHand | None", file: str | None) -> dict[str, Any]:
    touch = recut.touch_off
    stated = made.frame if made is not None else by_hand.readout if by_hand is not None else None
    assert stated is not None
    return {
        "post": recut.job.machine.post,
        "file": file,
        "units": stated.units,
        "x_reading": stated.x_reading,
        "control_point": stated.control_point,
        "insert_radius_mm": stated.insert_radius,
        "z_zero": "finished crown",
        "z_to_set": touch.z_to_set,
        "x_to_set": touch.x_to_set * (2 if stated.x_reading == "diameter" else 1),
    }


def _table(by_hand: "ByHand") -> dict[str, Any]:
    readout = by_hand.readout
    return {
        "units": readout.units,
        "x_reading": readout.x_reading,
        "control_point": readout.control_point,
        "resolution": readout.resolution,
        "expected_cc": by_hand.expected / CC,
        "left_to_blend_cc": by_hand.left_to_blend / CC,
    }


def _plan(recut: Recut, timing: Timing | None) -> dict[str, Any] | None:
    plan = recut.plan
    if plan is None or timing is None:
        return None
    return {
        "passes": len(plan.passes),
        "passes_skim": plan.count("skim"),
        "passes_rough": plan.count("rough", "semi"),
        "passes_finish": plan.count("finish", "break"),
        "cutting_s": timing.times.cutting_s,
        "total_s": timing.times.total_s,
        "bound_s": timing.bound_s,
        "feed_in_metal_share": timing.economy.share,
    }


def readback_keys(back: "Readback") -> dict[str, Any]:
    """The figures of a readback under the contract's keys."""
    return {
        "volume_cc": back.volume / CC,
        "gouge_mm": back.gouge,
        "stock_left_mm": back.stock_left,
        "rapid_contacts": back.rapid_contacts,
        "past_centre": back.past_centre,
        "worst_line": back.worst_line,
    }


def _clearance(recut: Recut) -> dict[str, Any]:
    room = recut.clearance
    flank = None if room is None else room.flank
    holder = None if room is None else room.holder
    return {
        "flank_contact_height_mm": None if flank is None else flank.contact_height,
        "insert_underside_room_mm": None if flank is None else flank.underside_room,
        "holder_gap_mm": None if holder is None else holder.gap,
    }


def _expected(recut: Recut) -> dict[str, Any] | None:
    if recut.next_cut is None:
        return None
    outcome = recut.next_cut.expected
    return {
        "volume_cc": outcome.volume / CC,
        "u_cc": outcome.u / CC,
        "chance_within_tolerance": outcome.chance,
    }


def _compression(recut: Recut) -> dict[str, Any]:
    design = recut.design
    engine = None if design is None else design.received.engine
    if design is None or engine is None:
        return {"before": None, "after": None}
    received = design.received
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
    return {
        "before": found.as_received,
        "after": found.both,
        "skim_alone": found.skim_alone,
        "dish_alone": found.dish_alone,
    }
