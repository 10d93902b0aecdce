"""Will it clear, and will it hold: tool body, crown and work holding of a planned recut."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from toolpath.design import Design
from toolpath.findings import Finding
from toolpath.job.model import Job
from toolpath.moves import Move
from toolpath.piston import crown_formula
from toolpath.piston import limits as crown
from toolpath.planning import cutting_data, flank
from toolpath.planning.flank import Flank
from toolpath.planning.insert import Insert
from toolpath.planning.plan import Plan, finished_section
from toolpath.reference import table

if TYPE_CHECKING:
    from toolpath.planning.travel import HolderClearance


@dataclass(frozen=True, slots=True)
class Clearance:
    """Room round the tool and metal left in the crown; mm."""

    flank: Flank | None  # None where no dish is cut
    holder: "HolderClearance | None"  # None where no holder is stated
    crown: crown.Limits


def clearance_of(design: Design, plan: Plan, moves: Sequence[Move]) -> tuple[Clearance, list[Finding]]:
    """Measure the room and the metal, with what they have to say."""
    job, insert = design.received.job, design.insert
    section = finished_section(plan.work)
    left = crown.limits(section, job.piston, design.skim)
    found = crown.findings(left, job.piston)
    held = None
    if job.holder is not None:
        from toolpath.planning import holder

        held, told = holder.check(plan, moves, job.holder, insert)
        found += told
    e, floor = job.engine, left.floor_thickness
    if e is not None and e.peak_pressure is not None and e.crown_stress is not None and floor is not None:
        found.append(crown_formula.advice(floor, e.peak_pressure, e.bore, e.crown_stress))
    below = _flank(plan, job, insert)
    if below is not None:
        height = None if job.holder is None else job.holder.height_below_edge
        found += flank.findings(below, insert.thickness, height)
    return Clearance(below, held, left), found


def _flank(plan: Plan, job: Job, insert: Insert) -> Flank | None:
    path = plan.contour
    if path is None:
        return None
    height = None if job.holder is None else job.holder.height_below_edge
    return flank.below_edge(
        finished_section(plan.work),
        insert.radius,
        insert.relief + job.tool.seat_tilt,
        insert.thickness,
        path,
        height,
    )


def grip_findings(design: Design, plan: Plan) -> list[Finding]:
    """Whether the piston slips, by the greatest bite at the largest radius; nothing without [holding]."""
    job = design.received.job
    stated = job.holding
    if stated is None:
        return []
    from toolpath.shop import holding

    found: list[Finding] = []
    if stated.rpm_limit is not None:
        fastest = job.cutting.fixed_rpm or job.cutting.rpm_limit
        found += holding.speed_findings(fastest, stated.rpm_limit)
    if stated.pin_bar is not None and stated.pin_bore is not None:
        found += holding.bar_findings(stated.pin_bar, stated.pin_bore)
    clamp = stated.clamp_force
    if clamp is None and stated.torque is not None and stated.thread is not None:
        clamp = holding.clamp_force(stated.torque, holding.thread_diameter(stated.thread))
    if clamp is None or stated.seat_diameter is None or plan.greatest_bite <= 0:
        return found
    material, feed, bite = table("materials")[job.piston.material], job.cutting.feed, plan.greatest_bite
    angle = cutting_data.entering_angle(bite, design.insert.radius)
    chip = cutting_data.chip_thickness(feed, angle)
    kc = cutting_data.specific_force(material["kc11"], material["mc"], chip)
    seat = holding.Seat(stated.seat_diameter / 2, stated.friction)
    held = holding.grip(seat, clamp, kc=kc, bite=bite, feed=feed, radius=design.received.outer)
    return found + list(
        holding.grip_findings(held, least_factor=stated.least_factor, most_force=stated.most_force)
    )
