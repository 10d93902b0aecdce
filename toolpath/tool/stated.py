"""Contradictions and plain dangers in what a job states, before any geometry."""

from collections.abc import Iterator

from toolpath.findings import Finding
from toolpath.job.model import Job
from toolpath.job.plausible import unit_slips
from toolpath.tool.insert import Insert, decode
from toolpath.tool.spindle import spindle_sense

LAND_MARGIN = 0.5  # mm that the land must stand over the insert's radius when its inner side is touched


def insert_of(job: Job) -> Insert:
    """The insert that the job states, by designation or by sizes."""
    tool = job.tool
    if tool.insert is not None:
        return decode(tool.insert)
    assert tool.insert_diameter is not None
    return Insert(
        radius=tool.insert_diameter / 2,
        relief=tool.relief or 0.0,
        thickness=tool.thickness,
        tolerance=tool.tolerance,
    )


def statements(job: Job, insert: Insert) -> Iterator[Finding]:
    """Contradictions and plain dangers in what the job states."""
    yield from unit_slips(job)
    if job.piston.raised_crown > 0:
        yield Finding(
            "refused",
            "raised-crown",
            "piston.raised_crown is stated, and a raised (domed) crown is not for this tool",
            job.piston.raised_crown,
            0.0,
            "mm",
            "every depth and volume is counted from a flat crown; this piston needs another way",
        )
    stated, derived = job.machine.spindle_direction, spindle_sense(job)
    if stated is not None and stated != derived:
        yield Finding(
            "refused",
            "spindle-sense",
            f"machine.spindle_direction is {stated}, but a {job.machine.tool_side} tool with its face "
            f"{job.machine.insert_face} cuts only with {derived}",
            advice="correct the sense, machine.tool_side or machine.insert_face",
        )
    if job.tool.control_point == "face-inner":
        yield from _face_inner(job, insert)
    yield Finding(
        "note",
        "centre-height",
        "the cutting edge must stand exactly at centre height: too high or too low, a pip stays in the middle "
        "of the floor and the wall has another diameter",
        advice="face a piece of scrap to its centre and look for a pip",
    )


def _face_inner(job: Job, insert: Insert) -> Iterator[Finding]:
    land, need = job.piston.top_land, insert.radius + LAND_MARGIN
    if land is not None and need > land:
        yield Finding(
            "refused",
            "land-under-insert",
            "touched with its inner side, the insert hangs down beside the piston past piston.top_land, into the "
            "ring groove",
            land,
            need,
            "mm",
            "touch with the outer side (tool.control_point = face-outer) or use a smaller insert",
        )
