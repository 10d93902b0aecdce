"""The same passes by hand: the DRO table of a recut, its own expected volume and its proof."""

import csv
import io
from dataclasses import replace
from typing import NamedTuple

from postprocessors import dro_table
from toolpath.errors import InputError
from toolpath.findings import Finding
from toolpath.moves import Table
from toolpath.planner.asked import rules_of
from toolpath.planner.plan import Work, finished_section
from toolpath.profile.design import Design
from toolpath.profile.limits import Limits
from toolpath.program.frames import frame_of
from toolpath.program.hand_checks import findings_by_hand, left_in_crown
from toolpath.program.hand_words import closing_lines, head_lines, left_to_do
from toolpath.readback.cutter import MostBite
from toolpath.readback.verdict import HandRow, Readback, Wanted, readback_rows
from toolpath.recut import Recut, work_of
from toolpath.table.readout import Readout
from toolpath.table.solved import DroPlan, Steps, table_for
from toolpath.tool.touchoff import Shown
from toolpath.units import from_mm

SHARED = 1.5  # depths of cut that a row takes which shares an odd rest
SPARE = 0.05  # mm more before the readback calls a row too deep, or one missing
MOST_SHOWN = 1e5  # of a readout


class ByHand(NamedTuple):
    """The table with what cutting its rows leaves; lengths mm, volumes mm3."""

    table: Table
    plan: DroPlan
    setup: Wanted
    readback: Readback
    expected: float  # of the rows, as the reading sees it
    limits: Limits  # metal that the rows leave
    findings: tuple[Finding, ...]  # what the rows have to say that the recut has not
    left_to_do: tuple[str, ...]  # by hand, after the last row and before the reading

    @property
    def readout(self) -> Readout:
        """What the rows are written for."""
        return self.plan.readout

    @property
    def text(self) -> str:
        """The table to print."""
        return dro_table.text(self.table)

    @property
    def csv(self) -> str:
        """The rows with commas."""
        return dro_table.csv(self.table)


def table_of(recut: Recut) -> ByHand:
    """The DRO table of a recut, proven by cutting the stock with its rows.

    Raises:
        InputError: the readout's resolution cannot be shown in its units.
        Stopped: no table near the target can be made.
    """
    design, job = recut.design, recut.job
    skim, dish = job.cutting.skim_depth_of_cut, job.cutting.dish_depth_of_cut
    readout = readout_of(recut)
    beside = design.received.beside(design.skim, cut=True)

    def work(depth: float) -> Work:
        shape = design.shape._replace(depth=depth).with_a_lip_that_fits(design.old, design.skimmed)
        return _without_breaks(replace(design, shape=shape), recut)

    steps = Steps(job.cutting.step_height, job.dish.tolerance / 2, job.machine.top_slide)
    plan = table_for(work, design.shape.depth or 0.0, readout, rules_of(job), steps)
    setup = Wanted(
        dialect="dro-table",
        units=readout.units,
        x_reading=readout.x_reading,
        control_point=readout.control_point,
        insert_radius=readout.insert_radius,
        stock=plan.work.stock.surface,
        finished=finished_section(plan.work),
        expected_volume=plan.as_cut,
        counted_radius=plan.work.stock.surface.outer,
        pockets=beside,
        decimals=readout.decimals,
        resolution=from_mm(readout.resolution, readout.units),
        most_bite=MostBite(over=SHARED * max(skim, dish) + SPARE, anywhere=SHARED * dish + SPARE),
    )
    left = left_in_crown(recut, plan)
    back = readback_rows([HandRow(row.z, row.x_start, row.x_stop, row.z_to) for row in plan.rows], setup)
    return ByHand(
        table=_written(recut, plan, left),
        plan=plan,
        setup=replace(setup, most_left=back.stock_left + SPARE),  # the steps that a hand blends
        readback=back,
        expected=plan.as_cut + beside,
        limits=left,
        findings=findings_by_hand(recut, plan),
        left_to_do=left_to_do(recut, plan, shown_on(readout)),
    )


def _without_breaks(design: Design, recut: Recut) -> Work:
    """The work of a depth; broken edges that are cut by themselves are left for a file."""
    return work_of(design, recut.next_cut)._replace(edge=None, old_lip=None)


def readout_of(recut: Recut) -> Readout:
    """The machine's digital readout; X reads as the program of the same job states it."""
    machine = recut.job.machine
    return Readout(
        control_point=recut.job.tool.control_point,
        insert_radius=recut.insert.radius,
        units=machine.program_units,
        x_reading=frame_of(recut).x_reading,
        resolution=machine.readout,
        handwheel_division=machine.handwheel_division,
    )


def _written(recut: Recut, plan: DroPlan, left: Limits) -> Table:
    readout = plan.readout
    shown = shown_on(readout)
    return Table(
        title=recut.job.title or "DRO table",
        lines=head_lines(recut, plan, shown),
        units=readout.units,
        x_reading=readout.x_reading,
        decimals=readout.decimals,
        rows=plan.rows,
        closing=closing_lines(recut, plan, left.floor_thickness, shown),
    )


def shown_on(readout: Readout) -> Shown:
    """How a length is written for a readout."""
    unit = from_mm(1.0, readout.units)
    return Shown(readout.unit_word, unit, readout.decimals, readout.x_reading == "diameter")


def rows_of_csv(text: str, name: str) -> list[HandRow]:
    """The places of every row of a table's CSV.

    Raises:
        InputError: the header or a number is not what the table writes.
    """
    rows = []
    reader = csv.DictReader(io.StringIO(text))
    for number, row in enumerate(reader, 2):
        try:
            z_to = float(row["z_to"]) if row.get("z_to") else None
            place = HandRow(float(row["z"]), float(row["x_start"]), float(row["x_stop"]), z_to)
            if not all(abs(n) < MOST_SHOWN for n in place if n is not None):
                raise ValueError("a number is out of any lathe's reach")
            rows.append(place)
        except (KeyError, TypeError, ValueError) as error:
            raise InputError(f"{name}: line {number} is not a row of a DRO table ({error})") from error
    if not rows:
        raise InputError(f"{name}: no row of a DRO table stands in it; make the table again")
    return rows
