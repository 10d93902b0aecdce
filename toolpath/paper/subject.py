"""What all pages of one sheet speak of: a recut, the report's figures, and how positions are written."""

from dataclasses import dataclass
from functools import cached_property

from toolpath.paper.style import Figures
from toolpath.planner.plan import Plan
from toolpath.profile.design import Design
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
