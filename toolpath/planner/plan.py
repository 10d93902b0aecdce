"""The whole plan of a piston: passes in order, and what they leave."""

from collections.abc import Iterable
from functools import reduce
from typing import NamedTuple

from toolpath.geometry.chain import Chain, deeper
from toolpath.geometry.reach import centre_curve
from toolpath.planner.passes import Pass, PassKind, Rules, break_passes, finish_passes, skim_passes
from toolpath.planner.roughing import rough_passes
from toolpath.planner.stock import Stock


class Work(NamedTuple):
    """What is to be cut, in the finished crown's frame (mm)."""

    stock: Stock  # before the first pass
    skim: float  # thickness that still stands over z = 0
    cut: Chain  # the new cut alone, lip included, crown at z = 0 elsewhere
    mouth: float  # radius of the finished dish's mouth
    edge: Chain | None = None  # patch of the outer edge break
    old_lip: Chain | None = None  # patch of a lip break on an old dish wider than the cut

    @property
    def patches(self) -> tuple[Chain, ...]:
        """The breaks that are cut by themselves."""
        return tuple(p for p in (self.edge, self.old_lip) if p is not None)


class Plan(NamedTuple):
    """Passes in the order in which they are cut."""

    work: Work
    passes: tuple[Pass, ...]
    left: Stock  # the metal after the last pass

    def count(self, *kinds: PassKind) -> int:
        """How many passes are of these kinds."""
        return sum(p.kind in kinds for p in self.passes)

    @property
    def contour(self) -> Chain | None:
        """The path of the finishing cut, with what it leaps over in the air; None without one."""
        runs = [p.cut.path for p in self.passes if p.kind == "finish"]
        if not runs:
            return None
        if len(runs) == 1:
            return runs[0]
        whole = centre_curve(self.work.cut, self.left.radius)
        over = whole.clipped(runs[0].inner, runs[-1].inner).segments
        return Chain((*over, *runs[-1].segments))

    @property
    def greatest_bite(self) -> float:
        """Greatest thickness that any pass removes, mm."""
        return max((p.bite for p in self.passes), default=0.0)


def planned(work: Work, rules: Rules) -> Plan:
    """Skim, edge break, roughing and finishing for one piston.

    Raises:
        Stopped: there is no safe way into the metal.
    """
    passes: list[Pass] = []

    def taken(run: Iterable[tuple[Pass, Stock]], before: Stock) -> Stock:
        for one, after in run:
            passes.append(one)
            before = after
        return before

    stock = taken(skim_passes(work.stock, work.skim, rules), work.stock)
    if work.edge is not None:
        stock = taken(break_passes(stock, work.edge, rules), stock)
    if work.cut.lowest < 0:
        stock = taken(rough_passes(stock, work.cut, rules), stock)
        stock = taken(finish_passes(stock, work.cut, work.mouth, rules), stock)
    if work.old_lip is not None:  # the cut may have opened the way to it
        stock = taken(break_passes(stock, work.old_lip, rules), stock)
    return Plan(work, tuple(passes), stock)


def finished_section(work: Work) -> Chain:
    """What the plan is to leave: the deepest of the skimmed section, the cut and the breaks."""
    crown = Chain.flat(0.0, work.stock.surface.outer)
    return reduce(deeper, (crown, work.cut, *work.patches), work.stock.surface)
