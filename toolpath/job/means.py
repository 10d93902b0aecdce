"""The tables of a job file that describe the means: tool, holder, cutting, machine, measuring, holding.

An attribute has the name of its key without the unit (`capacity_cc` is `.capacity`, in mm3);
lengths are in mm, angles in rad, feeds in mm/rev, speeds in m/min. None stands for "not stated".
"""

import math
from typing import Annotated, Any, Final, Literal

from pydantic import Field, ValidationInfo, ValidatorFunctionWrapHandler, field_validator

from toolpath.job.pairs import Outline
from toolpath.job.types import (
    Angle,
    Feed,
    Flag,
    JobTable,
    Length,
    LengthOrZero,
    Pattern,
    Positive,
    Post,
    Quantity,
    Rpm,
    ShankDirection,
    SurfaceSpeed,
    Text,
    TurretIndex,
    Volume,
    WholeNumber,
    context_of,
)
from toolpath.moves import ControlPoint
from toolpath.units import MM_PER_INCH, Units

DEFAULT_ALLOWANCE: Final = 0.15  # mm
TOOL_WORDS: Final = r"(T\d{1,8}( M0?6)?( G43( H\d{1,5})?)?( D\d{1,3})?)?"
TOOL_WORDS_HINT: Final = 'write words such as "T0101" or "T1 M6 G43 H1", or "" for none'
MOST_DECIMALS: Final = 6
FEWEST_DECIMALS: Final[dict[Units, int]] = {"mm": 3, "inch": 4}
AS_ROUGHING: Final = {"finish_feed": "feed", "finish_speed": "surface_speed", "finish_rpm": "fixed_rpm"}
LATER: Final[Any] = None  # a default that depends on another value: filled in by the validator below it


class Tool(JobTable):
    """[tool]: the round insert."""

    insert: Text | None = Field(default=None, description="ISO 1832 designation of a round insert")
    insert_diameter: Length | None = Field(
        default=None, description="diameter of a round insert without a designation"
    )
    relief: Angle | None = Field(default=None, description="relief angle below the cutting edge")
    thickness: Length | None = Field(default=None, description="thickness of the insert")
    tolerance: Length | None = Field(
        default=None, description="tolerance on the insert's diameter, plus or minus"
    )
    seat_tilt: Angle = Field(
        default=0.0, description="tilt of the seat that gives a flat-sided insert its relief"
    )
    control_point: ControlPoint = Field(
        default="face-outer", description="the point whose X and Z the program states"
    )


class Holder(JobTable):
    """[holder]: what carries the insert, for the check of its clearance."""

    direction: ShankDirection | None = Field(default=None, description="the way the shank leaves the insert")
    width: Length | None = Field(default=None, description="width of the shank in the plane of the section")
    set_back: LengthOrZero | None = Field(
        default=None, description="how far the holder's front stands back from the insert's"
    )
    overhang: Length | None = Field(
        default=None, description="length of shank that stands out of the tool post"
    )
    height_below_edge: Length | None = Field(
        default=None, description="height of the holder below the cutting edge"
    )
    outline: Outline | None = Field(
        default=None, description="[[x, z], ...] corners from the insert centre, +Z out of the dish"
    )
    name: Text = Field(default="", description="what the shop calls it")


class Cutting(JobTable):
    """[cutting]: speed, feed and depths of cut."""

    surface_speed: SurfaceSpeed | None = Field(default=None, description="constant surface speed")
    fixed_rpm: Rpm | None = Field(default=None, description="one spindle speed throughout, rev/min")
    rpm_limit: Rpm = Field(default=1500.0, description="highest spindle speed, rev/min")
    feed: Feed = Field(description="feed per revolution")
    finish_feed: Feed = Field(
        default=LATER,
        validate_default=True,
        description="feed per revolution of the finishing cut; feed where not stated",
    )
    finish_speed: SurfaceSpeed | None = Field(
        default=LATER,
        validate_default=True,
        description="constant surface speed of the finishing cut; surface_speed where not stated",
    )
    finish_rpm: Rpm | None = Field(
        default=LATER,
        validate_default=True,
        description="spindle speed of the finishing cut, rev/min; fixed_rpm where not stated",
    )
    skim_depth_of_cut: Length = Field(description="depth of cut of the skim")
    dish_depth_of_cut: Length = Field(description="depth of cut in the dish")
    allowance: Length = Field(
        default=LATER,
        validate_default=True,
        description="metal left for the finishing cut; 0.15 mm, or a third of dish_depth_of_cut if less",
    )
    step_height: Length | None = Field(
        default=None,
        description="greatest step the DRO table may leave in a curved wall; as fits 24 rows where not stated",
    )
    ramp_angle: Annotated[float, Quantity("angle", 0.5, 10)] | None = Field(
        default=None,
        description="slope of the way into solid metal; by material and relief where not stated",
    )
    clearance: Length = Field(default=1.0, description="distance from metal at which rapid becomes feed")
    min_chip: Length | None = Field(default=None, description="thinnest chip the edge still cuts")

    @field_validator("finish_feed", "finish_speed", "finish_rpm", mode="wrap")
    @classmethod
    def _as_roughing(cls, value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        if value is None:
            return info.data.get(AS_ROUGHING[str(info.field_name)])
        return handler(value)

    @field_validator("allowance", mode="wrap")
    @classmethod
    def _default_allowance(
        cls, value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo
    ) -> Any:
        if value is None:
            return min(DEFAULT_ALLOWANCE, info.data.get("dish_depth_of_cut", math.inf) / 3)
        return handler(value)


class Machine(JobTable):
    """[machine]: what the program or table is written for."""

    post: Post = Field(description="postprocessor that writes the program, or dro-table for a manual lathe")
    program_units: Units = Field(
        default=LATER, validate_default=True, description="units of the program; the file's where not stated"
    )
    x_reading: Literal["diameter", "radius"] | None = Field(
        default=None, description="whether X is a diameter or a radius; the postprocessor's where not stated"
    )
    decimals: Annotated[int, WholeNumber(0, 9)] | None = Field(
        default=None, description="decimals of X, Z, I and K; the postprocessor's where not stated"
    )
    tool_side: Literal["front", "rear"] = Field(
        default="front", description="side of the spindle axis the tool works on"
    )
    insert_face: Literal["up", "down"] = Field(
        default="up", description="which way the insert's top face looks"
    )
    spindle_direction: Literal["cw", "ccw"] | None = Field(
        default=None, description="spindle sense, if it is to be checked against tool side and insert face"
    )
    readout: Length = Field(
        default=LATER,
        validate_default=True,
        description="resolution of the readout; 0.01 mm or 0.0005 in where not stated",
    )
    handwheel_division: Length | None = Field(
        default=None, description="one division of the handwheel that feeds in along Z"
    )
    top_slide: Flag = Field(
        default=False, description="whether straight slopes are turned by hand with the top slide set over"
    )
    z_reads: Literal["saddle", "sum"] = Field(
        default="saddle",
        description="what the readout's Z counts: the saddle alone, or the sum with the top slide",
    )
    optional_stops: Flag = Field(
        default=True, description="optional stops after the skim and before finishing"
    )
    negative_x: Flag = Field(default=True, description="whether the machine can travel past the axis in X")
    rapid_rate: Length = Field(default=5000.0, description="rapid rate, length per minute")
    work_offset: Annotated[str, Pattern("(G5[4-9])?", 'write a word from "G54" to "G59", or "" for none')] = (
        Field(default="G54", description="work offset word")
    )
    tool_word: Annotated[str, Pattern(TOOL_WORDS, TOOL_WORDS_HINT)] | None = Field(
        default=None, description="words of the tool call; the postprocessor's where not stated"
    )
    index: TurretIndex = Field(
        default="none",
        description="where the turret swings: none (after a stop), home, or [x, z] in machine coordinates",
    )
    proof_stop: Flag = Field(
        default=True, description="whether the program stops with a gauge before the crown, to prove offsets"
    )
    coolant: Literal["auto", "on", "off"] = Field(
        default="auto", description="coolant; auto follows the material"
    )
    start_x: Length | None = Field(
        default=None, description="start position: distance outside the crown's edge"
    )
    start_z: Length | None = Field(default=None, description="start position: distance in front of the crown")
    program_number: Annotated[int, WholeNumber(1000, 7000)] | None = Field(
        default=None,
        description="base of the program numbers, a multiple of 1000; 10 a piston and the stage are added",
    )
    block_numbers: Flag = Field(default=False, description="whether blocks are numbered")
    percent: Flag = Field(default=False, description="whether the program stands between percent signs")

    @property
    def turns_slopes_by_hand(self) -> bool:
        """Whether a straight slope is cut with the top slide rather than by a program."""
        return self.top_slide and self.post == "dro-table"

    @field_validator("program_number")
    @classmethod
    def _round_base(cls, number: int | None) -> int | None:
        if number is not None and number % 1000:
            raise ValueError("it must be a multiple of 1000: 10 a piston and the stage are added to it")
        return number

    @field_validator("program_units", mode="wrap")
    @classmethod
    def _default_units(cls, value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        return context_of(info).units if value is None else handler(value)

    @field_validator("decimals")
    @classmethod
    def _enough_decimals(cls, decimals: int | None, info: ValidationInfo) -> int | None:
        units = info.data.get("program_units", "mm")
        least = FEWEST_DECIMALS[units]
        if decimals is not None and not least <= decimals <= MOST_DECIMALS:
            raise ValueError(
                f"a program in {units} needs {least} to {MOST_DECIMALS} decimals, "
                "since arcs must close within 0.002 mm"
            )
        return decimals

    @field_validator("readout", mode="wrap")
    @classmethod
    def _default_readout(cls, value: Any, handler: ValidatorFunctionWrapHandler, info: ValidationInfo) -> Any:
        if value is None:
            return 0.0005 * MM_PER_INCH if info.data.get("program_units") == "inch" else 0.01
        return handler(value)


class Burette(JobTable):
    """[burette]: what the dish is measured with."""

    capacity: Volume = Field(alias="capacity_cc", description="nominal capacity")
    class_: Literal["A", "B"] = Field(default="B", alias="class", description="accuracy class of ISO 385")
    graduation: Volume | None = Field(default=None, alias="graduation_cc", description="smallest graduation")
    fills: Annotated[int, WholeNumber(1, 1000)] | None = Field(
        default=None, description="fills for one reading; as many as the volume needs where not stated"
    )
    method: Literal["plate-on-crown", "down-the-bore"] = Field(
        default="plate-on-crown", description="what the reading is taken over"
    )
    piston_below_deck: LengthOrZero | None = Field(
        default=None,
        description="how deep the as-received crown stands below the deck for readings down the bore",
    )
    name: Text = Field(default="", description="what the shop calls it")


class Setup(JobTable):
    """[setup]: how the pistons come back to the lathe, and the standard uncertainties of the steps."""

    zero: Literal["kept", "noted", "fresh"] | None = Field(
        default=None,
        description="zero for the last cut: kept, noted from the scale, or touched off anew; kept for one "
        "piston and fresh for a set where not stated",
    )
    touch_off: LengthOrZero = Field(default=0.02, description="standard uncertainty of a touch-off in Z")
    x_touch: LengthOrZero = Field(
        default=0.05, description="standard uncertainty of a touch-off in X, as radius"
    )
    refit: LengthOrZero = Field(
        default=0.005, description="standard uncertainty in Z of taking the piston off and refitting it"
    )
    repeat: LengthOrZero = Field(
        default=0.003, description="standard uncertainty in Z of the machine's repeat"
    )
    face_touch: LengthOrZero = Field(
        default=0.01, description="standard uncertainty of one touch on the fixture's turned face"
    )
    insert_radius_u: LengthOrZero | None = Field(
        default=None, description="standard uncertainty of the insert's radius"
    )
    existing_u: Volume | None = Field(
        default=None, alias="existing_u_cc", description="standard uncertainty of the old dish's volume"
    )
    feeler: LengthOrZero = Field(default=0.0, description="thickness of the feeler used at touch-off")
    crown_touched: Literal["as-received", "finished"] = Field(
        default="as-received", description="the face touched off in Z"
    )


class Holding(JobTable):
    """[holding]: how the piston is held, for the check of its grip."""

    thread: Text | None = Field(default=None, description="thread of the draw bar, such as M10")
    torque: Positive | None = Field(default=None, description="torque on the draw bar's nut, N m")
    clamp_force: Positive | None = Field(
        default=None, description="clamping force in N, in place of thread and torque"
    )
    seat_diameter: Length | None = Field(
        default=None, description="diameter of the seat the skirt is drawn against"
    )
    friction: Annotated[float, Quantity("number", 0.01, 2)] = Field(
        default=0.15, description="friction coefficient at the seat"
    )
    dummy_pin: Length | None = Field(default=None, description="diameter of the bar through the pin bore")
    pin_bore: Length | None = Field(default=None, description="diameter of the pin bore")
    min_factor: Annotated[float, Quantity("number", 1, 100)] = Field(
        default=2.0, description="least grip against cutting, as a factor"
    )
    max_force: Positive | None = Field(
        default=None, description="greatest clamping force the piston may see, N"
    )
    rpm_limit: Rpm | None = Field(default=None, description="highest speed of the fixture, rev/min")
