"""The last gate: reads a program's text back, cuts the stock with it and compares with the job.

It gets values and a text, never the plan, and shares no motion code with what wrote the text.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from toolpath.findings import Finding, stops
from toolpath.geometry.chain import Chain
from toolpath.readback.cutter import CutStock, MostBite, cut, passed_axis, volume_under
from toolpath.readback.dialects import Dialect
from toolpath.readback.gouge import left_over, penetrations
from toolpath.readback.held import Difference, differences
from toolpath.readback.motions import BrokenRule, ControlPoint, Motion, centre_offset
from toolpath.readback.reader import ReadProgram, read
from toolpath.readback.stated import Stated
from toolpath.readback.sweep import Floats
from toolpath.readback.taking import unlike
from toolpath.units import MM_PER_INCH, cc

GOUGE_LIMIT = 0.002  # mm
VOLUME_LIMIT = 5.0  # mm3
_MOST_TOLD = 20  # findings of one kind


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a program is held against; lengths mm, volumes mm3, radii from the axis.

    `stock` and `finished` are sections in z over the finished crown (z = 0), as far as the land.
    `expected_volume` is the turned hollow of the finished section below z = 0 within
    `counted_radius`; `pockets` is added to the volume that is reported. `units`, `x_reading`,
    `decimals` (of X and Z) and `resolution` (the step of Z, program units; by default one in the
    last decimal) say how the program or the table is written. `dialect` is not used for a table.
    """

    dialect: Dialect | Literal["dro-table"]
    units: Literal["mm", "inch"]
    x_reading: Literal["diameter", "radius"]
    control_point: ControlPoint
    insert_radius: float
    stock: Chain
    finished: Chain
    expected_volume: float
    counted_radius: float
    pockets: float
    decimals: int
    resolution: float | None = None
    most_bite: MostBite | None = None  # None: not watched
    wary: Chain | None = None  # the highest that the stock may stand; None: as `stock`
    most_left: float | None = None  # mm that may stand over the finished section; None: not watched
    stated: Stated | None = None  # what the text is held against beside the section; None: nothing

    def __post_init__(self) -> None:
        if not self.insert_radius > 0:
            raise ValueError(f"The insert radius must be above 0 mm, not {self.insert_radius} mm.")
        if not 0 < self.counted_radius <= self.stock.outer + 1e-6:
            raise ValueError(
                f"The counted radius must be above 0 and at most the crown edge ({self.stock.outer} mm), "
                f"not {self.counted_radius} mm."
            )
        if abs(self.stock.outer - self.finished.outer) > 1e-6:
            raise ValueError(
                f"Stock and finished section must end at one crown edge, "
                f"not at {self.stock.outer} and {self.finished.outer} mm."
            )

    @property
    def unit(self) -> float:
        """One unit of the program, mm."""
        return MM_PER_INCH if self.units == "inch" else 1.0

    @property
    def half_z(self) -> float:
        """Half the last decimal of Z, mm."""
        return 0.5 * 10.0**-self.decimals * self.unit

    @property
    def half_x(self) -> float:
        """Half the last decimal of X as a radius, mm."""
        return self.half_z / (2 if self.x_reading == "diameter" else 1)


class Readback(NamedTuple):
    """What the text really does: volumes mm3, lengths mm.

    `volume` is what a plate across the crown sees (turned hollow and pockets), `removed` all the
    metal that went. `worst_line` is the first line (1-based; the row of a table) at which
    something goes wrong, None when nothing does. `told` are the findings, each with the line that it
    speaks of, None where that is none.
    """

    volume: float
    gouge: float
    stock_left: float
    rapid_contacts: int
    past_centre: int
    worst_line: int | None
    told: tuple[tuple[int | None, Finding], ...]
    removed: float

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, in the order of the checks."""
        return tuple(finding for _, finding in self.told)

    @property
    def ok(self) -> bool:
        """True when no finding stops the program."""
        return not stops(self.findings)


def readback(text: str, setup: Wanted) -> Readback:
    """Read a program back and cut the stock with it; broken rules are findings, nothing is raised for them.

    Raises:
        ValueError: the setup is one of a table.
    """
    reading = reading_of(text, setup)
    return _judge(reading, setup, "line")


def reading_of(text: str, setup: Wanted) -> ReadProgram:
    """The motions and faults of a program.

    Raises:
        ValueError: the setup is one of a table.
    """
    if setup.dialect == "dro-table":
        raise ValueError("A table has no program text; use readback_rows.")
    return read(
        text,
        dialect=setup.dialect,
        units=setup.units,
        x_reading=setup.x_reading,
        control_point=setup.control_point,
        insert_radius=setup.insert_radius,
        spindle=None if setup.stated is None else setup.stated.spindle,
        words={} if setup.stated is None else setup.stated.words,
    )


class HandRow(NamedTuple):
    """A row of a table as the readout shows it, in the table's units; `z_to` where the top slide ends."""

    z: float
    x_start: float
    x_stop: float
    z_to: float | None = None


Rows: TypeAlias = Sequence[HandRow | tuple[float, float, float]]


def readback_rows(rows: Rows, setup: Wanted) -> Readback:
    """Cut the stock with rows as the readout shows them; one of three numbers is at constant z."""
    return _judge(ReadProgram(motions_of_rows(rows, setup), ()), setup, "row")


def motions_of_rows(rows: Rows, setup: Wanted) -> tuple[Motion, ...]:
    """Two motions a row, numbered like it: the insert set where the row starts, then the cut."""
    x_unit = setup.unit / (2 if setup.x_reading == "diameter" else 1)
    dx, dz = centre_offset(setup.control_point, setup.insert_radius)
    motions: list[Motion] = []
    for number, (z, x_start, x_stop, z_to) in enumerate((HandRow(*row) for row in rows), start=1):
        block = f"Z {z:g}, X {x_start:g} to {x_stop:g}"
        end = (z if z_to is None else z_to) * setup.unit + dz
        height, first, last = z * setup.unit + dz, x_start * x_unit + dx, x_stop * x_unit + dx
        motions.append(Motion(number, block, False, first, height, first, height))
        motions.append(Motion(number, block, False, first, height, last, end))
    return tuple(motions)


def _judge(reading: ReadProgram, setup: Wanted, place: str) -> Readback:
    """Cut, measure and word every failure."""
    told = _Told(place)
    motions = reading.motions
    for fault in reading.faults:
        told.fault(fault)
    done = cut(
        motions,
        setup.stock,
        setup.insert_radius,
        marks=(setup.counted_radius,),
        most_bite=setup.most_bite,
        wary=setup.wary,
    )
    if setup.stated is not None:
        for one in (*differences(reading, setup.stated), *unlike(motions, done, setup.stated, setup.half_z)):
            told.difference(one)
    for k, taken in done.bites:
        told.bite(motions[k], taken)
    if done.standing is not None and place == "line":  # rows may leave steps to a file
        told.standing(motions[done.standing[0]], *done.standing[1:])
    for k in done.contacts:
        told.contact(motions[k])
    crossings = passed_axis(motions)
    for k in crossings:
        told.crossing(motions[k])

    depths = penetrations(motions, setup.finished, setup.insert_radius)
    gouge = max(0.0, float(depths.max(initial=0.0)))
    deepest = motions[_first_deep(depths)] if len(motions) else None
    if gouge > GOUGE_LIMIT and deepest is not None:
        told.gouge(deepest, gouge)
    stock_left, thick_at = left_over(done, setup.finished)

    if setup.most_left is not None and stock_left > setup.most_left:
        owner = done.last_at(thick_at)
        told.left(None if owner is None else motions[owner], thick_at, stock_left, setup.most_left)

    inside = done.r <= setup.counted_radius + 1e-9
    depth = np.maximum(0.0, -done.z)
    depth[depth <= setup.half_z + 1e-6] = 0.0  # a plate lies on the crown as it is rounded
    turned = volume_under(done.r[inside], depth[inside])
    removed = volume_under(done.r, done.stock - done.z)
    limit = _volume_limit(done.r[inside], setup)
    off = turned - setup.expected_volume
    if abs(off) > limit:
        blame = deepest
        if off < 0:
            owner = done.last_at(thick_at)
            blame = None if owner is None else motions[owner]
        told.volume(blame, off, limit, setup)
    told.crown(_standing(done, setup), motions, done)
    return Readback(
        volume=turned + setup.pockets,
        gouge=gouge,
        stock_left=stock_left,
        rapid_contacts=len(done.contacts),
        past_centre=len(crossings),
        worst_line=min(told.causes or told.signs, default=None),
        told=tuple(told.findings),
        removed=removed,
    )


def _first_deep(depths: Floats) -> int:
    """The first motion nearly as deep as the deepest: a wrong depth is carried by the blocks after it."""
    greatest = depths.max()
    return int(np.argmax(depths >= greatest - 0.1 * abs(greatest)))


def _volume_limit(r: Floats, setup: Wanted) -> float:
    """What rounding of the last decimals may do to the volume, mm3, at least `VOLUME_LIMIT`."""
    depth = np.maximum(0.0, -setup.finished.heights(r))
    hollow = r[depth > 1e-9]
    mouth = math.pi * float(hollow.max(initial=0.0)) ** 2
    wall = float(np.sum(np.pi * (r[1:] + r[:-1]) * np.abs(np.diff(depth))))
    return max(VOLUME_LIMIT, mouth * setup.half_z + wall * setup.half_x)


def _standing(done: CutStock, setup: Wanted) -> tuple[float, float, float]:
    """How far the cut crown stands over the finished one (mm), the radius (mm), and the limit (mm)."""
    wanted = setup.finished.heights(done.r)
    crown = (wanted >= -1e-9) & (done.r <= setup.counted_radius + 1e-9)
    excess = np.where(crown, done.z - wanted, 0.0)
    k = int(np.argmax(excess))
    step = setup.resolution if setup.resolution is not None else 10.0**-setup.decimals
    return float(excess[k]), float(done.r[k]), GOUGE_LIMIT + step * setup.unit


class _Told:
    """The findings so far, in words, and the lines that they name: causes, and what only shows in the end."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.findings: list[tuple[int | None, Finding]] = []
        self.causes: list[int] = []
        self.signs: list[int] = []
        self.counts: dict[str, int] = {}

    def fault(self, fault: BrokenRule) -> None:
        where = f"{self.place} {fault.line} ({fault.block})"
        self.add(fault.line, Finding("refused", "readback-rule", f"{where}: {fault.why}"))

    def difference(self, one: Difference) -> None:
        where = f"{self.place} {one.line} ({one.block}): " if one.block else ""
        finding = Finding(one.severity, one.code, where + one.what, advice=one.advice)
        if one.severity == "refused":
            self.add(one.line, finding)
        else:
            self.findings.append((one.line, finding))

    def left(self, motion: Motion | None, r: float, thick: float, limit: float) -> None:
        where = f"{self.at(motion)}: " if motion else ""
        what = f"{where}metal is left over the finished part at radius {r:.2f} mm; a cut is missing"
        advice = "make the program again from the job"
        self.show(motion, Finding("refused", "readback-left", what, thick, limit, "mm", advice))

    def contact(self, motion: Motion) -> None:
        what = f"{self.at(motion)}: the insert touches metal at rapid"
        self.add(
            motion.line,
            Finding("refused", "readback-rapid-contact", what, advice="go clear of the metal first, or feed"),
        )

    def bite(self, motion: Motion, taken: float) -> None:
        what = f"{self.at(motion)}: the insert takes more than the job's passes do"
        advice = "put this move back to what the job gives"
        self.add(motion.line, Finding("refused", "readback-bite", what, taken, None, "mm", advice))

    def standing(self, motion: Motion, r: float, height: float) -> None:
        what = f"{self.at(motion)}: metal is left standing over this cut at radius {r:.2f} mm"
        advice = "climb the wall to its top"
        self.add(motion.line, Finding("refused", "readback-standing", what, height, 0.0, "mm", advice))

    def crossing(self, motion: Motion) -> None:
        what = f"{self.at(motion)}: the insert goes past centre"
        advice = "end the move at or before the axis"
        self.add(motion.line, Finding("refused", "readback-axis", what, motion.least_x, 0.0, "mm", advice))

    def gouge(self, motion: Motion, depth: float) -> None:
        what = f"{self.at(motion)}: the insert gouges the finished part"
        advice = "raise or shorten this move to what the job gives"
        self.add(motion.line, Finding("refused", "readback-gouge", what, depth, GOUGE_LIMIT, "mm", advice))

    def volume(self, motion: Motion | None, off: float, limit: float, setup: Wanted) -> None:
        where = f"{self.at(motion)}: " if motion else ""
        amount = "more" if off > 0 else "less"
        wanted = cc(setup.expected_volume + setup.pockets)
        what = f"{where}the cut holds {cc(abs(off)):.4f} cc {amount} than the {wanted:.4f} cc of the job"
        advice = "make the program again from the job"
        value, allowed = cc(off), cc(limit)
        self.show(motion, Finding("refused", "readback-volume", what, value, allowed, "cc", advice))

    def crown(self, standing: tuple[float, float, float], motions: Sequence[Motion], done: CutStock) -> None:
        height, r, limit = standing
        if height <= limit:
            return
        owner = done.last_at(r)
        motion = None if owner is None else motions[owner]
        where = f"{self.at(motion)}: " if motion else ""
        what = f"{where}metal stands over the finished crown at radius {r:.2f} mm"
        advice = "face the whole crown to Z 0"
        self.show(motion, Finding("refused", "readback-skim", what, height, limit, "mm", advice))

    def show(self, motion: Motion | None, finding: Finding) -> None:
        """Note a fault of the finished work; the motion that it is laid to may not be its cause."""
        self.findings.append((None if motion is None else motion.line, finding))
        if motion is not None:
            self.signs.append(motion.line)

    def at(self, motion: Motion) -> str:
        return f"{self.place} {motion.line} ({motion.block})"

    def add(self, line: int, finding: Finding) -> None:
        """Note a fault that a line causes."""
        self.causes.append(line)
        count = self.counts[finding.code] = self.counts.get(finding.code, 0) + 1
        if count <= _MOST_TOLD:
            self.findings.append((line, finding))
        elif count == _MOST_TOLD + 1:
            more = Finding("note", finding.code, "there are more of these; put the first ones right")
            self.findings.append((None, more))
