"""The tables about the set: what differs for one piston, times, and who it is for; one job for one piston."""

from typing import Annotated, Any, TypeVar

from pydantic import Field

from toolpath.job.types import (
    JobTable,
    Length,
    LengthOrZero,
    NumberOrZero,
    Positive,
    SignedLength,
    Text,
    Volume,
    VolumeOrZero,
    WholeNumber,
)

T = TypeVar("T", bound=JobTable)


class Cylinder(JobTable):
    """[[cylinder]]: what differs for one piston of the set."""

    number: Annotated[int, WholeNumber(1, 10_000)] = Field(description="number of the piston in the set")
    chamber: VolumeOrZero | None = Field(
        default=None, alias="chamber_cc", description="combustion chamber of this cylinder"
    )
    deck_clearance: SignedLength | None = Field(
        default=None,
        description="deck to as-received crown of this piston in its own bore, over the pin axis",
    )
    compression_height: Length | None = Field(
        default=None, description="pin centre to as-received crown of this piston"
    )
    skim: LengthOrZero | None = Field(default=None, description="thickness faced off this crown")
    target: Volume | None = Field(default=None, alias="target_cc", description="volume wanted of this dish")
    target_ratio: Positive | None = Field(
        default=None, description="compression ratio wanted of this cylinder"
    )
    touch_diameter: Length | None = Field(
        default=None, description="diameter of this piston where the tool is touched off in X"
    )
    mass: Positive | None = Field(
        default=None, alias="mass_g", description="mass of this piston as received, bare, dry and clean"
    )


class Times(JobTable):
    """[times]: what the work of a set takes and costs."""

    setup_min: NumberOrZero = Field(default=0.0, description="minutes to set up for the set")
    fixing_min: NumberOrZero = Field(default=0.0, description="minutes to fix one piston and touch off")
    reading_min: NumberOrZero = Field(default=0.0, description="minutes for one reading")
    rate_per_hour: NumberOrZero = Field(default=0.0, description="price of an hour")


class Record(JobTable):
    """[record]: who the record is for."""

    customer: Text = Field(default="", description="customer, as it stands on the record")
    engine: Text = Field(default="", description="engine, as it stands on the record")


def restated(table: T, **changes: Any) -> T:
    """The table with some keys stated anew; None takes a key away."""
    stated = {name: getattr(table, name) for name in table.model_fields_set} | changes
    kept = {name: value for name, value in stated.items() if value is not None}
    return table.model_construct(set(kept), **kept)
