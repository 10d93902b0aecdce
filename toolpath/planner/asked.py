"""What a job asks of its passes and of the machine: depths of cut, ramps, speeds, positions, the proof."""

import math

from toolpath.job.model import Job
from toolpath.job.rules import MOST_FEED
from toolpath.planner.passes import FINISH_RAMP, Rules
from toolpath.planner.steps import Proof, Running
from toolpath.reference import table
from toolpath.tool.cutting_data import spindle_speed
from toolpath.tool.heel import steepest_ramp
from toolpath.tool.insert import Insert
from toolpath.tool.spindle import spindle_sense
from toolpath.tool.stated import insert_of
from toolpath.units import MM_PER_INCH

# common practice, no source, for all of these
AIR_FEED = 6.0  # times the feed, from the end of a rapid to where metal may begin
UNDER_RELIEF = math.radians(1)  # a ramp is at least this much flatter than the flank
LEAST_RAMP = math.radians(0.5)
BEYOND = 0.5  # mm that a facing pass starts outside the crown's edge: a land is turned oval
GAUGE = {"mm": 20.0, "inch": 0.75}  # before the finished crown at the proof, program units
START_X, START_Z = 10.0, 60.0  # mm outside the edge and before the crown: room to draw the piston off


def rules_of(job: Job) -> Rules:
    """How the passes are laid out."""
    cut = job.cutting
    insert = insert_of(job)
    relief = insert.relief + job.tool.seat_tilt
    most = relief - UNDER_RELIEF  # a steeper floor meets the heel
    usual = math.radians(table("materials")[job.piston.material]["ramp"])
    clear = steepest_ramp(insert.radius, relief, insert.thickness)
    ramp = max(LEAST_RAMP, min(usual, most, clear)) if cut.ramp_angle is None else cut.ramp_angle
    return Rules(
        skim_depth=cut.skim_depth_of_cut,
        dish_depth=cut.dish_depth_of_cut,
        allowance=cut.allowance,
        ramp=ramp,
        clearance=cut.clearance,
        beyond=BEYOND,
        thin_ramp=max(ramp, min(FINISH_RAMP, most)),
    )


def proof_of(job: Job, insert: Insert, skim: float, words: str) -> Proof | None:
    """The stop with a gauge between the insert and the finished crown; longer where more stands over it."""
    if not job.machine.proof_stop:
        return None
    inch = job.machine.program_units == "inch"
    unit = MM_PER_INCH if inch else 1.0
    gauge = GAUGE["inch" if inch else "mm"]
    gauge *= math.ceil((skim + job.cutting.clearance) / (gauge * unit))
    x = job.piston.crown_diameter / 2 - insert.radius
    name = "IN" if inch else "MM"
    gap = None
    if skim > 0:
        left = f"{gauge - skim / unit:.{4 if inch else 3}f}"
        gap = f"Gap to the crown as it stands: {left} {name}"
    return Proof(x, gauge * unit + insert.radius, f"{words} - GAUGE {gauge:g} {name}", gap)


def running_of(job: Job, insert: Insert, skim: float, words: str) -> Running:
    """Speeds and positions; the start is far enough to draw the piston off its spigot."""
    cut, machine = job.cutting, job.machine
    outer = job.piston.crown_diameter / 2
    coolant = machine.coolant
    if coolant == "auto":
        coolant = "on" if table("materials")[job.piston.material]["coolant"] == "wet" else "off"
    if cut.fixed_rpm is not None:
        start = cut.fixed_rpm
    else:
        assert cut.surface_speed is not None
        start = min(cut.rpm_limit, spindle_speed(outer, cut.surface_speed))
    return Running(
        feed=cut.feed,
        finish_feed=cut.finish_feed,
        surface_speed=cut.surface_speed,
        finish_speed=cut.finish_speed,
        finish_rpm=float(int(start if cut.finish_rpm is None else cut.finish_rpm)),
        rpm_limit=cut.rpm_limit,
        start_rpm=float(int(start)),
        sense=spindle_sense(job),
        coolant=coolant == "on",
        stops=machine.optional_stops,
        safe_z=skim + insert.radius + cut.clearance,
        clearance=cut.clearance,
        air_feed=max(cut.feed, min(AIR_FEED * cut.feed, insert.radius * MOST_FEED)),
        start_x=outer + insert.radius + (START_X if machine.start_x is None else machine.start_x),
        start_z=skim + insert.radius + (START_Z if machine.start_z is None else machine.start_z),
        proof=proof_of(job, insert, skim, words),
        swing=machine.index,
    )
