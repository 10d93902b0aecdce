"""The job file as a whole."""

import hashlib
import json
from typing import Any, Literal

from pydantic import Field, PrivateAttr

from toolpath.job.means import Burette, Cutting, Holder, Holding, Machine, Setup, Tool
from toolpath.job.pistons import Cylinder, Record, Times, restated
from toolpath.job.types import Context, JobTable, Text
from toolpath.job.work import Crown, Dish, Engine, Existing, Piston, Pocket
from toolpath.reference import table
from toolpath.units import Units

SHOP_TABLES = ("tool", "holder", "machine", "burette")  # those a shop file can state once for all jobs


class Job(JobTable):
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
    cylinder: tuple[Cylinder, ...] = ()
    times: Times | None = None
    record: Record = Field(default_factory=Record)

    _overrides: tuple[str, ...] = PrivateAttr(())
    _from_shop: tuple[str, ...] = PrivateAttr(())

    def model_post_init(self, context: Any) -> None:
        if isinstance(context, Context):
            self._overrides = context.overrides
            self._from_shop = context.from_shop

    def for_piston(self, number: int) -> "Job":
        """The job of one piston: what its [[cylinder]] states takes the place of the set's."""
        own = next((c for c in self.cylinder if c.number == number), None)
        if own is None:
            return self._with()
        piston = {"touch_diameter": own.touch_diameter, "compression_height": own.compression_height}
        engine = {"chamber": own.chamber, "deck_clearance": own.deck_clearance}
        crown, dish = self.crown, self.dish
        if own.skim is not None:
            crown = restated(crown, skim=own.skim, deck_clearance=None, compression_height=None)
        if own.target is not None:
            dish = restated(dish, volume=own.target, compression_ratio=None)
        if own.target_ratio is not None:
            dish = restated(dish, compression_ratio=own.target_ratio, volume=None)
        return self._with(
            piston=restated(self.piston, **_stated(piston)),
            engine=None if self.engine is None else restated(self.engine, **_stated(engine)),
            crown=crown,
            dish=dish,
        )

    def _with(self, **tables: Any) -> "Job":
        """The same job with other tables and no cylinders of its own."""
        return self.model_copy(update={**tables, "cylinder": ()}) if tables or self.cylinder else self

    def mass_of(self, number: int) -> float | None:
        """The stated mass of a piston as received, g."""
        return next((c.mass for c in self.cylinder if c.number == number), None)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of all that decides the cut, so that two states of a job file can be told apart."""
        decides = self.model_dump(mode="json", exclude={"title", "record", "times"})
        return hashlib.sha256(json.dumps(decides, sort_keys=True).encode()).hexdigest()

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


def _stated(values: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}
