"""From a recut to text: the program, its times and its readback."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from postprocessors import find
from postprocessors.writer import Writer
from toolpath import checks
from toolpath.economy import Economy, economy
from toolpath.errors import InputError
from toolpath.geometry.chain import Chain, deeper
from toolpath.moves import Header, Move, Program, Stop
from toolpath.planning.touchoff import Shown
from toolpath.program import Frame, Times, feed_per_minute, fixed_speed, lifted, seconds_of, timed, to_program
from toolpath.recut import Recut
from toolpath.reference import table

if TYPE_CHECKING:
    from toolpath.checking.cutter import MostBite
    from toolpath.checking.dialects import Dialect
    from toolpath.checking.readback import Readback, Setup

SPARE_BITE = 0.05  # mm over the plan's greatest bite before the readback calls a move too deep
HAND = "dro-table"  # the post of a shop without a program


@dataclass(frozen=True, slots=True)
class Timing:
    """Times of the plan and how well they are used."""

    times: Times
    economy: Economy

    @property
    def bound_s(self) -> float:
        """The least time that metal, feed and depth of cut allow."""
        return self.economy.bound_s


@dataclass(frozen=True, slots=True)
class Made:
    """A program and what reading it back says."""

    text: str
    frame: Frame
    readback: "Readback"


def writer_of(recut: Recut) -> type[Writer]:
    """The job's postprocessor; for a manual lathe the one whose frame the table shares."""
    post = recut.job.machine.post
    return find("iso6983" if post == HAND else post)


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


def timing_of(recut: Recut) -> Timing:
    """Times as the control will run the moves."""
    assert recut.plan is not None
    frame, rapid = frame_of(recut), recut.job.machine.rapid
    moves = _for_writer(recut, frame)
    times, seconds = timed(moves, frame, rapid), seconds_of(moves, frame, rapid)
    return Timing(times, economy(recut.plan, recut.running, moves, seconds))


def _for_writer(recut: Recut, frame: Frame) -> tuple[Move, ...]:
    moves = recut.moves
    if not writer_of(recut).SURFACE_SPEED:
        moves = fixed_speed(moves, frame, recut.job.cutting.rpm_limit)
    return moves


def made(recut: Recut, *, lift: float | None = None) -> Made:
    """The program's text and its readback; with `lift` (mm) the proving copy above the work.

    Raises:
        InputError: the lift is too small to clear the work.
        DialectError: the postprocessor cannot express a move.
    """
    from toolpath.checking.readback import readback  # not needed to check a job

    writer, frame = writer_of(recut), frame_of(recut)
    moves = _for_writer(recut, frame)
    if lift is not None:
        moves = lifted(moves, _enough(recut, lift))
    if not writer.FEED_PER_REV:
        moves = feed_per_minute(moves)
    body = to_program(moves, frame)
    head = header_of(recut, frame, lift)
    if writer.PROOF_STOP:
        body = (Stop(False, recut.touch_off.lines(shown(frame))[-1]), *body)
    text = writer(Program(head, body)).text()
    return Made(text, frame, readback(text, setup_of(recut, frame, proving=lift is not None)))


def least_lift(recut: Recut) -> float:
    """The lift, mm, over which a proving copy clears the work: skim + depth + clearance."""
    assert recut.design is not None
    return recut.design.skim + recut.design.depth + recut.job.cutting.clearance


def _enough(recut: Recut, lift: float) -> float:
    least = least_lift(recut)
    if not lift > least:
        raise InputError(
            f"--proving {lift:g} mm is not more than skim + depth + clearance, {least:.3f} mm; "
            f"lift by {math.ceil(least + 1)} mm or more"
        )
    return lift


def setup_of(recut: Recut, frame: Frame, *, proving: bool = False) -> "Setup":
    """What the readback holds a program against."""
    from toolpath.checking.readback import Setup

    assert recut.plan is not None
    assert recut.design is not None
    design, stock = recut.design, recut.plan.work.stock.surface
    edge = recut.job.crown.edge_break or 0.0
    finished, dish = recut.finished, design.finished
    if proving:
        finished, dish = stock, deeper(stock, Chain.flat(0.0, stock.outer))
    return Setup(
        dialect=cast("Dialect", writer_of(recut).READS_AS),
        units=frame.units,
        x_reading=frame.x_reading,
        control_point=frame.control_point,
        insert_radius=frame.insert_radius,
        stock=stock,
        finished=finished,
        expected_volume=dish.volume_below(),
        counted_radius=stock.outer - edge,
        pockets=design.received.beside(design.skim, cut=True),
        decimals=frame.decimals,
        most_bite=_most_bite(recut),
        spindle={"cw": 3, "ccw": 4}[recut.running.sense],
    )


def _most_bite(recut: Recut) -> "MostBite":
    """What a motion may take: what the plan's own passes take there, and a little."""
    from toolpath.checking.cutter import MostBite

    assert recut.plan is not None
    radius, passes = recut.insert.radius, recut.plan.passes

    def spared(bites: Iterable[float]) -> float:
        most = max(bites, default=0.0)
        return most + max(SPARE_BITE, most / 10)

    # a broken edge begins on the crown, and an old hub may stand over it after the skim
    facing = [p.bite for p in passes if p.kind in ("skim", "break") or p.level >= radius]
    rough = [p for p in passes if p.kind == "rough"]
    return MostBite(
        over=spared(facing),
        # deeper than these there is the finished section itself to tell, so a thin ring may measure more
        anywhere=1.5 * spared(p.bite for p in passes if p.kind in ("break", "semi", "finish")),
        levels=tuple((p.level - radius, spared([p.bite])) for p in rough),
        spacing=recut.job.cutting.dish_depth_of_cut,
    )


def shown(frame: Frame) -> Shown:
    """How the program's lengths are written for the operator."""
    unit = "mm" if frame.units == "mm" else "in"
    return Shown(unit, 1 / frame.unit, frame.decimals, frame.x_reading == "diameter")


def header_of(recut: Recut, frame: Frame, lift: float | None) -> Header:
    """The head of the program: what it is for, touch-off, spindle sense, cautions."""
    job, design, machine = recut.job, recut.design, recut.job.machine
    assert design is not None
    insert = recut.insert.designation or "round insert"
    lines = [
        f"Stage {recut.stage}" + ("" if recut.piston is None else f", piston {recut.piston}"),
        "No skim in this program" if recut.later_cut else f"Skim {design.skim:.3f} mm",
        f"Dish {2 * design.mouth:.3f} mm wide and {design.depth:.3f} mm deep below the finished crown",
        volume_words(recut),
        f"Insert {insert}, radius {recut.insert.radius:.3f} mm",
        *recut.touch_lines(shown(frame)),
        checks.spindle_words(job),
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


def volume_words(recut: Recut) -> str:
    """The volume that the cut leaves: as programmed, and as the readings make it expected."""
    assert recut.design is not None
    programmed = recut.design.seen(recut.design.finished.volume_below()) / 1000
    if recut.step is None:
        return f"{programmed:.3f} cc after the cut"
    outcome = recut.step.expected
    words = (
        f"{outcome.volume / 1000:.3f} cc expected after the cut, within {2 * outcome.u / 1000:.3f} cc (k = 2)"
    )
    if abs(programmed - outcome.volume / 1000) > 5e-4:
        words += f"; {programmed:.3f} cc as programmed, the readings make the difference"
    return words
