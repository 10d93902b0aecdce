"""The DRO table of a volume: how deep its rows go, in which steps, and what they leave."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from toolpath.geometry.chain import Chain, deeper, higher_pieces
from toolpath.geometry.reach import swept
from toolpath.geometry.segments import Segment
from toolpath.geometry.tolerance import JOIN, TIE
from toolpath.moves import Row
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.planner.slope import Slope, slope_of
from toolpath.table.readout import Readout
from toolpath.table.rows import RowCut, rough_and_finish, skim_cuts, straight_down, with_top_slide
from toolpath.table.wording import notes, worded

MOST_ROWS = 24  # of a dish, where nobody stated a step height
FINEST = 0.02  # mm, the least step height that is chosen
COARSER = 1.19  # from one step height that is tried to the next: 4 of them double it
SAGITTA = 1e-3  # mm, of the points at which the steps are measured


class Steps(NamedTuple):
    """How fine the rows are to be: as stated (mm), or as few as leave no more than `most_left` mm3 to blend."""

    stated: float | None
    most_left: float
    top_slide: bool = False  # whether a straight slope is turned with the top slide


@dataclass(frozen=True)
class DroPlan:
    """A table and what it really leaves: lengths mm, volumes mm3, of the turned dish alone."""

    cuts: tuple[RowCut, ...]
    readout: Readout
    work: Work  # of the depth that the table cuts
    slope: Slope | None = None  # what the top slide is set over to

    @property
    def rows(self) -> tuple[Row, ...]:
        """The rows in the readout's units."""
        return worded(self.cuts, self.work, self.readout)

    @property
    def notes(self) -> tuple[str, ...]:
        """What the words of the rows mean."""
        return notes(self.cuts, self.readout)

    @cached_property
    def surface(self) -> Chain:
        """What the rows leave of the stock."""
        return left_by(self.cuts, self.work.stock.surface, self.readout)

    @cached_property
    def blended_surface(self) -> Chain:
        """The section that the rows approach: no breaks but the lip's own."""
        return _blended(self.work)

    @property
    def depth(self) -> float:
        """Depth of the lowest row's floor below the finished crown, mm; 0 without a dish row."""
        radius = self.readout.insert_radius
        return max((radius - self.readout.z(c.z) for c in self.cuts if c.cut != "skim"), default=0.0)

    @cached_property
    def crown(self) -> float:
        """How far the crown stands over z = 0 once the last skim row is cut, mm."""
        faced = (self.readout.z(c.z) - self.readout.insert_radius for c in self.cuts if c.cut == "skim")
        return max(0.0, min(faced, default=self.work.skim))

    @cached_property
    def as_cut(self) -> float:
        """Volume below z = 0 that the rows leave."""
        return deeper(self.surface, Chain.flat(0.0, self.surface.outer)).volume_below()

    @cached_property
    def blended(self) -> float:
        """Volume below z = 0 once the steps are blended."""
        return self.blended_surface.volume_below()

    @property
    def left_to_blend(self) -> float:
        """Metal between the rows' surface and the section that they approach."""
        return self.blended - self.as_cut

    @cached_property
    def over_crown(self) -> float:
        """What a plate across a crown that stands too high closes off above z = 0."""
        plane = Chain.flat(self.crown, self.surface.outer)
        return deeper(self.surface, plane).volume_below(self.crown) - self.as_cut

    @cached_property
    def step_left(self) -> float:
        """The thickest that the rows leave over the section that they approach, mm."""
        if self.left_to_blend < TIE:
            return 0.0
        rows = deeper(self.surface, Chain.flat(0.0, self.surface.outer))
        return float(self.blended_surface.distances(rows.points(SAGITTA)).max())


def table_for(
    make_work: Callable[[float], Work], depth: float, readout: Readout, rules: Rules, steps: Steps
) -> DroPlan:
    """The deepest table, its floor on a count of Z, whose blended dish a plate sees no larger than wanted.

    `make_work` gives the work of a depth (mm below the finished crown) with all else as it is. What is
    wanted is what `depth` leaves, so no table goes deeper; 0 where no dish is cut.

    Raises:
        Stopped: the depth cannot be made, or there would be too many rows.
    """
    radius = readout.insert_radius
    wanted = _blended(make_work(depth)).volume_below()
    count, crown = readout.z_over(radius - depth), readout.z_over(radius)
    while True:
        # no deeper than the finished crown is no cut at all
        plan = _laid_out(make_work(max(0.0, radius - readout.z(count))), rules, readout, steps)
        if count >= crown or plan.blended + plan.over_crown <= wanted + TIE:
            return plan
        count += 1


def _blended(work: Work) -> Chain:
    level = Chain.flat(0.0, work.stock.surface.outer)
    return deeper(deeper(work.stock.surface, level), work.cut)


def _laid_out(work: Work, rules: Rules, readout: Readout, steps: Steps) -> DroPlan:
    """Roughing and finishing where a dish so takes few rows, else steps straight down."""
    facing = len(skim_cuts(work, rules, readout))

    def few(plan: DroPlan) -> bool:
        return len(plan.cuts) - facing <= MOST_ROWS

    finest = FINEST if steps.stated is None else steps.stated
    slope = slope_of(work.cut, readout.insert_radius) if steps.top_slide and work.cut.lowest < 0 else None

    def stepped(step_height: float) -> DroPlan:
        if slope is not None:
            return DroPlan(with_top_slide(work, rules, step_height, readout, slope), readout, work, slope)
        return DroPlan(straight_down(work, rules, step_height, readout), readout, work)

    roughed = DroPlan(rough_and_finish(work, rules, finest, readout), readout, work)
    if slope is None and few(roughed):
        return roughed
    if steps.stated is not None:
        return stepped(steps.stated)
    heights = [FINEST]
    while heights[-1] < rules.dish_depth:
        heights.append(heights[-1] * COARSER)
    fits = _first(len(heights), lambda k: few(stepped(heights[k])))
    # where the finest that takes few rows leaves too much: back to the coarsest that does not
    finer = _first(fits + 1, lambda k: stepped(heights[fits - k]).left_to_blend <= steps.most_left)
    return stepped(heights[fits - finer])


def _first(count: int, true: Callable[[int], bool]) -> int:
    """The first of 0 .. count - 1 from which on it is true, the last one where it never is."""
    low, high = 0, count - 1
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if true(middle) else (middle + 1, high)
    return low


def left_by(cuts: Iterable[RowCut], stock: Chain, readout: Readout) -> Chain:
    """The exact surface that rows leave of a stock."""
    layers: list[list[Segment]] = [list(stock.upside_down().pieces)]
    for cut in sorted(cuts, key=lambda c: c.z):
        path = cut.path(readout)
        if path.r1 - readout.insert_radius >= stock.outer - JOIN:
            continue
        layers.append(list(swept(Chain((path,)), readout.insert_radius, stock.outer).upside_down().pieces))
    while len(layers) > 1:  # by halves: neighbours in height overlap least
        layers = [
            higher_pieces(layers[k], layers[k + 1]) if k + 1 < len(layers) else layers[k]
            for k in range(0, len(layers), 2)
        ]
    return Chain.from_pieces(layers[0]).upside_down()
