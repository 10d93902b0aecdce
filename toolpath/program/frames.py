"""The postprocessor of a recut, and how it states positions."""

from postprocessors import find
from postprocessors.writer import Writer
from toolpath.errors import DialectError
from toolpath.motion.frame import Frame
from toolpath.readback.dialects import fault_of
from toolpath.recut import Recut
from toolpath.tool.touchoff import Shown

HAND = "dro-table"  # the post of a shop without a program


def writer_of(recut: Recut) -> type[Writer]:
    """The job's postprocessor; for a manual lathe the one whose frame the table shares.

    Raises:
        DialectError: there is none of that name, or what it writes cannot be read back.
    """
    post = recut.job.machine.post
    writer = find("iso6983" if post == HAND else post)
    fault = fault_of(writer.READS_AS, writer.WORDS)
    if fault:
        raise DialectError(f"The postprocessor {post!r} {fault}.")
    return writer


def frame_of(recut: Recut) -> Frame:
    """How positions are stated in the program."""
    job, writer = recut.job, writer_of(recut)
    units = job.machine.program_units
    return Frame(
        control_point=job.tool.control_point,
        insert_radius=recut.insert.radius,
        x_reading=job.machine.x_reading or writer.X_READING,
        units=units,
        decimals=job.machine.decimals or writer.DECIMALS[units],
    )


def shown(frame: Frame) -> Shown:
    """How the program's lengths are written for the operator."""
    unit = "mm" if frame.units == "mm" else "in"
    return Shown(unit, 1 / frame.unit, frame.decimals, frame.x_reading == "diameter")
