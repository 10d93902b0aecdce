"""What the readback holds a program against."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal, cast

from postprocessors.remarks import comment_texts
from toolpath.geometry.chain import Chain, deeper
from toolpath.motion.frame import Frame
from toolpath.moves import Arc, FixedSpeed, Line, Move, Stop, SurfaceSpeed
from toolpath.planner.asked import rules_of
from toolpath.program.frames import writer_of
from toolpath.program.head import checked_lines, tool_words
from toolpath.program.timing import for_writer
from toolpath.recut import Recut

if TYPE_CHECKING:
    from toolpath.readback.cutter import MostBite
    from toolpath.readback.dialects import Dialect
    from toolpath.readback.stated import Section, Stated
    from toolpath.readback.verdict import Wanted

LEFT = 0.006  # mm that a control's rounding and a curve's chord may leave over the finished section
SPARE_BITE = 0.05  # mm over the plan's greatest bite before the readback calls a move too deep


def setup_of(recut: Recut, frame: Frame, *, proving: bool = False) -> "Wanted":
    """What the readback holds a program against."""
    from toolpath.readback.verdict import Wanted

    design, stock = recut.design, recut.plan.work.stock.surface
    edge = recut.job.crown.edge_break or 0.0
    finished, dish = recut.finished, design.finished
    if proving:
        finished, dish = stock, deeper(stock, Chain.flat(0.0, stock.outer))
    return Wanted(
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
        wary=None if proving else recut.plan.work.stock.wary,
        most_left=None if proving else most_left(frame),
        stated=stated_of(recut, frame, proving=proving),
    )


def stated_of(recut: Recut, frame: Frame, *, proving: bool = False) -> "Stated":
    """What the job states about its program: words, speeds, stops, the lines of its head."""
    from toolpath.readback.stated import Stated

    job, writer, running = recut.job, writer_of(recut), recut.running
    turning = job.cutting.surface_speed is not None and writer.SURFACE_SPEED
    index = job.machine.index
    bites = [p.bite for p in recut.plan.passes if p.kind in ("rough", "semi", "finish")]
    return Stated(
        spindle=3 if running.sense == "cw" else 4,
        tool=tool_words(recut, writer),
        work_offset=job.machine.work_offset,
        swing=index if isinstance(index, str) else (index[0] / frame.unit, index[1] / frame.unit),
        cap=job.cutting.rpm_limit if turning else None,
        sections=_sections(for_writer(recut, frame)),
        feed=max(running.feed, running.finish_feed),
        ramp=rules_of(job).ramp,
        ramp_bite=max(bites, default=0.0) + SPARE_BITE,
        coolant=running.coolant,
        title=" ".join(comment_texts(job.title)),
        lines=() if proving else checked_lines(recut, frame),
        words=writer.WORDS,
    )


def _sections(moves: "Sequence[Move]") -> "tuple[Section, ...]":
    """What the moves between two stops run at."""
    from toolpath.readback.stated import Section

    found: list[Section] = []
    since: list[Move] = []
    for move in (*moves, None):
        if move is not None and not isinstance(move, Stop):
            since.append(move)
            continue
        halt: Literal["M0", "M1", ""] = "" if move is None else "M1" if move.optional else "M0"
        turning = [m.rpm for m in since if isinstance(m, FixedSpeed)]
        surface = max((m.speed for m in since if isinstance(m, SurfaceSpeed)), default=None)
        cuts = any(isinstance(m, Line | Arc) for m in since)
        found.append(Section(halt, _range(turning), _range(_fixed_at_feed(since)), surface, cuts))
        since = []
    return tuple(found)


def _fixed_at_feed(moves: "Sequence[Move]") -> "list[float]":
    """The fixed speeds, rev/min, under which the moves feed."""
    found: list[float] = []
    fixed: float | None = None
    for move in moves:
        if isinstance(move, FixedSpeed):
            fixed = move.rpm
        elif isinstance(move, SurfaceSpeed):
            fixed = None
        elif isinstance(move, Line | Arc) and fixed is not None:
            found.append(fixed)
    return found


def _range(values: "list[float]") -> tuple[float, float] | None:
    return (min(values), max(values)) if values else None


def most_left(frame: Frame) -> float:
    """What may stand over the finished section, mm: what rounding leaves, and a little."""
    return LEFT + 2 * frame.step


def _most_bite(recut: Recut) -> "MostBite":
    """What a motion may take: what the plan's own passes take there, and a little."""
    from toolpath.readback.cutter import MostBite

    radius, passes = recut.insert.radius, recut.plan.passes

    def spared(bites: Iterable[float]) -> float:
        most = max(bites, default=0.0)
        return most + max(SPARE_BITE, most / 10)

    # a broken edge begins on the crown, and an old hub may stand over it after the skim
    facing = [p.bite for p in passes if p.kind in ("skim", "break") or p.level >= radius]
    rough = [p for p in passes if p.kind == "rough"]
    spacing = recut.job.cutting.dish_depth_of_cut
    # a layer takes as much at every height that it runs through
    layers = [p.bite for p in rough if p.cut.path.highest - p.level > spacing]
    contours = [p.bite for p in passes if p.kind in ("break", "semi", "finish")]
    return MostBite(
        over=spared(facing),
        # deeper than these there is the finished section itself to tell, so a thin ring may measure more
        anywhere=max(1.5 * spared(contours), spared(layers)),
        levels=tuple((p.level - radius, spared([p.bite])) for p in rough),
        spacing=spacing,
    )
