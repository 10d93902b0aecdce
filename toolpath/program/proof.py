"""What the readback holds a program against."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, cast

from toolpath.geometry.chain import Chain, deeper
from toolpath.motion.frame import Frame
from toolpath.program.frames import writer_of
from toolpath.recut import Recut

if TYPE_CHECKING:
    from toolpath.readback.cutter import MostBite
    from toolpath.readback.dialects import Dialect
    from toolpath.readback.verdict import Setup

SPARE_BITE = 0.05  # mm over the plan's greatest bite before the readback calls a move too deep


def setup_of(recut: Recut, frame: Frame, *, proving: bool = False) -> "Setup":
    """What the readback holds a program against."""
    from toolpath.readback.verdict import Setup

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
    from toolpath.readback.cutter import MostBite

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
