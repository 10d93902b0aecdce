"""Whether the piston slips in its fixture, by the greatest bite of the plan."""

from typing import TYPE_CHECKING

from toolpath.findings import Finding
from toolpath.planner.plan import Plan
from toolpath.profile.design import Design
from toolpath.reference import table
from toolpath.tool import cutting_data

if TYPE_CHECKING:
    pass


def grip_findings(design: Design, plan: Plan) -> list[Finding]:
    """Whether the piston slips, by the greatest bite at the largest radius; nothing without [holding]."""
    job = design.received.job
    stated = job.holding
    if stated is None:
        return []
    from toolpath.workholding import holding

    found: list[Finding] = []
    if stated.rpm_limit is not None:
        fixed, finish, cap = job.cutting.fixed_rpm, job.cutting.finish_rpm, job.cutting.rpm_limit
        fastest = cap if fixed is None else max(fixed, finish or 0.0)
        found += holding.speed_findings(fastest, stated.rpm_limit)
    if stated.dummy_pin is not None and stated.pin_bore is not None:
        found += holding.bar_findings(stated.dummy_pin, stated.pin_bore)
    clamp = stated.clamp_force
    if clamp is None and stated.torque is not None and stated.thread is not None:
        clamp = holding.clamp_force(stated.torque, holding.thread_diameter(stated.thread))
    if clamp is None or stated.seat_diameter is None or plan.greatest_bite <= 0:
        return found
    material, bite = table("materials")[job.piston.material], plan.greatest_bite
    feed = max(job.cutting.feed, job.cutting.finish_feed)
    angle = cutting_data.entering_angle(bite, design.insert.radius)
    chip = cutting_data.chip_thickness(feed, angle)
    kc = cutting_data.specific_force(material["kc11"], material["mc"], chip)
    seat = holding.Seat(stated.seat_diameter / 2, stated.friction)
    held = holding.grip(seat, clamp, kc=kc, bite=bite, feed=feed, radius=design.received.outer)
    return found + list(holding.grip_findings(held, min_factor=stated.min_factor, max_force=stated.max_force))
