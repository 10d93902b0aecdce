"""The head of a program: what it is for, touch-off, spindle sense, cautions."""

from toolpath.motion.frame import Frame
from toolpath.moves import Header
from toolpath.program.frames import shown
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.tool.spindle import spindle_words


def header_of(recut: Recut, frame: Frame, lift: float | None) -> Header:
    """The head of the program: what it is for, touch-off, spindle sense, cautions."""
    job, design, machine = recut.job, recut.design, recut.job.machine
    insert = recut.insert.designation or "round insert"
    lines = [
        stage_words(recut),
        "No skim in this program" if recut.later_cut else f"Skim {design.skim:.3f} mm",
        f"Dish {2 * design.mouth:.3f} mm wide and {design.depth:.3f} mm deep below the finished crown",
        volume_words(recut),
        f"Insert {insert}, radius {recut.insert.radius:.3f} mm",
        *recut.touch_lines(shown(frame)),
        spindle_words(job),
        "The edge must stand on centre height",
        *table("cautions")["program"]["lines"],
    ]
    if lift is not None:
        lines.insert(0, f"PROVING COPY lifted by {lift:g} mm: it must cut nothing")
    return Header(
        title=job.title,
        lines=tuple(lines),
        units=frame.units,
        x_reading=frame.x_reading,
        decimals=frame.decimals,
        work_offset=machine.work_offset,
        tool_word=machine.tool_word,
        program_number=machine.program_number,
        block_numbers=machine.block_numbers,
        percent=machine.percent,
    )


STAGE_WORDS = {"whole": "One cut without a reading", "first": "First cut", "last": "Last cut"}


def stage_words(recut: Recut) -> str:
    """Which cut of which piston this is."""
    return STAGE_WORDS[recut.stage] + ("" if recut.piston is None else f", piston {recut.piston}")


def volume_words(recut: Recut) -> str:
    """The volume that the cut leaves: as programmed, and as the readings make it expected."""
    programmed = recut.design.seen(recut.design.finished.volume_below()) / 1000
    if recut.next_cut is None:
        return f"{programmed:.3f} cc after the cut"
    outcome = recut.next_cut.expected
    words = (
        f"{outcome.volume / 1000:.3f} cc expected after the cut, within {2 * outcome.u / 1000:.3f} cc (k = 2)"
    )
    if abs(programmed - outcome.volume / 1000) > 5e-4:
        words += f"; {programmed:.3f} cc as programmed, the readings make the difference"
    return words
