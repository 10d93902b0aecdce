"""Times of a recut as the control will run it."""

from typing import NamedTuple

from toolpath.motion.frame import Frame
from toolpath.motion.speeds import fixed_speed
from toolpath.motion.times import Durations, seconds_of, timed
from toolpath.moves import Arc, Line, Move
from toolpath.planner.economy import Economy, economy
from toolpath.program.frames import frame_of, writer_of
from toolpath.recut import Recut


class Timing(NamedTuple):
    """Times of the plan and how well they are used."""

    times: Durations
    economy: Economy

    @property
    def bound_s(self) -> float:
        """The least time that metal, feed and depth of cut allow."""
        return self.economy.bound_s


def timing_of(recut: Recut) -> Timing:
    """Times as the control will run the moves."""
    frame, rapid = frame_of(recut), recut.job.machine.rapid_rate
    moves = for_writer(recut, frame)
    times, seconds = timed(moves, frame, rapid), seconds_of(moves, frame, rapid)
    feeding = [s for s, move in zip(seconds, moves, strict=True) if isinstance(move, Line | Arc)]
    return Timing(times, economy(recut.steps, recut.running.clearance, feeding))


def for_writer(recut: Recut, frame: Frame) -> tuple[Move, ...]:
    moves = recut.moves
    if not writer_of(recut).SURFACE_SPEED:
        moves = fixed_speed(moves, frame, recut.job.cutting.rpm_limit)
    return moves
