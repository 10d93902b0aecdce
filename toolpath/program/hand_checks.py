"""The checks of a recut, made again for the section and the travel of the rows of its table."""

import math

from toolpath.clearance.holder import TOUCH
from toolpath.clearance.room import clearance_of
from toolpath.findings import Finding
from toolpath.geometry.chain import Chain, deeper, stretches_above
from toolpath.geometry.reach import centre_curve
from toolpath.geometry.tolerance import NO_METAL
from toolpath.planner.entry import Leg
from toolpath.planner.passes import Pass, climbing, last_metal
from toolpath.planner.plan import Plan, Work
from toolpath.planner.steps import Step, steps_of
from toolpath.planner.stock import Stock
from toolpath.profile import engine as engines
from toolpath.profile import limits as crown
from toolpath.profile.limits import Limits
from toolpath.recut import Recut
from toolpath.table.rows import RowCut
from toolpath.table.solved import DroPlan


def left_in_crown(recut: Recut, plan: DroPlan) -> Limits:
    """What metal the rows themselves leave, before anything is blended."""
    level = Chain.flat(0.0, plan.surface.outer)
    return crown.limits(deeper(plan.surface, level), recut.job.piston, recut.design.skim)


def findings_by_hand(recut: Recut, plan: DroPlan) -> tuple[Finding, ...]:
    """What the rows have to say that the recut has not said: on the blended section, which is the deeper one."""
    design, job = recut.design, recut.job
    steps = _travel(recut, plan) if job.holder is not None else ()
    _, found = clearance_of(design, plan.work, _contour(plan.work), steps, under=TOUCH)
    if design.received.engine is not None:
        found += engines.findings(design.received.engine, design.skim - plan.crown)
    told = {f.code for f in recut.findings}
    return tuple(f for f in found if f.severity == "refused" or f.code not in told)


def _contour(work: Work) -> Chain | None:
    """The way of the insert's centre along the finished dish, which blending follows; None where no dish is cut."""
    radius, outer = work.stock.radius, work.stock.surface.outer
    faced = deeper(work.stock.surface, Chain.flat(0.0, outer))
    stock = Stock(faced, faced, radius)
    path = centre_curve(work.cut, radius)
    metal = stretches_above(stock.centre, path, by=NO_METAL)
    if not metal:
        return None
    first = metal[0][0]
    return climbing(path, first, last_metal(stock, path, first, max(metal[-1][1], work.mouth)), math.inf)


def _travel(recut: Recut, plan: DroPlan) -> tuple[Step, ...]:
    """The rows as moves: in from clear of the work, along the row, out again."""
    stock, passes = plan.work.stock, []
    for cut in plan.cuts:
        legs = _legs(cut, plan)
        start = stock.wary_centre.at(min(legs[0].starts_at, stock.wary_centre.outer))
        descend = max(legs[0].start_height, start + recut.job.cutting.clearance)
        passes.append(Pass("skim" if cut.cut == "skim" else "rough", legs, descend, 0.0, stock))
        stock = stock.after(leg.path for leg in legs)
    return steps_of(Plan(plan.work, tuple(passes), stock), recut.running)


def _legs(cut: RowCut, plan: DroPlan) -> tuple[Leg, ...]:
    """A row as legs; bites come in from their first X to X start."""
    at, path = plan.readout, cut.path(plan.readout)
    run = Leg(Chain((path,)), outward=cut.x_stop > cut.x_start)
    if cut.bites_from is None or cut.bites_from <= cut.x_start:
        return (run,)
    return (Leg(Chain((path.clipped(path.r1, at.x(cut.bites_from)),)), outward=False), run)
