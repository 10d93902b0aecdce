"""What all pages of one sheet speak of: a recut, the report's figures, and how positions are written."""

from dataclasses import dataclass
from functools import cached_property

from toolpath.paper.style import Figures
from toolpath.planner.plan import Plan
from toolpath.profile.design import Design
from toolpath.program.by_hand import ByHand
from toolpath.program.frames import HAND
from toolpath.recut import Recut
from toolpath.report.figures import Report
from toolpath.tool.touchoff import Shown
from toolpath.units import mm_per


@dataclass(frozen=True)
class Subject:
    """One recut with its report; `diameter` says that X is read as a diameter."""

    recut: Recut
    report: Report
    diameter: bool

    @property
    def design(self) -> Design:
        """The solved dish."""
        return self.recut.design

    @property
    def plan(self) -> Plan:
        """The passes."""
        return self.recut.plan

    @cached_property
    def figures(self) -> Figures:
        """How lengths are written."""
        return Figures(self.recut.job.machine.program_units)

    @cached_property
    def shown(self) -> Shown:
        """How X and Z are written."""
        figures = self.figures
        return Shown(figures.unit, 1 / mm_per(figures.units), figures.decimals, self.diameter)


def printable(name: str) -> str:
    """The name of a file without the bytes in it that are no letters."""
    return name.encode(errors="replace").decode()


@dataclass(frozen=True)
class CutOnPaper:
    """One cut with everything that is put on paper for it, and the name of its files."""

    recut: Recut
    report: Report
    by_hand: ByHand
    name: str

    @cached_property
    def subject(self) -> Subject:
        """What its pages speak of: X as its program reads it."""
        program = self.report.program
        reading = self.by_hand.readout.x_reading if program is None else program.x_reading
        return Subject(self.recut, self.report, reading == "diameter")

    @property
    def hand(self) -> bool:
        """Whether it is cut by the rows of the table."""
        return self.recut.job.machine.post == HAND

    @property
    def file(self) -> str:
        """The program, or the rows, that it is cut by."""
        program = self.report.program
        file = f"{self.name}-dro.csv" if program is None or program.file is None else program.file
        return printable(file)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What must be looked at before the cut: of the rows only where they are cut."""
        found = self.report.findings if self.hand else self.recut.findings
        return tuple(f.line(self.subject.figures.units) for f in found if f.severity == "warning")
