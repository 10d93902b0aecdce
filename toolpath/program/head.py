"""The head of a program: what it is for, touch-off, proof, cautions; the rest is on the sheet."""

from postprocessors.remarks import comment_texts
from postprocessors.writer import Writer
from toolpath.motion.frame import Frame
from toolpath.moves import Header
from toolpath.program.frames import shown, writer_of
from toolpath.recut import Recut
from toolpath.reference import table
from toolpath.units import cc

STAGE_NUMBERS = {"whole": 0, "first": 1, "last": 2}  # in the program number


def header_of(recut: Recut, frame: Frame, lift: float | None) -> Header:
    """The head of the program."""
    job, machine, writer = recut.job, recut.job.machine, writer_of(recut)
    tool, before = tool_words(recut, writer), writer.BEFORE_TOUCH_OFF
    needs = before.format(tool=tool, offset=machine.work_offset) if tool and machine.work_offset else ""
    lines = [
        "" if lift is None else f"PROVING COPY lifted by {lift:g} mm: it must cut nothing",
        recut.cut_words,
        mark_words(recut.mark),
        target_words(recut),
        _tool_line(recut, writer),
        needs,
        *recut.head_touch_lines(shown(frame)),
        *table("cautions")["program"]["lines"],
    ]
    return Header(
        title=job.title,
        lines=tuple(line for line in lines if line),
        units=frame.units,
        x_reading=frame.x_reading,
        decimals=frame.decimals,
        work_offset=machine.work_offset,
        tool_word=tool,
        program_number=program_number(recut),
        block_numbers=machine.block_numbers,
        percent=machine.percent,
    )


def checked_lines(recut: Recut, frame: Frame) -> tuple[str, ...]:
    """Those lines of head and proof that the readback holds against the job."""
    proof = recut.running.proof
    lines = (
        recut.cut_words,
        mark_words(recut.mark),
        *recut.head_touch_lines(shown(frame)),
        "" if proof is None else proof.words,
    )
    return tuple(" ".join(comment_texts(line)) for line in lines if line)


def mark_words(mark: str) -> str:
    """The line of the mark, which tells two makes of one cut apart."""
    return f"MARK {mark}"


def tool_words(recut: Recut, writer: type[Writer]) -> str:
    """The words of the tool call: the job's, or else the postprocessor's."""
    stated = recut.job.machine.tool_word
    return writer.TOOL if stated is None else stated


def program_number(recut: Recut) -> int | None:
    """Base, piston and stage in one number, so that no two programs of a set share one."""
    base = recut.job.machine.program_number
    return None if base is None else base + 10 * (recut.piston or 0) + STAGE_NUMBERS[recut.stage]


def target_words(recut: Recut) -> str:
    """What the cut is to leave: volume, dish, skim."""
    design = recut.design
    rest = "mm deep, no skim" if recut.later_cut else f"deep, skim {design.skim:.3f} mm"
    return f"Target {volume_words(recut)}. Dish {2 * design.mouth:.3f} wide, {design.depth:.3f} {rest}"


def _tool_line(recut: Recut, writer: type[Writer]) -> str:
    point = recut.job.tool.control_point
    insert = recut.insert.designation or "round insert"
    says = {
        "insert-centre": "programmed point is the insert's centre",
        "face-outer": "tip towards +X -Z",
        "face-inner": "tip towards -X -Z",
    }[point]
    number = f", tip number {writer.TIP_NUMBERS[point]}" if point in writer.TIP_NUMBERS else ""
    return f"Tool: {insert}, R {recut.insert.radius:.3f} mm, {says}{number}"


STAGE_WORDS = {"whole": "One cut without a reading", "first": "First cut", "last": "Last cut"}


def stage_words(recut: Recut) -> str:
    """Which cut of which piston this is."""
    return STAGE_WORDS[recut.stage] + ("" if recut.piston is None else f", piston {recut.piston}")


def volume_words(recut: Recut) -> str:
    """The volume that the cut leaves: as programmed, or as the readings make it expected."""
    if recut.next_cut is None:
        return f"{cc(recut.design.seen(recut.design.finished.volume_below())):.3f} cc"
    outcome = recut.next_cut.expected
    return f"{cc(outcome.volume):.3f} cc expected, within {cc(2 * outcome.u):.3f} cc"
