"""The same passes by hand: the DRO table of a recut, its own expected volume and its proof."""

import csv
import io
from dataclasses import dataclass, replace

from postprocessors import dro_table
from toolpath.errors import InputError
from toolpath.findings import Stopped
from toolpath.geometry.chain import deeper
from toolpath.moves import Table
from toolpath.planner.plan import Work, finished_section
from toolpath.profile.design import Design
from toolpath.program.head import stage_words
from toolpath.readback.verdict import Readback, Setup, readback_rows
from toolpath.recut import Recut, rules_of, work_of
from toolpath.reference import table
from toolpath.table.readout import Readout
from toolpath.table.rows import NOTES
from toolpath.table.solved import DroPlan, table_for
from toolpath.tool.spindle import spindle_words
from toolpath.tool.touchoff import Shown
from toolpath.units import from_mm

CC = 1000.0
SAME_CROWN = 1e-4  # mm
MOST_SHOWN = 1e5  # of a readout


@dataclass(frozen=True, slots=True)
class ByHand:
    """The table with what cutting its rows leaves; volumes mm3."""

    table: Table
    readout: Readout
    setup: Setup
    readback: Readback
    expected: float  # as the reading sees it
    left_to_blend: float

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
    readout = readout_of(recut)
    target = deeper(design.skimmed, design.cut).volume_below()
    beside = design.received.beside(design.skim, cut=True)

    def work(depth: float) -> Work:
        shape = replace(design.shape, depth=depth)
        try:
            return _without_breaks(replace(design, shape=shape), recut)
        except Stopped as stopped:
            if stopped.finding.code != "break-over-room":
                raise
            # a depth tried on the way need not have room for the lip break
            return _without_breaks(replace(design, shape=replace(shape, lip=0.0)), recut)

    plan = table_for(work, design.shape.depth or 0.0, target, readout, rules_of(job), job.cutting.step_height)
    setup = Setup(
        dialect="dro-table",
        units=readout.units,
        x_reading=readout.x_reading,
        control_point=readout.control_point,
        insert_radius=readout.insert_radius,
        stock=plan.work.stock.surface,
        finished=finished_section(plan.work),
        expected_volume=plan.expected,
        counted_radius=plan.work.stock.surface.outer,
        pockets=beside,
        decimals=readout.decimals,
        resolution=from_mm(readout.resolution, readout.units),
    )
    rows = [(row.z, row.x_start, row.x_stop) for row in plan.rows]
    expected = plan.expected + beside
    return ByHand(
        table=_written(recut, readout, plan, expected),
        readout=readout,
        setup=setup,
        readback=readback_rows(rows, setup),
        expected=expected,
        left_to_blend=plan.left_to_blend,
    )


def _without_breaks(design: Design, recut: Recut) -> Work:
    """The work of a depth; broken edges that are cut by themselves are left for a file."""
    return replace(work_of(design, recut.next_cut), edge=None, old_lip=None)


def readout_of(recut: Recut) -> Readout:
    """The machine's digital readout."""
    machine = recut.job.machine
    return Readout(
        control_point=recut.job.tool.control_point,
        insert_radius=recut.insert.radius,
        units=machine.program_units,
        x_reading=machine.x_reading or "diameter",
        resolution=machine.readout,
        handwheel_division=machine.handwheel_division,
        handwheel_reads=machine.handwheel_reads,
    )


def _written(recut: Recut, readout: Readout, plan: DroPlan, expected: float) -> Table:
    job, design = recut.job, recut.design
    unit = "mm" if readout.units == "mm" else "in"
    diameter = readout.x_reading == "diameter"
    shown = Shown(unit, from_mm(1.0, readout.units), readout.decimals, diameter)
    insert = recut.insert.designation or "round insert"
    lines = [
        stage_words(recut),
        f"Insert {insert}, radius {shown.z(recut.insert.radius)}; readout to {shown.z(readout.resolution)}",
        *recut.touch_lines(shown),
        spindle_words(job),
        "The edge must stand on centre height",
        *NOTES,
        *table("cautions")["program"]["lines"],
    ]
    closing = [
        f"Expected by these rows: {expected / CC:.3f} cc, target of this stage "
        f"{design.seen(design.finished.volume_below()) / CC:.3f} cc",
        f"Left to blend by hand: {plan.left_to_blend / CC:.3f} cc in steps of at most "
        f"{shown.z(job.cutting.step_height)}",
    ]
    if plan.crown > SAME_CROWN:
        closing.append(
            f"The readout cannot show the finished crown: it stays {shown.z(plan.crown)} high, and a plate "
            f"reads {(plan.on_plate - plan.expected) / CC:.3f} cc more"
        )
    if recut.plan.work.patches:
        closing.append("Broken edges are not in the rows: file them")
    return Table(
        title=job.title or "DRO table",
        lines=tuple(lines),
        units=readout.units,
        x_reading=readout.x_reading,
        decimals=readout.decimals,
        rows=plan.rows,
        closing=tuple(closing),
    )


def rows_of_csv(text: str, name: str) -> list[tuple[float, float, float]]:
    """(z, x_start, x_stop) of every row of a table's CSV.

    Raises:
        InputError: the header or a number is not what the table writes.
    """
    rows = []
    reader = csv.DictReader(io.StringIO(text))
    for number, row in enumerate(reader, 2):
        try:
            numbers = (float(row["z"]), float(row["x_start"]), float(row["x_stop"]))
            if not all(abs(n) < MOST_SHOWN for n in numbers):
                raise ValueError("a number is out of any lathe's reach")
            rows.append(numbers)
        except (KeyError, TypeError, ValueError) as error:
            raise InputError(f"{name}: line {number} is not a row of a DRO table ({error})") from error
    if not rows:
        raise InputError(f"{name}: no row of a DRO table stands in it; make the table again")
    return rows
