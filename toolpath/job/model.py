"""The job file as a whole."""

from typing import Any, Literal

from pydantic import Field, PrivateAttr

from toolpath.job.means import Burette, Cutting, Holder, Holding, Machine, Setup, Tool
from toolpath.job.types import Context, Table, Text
from toolpath.job.work import Crown, Dish, Engine, Existing, Piston, Pocket
from toolpath.reference import table
from toolpath.units import Units

SHOP_TABLES = ("tool", "holder", "machine", "burette")  # those a shop file can state once for all jobs


class Job(Table):
    """One job file, every value in mm, mm3, rad, mm/rev, m/min; None where the file says nothing."""

    units: Units = Field(description="units of the lengths, feeds and speeds in this file")
    title: Text = Field(default="", description="heads the program and every sheet")
    piston: Piston
    existing: Existing
    pocket: tuple[Pocket, ...] = ()
    crown: Crown = Field(default_factory=Crown)
    dish: Dish
    tool: Tool
    holder: Holder | None = None
    cutting: Cutting
    machine: Machine
    engine: Engine | None = None
    burette: Burette | None = None
    setup: Setup = Field(default_factory=Setup)
    holding: Holding | None = None

    _overrides: tuple[str, ...] = PrivateAttr(())
    _from_shop: tuple[str, ...] = PrivateAttr(())

    def model_post_init(self, context: Any) -> None:
        if isinstance(context, Context):
            self._overrides = context.overrides
            self._from_shop = context.from_shop

    @property
    def zero(self) -> Literal["kept", "noted", "fresh"]:
        """How the last cut gets its zero: as stated, else kept for one piston and fresh for a set.

        A set cut in turn has nothing to keep: only the fixture's face repeats.
        """
        return self.setup.zero or ("kept" if self.piston.count == 1 else "fresh")

    @property
    def min_chip(self) -> float:
        """The thinnest chip that the edge still cuts, mm: as stated, else the material's."""
        if self.cutting.min_chip is not None:
            return self.cutting.min_chip
        return float(table("materials")[self.piston.material]["min_chip"])

    @property
    def overrides(self) -> tuple[str, ...]:
        """Keys such as "tool.control_point" that the job states in place of the shop file."""
        return self._overrides

    @property
    def from_shop(self) -> tuple[str, ...]:
        """Names used from the shop file, such as "tool.ROUND10"."""
        return self._from_shop
