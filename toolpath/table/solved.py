"""The DRO table of a volume: the depth at which the rows themselves come nearest the target from below."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from toolpath.findings import Stopped
from toolpath.geometry.chain import Chain, deeper, higher_pieces
from toolpath.geometry.reach import swept
from toolpath.geometry.segments import Line, Segment
from toolpath.geometry.tolerance import JOIN
from toolpath.moves import Row
from toolpath.planner.passes import Rules
from toolpath.planner.plan import Work
from toolpath.table.readout import Readout
from toolpath.table.rows import Cut, cuts_for, worded


@dataclass(frozen=True, slots=True)
class DroPlan:
    """A table and what it really leaves: lengths mm, volumes mm3, of the turned dish alone."""

    rows: tuple[Row, ...]
    work: Work  # of the depth that the table cuts
    depth: float
    crown: float  # how far the crown stands over z = 0 once the last skim row is cut
    expected: float  # below z = 0
    on_plate: float  # below the crown as it stands: what a plate across it closes off
    section: float  # below z = 0 of the section that the rows approach: no breaks but the lip's own

    @property
    def left_to_blend(self) -> float:
        """Metal between the rows' surface and the section that they approach, mm3."""
        return self.section - self.expected


def table_for(
    make_work: Callable[[float], Work],
    depth: float,
    volume_target: float,
    readout: Readout,
    rules: Rules,
    step_height: float,
) -> DroPlan:
    """The deepest table, with its floor on a count of Z, that a plate does not see over `volume_target` mm3.

    `make_work` gives the work of a depth (mm below the finished crown) with all else as it is, and
    may raise `Stopped` where that depth cannot be made; `depth` is the one that reaches the target
    exactly. Rows leave a little metal, so the table goes as deep or a little deeper. Where the target
    is met without a dish, the depth is 0.

    Raises:
        Stopped: the depths around the target cannot be made, or there would be too many rows.
    """
    radius = readout.insert_radius
    tried: dict[int, DroPlan] = {}

    def at(count: int) -> DroPlan:
        if count not in tried:
            # no deeper than the finished crown is no cut at all
            down = max(0.0, radius - readout.z(count))
            tried[count] = _plan(make_work(down), down, rules, step_height, readout)
        return tried[count]

    count, crown = readout.z_over(radius - depth), readout.z_over(radius)
    while at(count).on_plate > volume_target and count < crown:
        count += 1
    gain = math.inf  # mm3 a count
    while True:
        here = at(count)
        skip = max(1, int((volume_target - here.on_plate) / gain)) if gain > 0 else 1
        try:
            further = at(count - skip)
        except Stopped:
            further = None
        if further is not None and further.section <= here.section:
            return here  # the form has nothing more to give
        if further is not None and further.on_plate <= volume_target:
            count, gain = count - skip, (further.on_plate - here.on_plate) / skip
        elif skip == 1:
            return here
        else:
            gain = math.inf


def _plan(work: Work, depth: float, rules: Rules, step_height: float, readout: Readout) -> DroPlan:
    cuts = cuts_for(work, rules, step_height, readout)
    surface = left_by(cuts, work.stock.surface, readout)
    level = Chain.flat(0.0, surface.outer)
    crown = max(
        0.0,
        min((readout.z(c.z) - readout.insert_radius for c in cuts if c.cut == "skim"), default=work.skim),
    )
    return DroPlan(
        rows=worded(cuts, work, readout),
        work=work,
        depth=depth,
        crown=crown,
        expected=deeper(surface, level).volume_below(),
        on_plate=deeper(surface, Chain.flat(crown, surface.outer)).volume_below(crown),
        section=deeper(deeper(work.stock.surface, level), work.cut).volume_below(),
    )


def left_by(cuts: Iterable[Cut], stock: Chain, readout: Readout) -> Chain:
    """The exact surface that rows leave of a stock."""
    layers: list[list[Segment]] = [list(stock.upside_down().pieces)]
    for cut in sorted(cuts, key=lambda c: c.z):
        first, last = sorted((readout.x(cut.x_start), readout.x(cut.x_stop)))
        if first - readout.insert_radius >= stock.outer - JOIN:
            continue
        z = readout.z(cut.z)
        path = Chain((Line(first, z, last, z),))
        layers.append(list(swept(path, readout.insert_radius, stock.outer).upside_down().pieces))
    while len(layers) > 1:  # by halves: neighbours in height overlap least
        layers = [
            higher_pieces(layers[k], layers[k + 1]) if k + 1 < len(layers) else layers[k]
            for k in range(0, len(layers), 2)
        ]
    return Chain.from_pieces(layers[0]).upside_down()
