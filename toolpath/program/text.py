"""From a recut to text: the program and its readback."""

import math
from typing import TYPE_CHECKING, NamedTuple

from toolpath.errors import InputError
from toolpath.motion.frame import Frame
from toolpath.motion.rounding import to_program
from toolpath.motion.speeds import feed_per_minute, lifted
from toolpath.moves import Program
from toolpath.program.frames import frame_of, writer_of
from toolpath.program.head import header_of
from toolpath.program.proof import setup_of
from toolpath.program.timing import for_writer
from toolpath.recut import Recut

if TYPE_CHECKING:
    from toolpath.readback.verdict import Readback


class Made(NamedTuple):
    """A program and what reading it back says."""

    text: str
    frame: Frame
    readback: "Readback"


def made(recut: Recut, *, lift: float | None = None) -> Made:
    """The program's text and its readback; with `lift` (mm) the proving copy above the work.

    Raises:
        InputError: the lift is too small to clear the work.
        DialectError: the postprocessor cannot express a move.
    """
    from toolpath.readback.verdict import readback

    writer, frame = writer_of(recut), frame_of(recut)
    moves = for_writer(recut, frame)
    if lift is not None:
        moves = lifted(moves, _enough(recut, lift))
    if not writer.FEED_PER_REV:
        moves = feed_per_minute(moves)
    body = to_program(moves, frame)
    head = header_of(recut, frame, lift)
    text = writer(Program(head, body)).text()
    return Made(text, frame, readback(text, setup_of(recut, frame, proving=lift is not None)))


def least_lift(recut: Recut) -> float:
    """The lift, mm, over which a proving copy clears the work: skim + depth + clearance."""
    return recut.design.skim + recut.design.depth + recut.job.cutting.clearance


def _enough(recut: Recut, lift: float) -> float:
    least = least_lift(recut)
    if not lift > least:
        raise InputError(
            f"--proving {lift:g} mm is not more than skim + depth + clearance, {least:.3f} mm; "
            f"lift by {math.ceil(least + 1)} mm or more"
        )
    return lift
