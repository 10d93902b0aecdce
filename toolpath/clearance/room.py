"""Room round the tool and metal left in the crown of a planned recut."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from toolpath.clearance import flank
from toolpath.clearance.flank import Flank
from toolpath.clearance.heel import rub
from toolpath.findings import Finding
from toolpath.geometry.chain import Chain
from toolpath.job.model import Job
from toolpath.planner.plan import Work, finished_section
from toolpath.planner.steps import Step
from toolpath.profile import crown_formula
from toolpath.profile import limits as crown
from toolpath.profile.design import Design
from toolpath.tool.insert import Insert

if TYPE_CHECKING:
    from toolpath.clearance.travel import HolderClearance


class Clearance(NamedTuple):
    """Room round the tool and metal left in the crown; mm."""

    flank: Flank | None  # None where no dish is cut
    holder: "HolderClearance | None"  # None where no holder is stated
    crown: crown.Limits


def clearance_of(
    design: Design, work: Work, contour: Chain | None, steps: Sequence[Step], *, under: float = math.inf
) -> tuple[Clearance, list[Finding]]:
    """Measure the room and the metal, with what they have to say; `contour` is the path of the finishing cut.

    Where no gap of the holder is smaller than `under` (mm), one of the others stands for the smallest.
    """
    job, insert = design.received.job, design.insert
    section = finished_section(work)
    left = crown.limits(section, job.piston, design.skim)
    found = crown.findings(left, job.piston)
    held = None
    if job.holder is not None:
        from toolpath.clearance import holder

        held, told = holder.check(work.stock, steps, job.holder, insert, under=under)
        found += told
    e, floor = job.engine, left.floor_thickness
    if e is not None and e.peak_pressure is not None and e.crown_stress is not None and floor is not None:
        found.append(crown_formula.advice(floor, e.peak_pressure, e.bore, e.crown_stress))
    below = None
    if contour is not None:
        below = _flank(section, contour, steps, job, insert)
        height = None if job.holder is None else job.holder.height_below_edge
        found += flank.findings(below, insert.thickness, height)
    return Clearance(below, held, left), found


def _flank(section: Chain, path: Chain, steps: Sequence[Step], job: Job, insert: Insert) -> Flank:
    height = None if job.holder is None else job.holder.height_below_edge
    relief = insert.relief + job.tool.seat_tilt
    found = flank.below_edge(section, insert.radius, relief, insert.thickness, path, height)
    if found.contact_height <= 0:
        return found
    down_to = found.contact_height if insert.thickness is None else insert.thickness
    rubs = rub(steps, insert.radius, relief, min(down_to, found.contact_height))
    return found if rubs is None else found.met_earlier(rubs.height, rubs.x, rubs.where)
